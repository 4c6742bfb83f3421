#include "core/compute/walk_line.h"

#include "core/compute/walk_leg_sum.h"

#include <algorithm>
#include <bit>
#include <cmath>

namespace leeward::compute {
namespace {

// Open cells along a line, in units of cells from the north-west corner.
class CellWalk {
 public:
  CellWalk(const WalkGraph& graph, LocalXY a, LocalXY b)
      : graph_(graph),
        col_(graph.spec.cell_col(a.x)),
        row_(graph.spec.cell_row(a.y)),
        across_(graph.spec.col_of(a.x), graph.spec.col_of(b.x), col_),
        down_(graph.spec.row_of(a.y), graph.spec.row_of(b.y), row_) {}

  bool open_all_along() {
    if (!open(col_, row_)) return false;
    while (std::min(across_.next, down_.next) < 1) {
      const double gap = across_.next - down_.next;
      const bool corner = std::abs(gap) < kCorner;
      if (corner && !(open(col_ + across_.sign, row_) && open(col_, row_ + down_.sign)))
        return false;
      if (corner || gap < 0) col_ += across_.turn();
      if (corner || gap > 0) row_ += down_.turn();
      if (!open(col_, row_)) return false;
    }
    return true;
  }

 private:
  static constexpr double kCorner = 1e-9;

  // One axis: where on the line, from 0 to 1, it comes to the next cell.
  struct Axis {
    int sign;
    double each, next;
    Axis(double from, double to, int cell) : sign(to < from ? -1 : 1) {
      each = 1 / std::abs(to - from);  // infinite: never
      next = to == from ? each : (sign > 0 ? cell + 1 - from : from - cell) * each;
    }
    int turn() {
      next += each;
      return sign;
    }
  };

  bool open(int col, int row) const {
    return graph_.spec.has(col, row) && graph_.open(graph_.spec.index(col, row));
  }

  const WalkGraph& graph_;
  int col_, row_;
  Axis across_, down_;
};

class LineFinder {
 public:
  LineFinder(const WalkGraph& graph, const std::vector<std::size_t>& cells,
             const std::vector<float>* hazard_per_min, double weight_s, double most_dearer)
      : graph_(graph), hazard_(hazard_per_min), weight_s_(weight_s), most_(1 + most_dearer) {
    const auto cols = static_cast<std::size_t>(graph.spec.cols);
    for (const std::size_t cell : cells) {
      at_.push_back(
          graph.spec.centre(static_cast<int>(cell % cols), static_cast<int>(cell / cols)));
      const std::size_t i = at_.size() - 1;
      way_s_.push_back(i == 0 ? 0 : way_s_[i - 1] + price(i - 1, i, kNoLeg));
    }
  }

  WalkLine line() {
    if (at_.empty()) return {};
    turns_ = {0};
    while (turns_.back() + 1 < at_.size()) {
      const Reach leg = furthest(turns_.back());
      turns_.push_back(leg.to);
      leg_s_.push_back(leg.cost_s);
    }
    // Once: lines are looked for with every drag, and more rounds take several times as long.
    for (std::size_t k = 1; k + 1 < turns_.size(); ++k) settle(k);
    drop_needless();
    WalkLine out;
    for (std::size_t k = 0; k < turns_.size(); ++k) {
      out.points.push_back(at_[turns_[k]]);
      if (k > 0) out.legs.push_back(leg(turns_[k - 1], turns_[k]));
    }
    return out;
  }

 private:
  static constexpr double kNoLeg = std::numeric_limits<double>::infinity();
  static constexpr std::size_t kPlaces = 8;  // that a turn is tried at; more take as much longer
  static constexpr double kLongLeg = 8;      // cells

  struct Reach {
    std::size_t to;
    double cost_s;
  };

  WalkLeg leg(std::size_t i, std::size_t j) const {
    return walk_leg(graph_, hazard_, at_[i], at_[j]);
  }
  // Cost of the straight line from i to j of the way, kNoLeg if it is more than `most`.
  double price(std::size_t i, std::size_t j, double most, int per_cell = kFinePieces) const {
    LegSum sum(graph_, hazard_, at_[i], at_[j], distance_m(at_[i], at_[j]), per_cell);
    double cost = 0;
    // Pieces only add to the sum, so that it is known early when it comes to too much.
    while (sum.next())
      if (cost = sum.cost_s(weight_s_); !(cost <= most)) return kNoLeg;
    return cost;
  }
  // What a leg seems to cost at a rough look, if it is long; kNoLeg if that is more than `most` or
  // more than it may be.
  double guess(std::size_t i, std::size_t j, double most) const {
    const double way = way_s_[j] - way_s_[i];
    if (j == i + 1) return way;
    const bool is_long = distance_m(at_[i], at_[j]) > kLongLeg * graph_.spec.cell_m;
    return price(i, j, std::min(most, most_ * way), is_long ? kRoughPieces : kFinePieces);
  }
  // Cost of the straight leg from i to j of the way, kNoLeg if it may not stand for the way or is
  // more than `most`.
  double cost(std::size_t i, std::size_t j, double most = kNoLeg) const {
    const double way = way_s_[j] - way_s_[i];
    if (j == i + 1) return way;
    const double straight = price(i, j, std::min(most, most_ * way));
    return straight < kNoLeg && walks_straight(graph_, at_[i], at_[j]) ? straight : kNoLeg;
  }
  // The same of a leg that most likely does not stand.
  double tried(std::size_t i, std::size_t j) const {
    return guess(i, j, kNoLeg) < kNoLeg ? cost(i, j) : kNoLeg;
  }

