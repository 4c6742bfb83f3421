#include "core/compute/walk_graph.h"

#include "core/base/parallel.h"
#include "core/compute/walk_steps.h"

#include <algorithm>
#include <cassert>
#include <cmath>

namespace leeward::compute {
namespace {

constexpr float kInf = std::numeric_limits<float>::infinity();

int lane_of(int directions, Step s) {
  const auto& lanes = steps::lanes(directions);
  for (int k = 0; k < 16; ++k) {
    const Step l = lanes[static_cast<size_t>(k)];
    if (l.dc == s.dc && l.dr == s.dr) return k;
  }
  return -1;
}

// kSteps[d] as a lane, -1 if it is not taken.
using LaneOf = std::array<std::int8_t, kDirections>;
LaneOf lanes_of_steps(int directions) {
  LaneOf out{};
  for (size_t d = 0; d < out.size(); ++d)
    out[d] = static_cast<std::int8_t>(lane_of(directions, kSteps[d]));
  return out;
}
class StepFinder {
 public:
  explicit StepFinder(const WalkGraph& graph)
      : graph_(graph), lanes_(steps::lanes(graph.directions)) {
    for (size_t k = 0; k < lanes_.size(); ++k)
      if (!steps::idle(lanes_[k])) all_ |= static_cast<std::uint16_t>(1U << k);
  }

  // Rows of flags: 1 where the cell and two to each side of it are open.
  void row(int r, std::uint8_t* wide) const {
    const int cols = graph_.spec.cols;
    const float* slow = graph_.slowness.data() + graph_.spec.index(0, r);
    std::fill(wide, wide + cols, std::uint8_t{0});
    for (int c = 2; c < cols - 2; ++c)
      wide[c] = (slow[c - 2] < kInf) & (slow[c - 1] < kInf) & (slow[c] < kInf) &
                (slow[c + 1] < kInf) & (slow[c + 2] < kInf);
  }

  void fill(int r, const std::vector<std::uint8_t>& wide, std::uint16_t* out) const {
    const GridSpec& g = graph_.spec;
    const bool inside = r >= 2 && r + 2 < g.rows;
    for (int c = 0; c < g.cols; ++c) {
      const std::uint8_t* w = wide.data() + g.index(c, r);
      const std::ptrdiff_t cols = g.cols;
      if (inside && (w[-2 * cols] & w[-cols] & w[0] & w[cols] & w[2 * cols])) {
        out[c] = all_;
      } else {
        out[c] = from(c, r);
      }
    }
  }

  std::uint16_t from(int c, int r) const {
    std::uint16_t out = 0;
    if (!open(c, r)) return out;
    for (size_t k = 0; k < lanes_.size(); ++k)
      if (!steps::idle(lanes_[k]) && passes(c, r, lanes_[k]))
        out = static_cast<std::uint16_t>(out | 1U << k);
    return out;
  }

 private:
  bool open(int c, int r) const {
    return graph_.spec.has(c, r) && graph_.open(graph_.spec.index(c, r));
  }
  bool passes(int c, int r, Step s) const {
    const int c2 = c + s.dc, r2 = r + s.dr;
    if (!open(c2, r2)) return false;
    const Step half = steps::long_half(s);
    if (!steps::idle(half))
      return open(c + half.dc, r + half.dr) && open(c2 - half.dc, r2 - half.dr);
    return s.dc == 0 || s.dr == 0 || (open(c2, r) && open(c, r2));
  }

