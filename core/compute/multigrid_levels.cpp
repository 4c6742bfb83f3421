#include "core/compute/multigrid_levels.h"

#include "core/base/parallel.h"

#include <algorithm>
#include <cmath>

namespace leeward::compute {
namespace {

using rows::Shape;

Shape shape_of(const ColumnGrid& g) {
  Shape s;
  s.nx = g.nx, s.ny = g.ny, s.nz = g.nz();
  s.active = g.open_top ? s.nz - 1 : s.nz;
  const size_t lanes = rows::kLanes;
  s.line = (static_cast<size_t>(g.nx + 1) / 2 + lanes) / lanes * lanes;
  return s;
}

bool fixed_column(const ColumnGrid& g, int i, int j) {
  return (g.open_x && (i == 0 || i + 1 == g.nx)) || (g.open_y && (j == 0 || j + 1 == g.ny));
}

// The values of one column, by rows::Column.
std::array<double, rows::kColumnValues> column_values(const ColumnGrid& g, int i, int j) {
  std::array<double, rows::kColumnValues> out{};
  const double h = g.ground(i, j), depth = g.depth(i, j), area = g.spacing_m * g.spacing_m;
  const int nxc = g.cells_x(i), nyc = g.cells_y(j);
  double squares = 0, q_sum = 0;
  const auto side = [&](int di, int dj, rows::Column weight, rows::Column slope) {
    const int i1 = i + di, j1 = j + dj, across = di != 0 ? nyc : nxc;
    if (i1 < 0 || j1 < 0 || i1 >= g.nx || j1 >= g.ny) return;
    const double rise = g.ground(i1, j1) - h;
    out[weight] = across * (depth + g.depth(i1, j1)) / 8;
    out[slope] = -across * (di + dj) * rise / 8;
    squares += across * rise * rise;
    q_sum += -across * rise / 8;
  };
  side(1, 0, rows::kEast, rows::kSlopeE);
  side(-1, 0, rows::kWest, rows::kSlopeW);
  side(0, 1, rows::kNorth, rows::kSlopeN);
  side(0, -1, rows::kSouth, rows::kSlopeS);
  out[rows::kZa] = area * nxc * nyc / (4 * depth);
  out[rows::kZb] = squares / (8 * depth);
  out[rows::kZc] = q_sum;
  if (!fixed_column(g, i, j)) out[rows::kPerVolume] = 8 / (area * nxc * nyc * depth);
  return out;
}

template <class T>
rows::Columns<T> empty_columns(const Shape& s) {
  rows::Columns<T> out;
  out.line = s.line;
  out.values = rows::Zeros<T>(static_cast<size_t>(s.ny) * 2 * rows::kColumnValues * s.line);
  return out;
}

void fill_row(const ColumnGrid& g, int j, rows::Columns<float>& rounded,
              rows::Columns<double>* exact) {
  for (int i = 0; i < g.nx; ++i) {
    const auto values = column_values(g, i, j);
    const int c = (i + j) & 1;
    float* to = rounded.at(j, c) + i / 2;
    double* to_exact = exact ? exact->at(j, c) + i / 2 : nullptr;
    for (size_t n = 0; n < values.size(); ++n) {
      to[n * rounded.line] = static_cast<float>(values[n]);
      if (to_exact) to_exact[n * exact->line] = values[n];
    }
  }
}

template <class T>
rows::Factors<T> factors_of(const ColumnGrid& g, double ratio) {
  rows::Factors<T> f;
  const int nz = g.nz();
  for (auto* v : {&f.m, &f.t, &f.a, &f.b, &f.c}) v->assign(static_cast<size_t>(nz), T(0));
  for (int k = 0; k + 1 < nz; ++k) {
    const size_t n = static_cast<size_t>(k);
    const double s0 = g.level[n], s1 = g.level[n + 1], ds = s1 - s0;
    f.m[n] += static_cast<T>(ds);
    f.m[n + 1] += static_cast<T>(ds);
    f.t[n] = static_cast<T>(2 - s0 - s1);
    f.a[n] = static_cast<T>(ratio * ratio / ds);
    f.b[n] = static_cast<T>(((1 - s0) * (1 - s0) + (1 - s1) * (1 - s1)) / ds);
    f.c[n] = static_cast<T>(ds);
  }
  return f;
}

// Every second column, its ground the weighted mean of the nine around it (1-2-1 each way).
ColumnGrid coarsened(const ColumnGrid& fine) {
  ColumnGrid g = fine;
  g.nx = (fine.nx - 1) / 2 + 1;
  g.ny = (fine.ny - 1) / 2 + 1;
  g.spacing_m = 2 * fine.spacing_m;
  g.ground_m.resize(static_cast<size_t>(g.nx) * static_cast<size_t>(g.ny));
  for (int j = 0; j < g.ny; ++j) {
    for (int i = 0; i < g.nx; ++i) {
      double sum = 0;
      for (int dj = -1; dj <= 1; ++dj)
        for (int di = -1; di <= 1; ++di)
          sum += (2 - std::abs(di)) * (2 - std::abs(dj)) *
                 fine.ground(std::clamp(2 * i + di, 0, fine.nx - 1),
                             std::clamp(2 * j + dj, 0, fine.ny - 1));
      g.ground_m[g.column(i, j)] = sum / 16;
    }
  }
  return g;
}

bool halves_well(const ColumnGrid& g) {
  return (g.nx - 1) % 2 == 0 && (g.ny - 1) % 2 == 0 && g.nx - 1 >= 8 && g.ny - 1 >= 8;
}

}  // namespace

ColumnLevels::ColumnLevels(const ColumnGrid& grid) {
  ColumnGrid g = grid;
  exact = empty_columns<double>(shape_of(g));
  for (;;) {
    Level level{shape_of(g), empty_columns<float>(shape_of(g))};
    rows::Columns<double>* too = levels.empty() ? &exact : nullptr;
    for_each_index(g.ny, [&](int j) { fill_row(g, j, level.columns, too); });
    levels.push_back(std::move(level));
    if (!halves_well(g)) break;
    g = coarsened(g);
  }
}

RatioLevels::RatioLevels(const ColumnLevels& ground, const ColumnGrid& grid, double ratio)
    : ground_(&ground),
      factors_(factors_of<float>(grid, ratio)),
      exact_factors_(factors_of<double>(grid, ratio)) {
  for (size_t level = 0; level < count(); ++level) {
    const Shape& s = shape(level);
    inverse_.emplace_back(s, s.ny, 2);
    for_each_index(s.ny, [&](int j) {
      for (int c = 0; c < 2; ++c) rows::pivots(row(level, j, c), inverse_[level].at(j, c));
    });
  }
}

rows::Row<float> RatioLevels::row(size_t level, int j, int c) const {
  const auto& [s, columns] = ground_->levels[level];
  return {s.count(j, c), s.nz, s.active, s.offset(j, c), s.line, columns.at(j, c), &factors_};
}

rows::Row<double> RatioLevels::exact_row(int j, int c) const {
  const Shape& s = shape(0);
  return {s.count(j, c),           s.nz,           s.active, s.offset(j, c), s.line,
          ground_->exact.at(j, c), &exact_factors_};
}

}  // namespace leeward::compute
