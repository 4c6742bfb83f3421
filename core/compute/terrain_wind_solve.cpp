#include "core/base/large_pages.h"
#include "core/base/multiversion.h"
#include "core/base/parallel.h"
#include "core/base/shelf.h"
#include "core/compute/terrain_wind_grid.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace leeward::compute {
namespace {

constexpr double kHighestRoughness_m = 5, kHighestDisplacement_m = 60;

Status check(const Box& area, const TerrainWindOptions& o, const std::vector<double>& ratios) {
  const auto bad = [](const char* what) { return fail(ErrorCode::invalid_argument, what); };
  if (area.empty()) return bad("the wind needs an area with land in it");
  if (o.layers < 12) return bad("the wind needs at least 12 layers");
  if (!(o.cell_m >= 0) || !(o.margin_m >= 0) || !(o.beyond_m >= 0) || !(o.first_layer_m > 0))
    return bad("cell, margin and lowest layer of the wind grid must not be negative");
  for (const double ratio : ratios)
    if (!(ratio > 0)) return bad("the stability ratio of the wind must be above 0");
  if (!(o.reference_roughness_m > 0) || !(o.reference_roughness_m < kHighestRoughness_m))
    return bad("the roughness under the wind must lie between 0 and 5 m");
  if (!(o.tolerance > 0)) return bad("the wind's tolerance must be above 0");
  return ok();
}

// A row of -(adjoint of the gradient) applied to a wind that is toward east or north in every
// column, with the speeds by column and layer: the right-hand side of the equation (multigrid.h).
// The outermost columns are open, L stays 0 there, and their entries are left out.
struct SourceRow {
  int nx;
  double across, up;  // factors of the layer
  const double *speed, *ahead, *behind;
  const double *ground_ahead, *ground_behind;  // likewise
  double top_m;
};
LEEWARD_CLONES void add_source(const SourceRow& s, double* low, double* high) {
  for (int i = 1; i + 1 < s.nx; ++i) {
    const double across = s.across * ((s.top_m - s.ground_ahead[i]) * s.ahead[i] -
                                      (s.top_m - s.ground_behind[i]) * s.behind[i]);
    const double up = s.up * s.speed[i] * (s.ground_ahead[i] - s.ground_behind[i]);
    low[i] += across + up;
    high[i] += across - up;
  }
}
void unit_source(const ColumnGrid& g, const std::vector<double>& speed, bool east,
                 std::vector<double>& rhs) {
  if (rhs.size() != g.node_count()) rhs = large_vector<double>(g.node_count());
  const int di = east ? 1 : 0, dj = east ? 0 : 1;
  const double scale = 2 * g.spacing_m / 8;
  for_each_index(g.ny, [&](int j) {
    if (j == 0 || j + 1 == g.ny) return;
    std::fill_n(&rhs[g.node(0, j, 0)], g.nz() * g.nx, 0.0);
    for (int k = 0; k + 1 < g.nz(); ++k) {
      const size_t n = static_cast<size_t>(k);
      SourceRow row;
      row.nx = g.nx, row.top_m = g.top_m;
      row.across = scale * (g.level[n + 1] - g.level[n]);
      row.up = -scale * (2 - g.level[n] - g.level[n + 1]);
      row.speed = &speed[g.layer(0, j, k)];
      row.ahead = &speed[g.layer(0, j + dj, k)] + di;
      row.behind = &speed[g.layer(0, j - dj, k)] - di;
      row.ground_ahead = &g.ground_m[g.column(0, j + dj)] + di;
      row.ground_behind = &g.ground_m[g.column(0, j - dj)] - di;
      add_source(row, &rhs[g.node(0, j, k)], &rhs[g.node(0, j, k + 1)]);
    }
  });
}

using Key = std::pair<long, long>;
constexpr Key kOpen = {0, 0};

// Of the surface on a grid. Cells with the same roughness (to 2 %) and displacement (to 0.25 m)
// share a key.
void surface_keys(const GridSpec& spec, const WindSurface& surface, double z0_ref,
                  std::vector<Key>& key) {
  const Raster<float> z0 = cell_means(surface.roughness_m, spec);
  const Raster<float> d = cell_means(surface.displacement_m, spec);
  key.assign(spec.size(), kOpen);
  for_each_index(spec.rows, [&](int row) {
    for (size_t n = spec.index(0, row); n < spec.index(0, row + 1); ++n) {
      const bool rough = !std::isnan(z0.cells[n]), raised = !std::isnan(d.cells[n]);
      if (!rough && !raised) continue;
      const double z =
          rough ? std::clamp(static_cast<double>(z0.cells[n]), 1e-4, kHighestRoughness_m) : z0_ref;
      const double up =
          raised ? std::clamp(static_cast<double>(d.cells[n]), 0.0, kHighestDisplacement_m) : 0;
      key[n] = {std::lround(50 * std::log(z / z0_ref)), std::lround(4 * up)};
    }
  });
}

struct Profiles {
  std::vector<WindProfile> kinds;
  std::vector<std::uint16_t> of_cell;
};
Profiles make_profiles(const std::vector<Key>& key, double z0_ref) {
  Profiles out;
  out.of_cell.resize(key.size());
  out.kinds.emplace_back(z0_ref, z0_ref, 0);
  std::map<Key, std::uint16_t> seen = {{kOpen, 0}};
  for (size_t n = 0; n < key.size(); ++n) {
    if (n > 0 && key[n] == key[n - 1]) {
      out.of_cell[n] = out.of_cell[n - 1];
      continue;
    }
    const auto [at, fresh] = seen.try_emplace(key[n], static_cast<std::uint16_t>(out.kinds.size()));
    if (fresh)
      out.kinds.emplace_back(z0_ref, z0_ref * std::exp(static_cast<double>(key[n].first) / 50),
                             static_cast<double>(key[n].second) / 4);
    out.of_cell[n] = at->second;
  }
  return out;
}

// Mean speed of the upwind profile by column and layer.
void layer_speeds(const ColumnGrid& g, const Profiles& profiles, std::vector<double>& speed) {
  const int layers = g.nz() - 1;
  speed.resize(g.ground_m.size() * static_cast<size_t>(layers));
  std::vector<double> log_level;
  for (const double s : g.level) log_level.push_back(std::log(s));
  for_each_index(g.ny, [&](int j) {
    for (int i = 0; i < g.nx; ++i) {
      const WindProfile& p = profiles.kinds[profiles.of_cell[g.column(i, g.ny - 1 - j)]];
      const double depth = g.depth(i, j), log_depth = std::log(depth);
      double below_m = 0, below = 0;
      for (int k = 0; k < layers; ++k) {
        const size_t n = static_cast<size_t>(k) + 1;
        const double above_m = g.level[n] * depth;
        const double above = p.integral(above_m, log_level[n] + log_depth);
        speed[g.layer(i, j, k)] = (above - below) / (above_m - below_m);
        below_m = above_m, below = above;
      }
    }
  });
}

}  // namespace

