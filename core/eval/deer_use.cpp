#include "core/eval/deer_use.h"

#include "core/compute/circulation.h"
#include "core/eval/deer.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace leeward {
namespace {

constexpr int kWider = 4;  // analysis cells a cell of the net
constexpr double kJump_m = 2.2;

GridSpec net_grid(const GridSpec& analysis) {
  GridSpec g = analysis;
  g.cell_m *= kWider;
  g.cols = (analysis.cols + kWider - 1) / kWider;
  g.rows = (analysis.rows + kWider - 1) / kWider;
  return g;
}

Raster<float> resistances(const AnalysisLand& land, const GridSpec& g, const Judgement& j) {
  Raster<float> out(g, 1.0F);
  for (int r = 0; r < g.rows; ++r)
    for (int c = 0; c < g.cols; ++c) {
      const LocalXY p = g.centre(c, r);
      double resistance = 1;
      if (land.timber.value_or(p, 0) == 0) resistance *= j.deer_open;
      if (!std::isfinite(land.slowness.value_or(p, 1.0F))) resistance *= j.deer_water;
      const auto ground = [&](double dx, double dy) {
        return static_cast<double>(
            land.cells.value_or({p.x + dx, p.y + dy}, {kUnknown, 0, 0}).ground_m);
      };
      const double half = g.cell_m / 2;
      const double slope =
          std::hypot(ground(half, 0) - ground(-half, 0), ground(0, half) - ground(0, -half)) /
          g.cell_m;
      if (slope > 0.4) resistance *= j.deer_steep;  // NaN is level
      out.at(c, r) = static_cast<float>(resistance);
    }
  return out;
}

// Where the step from p to q crosses the path: metres along it, and whether p stands on its left.
struct Crossing {
  double along_m;
  bool from_left;
};
std::optional<Crossing> crossing(const Path& path, LocalXY p, LocalXY q) {
  double before = 0;
  for (std::size_t i = 0; i + 1 < path.size(); ++i) {
    const LocalXY a = path[i], d = path[i + 1] - a, e = q - p, w = p - a;
    const double length = std::hypot(d.x, d.y), area = e.x * d.y - e.y * d.x;
    if (area != 0) {
      const double t = (d.x * w.y - d.y * w.x) / area, u = (e.x * w.y - e.y * w.x) / area;
      if (t >= 0 && t < 1 && u >= 0 && u <= 1)
        return Crossing{before + u * length, d.x * w.y - d.y * w.x > 0};
    }
    before += length;
  }
  return std::nullopt;
}

struct Step {
  std::size_t cell;
  int next;  // of compute::kNext
  Crossing where;
};
std::vector<Step> steps_across(const Path& path, const GridSpec& g) {
  std::vector<Step> out;
  Box box;
  for (const LocalXY p : path) box.add(p);
  box = box.grown(2 * g.cell_m);
  const int c0 = std::max(0, g.cell_col(box.min_x)), c1 = std::min(g.cols, g.cell_col(box.max_x)),
            r0 = std::max(0, g.cell_row(box.max_y)), r1 = std::min(g.rows, g.cell_row(box.min_y));
  for (int r = r0; r < r1; ++r)
    for (int c = c0; c < c1; ++c)
      for (int n = 0; n < 4; ++n) {
        const auto by = compute::kNext[static_cast<std::size_t>(n)];
        if (!g.has(c + by[0], r + by[1])) continue;
        if (const auto at = crossing(path, g.centre(c, r), g.centre(c + by[0], r + by[1])))
          out.push_back({g.index(c, r), n, *at});
      }
  return out;
}

// Of each step the gap that it goes through, or none. A gap that no step meets gets the nearest.
std::vector<std::optional<std::size_t>> gaps_of(const std::vector<Step>& steps,
                                                const std::vector<Gap>& gaps) {
  std::vector<std::optional<std::size_t>> out(steps.size());
  for (std::size_t k = 0; k < gaps.size(); ++k) {
    double nearest = std::numeric_limits<double>::infinity();
    for (const Step& s : steps)
      nearest = std::min(nearest, std::abs(s.where.along_m - gaps[k].at_m));
    const double half = std::max(gaps[k].width_m / 2, nearest);
    for (std::size_t i = 0; i < steps.size(); ++i)
      if (std::abs(steps[i].where.along_m - gaps[k].at_m) <= half) out[i] = k;
  }
  return out;
}

struct Wall {
  Ref<Feature> barrier;
  std::vector<Step> steps;
  std::vector<std::optional<std::size_t>> through;
};

// Three steps lead across each cell's length of wall, one straight and two aslant; a gap lets
// through what of them its width is.
float open_share(const Wall& wall, std::size_t gap, const GridSpec& g) {
  const auto steps = std::count(wall.through.begin(), wall.through.end(), std::optional(gap));
  const double width_m = wall.barrier->as<BarrierAttrs>().gaps[gap].width_m;
  return static_cast<float>(std::min(
      1.0, 3 * width_m / (g.cell_m * static_cast<double>(std::max<std::ptrdiff_t>(1, steps)))));
}

}  // namespace

