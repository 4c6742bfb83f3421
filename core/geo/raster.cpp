#include "core/geo/raster.h"

#include "core/base/parallel.h"

#include <algorithm>

namespace leeward {

namespace {

// The two cells along an axis that a place lies between, as sample() sees it.
struct Between {
  int first, second;
  float share;  // of the second
  bool outside;

  Between(double at, int count)
      : first(std::clamp(static_cast<int>(std::floor(at - 0.5)), 0, count - 1)),
        second(std::min(first + 1, count - 1)),
        share(static_cast<float>(std::clamp(at - 0.5 - first, 0.0, 1.0))),
        outside(!(std::floor(at) >= 0 && std::floor(at) < count)) {}
};

float mixed(const Raster<float>& r, const Between& x, const Between& y) {
  if (x.outside || y.outside) return kUnknown;
  const float u = x.share, v = y.share;
  const float a = r.at(x.first, y.first), b = r.at(x.second, y.first), c = r.at(x.first, y.second),
              d = r.at(x.second, y.second);
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

}  // namespace

float sample(const Raster<float>& r, LocalXY p) {
  if (r.empty()) return kUnknown;
  return mixed(r, {r.spec.col_of(p.x), r.spec.cols}, {r.spec.row_of(p.y), r.spec.rows});
}

Raster<float> cell_means(const Raster<float>& r, const GridSpec& spec) {
  Raster<float> out(spec, kUnknown);
  if (r.empty()) return out;
  const int n = std::clamp(static_cast<int>(std::lround(spec.cell_m / r.spec.cell_m)), 1, 8);
  const auto within = [&](int a) { return ((a + 0.5) / n - 0.5) * spec.cell_m; };
  std::vector<Between> along;  // the samples of all cells of a row
  for (int col = 0; col < spec.cols; ++col)
    for (int a = 0; a < n; ++a)
      along.emplace_back(r.spec.col_of(spec.centre(col, 0).x + within(a)), r.spec.cols);
  for_each_index(spec.rows, [&](int row) {
    std::vector<Between> down;
    for (int b = 0; b < n; ++b)
      down.emplace_back(r.spec.row_of(spec.centre(0, row).y + within(b)), r.spec.rows);
    for (int col = 0; col < spec.cols; ++col) {
      double sum = 0;
      int known = 0;
      for (int a = 0; a < n; ++a)
        for (const Between& v : down) {
          const float value = mixed(r, along[static_cast<size_t>(col * n + a)], v);
          if (!std::isnan(value)) sum += static_cast<double>(value), ++known;
        }
      if (known > 0) out.at(col, row) = static_cast<float>(sum / known);
    }
  });
  return out;
}

}  // namespace leeward