  // The end of the way, or the longest of doubling steps that stands; then halving ones beyond it.
  Reach furthest(std::size_t from) const {
    const std::size_t last = at_.size() - 1;
    if (const double s = tried(from, last); s < kNoLeg) return {last, s};
    Reach good{from + 1, cost(from, from + 1)};
    std::size_t beyond = last;
    for (std::size_t step = std::bit_floor(last - from - 1); step > 1; step /= 2) {
      if (const double s = tried(from, from + step); s < kNoLeg) {
        good = {from + step, s};
        beyond = std::min(last, from + 2 * step);
        break;
      }
    }
    while (beyond - good.to > 1) {
      const std::size_t middle = good.to + (beyond - good.to) / 2;
      if (const double s = tried(from, middle); s < kNoLeg) {
        good = {middle, s};
      } else {
        beyond = middle;
      }
    }
    return good;
  }

  // Puts turn k where its two legs cost least.
  void settle(std::size_t k) {
    const std::size_t before = turns_[k - 1], after = turns_[k + 1], now = turns_[k];
    double& in = leg_s_[k - 1];
    double& out = leg_s_[k];
    const std::size_t stride = std::max<std::size_t>(1, (after - before) / kPlaces);
    for (std::size_t i = before + 1; i < after; i += stride) {
      if (i == now) continue;
      const double best = in + out, guessed = guess(before, i, best);
      if (guessed >= best || guess(i, after, best - guessed) >= best) continue;
      const double first = cost(before, i, best);
      if (first >= best) continue;
      const double second = cost(i, after, (best - first) * (1 + 1e-9));  // whatever is rounded
      if (first + second < best) in = first, out = second, turns_[k] = i;
    }
  }

  void drop_needless() {
    for (std::size_t k = 1; k + 1 < turns_.size();) {
      const auto at = static_cast<std::ptrdiff_t>(k);
      if (const double s = tried(turns_[k - 1], turns_[k + 1]); s < kNoLeg) {
        turns_.erase(turns_.begin() + at);
        leg_s_.erase(leg_s_.begin() + at);
        leg_s_[k - 1] = s;
      } else {
        ++k;
      }
    }
  }

  const WalkGraph& graph_;
  const std::vector<float>* hazard_;
  double weight_s_, most_;
  Path at_;                         // the way
  std::vector<double> way_s_;       // cost of the way up to there
  std::vector<std::size_t> turns_;  // of the line, places on the way
  std::vector<double> leg_s_;       // cost of the leg from each turn to the next
};

}  // namespace

WalkLeg walk_leg(const WalkGraph& graph, const std::vector<float>* hazard_per_min, LocalXY a,
                 LocalXY b) {
  WalkLeg out;
  out.toward = bearing(a, b);
  out.length_m = distance_m(a, b);
  if (out.length_m <= 0) return out;
  LegSum sum(graph, hazard_per_min, a, b, out.length_m);
  while (sum.next()) {
    const auto ground_m = sum.heights_m();
    for (size_t k = 0; k + 1 < ground_m.size(); ++k) {
      const float rise_m = ground_m[k + 1] - ground_m[k];  // NaN compares false
      if (rise_m > 0) out.climb_m += static_cast<double>(rise_m);
      if (rise_m < 0) out.drop_m -= static_cast<double>(rise_m);
    }
  }
  out.seconds = sum.seconds();
  out.hazard = sum.hazard();
  return out;
}

bool walks_straight(const WalkGraph& graph, LocalXY a, LocalXY b) {
  return CellWalk(graph, a, b).open_all_along();
}

WalkLeg WalkLine::whole() const {
  WalkLeg out;
  for (const WalkLeg& leg : legs) {
    out.length_m += leg.length_m;
    out.climb_m += leg.climb_m;
    out.drop_m += leg.drop_m;
    out.seconds += leg.seconds;
    out.hazard += leg.hazard;
  }
  if (!legs.empty()) out.toward = bearing(points.front(), points.back());
  return out;
}

WalkLine walk_line(const WalkGraph& graph, const std::vector<std::size_t>& cells,
                   const std::vector<float>* hazard_per_min, double weight_s,
                   const WalkLineOptions& options) {
  return LineFinder(graph, cells, hazard_per_min, weight_s, options.most_dearer).line();
}

}  // namespace leeward::compute
