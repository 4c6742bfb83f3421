// Ray sweep after the "R2" family of viewshed algorithms (Franklin & Ray 1994), extended by dimming
// cover: along a ray the optical depth is kept as a function of the slope of the sight line.
#include "core/compute/sight.h"

#include "core/base/multiversion.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace leeward::compute {
namespace {

constexpr int kBins = 64;

struct RayWork {
  std::vector<float> slope;    // to the target at each step
  std::vector<float> horizon;  // ground slope at each step
  std::vector<float> top;      // slope of the cover's top
  std::vector<float> depth;    // density * step
  explicit RayWork(size_t n) : slope(n), horizon(n), top(n), depth(n) {}
};

// Adds `depth` to every bin whose sight line passes below the cover's top.
LEEWARD_CLONES void add_depth(float* tau, const float* bin_slope, float top_slope, float depth) {
  for (int i = 0; i < kBins; ++i) tau[i] += bin_slope[i] < top_slope ? depth : 0.0F;
}

struct Sweep {
  const Raster<SightCell>& land;
  const SightOptions& options;
  int eye_col, eye_row, radius;
  float eye_z;
  Raster<std::uint8_t>& out;

  // One ray from the eye's cell to (dc, dr) on the rim; `major` is the longer axis.
  void ray(int dc, int dr, RayWork& work) const {
    const int n = radius;
    const bool column_major = std::abs(dc) == n;
    const float minor_step = static_cast<float>(column_major ? dr : dc) / static_cast<float>(n);
    const int major_sign = (column_major ? dc : dr) < 0 ? -1 : 1;
    const float cell = static_cast<float>(land.spec.cell_m);
    const float step_m = cell * std::sqrt(1.0F + minor_step * minor_step);
    int steps = 0;
    float least = 1e9F, most = -1e9F;
    bool any_cover = false;
    for (int i = 1; i <= n; ++i) {
      const float minor = minor_step * static_cast<float>(i);
      const int m0 = static_cast<int>(std::floor(minor));
      const float frac = minor - static_cast<float>(m0);
      const int major = i * major_sign;
      const SightCell* a = cell_at(column_major, major, m0);
      const SightCell* b = frac > 1e-4F ? cell_at(column_major, major, m0 + 1) : a;
      if (!a) a = b;  // one of the two lies off the map
      if (!b) b = a;
      if (!a) break;
      const SightCell& near = frac < 0.5F ? *a : *b;
      const float d = step_m * static_cast<float>(i);
      float ground = a->ground_m + (b->ground_m - a->ground_m) * frac;
      if (std::isnan(ground)) ground = near.ground_m;
      const float inv = 1.0F / d;
      const size_t s = static_cast<size_t>(i);
      work.horizon[s] = std::isnan(ground) ? -1e9F : (ground - eye_z) * inv;
      work.slope[s] = (near.ground_m + static_cast<float>(options.target_m) - eye_z) * inv;
      const bool dims = near.density_per_m > 0 && d > static_cast<float>(options.cleared_m);
      work.depth[s] = dims ? near.density_per_m * step_m : 0.0F;
      work.top[s] = (near.ground_m + near.top_m - eye_z) * inv;
      any_cover = any_cover || dims;
      if (!std::isnan(work.slope[s]) && d > 8.0F) {
        least = std::min(least, work.slope[s]);
        most = std::max(most, work.slope[s]);
      }
      steps = i;
    }
    if (least > most) least = most = 0;
    write(work, steps, column_major, major_sign, minor_step, least, most, any_cover);
  }