Raster<float> wind_ground(const Raster<float>& ground, const Box& area,
                          const TerrainWindOptions& options) {
  return cell_means(ground, wind_grids(area, options).ground);
}

Result<TerrainWind> solve_terrain_wind(const Raster<float>& ground, const Box& area,
                                       const WindSurface& surface, const TerrainWindOptions& o,
                                       std::stop_token stop) {
  auto out = solve_terrain_winds(ground, area, surface, o, {o.stability_ratio}, std::move(stop));
  if (!out) return std::move(out).error();
  return std::move(out->front());
}

Result<std::vector<TerrainWind>> solve_terrain_winds(const Raster<float>& ground, const Box& area,
                                                     const WindSurface& surface,
                                                     const TerrainWindOptions& o,
                                                     const std::vector<double>& ratios,
                                                     std::stop_token stop) {
  const auto solver = TerrainWindSolver::over(ground, area, o, ratios);
  if (!solver) return solver.error();
  return solver->solve(surface, std::move(stop));
}

Result<TerrainWindSolver> TerrainWindSolver::over(const Raster<float>& ground, const Box& area,
                                                  const TerrainWindOptions& o,
                                                  const std::vector<double>& ratios) {
  if (auto good = check(area, o, ratios); !good) return std::move(good).error();
  const WindGrids grids = wind_grids(area, o);
  std::optional<WindGround> land = wind_columns(grids, ground, o);
  if (!land) return fail(ErrorCode::invalid_argument, "the wind needs ground heights in its area");
  return TerrainWindSolver(std::make_unique<Parts>(grids, *std::move(land), o, ratios));
}

/// What a solve works in; nothing that is read was left by the solve before.
struct TerrainWindSolver::Work {
  struct OnGrid {
    std::vector<Key> key;
    Profiles profiles;
    std::vector<double> speed;
    std::array<std::vector<double>, 2> source;
  };
  OnGrid inner, around;
  std::vector<ColumnSolution> solution, solution_around;
  std::vector<TerrainWind> wind;  // by ratio
};

struct TerrainWindSolver::Parts {
  Parts(const WindGrids& of, WindGround g, const TerrainWindOptions& o,
        const std::vector<double>& r)
      : grids(of), ground(std::move(g)), options(o), ratios(r), inner(ground.inner, ratios) {
    if (ground.around) around.emplace(*ground.around, ratios);
  }

