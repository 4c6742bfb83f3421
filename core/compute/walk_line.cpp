#include "core/compute/walk_line.h"

#include <algorithm>
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
      way_s_.push_back(i == 0 ? 0 : way_s_[i - 1] + leg(i - 1, i).cost_s(weight_s));
    }
  }

  WalkLine line() {
    if (at_.empty()) return {};
    turns_ = {0};
    while (turns_.back() + 1 < at_.size()) turns_.push_back(furthest(turns_.back()));
    for (int round = 0; round < kRounds; ++round) {
      for (std::size_t k = 1; k + 1 < turns_.size(); ++k) settle(k);
      drop_needless();
    }
    WalkLine out;
    for (std::size_t k = 0; k < turns_.size(); ++k) {
      out.points.push_back(at_[turns_[k]]);
      if (k > 0) out.legs.push_back(leg(turns_[k - 1], turns_[k]));
    }
    return out;
  }

 private:
  static constexpr double kNoLeg = std::numeric_limits<double>::infinity();
  // Lines are looked for with every drag; more of either takes several times as long.
  static constexpr int kRounds = 1;
  static constexpr std::size_t kPlaces = 8;

  WalkLeg leg(std::size_t i, std::size_t j) const {
    return walk_leg(graph_, hazard_, at_[i], at_[j]);
  }
  // Cost of the straight leg from i to j of the way, kNoLeg if it may not stand for the way.
  double cost(std::size_t i, std::size_t j) const {
    if (j == i + 1) return way_s_[j] - way_s_[i];
    if (!walks_straight(graph_, at_[i], at_[j])) return kNoLeg;
    const double straight = leg(i, j).cost_s(weight_s_);
    return straight <= most_ * (way_s_[j] - way_s_[i]) ? straight : kNoLeg;
  }
  bool stands(std::size_t i, std::size_t j) const { return cost(i, j) < kNoLeg; }

  // Doubling steps to the end of the way, then halving ones beyond the furthest that stands.
  std::size_t furthest(std::size_t from) const {
    const std::size_t last = at_.size() - 1;
    if (stands(from, last)) return last;
    std::size_t good = from + 1, beyond = last;
    for (std::size_t step = 2; from + step < last; step *= 2) {
      if (stands(from, from + step)) {
        good = from + step;
        beyond = std::min(last, from + 2 * step);
      }
    }
    while (beyond - good > 1) {
      const std::size_t middle = good + (beyond - good) / 2;
      (stands(from, middle) ? good : beyond) = middle;
    }
    return good;
  }

  // Puts turn k where its two legs cost least.
  void settle(std::size_t k) {
    const std::size_t before = turns_[k - 1], after = turns_[k + 1];
    double best = cost(before, turns_[k]) + cost(turns_[k], after);
    const std::size_t stride = std::max<std::size_t>(1, (after - before) / kPlaces);
    for (std::size_t i = before + 1; i < after; i += stride) {
      const double in = cost(before, i);
      if (in >= best) continue;
      if (const double both = in + cost(i, after); both < best) best = both, turns_[k] = i;
    }
  }

  void drop_needless() {
    for (std::size_t k = 1; k + 1 < turns_.size();) {
      if (stands(turns_[k - 1], turns_[k + 1])) {
        turns_.erase(turns_.begin() + static_cast<std::ptrdiff_t>(k));
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
};

}  // namespace

bool walks_straight(const WalkGraph& graph, LocalXY a, LocalXY b) {
  return CellWalk(graph, a, b).open_all_along();
}

WalkLeg walk_leg(const WalkGraph& graph, const std::vector<float>* hazard_per_min, LocalXY a,
                 LocalXY b) {
  const GridSpec& g = graph.spec;
  WalkLeg out;
  out.toward = bearing(a, b);
  out.length_m = distance_m(a, b);
  const int pieces = std::max(1, static_cast<int>(std::ceil(4 * out.length_m / g.cell_m)));
  const double run_m = out.length_m / pieces;
  if (run_m <= 0) return out;
  float last_m = sample(graph.ground_m, a);
  for (int k = 0; k < pieces; ++k) {
    const LocalXY middle = a + (b - a) * ((k + 0.5) / pieces);
    const float ground_m =
        graph.level ? last_m : sample(graph.ground_m, a + (b - a) * ((k + 1.0) / pieces));
    const double rise_m =
        std::isnan(ground_m - last_m) ? 0 : static_cast<double>(ground_m - last_m);
    last_m = ground_m;
    (rise_m > 0 ? out.climb_m : out.drop_m) += std::abs(rise_m);
    const size_t cell = g.index(g.cell_col(middle.x), g.cell_row(middle.y));
    const float pace = graph.pace.at(static_cast<float>(rise_m / run_m) * PaceTable::kPerUnit);
    const double seconds = run_m * static_cast<double>(pace * graph.slowness[cell]);
    out.seconds += seconds;
    if (hazard_per_min) out.hazard += seconds / 60 * static_cast<double>((*hazard_per_min)[cell]);
  }
  return out;
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
