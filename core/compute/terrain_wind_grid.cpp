#include "core/compute/terrain_wind_grid.h"

#include <algorithm>
#include <cmath>
#include <deque>

namespace leeward::compute {
namespace {

constexpr double kFinestCell = 10, kCoarsestCell = 25;
// Intervals that the coarsest grid of the solver has at least, where the edge is not a free choice:
// fewer would need a wider margin.
constexpr int kCoarsestInside = 8;

double chosen_cell(const Box& area) {
  const double side = std::max(area.width_m(), area.height_m()) + 1000;
  return std::clamp(side / 192, kFinestCell, kCoarsestCell);
}

// A grid of cells around the middle of the area.
GridSpec centred(LocalXY middle, double cell_m, int intervals_x, int intervals_y) {
  GridSpec g;
  g.cell_m = cell_m;
  g.cols = intervals_x + 1, g.rows = intervals_y + 1;
  g.west = middle.x - g.cols * cell_m / 2;
  g.north = middle.y + g.rows * cell_m / 2;
  return g;
}

GridSpec enough(const Box& area, double margin_m, double cell_m, int coarsest) {
  const auto least = [&](double side) {
    return std::max(8, static_cast<int>(std::ceil((side + 2 * margin_m) / cell_m - 1e-9)));
  };
  const int x = least(area.width_m()), y = least(area.height_m());
  const int halvings = halvings_for(std::min(x, y), coarsest);
  return centred(area.centre(), cell_m, padded_intervals(x, halvings),
                 padded_intervals(y, halvings));
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

// The cells of a raster that a grid of the same cells covers.
Raster<float> window(const Raster<float>& r, const GridSpec& g) {
  const int col = static_cast<int>(std::lround(r.spec.col_of(g.west))),
            row = static_cast<int>(std::lround(r.spec.row_of(g.north)));
  Raster<float> out(g);
  for (int n = 0; n < g.rows; ++n) std::copy_n(r.row(row + n) + col, g.cols, out.row(n));
  return out;
}

// Means of kCellsAround by kCellsAround cells.
Raster<float> gathered(const Raster<float>& r, const GridSpec& g) {
  Raster<float> out(g);
  constexpr int n = kCellsAround;
  for (int row = 0; row < g.rows; ++row)
    for (int col = 0; col < g.cols; ++col) {
      double sum = 0;
      for (int y = 0; y < n; ++y)
        for (int x = 0; x < n; ++x) sum += static_cast<double>(r.at(n * col + x, n * row + y));
      out.at(col, row) = static_cast<float>(sum / (n * n));
    }
  return out;
}

/// The grid of columns, south row first, from a raster, north row first.
ColumnGrid column_grid(const Raster<float>& ground) {
  ColumnGrid g;
  g.nx = ground.spec.cols, g.ny = ground.spec.rows;
  g.spacing_m = ground.spec.cell_m;
  g.ground_m.resize(ground.cells.size());
  for (int j = 0; j < g.ny; ++j)
    for (int i = 0; i < g.nx; ++i)
      g.ground_m[g.column(i, j)] = static_cast<double>(ground.at(i, g.ny - 1 - j));
  return g;
}

}  // namespace

WindGrids wind_grids(const Box& area, const TerrainWindOptions& o) {
  const double cell = o.cell_m > 0 ? o.cell_m : chosen_cell(area);
  WindGrids out;
  if (o.beyond_m <= 0) {
    out.inner = out.ground = enough(area, o.margin_m, cell, 4);
    return out;
  }
  out.inner = enough(area, std::max(o.margin_m, kCellsAround * cell), cell, kCoarsestInside);
  GridSpec& around = out.around =
      enough(out.inner.box(), o.beyond_m, kCellsAround * cell, kCoarsestInside);
  // Its edges fall on edges of the inner cells.
  around.west = out.inner.west - std::round((out.inner.west - around.west) / cell) * cell;
  around.north = out.inner.north + std::round((around.north - out.inner.north) / cell) * cell;
  out.ground = around;
  out.ground.cell_m = cell;
  out.ground.cols *= kCellsAround, out.ground.rows *= kCellsAround;
  return out;
}

std::optional<WindGround> wind_columns(const WindGrids& grids, const Raster<float>& ground,
                                       const TerrainWindOptions& o) {
  Raster<float> land = ground.spec == grids.ground ? ground : cell_means(ground, grids.ground);
  if (!fill_unknown(land)) return {};
  WindGround out{column_grid(window(land, grids.inner)), {}};
  auto [low, high] = std::minmax_element(out.inner.ground_m.begin(), out.inner.ground_m.end());
  double lowest = *low, highest = *high;
  if (!grids.around.empty()) {
    out.around = column_grid(gathered(land, grids.around));
    std::tie(low, high) =
        std::minmax_element(out.around->ground_m.begin(), out.around->ground_m.end());
    lowest = std::min(lowest, *low), highest = std::max(highest, *high);
  }
  const double depth = std::max(o.least_depth_m, 4 * (highest - lowest));
  out.inner.top_m = highest + depth;
  out.inner.level = stretched_levels(std::min(o.first_layer_m, depth / o.layers), depth, o.layers);
  if (out.around) out.around->top_m = out.inner.top_m, out.around->level = out.inner.level;
  return out;
}

EdgeValues edge_values(const WindGrids& grids, const WindGround& ground,
                       const std::vector<double>& around) {
  const ColumnGrid &g = ground.inner, &wide = *ground.around;
  EdgeValues out(g);
  const size_t nx = static_cast<size_t>(g.nx), nz = static_cast<size_t>(g.nz());
  const double first_x = (grids.inner.west - grids.around.west) / g.spacing_m;
  const double first_y = (grids.inner.south() - grids.around.south()) / g.spacing_m;
  const auto sample = [&](int i, int j, const auto& set) {
    const double x = (first_x + i + 0.5) / kCellsAround - 0.5,
                 y = (first_y + j + 0.5) / kCellsAround - 0.5;
    const int west = static_cast<int>(x), south = static_cast<int>(y);
    const double u = x - west, v = y - south;
    for (int k = 0; k < g.nz(); ++k) {
      const auto at = [&](int dx, int dy) { return around[wide.node(west + dx, south + dy, k)]; };
      set(static_cast<size_t>(k)) =
          (1 - v) * ((1 - u) * at(0, 0) + u * at(1, 0)) + v * ((1 - u) * at(0, 1) + u * at(1, 1));
    }
  };
  for (int i = 0; i < g.nx; ++i) {
    const size_t n = static_cast<size_t>(i);
    sample(i, 0, [&](size_t k) -> double& { return out.south[k * nx + n]; });
    sample(i, g.ny - 1, [&](size_t k) -> double& { return out.north[k * nx + n]; });
  }
  for (int j = 0; j < g.ny; ++j) {
    const size_t n = static_cast<size_t>(j);
    sample(0, j, [&](size_t k) -> double& { return out.west[n * nz + k]; });
    sample(g.nx - 1, j, [&](size_t k) -> double& { return out.east[n * nz + k]; });
  }
  return out;
}

}  // namespace leeward::compute
