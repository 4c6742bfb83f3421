// Where the wind over the land is of low confidence.
#include "core/base/multiversion.h"
#include "core/base/parallel.h"
#include "core/compute/terrain_wind.h"

#include <algorithm>
#include <cmath>

namespace leeward::compute {
namespace {

// The largest float that is not above it.
float not_above(double limit) {
  const float out = static_cast<float>(limit);
  return static_cast<double>(out) > limit ? std::nextafter(out, -INFINITY) : out;
}

// Flags where `there` lies more than `above` over `here`; NaN over unknown ground compares false.
LEEWARD_CLONES void flag_higher(const float* __restrict there, const float* __restrict here,
                                float above, int count, std::uint8_t* __restrict flags) {
  for (int c = 0; c < count; ++c) flags[c] |= there[c] - here[c] > above ? 1 : 0;
}

// Bilinear between four cells, `a` the north-western.
LEEWARD_CLONES void mix_cells(const float* __restrict a, const float* __restrict below, float right,
                              float down, int count, float* __restrict out) {
  for (int c = 0; c < count; ++c) {
    const float top = a[c] + (a[c + 1] - a[c]) * right,
                bottom = below[c] + (below[c + 1] - below[c]) * right;
    out[c] = top + (bottom - top) * down;
  }
}

// The ground at a place `cols` and `rows` cells from each cell of a row, at most one of each.
void ground_ahead(const Raster<float>& ground, int row, double cols, double rows,
                  std::vector<float>& out) {
  const GridSpec& g = ground.spec;
  const int dc = static_cast<int>(std::floor(cols)), dr = static_cast<int>(std::floor(rows));
  const int first = std::max(0, -dc), end = std::min(g.cols, g.cols - 1 - dc), north = row + dr;
  out.assign(static_cast<size_t>(g.cols), kUnknown);
  if (north >= 0 && north + 1 < g.rows)
    mix_cells(ground.row(north) + first + dc, ground.row(north + 1) + first + dc,
              static_cast<float>(cols - dc), static_cast<float>(rows - dr), end - first,
              out.data() + first);
  for (int c = 0; c < g.cols; ++c) {  // at the edge, and beside unknown ground
    float& one = out[static_cast<size_t>(c)];
    if (std::isnan(one) && !std::isnan(ground.at(c, row)))
      one = sample(ground, g.centre(c, row) + LocalXY{cols * g.cell_m, -rows * g.cell_m});
  }
}

}  // namespace

Raster<std::uint8_t> lee_flags(const Raster<float>& ground, Bearing toward, const LeeOptions& o) {
  const GridSpec& g = ground.spec;
  Raster<std::uint8_t> out(g, 0);
  const double step = g.cell_m;
  const int steps = static_cast<int>(o.reach_m / step);
  for_each_index(g.rows, [&](int row) {
    const float* here = ground.row(row);
    std::uint8_t* flags = out.row(row);
    std::vector<float> ahead;
    ground_ahead(ground, row, toward.east(), -toward.north(), ahead);
    flag_higher(here, ahead.data(), not_above(o.falling_slope * step), g.cols, flags);
    for (int n = 1; n <= steps; ++n) {  // upwind, one step of the grid apart
      const int dc = static_cast<int>(std::lround(-n * toward.east())),
                dr = static_cast<int>(std::lround(n * toward.north()));
      const int first = std::max(0, -dc), end = std::min(g.cols, g.cols - dc);
      if (row + dr < 0 || row + dr >= g.rows || first >= end) break;
      flag_higher(ground.row(row + dr) + first + dc, here + first,
                  not_above(o.shelter_slope * n * step), end - first, flags + first);
    }
  });
  return out;
}

}  // namespace leeward::compute
