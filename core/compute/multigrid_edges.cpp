#include "core/compute/multigrid_edges.h"

#include <algorithm>

namespace leeward::compute {
namespace {

size_t of(int n) { return static_cast<size_t>(n); }

}  // namespace

EdgeValues::EdgeValues(const ColumnGrid& g)
    : nx(g.nx),
      nz(g.nz()),
      south(of(g.nx) * of(g.nz())),
      north(south),
      west(of(g.ny) * of(g.nz())),
      east(west) {}

void EdgeLoad::set(const ColumnGrid& g, const RatioLevels& matrix, const EdgeValues* values) {
  grid_ = &g, values_ = values;
  if (!values) return;
  load_ = EdgeValues(g);
  const auto put = [&](int i, int j, rows::Column weight, rows::Column slope, double sign,
                       const auto& from, const auto& to) {
    const rows::Row<double> row = matrix.exact_row(j, (i + j) & 1);
    const double* column = row.values + i / 2;
    const double w = column[of(weight) * row.line], q = sign * column[of(slope) * row.line];
    const auto &m = row.factors->m, &t = row.factors->t;
    for (int k = 0; k < row.active; ++k) {
      const double above = k + 1 < row.nz ? t[of(k)] * from(k + 1) : 0;
      const double below = k > 0 ? t[of(k - 1)] * from(k - 1) : 0;
      to(k) = w * m[of(k)] * from(k) + q * (above - below);
    }
  };
  const auto along_x = [&](const std::vector<double>& v, std::vector<double>& load, int j,
                           rows::Column weight, rows::Column slope, double sign) {
    for (int i = 1; i + 1 < g.nx; ++i)
      put(
          i, j, weight, slope, sign, [&](int k) { return v[of(k) * of(g.nx) + of(i)]; },
          [&](int k) -> double& { return load[of(k) * of(g.nx) + of(i)]; });
  };
  const auto along_y = [&](const std::vector<double>& v, std::vector<double>& load, int i,
                           rows::Column weight, rows::Column slope, double sign) {
    for (int j = 1; j + 1 < g.ny; ++j)
      put(
          i, j, weight, slope, sign, [&](int k) { return v[of(j) * of(g.nz()) + of(k)]; },
          [&](int k) -> double& { return load[of(j) * of(g.nz()) + of(k)]; });
  };
  along_x(values->south, load_.south, 1, rows::kSouth, rows::kSlopeS, -1);
  along_x(values->north, load_.north, g.ny - 2, rows::kNorth, rows::kSlopeN, 1);
  along_y(values->west, load_.west, 1, rows::kWest, rows::kSlopeW, -1);
  along_y(values->east, load_.east, g.nx - 2, rows::kEast, rows::kSlopeE, 1);
}

void EdgeLoad::put(int levels, std::vector<double>& l) const {
  if (!values_) return;
  const ColumnGrid& g = *grid_;
  for (int k = 0; k < std::min(levels, g.nz()); ++k) {
    std::copy_n(&values_->south[of(k) * of(g.nx)], g.nx, &l[g.node(0, 0, k)]);
    std::copy_n(&values_->north[of(k) * of(g.nx)], g.nx, &l[g.node(0, g.ny - 1, k)]);
    for (int j = 1; j + 1 < g.ny; ++j) {
      l[g.node(0, j, k)] = values_->west[of(j) * of(g.nz()) + of(k)];
      l[g.node(g.nx - 1, j, k)] = values_->east[of(j) * of(g.nz()) + of(k)];
    }
  }
}

}  // namespace leeward::compute