bool stops_deer(const BarrierAttrs& b) {
  return b.type != BarrierType::fence || b.height_m > kJump_m;
}

Result<std::vector<GapUse>> gap_uses(const Document& d, const AnalysisLand& land,
                                     const Judgement& j, std::stop_token stop) {
  std::vector<GapUse> out;
  const auto has_gap = [](const Ref<Feature>& f) {
    const auto& b = f->as<BarrierAttrs>();
    return stops_deer(b) && !b.gaps.empty();
  };
  const auto& barriers = d.of(Kind::barrier);
  const auto &beds = d.of(Kind::bedding), &foods = d.of(Kind::food);
  if (beds.empty() || foods.empty() || std::none_of(barriers.begin(), barriers.end(), has_gap))
    return out;
  compute::CirculationQuery q;
  const GridSpec g = net_grid(land.cells.spec);
  q.resistance = resistances(land, g, j);
  q.open.assign(g.size(), {1, 1, 1, 1});
  std::vector<Wall> walls;
  for (const auto& f : barriers) {
    const auto& b = f->as<BarrierAttrs>();
    if (!stops_deer(b)) continue;
    Wall wall{f, steps_across(f->shape.path(), g), {}};
    wall.through = gaps_of(wall.steps, b.gaps);
    for (std::size_t i = 0; i < wall.steps.size(); ++i) {
      const Step& s = wall.steps[i];
      float& open = q.open[s.cell][static_cast<std::size_t>(s.next)];
      open = std::min(open, wall.through[i] ? open_share(wall, *wall.through[i], g) : 0.0F);
    }
    walls.push_back(std::move(wall));
  }
  for (const auto& bed : beds) {
    const auto cells = cells_of(*bed, g);
    const double each =
        1.0 / static_cast<double>(beds.size() * std::max<std::size_t>(1, cells.size()));
    for (const std::size_t cell : cells) q.sources.emplace_back(cell, each);
  }
  for (const auto& food : foods)
    for (const std::size_t cell : cells_of(*food, g)) q.sinks.push_back(cell);
  auto flow = compute::circulation(q, stop);
  if (!flow) return std::move(flow.error());
  if (flow->entered <= 0) return out;
  for (const Wall& wall : walls) {
    const auto& gaps = wall.barrier->as<BarrierAttrs>().gaps;
    std::vector<double> net(gaps.size(), 0.0);
    for (std::size_t i = 0; i < wall.steps.size(); ++i) {
      const Step& s = wall.steps[i];
      if (wall.through[i])
        net[*wall.through[i]] += (s.where.from_left ? 1 : -1) * flow->to_next(q, s.cell, s.next);
    }
    for (std::size_t k = 0; k < gaps.size(); ++k)
      out.push_back({wall.barrier->uid, k, point_along(wall.barrier->shape.path(), gaps[k].at_m),
                     std::round(100 * std::min(1.0, std::abs(net[k]) / flow->entered)) / 100});
  }
  return out;
}

}  // namespace leeward