  void write(const RayWork& work, int steps, bool column_major, int major_sign, float minor_step,
             float least, float most, bool any_cover) const {
    alignas(64) float tau[kBins] = {};
    alignas(64) float bins[kBins];
    // Closer together toward the highest slope, where the far targets lie.
    const float range = std::max(1e-6F, most - least);
    for (int k = 0; k < kBins; ++k) {
      const float below = 1.0F - static_cast<float>(k) / static_cast<float>(kBins - 1);
      bins[k] = most - range * below * below;
    }
    const float reach = static_cast<float>(options.reach_m / land.spec.cell_m);
    const float tolerance = 0.5F / static_cast<float>(radius);
    const float length_per_step = std::sqrt(1.0F + minor_step * minor_step);
    float horizon = -1e9F;
    for (int i = 1; i <= steps; ++i) {
      const size_t s = static_cast<size_t>(i);
      const float minor = minor_step * static_cast<float>(i);
      const float nearest = std::floor(minor + 0.5F);
      // Of all rays through this cell the nearest writes it (ties: both write the same kind of
      // value).
      if (std::abs(minor - nearest) <= tolerance * static_cast<float>(i) + 1e-6F &&
          length_per_step * static_cast<float>(i) <= reach) {
        std::uint8_t value = 0;
        if (work.slope[s] >= horizon) {
          float passed = 1;
          if (any_cover) {
            const float below = std::sqrt(std::clamp((most - work.slope[s]) / range, 0.0F, 1.0F));
            const int k = std::min(static_cast<int>((1.0F - below) * (kBins - 1)), kBins - 2);
            const float share = std::clamp(
                (work.slope[s] - bins[k]) / std::max(1e-9F, bins[k + 1] - bins[k]), 0.0F, 1.0F);
            const float t = tau[k] + (tau[k + 1] - tau[k]) * share;
            const float own = work.slope[s] < work.top[s] ? 0.5F * work.depth[s] : 0.0F;
            passed = std::exp(-(t + own));
          }
          value = static_cast<std::uint8_t>(std::lround(255.0F * passed));
        }
        const int major = i * major_sign, m = static_cast<int>(nearest);
        const int c = (column_major ? major : m) + eye_col,
                  r = (column_major ? m : major) + eye_row;
        if (land.spec.has(c, r)) {
          const int oc = c - (eye_col - radius) - out_shift_c,
                    orow = r - (eye_row - radius) - out_shift_r;
          out.cells[out.spec.index(oc, orow)] = value;
        }
      }
      horizon = std::max(horizon, work.horizon[s]);
      if (work.depth[s] > 0) add_depth(tau, bins, work.top[s], work.depth[s]);
    }
  }

  const SightCell* cell_at(bool column_major, int major, int minor) const {
    const int c = eye_col + (column_major ? major : minor),
              r = eye_row + (column_major ? minor : major);
    return land.spec.has(c, r) ? &land.cells[land.spec.index(c, r)] : nullptr;
  }

  int out_shift_c = 0, out_shift_r = 0;  // cells of the square that lie west and north of `land`
};

}  // namespace

Result<Raster<std::uint8_t>> sight_from(const Raster<SightCell>& land, LocalXY eye,
                                        const SightOptions& options, std::stop_token stop) {
  const GridSpec& g = land.spec;
  const int col = g.cell_col(eye.x), row = g.cell_row(eye.y);
  const int radius = std::max(1, static_cast<int>(std::ceil(options.reach_m / g.cell_m)));
  const int c0 = std::max(0, col - radius), c1 = std::min(g.cols - 1, col + radius);
  const int r0 = std::max(0, row - radius), r1 = std::min(g.rows - 1, row + radius);
  GridSpec part = g;
  part.west = g.west + c0 * g.cell_m;
  part.north = g.north - r0 * g.cell_m;
  part.cols = std::max(0, c1 - c0 + 1);
  part.rows = std::max(0, r1 - r0 + 1);
  Raster<std::uint8_t> out(part);
  if (!g.has(col, row) || std::isnan(land.at(col, row).ground_m)) return out;
  const float eye_z = land.at(col, row).ground_m + static_cast<float>(options.eye_m);
  Sweep sweep{land, options, col, row, radius, eye_z, out};
  sweep.out_shift_c = c0 - (col - radius);
  sweep.out_shift_r = r0 - (row - radius);
  RayWork work(static_cast<size_t>(radius) + 1);
  for (int k = -radius; k <= radius; ++k) {
    if ((k & 63) == 0 && stop.stop_requested()) return fail(ErrorCode::cancelled, "cancelled");
    sweep.ray(radius, k, work);
    sweep.ray(-radius, k, work);
    if (k != -radius && k != radius) {
      sweep.ray(k, radius, work);
      sweep.ray(k, -radius, work);
    }
  }
  out.at(col - c0, row - r0) = 255;
  return out;
}

double sight_between(const Raster<SightCell>& land, LocalXY a, double a_height_m, LocalXY b,
                     double b_height_m, double cleared_m) {
  const auto cell = [&](LocalXY p) { return land.value_or(p, SightCell{kUnknown, 0, 0}); };
  const double za = cell(a).ground_m + a_height_m, zb = cell(b).ground_m + b_height_m;
  if (std::isnan(za) || std::isnan(zb)) return 0;
  const double d = distance_m(a, b);
  const int steps = std::max(1, static_cast<int>(std::ceil(d / (0.5 * land.spec.cell_m))));
  double tau = 0;
  for (int i = 1; i < steps; ++i) {
    const double t = static_cast<double>(i) / steps;
    const SightCell c = cell(a + (b - a) * t);
    if (std::isnan(c.ground_m)) continue;
    const double z = za + (zb - za) * t;
    // The first and last cell hold the eye and the target themselves.
    if (z < c.ground_m && t * d > land.spec.cell_m && (1 - t) * d > land.spec.cell_m) return 0;
    if (t * d > cleared_m && z < c.ground_m + c.top_m) tau += c.density_per_m * d / steps;
  }
  return std::exp(-tau);
}

}  // namespace leeward::compute
