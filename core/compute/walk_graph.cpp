#include "core/compute/walk_graph.h"

#include "core/base/parallel.h"
#include "core/compute/walking.h"

#include <algorithm>
#include <cmath>

namespace leeward::compute {
namespace {

constexpr float kInf = std::numeric_limits<float>::infinity();

struct StepTime {
  const Raster<WalkCell>& cells;

  bool open(int c, int r) const {
    return cells.spec.has(c, r) && std::isfinite(cells.at(c, r).slowness);
  }

  float from(int c, int r, int d) const {
    const Step s = kSteps[static_cast<size_t>(d)];
    const int c2 = c + s.dc, r2 = r + s.dr;
    if (!open(c, r) || !open(c2, r2)) return kInf;
    const int long_c = s.dc / 2, long_r = s.dr / 2;  // the knight's long half, 0 for others
    if (d >= 8) {
      if (!open(c + long_c, r + long_r) || !open(c2 - long_c, r2 - long_r)) return kInf;
    } else if (d >= 4 && (!open(c + s.dc, r) || !open(c, r + s.dr))) {
      return kInf;
    }
    const WalkCell &a = cells.at(c, r), &b = cells.at(c2, r2);
    const double run = cells.spec.cell_m * std::hypot(s.dc, s.dr);
    double slope = static_cast<double>(b.ground_m - a.ground_m) / run;
    if (std::isnan(slope)) slope = 0;
    slope = std::clamp(slope, -1.2, 1.2);
    const bool on_path = a.on_path && b.on_path;
    const double pace = on_path ? path_pace_s_per_m(slope) : off_path_pace_s_per_m(slope);
    const double slowness = on_path ? 1.0 : 0.5 * static_cast<double>(a.slowness + b.slowness);
    return static_cast<float>(run * pace * slowness);
  }
};

// Buckets of cell indices by cost; a cell may stand in several, only its best label counts.
class Buckets {
 public:
  explicit Buckets(float width) : width_(width) {}
  void push(float cost, std::uint32_t cell) {
    const size_t b = static_cast<size_t>(cost / width_);
    if (b >= buckets_.size()) buckets_.resize(b + 64);
    buckets_[b].push_back({cost, cell});
  }
  struct Item {
    float cost;
    std::uint32_t cell;
  };
  size_t count() const { return buckets_.size(); }
  std::vector<Item>& operator[](size_t i) { return buckets_[i]; }

 private:
  float width_;
  std::vector<std::vector<Item>> buckets_;
};

}  // namespace

WalkGraph make_walk_graph(const Raster<WalkCell>& cells) {
  const GridSpec& g = cells.spec;
  WalkGraph out;
  out.spec = g;
  out.seconds.resize(g.size() * kDirections);
  out.seconds_back.resize(g.size() * kDirections);
  out.open.resize(g.size());
  const StepTime time{cells};
  for_each_index(g.rows, [&](int r) {
    for (int c = 0; c < g.cols; ++c) {
      const size_t i = g.index(c, r);
      out.open[i] = time.open(c, r) ? 1 : 0;
      for (int d = 0; d < kDirections; ++d) {
        const size_t e = i * kDirections + static_cast<size_t>(d);
        out.seconds[e] = time.from(c, r, d);
        const Step s = kSteps[static_cast<size_t>(d)];
        out.seconds_back[e] =
            g.has(c + s.dc, r + s.dr) ? time.from(c + s.dc, r + s.dr, opposite(d)) : kInf;
      }
    }
  });
  return out;
}

Result<CostField> cheapest_ways(const WalkGraph& graph, const CostQuery& query,
                                std::stop_token stop) {
  const GridSpec& g = graph.spec;
  CostField out;
  out.spec = g;
  out.cost.assign(g.size(), kInf);
  out.via.assign(g.size(), -1);
  const std::vector<float>& seconds = query.toward_starts ? graph.seconds_back : graph.seconds;
  const bool weighted = query.hazard_per_min && query.weight_s > 0;
  const float half_weight =
      static_cast<float>(query.weight_s / 120.0);  // per minute, and mean of two
  std::array<std::ptrdiff_t, kDirections> offset{};
  for (size_t d = 0; d < kDirections; ++d)
    offset[d] = kSteps[d].dr * static_cast<std::ptrdiff_t>(g.cols) + kSteps[d].dc;
  Buckets buckets(static_cast<float>(3.0 * g.cell_m));
  for (const size_t s : query.starts) {
    if (!graph.open[s]) continue;
    out.cost[s] = 0;
    buckets.push(0, static_cast<std::uint32_t>(s));
  }
  std::vector<Buckets::Item> batch;
  size_t popped = 0;
  for (size_t b = 0; b < buckets.count(); ++b) {
    while (!buckets[b].empty()) {
      batch.clear();
      batch.swap(buckets[b]);
      for (const auto& item : batch) {
        if (item.cost > out.cost[item.cell]) continue;  // a better label came later
        if ((++popped & 4095) == 0 && stop.stop_requested())
          return fail(ErrorCode::cancelled, "cancelled");
        const float* row = &seconds[static_cast<size_t>(item.cell) * kDirections];
        const float h = weighted ? (*query.hazard_per_min)[item.cell] : 0;
        for (size_t d = 0; d < kDirections; ++d) {
          const float t = row[d];
          if (!(t < kInf)) continue;
          const size_t next =
              static_cast<size_t>(static_cast<std::ptrdiff_t>(item.cell) + offset[d]);
          const float price =
              weighted ? t * (1 + half_weight * (h + (*query.hazard_per_min)[next])) : t;
          const float cost = item.cost + price;
          if (cost < out.cost[next]) {
            out.cost[next] = cost;
            out.via[next] = static_cast<std::int8_t>(opposite(static_cast<int>(d)));
            buckets.push(cost, static_cast<std::uint32_t>(next));
          }
        }
      }
    }
  }
  return out;
}

std::vector<std::size_t> trace_way(const CostField& field, std::size_t cell, bool toward_starts) {
  std::vector<std::size_t> cells;
  if (cell >= field.cost.size() || !std::isfinite(field.cost[cell])) return cells;
  cells.push_back(cell);
  while (field.via[cell] >= 0) {
    const Step s = kSteps[static_cast<size_t>(field.via[cell])];
    cell = static_cast<size_t>(static_cast<std::ptrdiff_t>(cell) +
                               s.dr * static_cast<std::ptrdiff_t>(field.spec.cols) + s.dc);
    cells.push_back(cell);
  }
  if (!toward_starts) std::reverse(cells.begin(), cells.end());
  return cells;
}

std::size_t nearest_open(const WalkGraph& graph, LocalXY p, double most_m) {
  const GridSpec& g = graph.spec;
  const int c0 = g.cell_col(p.x), r0 = g.cell_row(p.y),
            n = static_cast<int>(std::ceil(most_m / g.cell_m));
  std::size_t best = static_cast<std::size_t>(-1);
  double best_d = most_m;
  for (int r = r0 - n; r <= r0 + n; ++r) {
    for (int c = c0 - n; c <= c0 + n; ++c) {
      if (!g.has(c, r) || !graph.open[g.index(c, r)]) continue;
      const double d = c == c0 && r == r0 ? 0 : distance_m(g.centre(c, r), p);
      if (d <= best_d) best = g.index(c, r), best_d = d;
    }
  }
  return best;
}

}  // namespace leeward::compute