  const WalkGraph& graph_;
  const std::array<Step, 16>& lanes_;
  std::uint16_t all_ = 0;
};

void find_steps(WalkGraph& graph) {
  const GridSpec& g = graph.spec;
  const StepFinder finder(graph);
  std::vector<std::uint8_t> wide(g.size());
  graph.steps.resize(g.size());
  for_each_index(g.rows, [&](int r) { finder.row(r, wide.data() + g.index(0, r)); });
  for_each_index(g.rows, [&](int r) { finder.fill(r, wide, graph.steps.data() + g.index(0, r)); });
}

}  // namespace

PaceTable::PaceTable(const std::function<double(double)>& pace_s_per_m) {
  const int last = 2 * static_cast<int>(kMiddle);
  pairs_.reserve(2 * static_cast<size_t>(last));
  const auto node = [&](int i) {
    return static_cast<float>(pace_s_per_m(static_cast<double>(i - last / 2) / kPerUnit));
  };
  for (int i = 0; i < last; ++i) {
    pairs_.push_back(node(i));
    pairs_.push_back(node(i + 1) - node(i));
  }
}

int WalkGraph::lane(int d) const {
  static const LaneOf kEight = lanes_of_steps(8), kSixteen = lanes_of_steps(16);
  return (directions == 8 ? kEight : kSixteen)[static_cast<size_t>(d)];
}

bool WalkGraph::allows(size_t cell, int d) const {
  const int at = lane(d);
  return at >= 0 && (steps[cell] >> at & 1U) != 0;
}

float WalkGraph::seconds(size_t cell, int d) const {
  if (!allows(cell, d)) return kInf;
  const Step s = kSteps[static_cast<size_t>(d)];
  const auto to = static_cast<std::ptrdiff_t>(cell) + s.dr * std::ptrdiff_t{spec.cols} + s.dc;
  return steps::StepPrice(*this, nullptr, 0, false)(cell, static_cast<size_t>(to), lane(d));
}

float WalkGraph::seconds_between(size_t from, size_t to) const {
  const std::ptrdiff_t cols = spec.cols;
  for (int d = 0; d < kDirections; ++d) {
    const Step s = kSteps[static_cast<size_t>(d)];
    if (static_cast<std::ptrdiff_t>(from) + s.dr * cols + s.dc == static_cast<std::ptrdiff_t>(to) &&
        allows(from, d))
      return seconds(from, d);
  }
  return kInf;
}

WalkGraph make_walk_graph(const Raster<WalkCell>& cells, const WalkOptions& options) {
  assert(options.directions == 8 || options.directions == 16);
  WalkGraph out;
  out.spec = cells.spec;
  out.directions = options.directions;
  out.pace = PaceTable(options.pace_s_per_m);
  const auto path_factor = static_cast<float>(options.path_factor);
  out.slowness.resize(cells.spec.size());
  out.ground_m = Raster<float>(cells.spec);
  float lowest = kInf, highest = -kInf;
  for (size_t i = 0; i < cells.cells.size(); ++i) {
    const WalkCell& c = cells.cells[i];
    const bool open = std::isfinite(c.slowness);
    assert(!open || c.slowness > 0);
    out.slowness[i] = open && c.on_path ? path_factor : c.slowness;
    out.ground_m.cells[i] = c.ground_m;
    if (std::isnan(c.ground_m)) continue;
    lowest = std::min(lowest, c.ground_m);
    highest = std::max(highest, c.ground_m);
  }
  out.level = !(lowest < highest);
  find_steps(out);
  return out;
}

void remake_walk_graph(const Raster<WalkCell>& cells, const std::vector<CellBox>& windows,
                       const WalkOptions& options, WalkGraph& graph) {
  assert(cells.spec == graph.spec && options.directions == graph.directions);
  const auto path_factor = static_cast<float>(options.path_factor);
  for (const CellBox& w : windows)
    for (int r = w.row; r < w.end_row(); ++r)
      for (int c = w.col; c < w.end_col(); ++c) {
        const WalkCell& cell = cells.at(c, r);
        graph.slowness[cells.spec.index(c, r)] =
            std::isfinite(cell.slowness) && cell.on_path ? path_factor : cell.slowness;
      }
  const StepFinder finder(graph);
  for (const CellBox& w : windows) {
    const CellBox reach = w.grown(2).within({0, 0, graph.spec.cols, graph.spec.rows});
    for (int r = reach.row; r < reach.end_row(); ++r)
      for (int c = reach.col; c < reach.end_col(); ++c)
        graph.steps[graph.spec.index(c, r)] = finder.from(c, r);
  }
}

std::size_t nearest_open(const WalkGraph& graph, LocalXY p, double most_m) {
  const GridSpec& g = graph.spec;
  const int c0 = g.cell_col(p.x), r0 = g.cell_row(p.y),
            n = static_cast<int>(std::ceil(most_m / g.cell_m));
  std::size_t best = static_cast<std::size_t>(-1);
  double best_d = most_m;
  for (int r = r0 - n; r <= r0 + n; ++r) {
    for (int c = c0 - n; c <= c0 + n; ++c) {
      if (!g.has(c, r) || !graph.open(g.index(c, r))) continue;
      const double d = c == c0 && r == r0 ? 0 : distance_m(g.centre(c, r), p);
      if (d <= best_d) best = g.index(c, r), best_d = d;
    }
  }
  return best;
}

}  // namespace leeward::compute

namespace leeward::compute::steps {

StepPrice::StepPrice(const WalkGraph& graph, const std::vector<float>* hazard_per_min,
                     double weight_s, bool backward)
    : graph_(graph),
      hazard_(hazard_per_min && weight_s > 0 ? hazard_per_min->data() : nullptr),
      half_weight_(static_cast<float>(weight_s / 120.0)) {
  const auto& all = lanes(graph.directions);
  for (size_t k = 0; k < all.size(); ++k) {
    const double run = graph.spec.cell_m * std::hypot(all[k].dc, all[k].dr);
    run_m_[k] = static_cast<float>(run);
    const Step half = long_half(all[k]);
    long_half_[k] = half.dr * std::ptrdiff_t{graph.spec.cols} + half.dc;
    if (run > 0) per_m_[k] = static_cast<float>((backward ? -1 : 1) * PaceTable::kPerUnit / run);
  }
}

float StepPrice::operator()(size_t from, size_t to, int lane) const {
  const float* slowness = graph_.slowness.data();
  const float a = slowness[from], b = slowness[to];
  const std::ptrdiff_t half = long_half_[static_cast<size_t>(lane)];
  float slow = 0.5F * (a + b);
  if (half != 0) {
    const auto step = static_cast<size_t>(half);
    slow = 0.25F * (a + b + (slowness[from + step] + slowness[to - step]));
  }
  float price = run_m(lane) * slow;
  const float* ground_m = graph_.ground_m.cells.data();
  price *= graph_.pace.at((ground_m[to] - ground_m[from]) * per_m(lane));
  if (hazard_) price *= 1 + half_weight_ * (hazard_[from] + hazard_[to]);
  return price;
}

}  // namespace leeward::compute::steps
