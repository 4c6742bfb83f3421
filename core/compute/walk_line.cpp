#include "core/compute/walk_line.h"

#include "core/base/multiversion.h"

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

}  // namespace

// Bilinear heights at (x, y) + k (dx, dy), k = 0 .. n - 1, in cells from the centre of the
// north-west cell; NaN beside unknown cells.
LEEWARD_CLONES static void heights_along(const float* __restrict cells, int cols, int rows, float x,
                                         float y, float dx, float dy, int n,
                                         float* __restrict out) {
  const float most_x = static_cast<float>(cols - 1), most_y = static_cast<float>(rows - 1);
  for (int k = 0; k < n; ++k) {
    float px = x + dx * static_cast<float>(k), py = y + dy * static_cast<float>(k);
    px = px < 0 ? 0 : px > most_x ? most_x : px;
    py = py < 0 ? 0 : py > most_y ? most_y : py;
    const int cell_x = static_cast<int>(px), cell_y = static_cast<int>(py);
    const int c = cell_x < cols - 2 ? cell_x : cols - 2, r = cell_y < rows - 2 ? cell_y : rows - 2;
    const int i = r * cols + c;
    const float u = px - static_cast<float>(c), v = py - static_cast<float>(r);
    const float top = cells[i] + (cells[i + 1] - cells[i]) * u;
    const float bottom = cells[i + cols] + (cells[i + cols + 1] - cells[i + cols]) * u;
    out[k] = top + (bottom - top) * v;
  }
}

// The ends of each piece of the leg.
static void ground_of_pieces(const WalkGraph& graph, LocalXY a, LocalXY b, int pieces,
                             std::vector<float>& out) {
  const GridSpec& g = graph.spec;
  out.assign(static_cast<size_t>(pieces) + 1, graph.level ? 0.0F : kUnknown);
  if (graph.level) return;
  const auto narrow = [](double v) { return static_cast<float>(v); };
  if (g.cols > 1 && g.rows > 1)
    heights_along(graph.ground_m.cells.data(), g.cols, g.rows, narrow(g.col_of(a.x) - 0.5),
                  narrow(g.row_of(a.y) - 0.5), narrow((b.x - a.x) / g.cell_m / pieces),
                  narrow((a.y - b.y) / g.cell_m / pieces), pieces + 1, out.data());
  for (size_t k = 0; k < out.size(); ++k)
    if (std::isnan(out[k]))
      out[k] = sample(graph.ground_m, a + (b - a) * (static_cast<double>(k) / pieces));
}

// The cells of the middles of the pieces, in doubles: no piece may slip into the next cell.
LEEWARD_CLONES static void cells_along(double col, double row, double across, double down, int cols,
                                       int n, int* __restrict out) {
  for (int k = 0; k < n; ++k)
    out[k] = static_cast<int>(row + down * (k + 0.5)) * cols +
             static_cast<int>(col + across * (k + 0.5));
}

// Seconds a metre of each piece and the hazard of them, from the table's pairs() and the rises at
// the pieces' ends.
LEEWARD_CLONES static void pace_pieces(const float* __restrict ground_m, const int* __restrict cell,
                                       const float* __restrict slowness,
                                       const float* __restrict hazard,
                                       const float* __restrict pairs, float per_rise, int n,
                                       float* __restrict pace, float* __restrict danger) {
  constexpr float kMost = PaceTable::kSteepest * PaceTable::kPerUnit;
  for (int k = 0; k < n; ++k) {
    const float change_m = ground_m[k + 1] - ground_m[k];
    float x = change_m == change_m ? change_m * per_rise : 0;  // NaN is level
    x = x < -kMost ? -kMost : x > kMost ? kMost : x;
    x += PaceTable::kMiddle;
    const int node = static_cast<int>(x);
    const float level = pairs[2 * node], rise = pairs[2 * node + 1];
    const float paced = (level + (x - static_cast<float>(node)) * rise) * slowness[cell[k]];
    pace[k] = paced;
    danger[k] = paced * hazard[cell[k]];
  }
}

// Eight partial sums, so that they vectorise without reordering.
LEEWARD_CLONES static double sum_of(const float* v, int n) {
  double sum[8] = {};
  int k = 0;
  for (; k + 8 <= n; k += 8)
    for (int l = 0; l < 8; ++l) sum[l] += static_cast<double>(v[k + l]);
  for (; k < n; ++k) sum[0] += static_cast<double>(v[k]);
  return ((sum[0] + sum[1]) + (sum[2] + sum[3])) + ((sum[4] + sum[5]) + (sum[6] + sum[7]));
}

// walk_leg(), without climb and drop where it is not `whole`.
static WalkLeg measured(const WalkGraph& graph, const std::vector<float>* hazard_per_min, LocalXY a,
                        LocalXY b, bool whole) {
  const GridSpec& g = graph.spec;
  WalkLeg out;
  out.toward = bearing(a, b);
  out.length_m = distance_m(a, b);
  const int pieces = std::max(1, static_cast<int>(std::ceil(4 * out.length_m / g.cell_m)));
  const double run_m = out.length_m / pieces;
  if (run_m <= 0) return out;
  // Legs are asked for by the thousand.
  thread_local std::vector<float> ground_m, pace, danger;
  thread_local std::vector<int> cell;
  const size_t n = static_cast<size_t>(pieces);
  ground_of_pieces(graph, a, b, pieces, ground_m);
  cell.resize(n), pace.resize(n), danger.resize(n);
  const double col = g.col_of(a.x), row = g.row_of(a.y);
  cells_along(col, row, (g.col_of(b.x) - col) / pieces, (g.row_of(b.y) - row) / pieces, g.cols,
              pieces, cell.data());
  const float* hazard = hazard_per_min ? hazard_per_min->data() : graph.slowness.data();
  pace_pieces(ground_m.data(), cell.data(), graph.slowness.data(), hazard, graph.pace.pairs(),
              static_cast<float>(PaceTable::kPerUnit / run_m), pieces, pace.data(), danger.data());
  out.seconds = sum_of(pace.data(), pieces) * run_m;
  if (hazard_per_min) out.hazard = sum_of(danger.data(), pieces) * run_m / 60;
  for (size_t k = 0; whole && k < n; ++k) {
    const float rise_m = ground_m[k + 1] - ground_m[k];  // NaN compares false
    if (rise_m > 0) out.climb_m += static_cast<double>(rise_m);
    if (rise_m < 0) out.drop_m -= static_cast<double>(rise_m);
  }
  return out;
}

namespace {

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
      way_s_.push_back(i == 0 ? 0 : way_s_[i - 1] + price(i - 1, i));
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
  double price(std::size_t i, std::size_t j) const {
    return measured(graph_, hazard_, at_[i], at_[j], false).cost_s(weight_s_);
  }
  // Cost of the straight leg from i to j of the way, kNoLeg if it may not stand for the way.
  double cost(std::size_t i, std::size_t j) const {
    if (j == i + 1) return way_s_[j] - way_s_[i];
    const double most = most_ * (way_s_[j] - way_s_[i]);
    if (!walks_straight(graph_, at_[i], at_[j])) return kNoLeg;
    const double straight = price(i, j);
    return straight <= most ? straight : kNoLeg;
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

WalkLeg walk_leg(const WalkGraph& graph, const std::vector<float>* hazard_per_min, LocalXY a,
                 LocalXY b) {
  return measured(graph, hazard_per_min, a, b, true);
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
