#include "core/compute/spread.h"

#include "core/base/multiversion.h"

#include <algorithm>
#include <cmath>

namespace leeward::compute {

LEEWARD_CLONES void add_scaled(float* __restrict out, const float* __restrict in, float weight,
                               int count) {
  for (int i = 0; i < count; ++i) out[i] += weight * in[i];
}

Stencil::Stencil(int radius, const std::function<float(int, int)>& value) : radius_(radius) {
  const std::size_t side = static_cast<std::size_t>(2 * radius + 1);
  values_.resize(side * side);
  spans_.resize(side, {1, 0});
  float largest = 0;
  for (int dr = -radius; dr <= radius; ++dr) {
    for (int dc = -radius; dc <= radius; ++dc) {
      const float v = value(dc, dr);
      values_[static_cast<std::size_t>(dr + radius) * side +
              static_cast<std::size_t>(dc + radius)] = v;
      largest = std::max(largest, v);
    }
  }
  for (int dr = -radius; dr <= radius; ++dr) {
    Span& s = spans_[static_cast<std::size_t>(dr + radius)];
    for (int dc = -radius; dc <= radius; ++dc) {
      if (at(dc, dr) < 1e-5F * largest) continue;
      if (s.first > s.last) s.first = dc;
      s.last = dc;
    }
  }
}

void spread(const std::vector<WeightedCell>& points, const Stencil& stencil, Raster<float>& out) {
  const GridSpec& g = out.spec;
  const int radius = stencil.radius();
  // Row by row of the output, so that it stays in cache; the order of sums is fixed.
  for (int row = 0; row < g.rows; ++row) {
    for (const WeightedCell& p : points) {
      const int dr = row - p.row;
      if (dr < -radius || dr > radius) continue;
      const Stencil::Span s = stencil.span(dr);
      const int first = std::max(s.first, -p.col), last = std::min(s.last, g.cols - 1 - p.col);
      if (first > last) continue;
      add_scaled(out.row(row) + p.col + first, stencil.at_row(dr) + first + radius, p.weight,
                 last - first + 1);
    }
  }
}

}  // namespace leeward::compute