  std::unique_ptr<Work> take() {
    auto kept = idle.take();
    return kept ? std::move(kept) : std::make_unique<Work>();
  }
  /// Speeds and sources over a surface.
  void meet(const GridSpec& spec, const ColumnGrid& grid, const WindSurface& surface,
            Work::OnGrid& w) const {
    surface_keys(spec, surface, options.reference_roughness_m, w.key);
    w.profiles = make_profiles(w.key, options.reference_roughness_m);
    layer_speeds(grid, w.profiles, w.speed);
    for (const bool east : {true, false}) unit_source(grid, w.speed, east, w.source[east ? 0 : 1]);
  }

  const WindGrids grids;
  const WindGround ground;
  const TerrainWindOptions options;
  const std::vector<double> ratios;
  const ColumnSolver inner;
  std::optional<const ColumnSolver> around;
  Shelf<Work, 1> idle;
};

TerrainWindSolver::TerrainWindSolver(std::unique_ptr<Parts> parts) : parts_(std::move(parts)) {}
TerrainWindSolver::~TerrainWindSolver() = default;
TerrainWindSolver::TerrainWindSolver(TerrainWindSolver&&) noexcept = default;
TerrainWindSolver& TerrainWindSolver::operator=(TerrainWindSolver&&) noexcept = default;

// `heights_m`: those at which the winds will be asked for; empty: all.
Status TerrainWindSolver::solve_into(Work& work, const WindSurface& surface,
                                     std::span<const double> heights_m,
                                     std::stop_token stop) const {
  const Parts& p = *parts_;
  std::vector<std::array<EdgeValues, 2>> edges;
  if (p.around) {
    const ColumnGrid& grid = *p.ground.around;
    p.meet(p.grids.around, grid, surface, work.around);
    Status solved =
        p.around->solve_into(work.around.source, {}, p.options.tolerance / p.grids.around.cell_m,
                             grid.nz(), work.solution_around, stop);
    if (!solved) return solved;
    for (const ColumnSolution& one : work.solution_around)
      edges.push_back(
          {edge_values(p.grids, p.ground, one.l[0]), edge_values(p.grids, p.ground, one.l[1])});
  }
  const ColumnGrid& grid = p.ground.inner;
  p.meet(p.grids.inner, grid, surface, work.inner);
  const int levels = heights_m.empty()
                         ? grid.nz()
                         : TerrainWind::levels_read(grid, work.inner.profiles.kinds, heights_m);
  work.wind.resize(p.ratios.size());
  work.solution.resize(p.ratios.size());
  for (size_t n = 0; n < work.wind.size(); ++n) work.solution[n].l.swap(work.wind[n].l_);
  Status solved =
      p.inner.solve_into(work.inner.source, edges, p.options.tolerance / p.grids.inner.cell_m,
                         levels, work.solution, std::move(stop));
  for (size_t n = 0; n < work.wind.size(); ++n) {
    TerrainWind& wind = work.wind[n];
    const ColumnSolution& one = work.solution[n];
    wind.l_.swap(work.solution[n].l);
    if (wind.grid_.ground_m.empty()) {
      wind.spec_ = p.grids.inner;
      wind.grid_ = grid;
      wind.grid_.ratio = p.ratios[n];
    }
    wind.profile_ = work.inner.profiles.kinds;
    wind.kind_ = work.inner.profiles.of_cell;
    wind.iterations_ = one.iterations;
    wind.divergence_ = one.residual_per_volume * p.grids.inner.cell_m;
  }
  return solved;
}

Result<std::vector<TerrainWind>> TerrainWindSolver::solve(const WindSurface& surface,
                                                          std::stop_token stop) const {
  auto work = parts_->take();
  Status solved = solve_into(*work, surface, {}, std::move(stop));
  std::vector<TerrainWind> out = std::exchange(work->wind, {});
  parts_->idle.give_back(std::move(work));
  if (!solved) return std::move(solved).error();
  return out;
}

Result<std::vector<std::vector<std::vector<UnitTurn>>>> TerrainWindSolver::shapes(
    const WindSurface& surface, const GridSpec& grid, std::span<const double> heights_m,
    std::stop_token stop) const {
  auto work = parts_->take();
  Status solved = solve_into(*work, surface, heights_m, std::move(stop));
  std::vector<std::vector<std::vector<UnitTurn>>> out;
  for (const TerrainWind& wind : work->wind)
    if (solved) out.push_back(wind.shapes(grid, heights_m));
  parts_->idle.give_back(std::move(work));
  if (!solved) return std::move(solved).error();
  return out;
}

}  // namespace leeward::compute
