#include "core/geo/raster.h"

#include "core/base/parallel.h"

#include <algorithm>

namespace leeward {

float sample(const Raster<float>& r, LocalXY p) {
  if (r.empty() || !r.spec.contains(p)) return kUnknown;
  const double fc = r.spec.col_of(p.x) - 0.5, fr = r.spec.row_of(p.y) - 0.5;
  const int c0 = std::clamp(static_cast<int>(std::floor(fc)), 0, r.spec.cols - 1);
  const int r0 = std::clamp(static_cast<int>(std::floor(fr)), 0, r.spec.rows - 1);
  const int c1 = std::min(c0 + 1, r.spec.cols - 1), r1 = std::min(r0 + 1, r.spec.rows - 1);
  const float u = static_cast<float>(std::clamp(fc - c0, 0.0, 1.0));
  const float v = static_cast<float>(std::clamp(fr - r0, 0.0, 1.0));
  const float a = r.at(c0, r0), b = r.at(c1, r0), c = r.at(c0, r1), d = r.at(c1, r1);
  const float top = a + (b - a) * u, bottom = c + (d - c) * u;
  const float value = top + (bottom - top) * v;
  if (!std::isnan(value)) return value;
  const float corner[4] = {a, b, c, d};
  const float weight[4] = {(1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v};
  float best = kUnknown, best_weight = -1;
  for (int i = 0; i < 4; ++i) {
    if (!std::isnan(corner[i]) && weight[i] > best_weight)
      best = corner[i], best_weight = weight[i];
  }
  return best;
}

namespace {

float cell_mean(const Raster<float>& r, LocalXY centre, double cell) {
  const int n = std::clamp(static_cast<int>(std::lround(cell / r.spec.cell_m)), 1, 8);
  double sum = 0;
  int known = 0;
  for (int a = 0; a < n; ++a)
    for (int b = 0; b < n; ++b) {
      const double dx = ((a + 0.5) / n - 0.5) * cell, dy = ((b + 0.5) / n - 0.5) * cell;
      const float v = sample(r, {centre.x + dx, centre.y + dy});
      if (!std::isnan(v)) sum += static_cast<double>(v), ++known;
    }
  return known > 0 ? static_cast<float>(sum / known) : kUnknown;
}

}  // namespace

Raster<float> cell_means(const Raster<float>& r, const GridSpec& spec) {
  Raster<float> out(spec, kUnknown);
  if (r.empty()) return out;
  for_each_index(spec.rows, [&](int row) {
    for (int col = 0; col < spec.cols; ++col)
      out.at(col, row) = cell_mean(r, spec.centre(col, row), spec.cell_m);
  });
  return out;
}

}  // namespace leeward
