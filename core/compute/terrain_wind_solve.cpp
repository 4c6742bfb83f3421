#include "core/base/large_pages.h"
#include "core/base/multiversion.h"
#include "core/base/parallel.h"
#include "core/compute/terrain_wind.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <map>

namespace leeward::compute {
namespace {

constexpr double kHighestRoughness_m = 5;
constexpr double kFinestCell = 10, kCoarsestCell = 25;

double chosen_cell(const Box& area, double margin) {
  const double side = std::max(area.width_m(), area.height_m()) + 2 * margin;
  return std::clamp(side / 192, kFinestCell, kCoarsestCell);
}

// The ratio q of a geometric stretch: first (1 + q + ... + q^(n-1)) = depth.
double stretch(double first, double depth, int n) {
  double low = 1, high = 4;
  for (int i = 0; i < 60; ++i) {
    const double q = (low + high) / 2;
    double sum = 0, term = first;
    for (int k = 0; k < n; ++k) sum += term, term *= q;
    (sum < depth ? low : high) = q;
  }
  return low;
}

std::vector<double> stretched_levels(double first, double depth, int n) {
  const double q = stretch(first, depth, n);
  std::vector<double> s = {0};
  double at = 0, term = first;
  for (int k = 0; k < n; ++k) at += term, term *= q, s.push_back(at);
  for (double& v : s) v /= at;
  s.back() = 1;
  return s;
}

GridSpec solver_spec(const Box& area, const TerrainWindOptions& o) {
  GridSpec g;
  g.cell_m = o.cell_m > 0 ? o.cell_m : chosen_cell(area, o.margin_m);
  const auto least = [&](double side) {
    return std::max(8, static_cast<int>(std::ceil((side + 2 * o.margin_m) / g.cell_m)));
  };
  const int x = least(area.width_m()), y = least(area.height_m());
  const int halvings = halvings_for(std::min(x, y));
  g.cols = padded_intervals(x, halvings) + 1;
  g.rows = padded_intervals(y, halvings) + 1;
  const LocalXY c = area.centre();
  g.west = c.x - g.cols * g.cell_m / 2;
  g.north = c.y + g.rows * g.cell_m / 2;
  return g;
}

// Carries known values outward, ring by ring. False if nothing is known.
bool fill_unknown(Raster<float>& r) {
  std::deque<std::pair<int, int>> front;
  for (int row = 0; row < r.spec.rows; ++row)
    for (int col = 0; col < r.spec.cols; ++col)
      if (!std::isnan(r.at(col, row))) front.emplace_back(col, row);
  if (front.empty()) return false;
  for (; !front.empty(); front.pop_front()) {
    const auto [col, row] = front.front();
    for (const auto& [dc, dr] : {std::pair{1, 0}, {-1, 0}, {0, 1}, {0, -1}}) {
      const int c = col + dc, n = row + dr;
      if (!r.spec.has(c, n) || !std::isnan(r.at(c, n))) continue;
      r.at(c, n) = r.at(col, row);
      front.emplace_back(c, n);
    }
  }
  return true;
}

Status check(const Box& area, const TerrainWindOptions& o, const std::vector<double>& ratios) {
  const auto bad = [](const char* what) { return fail(ErrorCode::invalid_argument, what); };
  if (area.empty()) return bad("the wind needs an area with land in it");
  if (o.layers < 12) return bad("the wind needs at least 12 layers");
  if (!(o.cell_m >= 0) || !(o.margin_m >= 0) || !(o.first_layer_m > 0))
    return bad("cell, margin and lowest layer of the wind grid must not be negative");
  for (const double ratio : ratios)
    if (!(ratio > 0)) return bad("the stability ratio of the wind must be above 0");
  if (!(o.reference_roughness_m > 0) || !(o.reference_roughness_m < kHighestRoughness_m))
    return bad("the roughness under the wind must lie between 0 and 5 m");
  if (!(o.tolerance > 0)) return bad("the wind's tolerance must be above 0");
  return ok();
}

/// The grid of columns, south row first, from a raster, north row first.
ColumnGrid column_grid(const Raster<float>& ground, const TerrainWindOptions& o) {
  ColumnGrid g;
  g.nx = ground.spec.cols, g.ny = ground.spec.rows;
  g.spacing_m = ground.spec.cell_m;
  g.ground_m.resize(ground.cells.size());
  for (int j = 0; j < g.ny; ++j)
    for (int i = 0; i < g.nx; ++i)
      g.ground_m[g.column(i, j)] = static_cast<double>(ground.at(i, g.ny - 1 - j));
  const auto [low, high] = std::minmax_element(g.ground_m.begin(), g.ground_m.end());
  const double depth = std::max(o.least_depth_m, 4 * (*high - *low));
  g.top_m = *high + depth;
  g.level = stretched_levels(std::min(o.first_layer_m, depth / o.layers), depth, o.layers);
  return g;
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
std::vector<double> unit_source(const ColumnGrid& g, const std::vector<double>& speed, bool east) {
  std::vector<double> rhs = large_vector<double>(g.node_count());
  const int di = east ? 1 : 0, dj = east ? 0 : 1;
  const double scale = 2 * g.spacing_m / 8;
  for_each_index(g.ny, [&](int j) {
    if (j == 0 || j + 1 == g.ny) return;
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
  return rhs;
}

struct Profiles {
  std::vector<WindProfile> kinds;
  std::vector<std::uint16_t> of_column;
};

// Columns with the same roughness (to 2 %) and displacement (to 0.25 m) share a profile.
Profiles make_profiles(const GridSpec& spec, const WindSurface& surface, double z0_ref) {
  const Raster<float> z0 = cell_means(surface.roughness_m, spec);
  const Raster<float> d = cell_means(surface.displacement_m, spec);
  using Key = std::pair<long, long>;
  constexpr Key kOpen = {0, 0};
  std::vector<Key> key(spec.size(), kOpen);
  for_each_index(spec.rows, [&](int row) {
    for (size_t n = spec.index(0, row); n < spec.index(0, row + 1); ++n) {
      const bool rough = !std::isnan(z0.cells[n]), raised = !std::isnan(d.cells[n]);
      if (!rough && !raised) continue;
      const double z = rough ? std::clamp(static_cast<double>(z0.cells[n]), 1e-4, 5.0) : z0_ref;
      const double up = raised ? std::clamp(static_cast<double>(d.cells[n]), 0.0, 60.0) : 0;
      key[n] = {std::lround(50 * std::log(z / z0_ref)), std::lround(4 * up)};
    }
  });
  Profiles out;
  out.of_column.resize(spec.size());
  out.kinds.emplace_back(z0_ref, z0_ref, 0);
  std::map<Key, std::uint16_t> seen = {{kOpen, 0}};
  for (size_t n = 0; n < spec.size(); ++n) {
    if (n > 0 && key[n] == key[n - 1]) {
      out.of_column[n] = out.of_column[n - 1];
      continue;
    }
    const auto [at, fresh] = seen.try_emplace(key[n], static_cast<std::uint16_t>(out.kinds.size()));
    if (fresh)
      out.kinds.emplace_back(z0_ref, z0_ref * std::exp(static_cast<double>(key[n].first) / 50),
                             static_cast<double>(key[n].second) / 4);
    out.of_column[n] = at->second;
  }
  return out;
}

// Mean speed of the upwind profile by column and layer.
std::vector<double> layer_speeds(const ColumnGrid& g, const std::vector<WindProfile>& profile,
                                 const std::vector<std::uint16_t>& kind) {
  const int layers = g.nz() - 1;
  std::vector<double> speed = large_vector<double>(g.ground_m.size() * static_cast<size_t>(layers));
  std::vector<double> log_level;
  for (const double s : g.level) log_level.push_back(std::log(s));
  for_each_index(g.ny, [&](int j) {
    for (int i = 0; i < g.nx; ++i) {
      const WindProfile& p = profile[kind[g.column(i, g.ny - 1 - j)]];
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
  return speed;
}

}  // namespace

Raster<float> wind_ground(const Raster<float>& ground, const Box& area,
                          const TerrainWindOptions& options) {
  return cell_means(ground, solver_spec(area, options));
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
  const GridSpec spec = solver_spec(area, o);
  Raster<float> land = ground.spec == spec ? ground : cell_means(ground, spec);
  if (!fill_unknown(land))
    return fail(ErrorCode::invalid_argument, "the wind needs ground heights in its area");
  return TerrainWindSolver(spec, column_grid(land, o), o, ratios);
}

TerrainWindSolver::TerrainWindSolver(const GridSpec& spec, ColumnGrid grid,
                                     const TerrainWindOptions& options,
                                     const std::vector<double>& ratios)
    : spec_(spec),
      grid_(std::move(grid)),
      options_(options),
      ratios_(ratios),
      columns_(grid_, ratios) {}

Result<std::vector<TerrainWind>> TerrainWindSolver::solve(const WindSurface& surface,
                                                          std::stop_token stop) const {
  TerrainWind first;
  first.spec_ = spec_;
  first.grid_ = grid_;
  Profiles profiles = make_profiles(spec_, surface, options_.reference_roughness_m);
  first.profile_ = std::move(profiles.kinds);
  first.kind_ = std::move(profiles.of_column);

  const std::vector<double> speed = layer_speeds(grid_, first.profile_, first.kind_);
  auto solved =
      columns_.solve_each({unit_source(grid_, speed, true), unit_source(grid_, speed, false)},
                          options_.tolerance / spec_.cell_m, std::move(stop));
  if (!solved) return std::move(solved).error();
  std::vector<TerrainWind> out(ratios_.size(), first);
  for (size_t n = 0; n < out.size(); ++n) {
    ColumnSolution& one = (*solved)[n];
    out[n].grid_.ratio = ratios_[n];
    out[n].l_ = std::move(one.l);
    out[n].iterations_ = one.iterations;
    out[n].divergence_ = one.residual_per_volume * spec_.cell_m;
  }
  return out;
}

}  // namespace leeward::compute
