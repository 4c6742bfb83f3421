// Ray sweep after the "R2" family of viewshed algorithms (Franklin & Ray 1994), extended by dimming
// cover: along a ray the optical depth is kept as a function of the slope of the sight line.
#include "core/compute/sight.h"

#include "core/base/multiversion.h"
#include "core/base/parallel.h"
#include "core/compute/fast_exp.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace leeward::compute {
namespace {

constexpr int kBins = 64;
constexpr int kLanes = 16;  // neighbouring rays walked together, one a vector lane
constexpr float kNever = -1e9F;
constexpr float kOpaque = 6.3F;  // optical depth that leaves less than half of 1/255
constexpr float kNear_m = 8;     // nearer targets share the lowest bin of slope

// Loops over lanes stay loops until the vectoriser has seen them.
#define LEEWARD_LANES _Pragma("GCC unroll 1") for (int l = 0; l < kLanes; ++l)

// A bundle of rays on one side of the eye, from the eye outward.
struct Bundle {
  const float* eye_cell;  // first float of the eye's SightCell
  int major_stride;       // in floats
  int minor_stride;
  float eye_z, target_m, cleared_m;
  float minor_step[kLanes];  // cells a step, in [-1, 1]
  float step_m[kLanes];
};

// What the rays of a bundle meet at one step.
struct Met {
  float slope[kLanes];   // of the sight line to the target; NaN where unknown
  float ground[kLanes];  // slope to the ground
  float top[kLanes];     // slope to the top of the cover
  float depth[kLanes];   // density times step length
};

LEEWARD_CLONES bool meet(const Bundle& bundle, int step, Met& out) {
  const Bundle b = bundle;  // a copy cannot alias the output
  Met met;
  int at[kLanes], at_near[kLanes];
  float frac[kLanes];
  const float i = static_cast<float>(step);
  LEEWARD_LANES {
    const float off = b.minor_step[l] * i;
    const int m0 = static_cast<int>(off + 16384.0F) - 16384;  // floor
    frac[l] = off - static_cast<float>(m0);
    at[l] = step * b.major_stride + m0 * b.minor_stride;
    at_near[l] = frac[l] < 0.5F ? at[l] : at[l] + b.minor_stride;
  }
  const float* base = b.eye_cell;
  const float* beside = base + b.minor_stride;
  int any = 0;
  LEEWARD_LANES {
    const float ga = base[at[l]], gb = beside[at[l]];
    const float gn = frac[l] < 0.5F ? ga : gb;
    const float height = base[at_near[l] + 1], density = base[at_near[l] + 2];
    const float d = b.step_m[l] * i, inv = 1.0F / d;
    const float between = ga + (gb - ga) * frac[l];
    const float ground = between == between ? between : gn;  // one of the two unknown
    met.ground[l] = ground == ground ? (ground - b.eye_z) * inv : kNever;
    met.slope[l] = (gn + b.target_m - b.eye_z) * inv;
    met.top[l] = (gn + height - b.eye_z) * inv;
    met.depth[l] = density * (d > b.cleared_m ? b.step_m[l] : 0.0F);
    any |= met.depth[l] > 0.0F ? 1 : 0;
  }
  out = met;
  return any != 0;
}

// Optical depth of each ray by slope of the sight line, in bins that lie closer together toward the
// highest slope, where the far targets are: u = t (1 + c) / (t + c), t = share of the range below
// it.
class DepthBySlope {
 public:
  void reset(float least, float most) {
    most_ = most;
    range_ = std::max(1e-6F, most - least);
    for (int k = 0; k < kBins; ++k) {
      const float u = 1.0F - static_cast<float>(k) / static_cast<float>(kBins - 1);
      slope_[k] = most_ - range_ * kCrowding * u / (1.0F + kCrowding - u);
      std::fill(tau_[k], tau_[k] + kLanes, 0.0F);
    }
    empty_ = true;
  }
  bool empty() const { return empty_; }
  void add(const Met& met) {
    add_step(&tau_[0][0], slope_, met.top, met.depth);
    empty_ = false;
  }
  /// Nothing gets through any ray at any slope.
  bool opaque() const {
    return !empty_ && *std::min_element(&tau_[0][0], &tau_[0][0] + kBins * kLanes) > kOpaque;
  }
  /// Share of sight that reaches each target, 0..255, hidden ones not looked at.
  void passed(const Met& met, int* value) const {
    passed_step(&tau_[0][0], most_, range_, met, value);
  }

 private:
  static constexpr float kCrowding = 0.1F;

  LEEWARD_CLONES static void add_step(float* __restrict tau, const float* __restrict slope,
                                      const float* __restrict top, const float* __restrict depth) {
    for (int k = 0; k < kBins; ++k) {
      const float s = slope[k];
      float* __restrict bin = tau + k * kLanes;
      LEEWARD_LANES bin[l] += s < top[l] ? depth[l] : 0.0F;
    }
  }
  LEEWARD_CLONES static void passed_step(const float* __restrict tau, float most, float range,
                                         const Met& met, int* __restrict value) {
    float out[kLanes];
    LEEWARD_LANES {
      const float t = (most - met.slope[l]) / range;
      const float above = t > 0.0F ? t : 0.0F;
      const float share = above < 1.0F ? above : 1.0F;
      const float bin =
          (1.0F - share * (1.0F + kCrowding) / (share + kCrowding)) * static_cast<float>(kBins - 1);
      const float last = static_cast<float>(kBins - 2);
      const int k = static_cast<int>(bin < last ? bin : last);
      const float a = tau[k * kLanes + l], b = tau[k * kLanes + kLanes + l];
      const float own = met.slope[l] < met.top[l] ? 0.5F * met.depth[l] : 0.0F;
      out[l] = 255.0F * fast_exp(-(a + (b - a) * (bin - static_cast<float>(k)) + own)) + 0.5F;
    }
    LEEWARD_LANES value[l] = static_cast<int>(out[l]);
  }

  alignas(64) float tau_[kBins][kLanes];
  alignas(64) float slope_[kBins];
  float most_ = 0, range_ = 1;
  bool empty_ = true;
};

// Which cell each ray writes at a step: the one nearest to the step, if no other ray passes nearer
// to its centre, |minor - nearest| <= step / (2 radius). Then what stands there, and the horizon.
struct Walk {
  int radius, major, minor, elsewhere;  // elsewhere: a place in the square that nobody reads
  int k[kLanes], steps[kLanes];
  int rest[kLanes];    // minor offset * radius less whole cells, in (-radius/2, radius/2]
  int offset[kLanes];  // of the cell in the square, from the eye
  float horizon[kLanes];
  int place[kLanes];  // where to write
  int value[kLanes];  // what to write, 0..255
};
LEEWARD_CLONES void walk_step(Walk& walk, int i, const Met& met, const int* __restrict passed) {
  Walk w = walk;
  LEEWARD_LANES {
    int rest = w.rest[l] + w.k[l];
    const int turn = (2 * rest > w.radius ? 1 : 0) - (2 * rest <= -w.radius ? 1 : 0);
    rest -= turn * w.radius;
    const int offset = w.offset[l] + w.major + turn * w.minor;
    const int off_centre = rest < 0 ? -rest : rest;
    w.rest[l] = rest;
    w.offset[l] = offset;
    w.place[l] = ((2 * off_centre <= i) & (i <= w.steps[l])) ? offset : w.elsewhere;
    w.value[l] = met.slope[l] >= w.horizon[l] ? passed[l] : 0;
    w.horizon[l] = w.horizon[l] > met.ground[l] ? w.horizon[l] : met.ground[l];
  }
  walk = w;
}

// The sweep of the square of `radius` cells around the eye; the window reaches one cell farther.
class Sweep {
 public:
  Sweep(const SightCell* eye, int row_stride_cells, int radius, double cell_m,
        const SightOptions& options, std::uint8_t* out_centre, int out_cols, int elsewhere)
      : eye_(eye),
        row_stride_(3 * row_stride_cells),
        radius_(radius),
        cell_m_(static_cast<float>(cell_m)),
        options_(options),
        out_(out_centre),
        out_cols_(out_cols),
        elsewhere_(elsewhere) {}

  // All rays of one side: major axis toward `sign` along columns (or rows).
  bool side(bool column_major, int sign, const std::stop_token& stop) {
    // The diagonals belong to the sides north and south alone: sides run at the same time.
    const int last = column_major ? radius_ - 1 : radius_;
    for (int k = column_major ? 1 - radius_ : -radius_; k <= last; k += kLanes) {
      if (stop.stop_requested()) return false;
      bundle(column_major, sign, k, last);
    }
    return true;
  }

 private:
  void bundle(bool column_major, int sign, int first_k, int last_k) {
    Bundle b{&eye_->ground_m,
             column_major ? 3 * sign : row_stride_ * sign,
             column_major ? row_stride_ : 3,
             eye_->ground_m + static_cast<float>(options_.eye_m),
             static_cast<float>(options_.target_m),
             static_cast<float>(options_.cleared_m),
             {},
             {}};
    Walk walk{};
    walk.radius = radius_;
    walk.major = column_major ? sign : out_cols_ * sign;
    walk.minor = column_major ? out_cols_ : 1;
    walk.elsewhere = elsewhere_;
    int most_steps = 0;
    for (int l = 0; l < kLanes; ++l) {
      walk.k[l] = std::min(first_k + l, last_k);  // the last bundle repeats its last ray
      walk.horizon[l] = kNever;
      b.minor_step[l] = static_cast<float>(walk.k[l]) / static_cast<float>(radius_);
      b.step_m[l] = cell_m_ * std::sqrt(1.0F + b.minor_step[l] * b.minor_step[l]);
      walk.steps[l] = std::min(
          radius_, static_cast<int>(static_cast<float>(options_.reach_m) / b.step_m[l] + 1e-4F));
      most_steps = std::max(most_steps, walk.steps[l]);
    }
    set_bins(b, most_steps);
    int passed[kLanes];
    std::fill(passed, passed + kLanes, 255);
    Met met;
    for (int i = 1; i <= most_steps; ++i) {
      const bool cover = meet(b, i, met);
      if (cover || !depth_.empty()) depth_.passed(met, passed);
      walk_step(walk, i, met, passed);
      for (int l = 0; l < kLanes; ++l)
        out_[walk.place[l]] = static_cast<std::uint8_t>(walk.value[l]);
      if (cover) depth_.add(met);
      if ((i & 15) == 0 && depth_.opaque()) return;  // the rest stays 0
    }
  }

  // The range of slopes to the targets of the bundle, from its outer rays.
  void set_bins(const Bundle& b, int steps) {
    float least = 1e9F, most = kNever;
    for (const int l : {0, kLanes - 1}) {
      const int first = std::max(1, static_cast<int>(kNear_m / b.step_m[l]));
      for (int i = first; i <= steps; i += 2) {
        const float off = b.minor_step[l] * static_cast<float>(i);
        const int m0 = static_cast<int>(std::floor(off + 0.5F));
        const float z = b.eye_cell[i * b.major_stride + m0 * b.minor_stride];
        const float slope = (z + b.target_m - b.eye_z) / (b.step_m[l] * static_cast<float>(i));
        if (slope < least) least = slope;
        if (slope > most) most = slope;
      }
    }
    depth_.reset(std::min(least, most), most);
  }

  const SightCell* eye_;
  int row_stride_, radius_;
  float cell_m_;
  const SightOptions& options_;
  std::uint8_t* out_;
  int out_cols_, elsewhere_;
  DepthBySlope depth_;
};

// The part of `land` from cell (c0, r0), unknown beyond its edges.
Raster<SightCell> padded_window(const Raster<SightCell>& land, int c0, int r0, int side) {
  GridSpec spec = land.spec;
  spec.cols = spec.rows = side;
  Raster<SightCell> out(spec, SightCell{kUnknown, 0, 0});
  for (int r = 0; r < side; ++r)
    for (int c = 0; c < side; ++c)
      if (land.spec.has(c0 + c, r0 + r)) out.at(c, r) = land.at(c0 + c, r0 + r);
  return out;
}

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

  const int margin = radius + 1;  // rays look one cell to the side
  const bool inside = g.has(col - margin, row - margin) && g.has(col + margin, row + margin);
  Raster<SightCell> window;
  if (!inside) window = padded_window(land, col - margin, row - margin, 2 * margin + 1);
  const SightCell* eye_cell = inside ? &land.at(col, row) : &window.at(margin, margin);
  const int side = 2 * radius + 1;
  std::vector<std::uint8_t> square(static_cast<size_t>(side) * static_cast<size_t>(side) + 4);
  std::uint8_t* centre = square.data() + static_cast<std::ptrdiff_t>(radius) * side + radius;
  // Each side of the square is its own sweep and writes its own cells.
  const bool done = for_each_index(
      4,
      [&](int k) {
        Sweep sweep(eye_cell, inside ? g.cols : window.spec.cols, radius, g.cell_m, options, centre,
                    side, side * side - (radius * side + radius) + k);
        sweep.side(k / 2 == 1, k % 2 == 0 ? 1 : -1, stop);
      },
      stop);
  if (!done) return fail(ErrorCode::cancelled, "cancelled");
  *centre = 255;
  for (int r = 0; r < part.rows; ++r) {
    const std::uint8_t* from = square.data() +
                               static_cast<std::ptrdiff_t>(r0 - (row - radius) + r) * side +
                               (c0 - (col - radius));
    std::copy(from, from + part.cols, out.row(r));
  }
  return out;
}

double sight_between(const Raster<SightCell>& land, LocalXY a, double a_height_m, LocalXY b,
                     double b_height_m, double cleared_m) {
  const auto cell = [&](LocalXY p) { return land.value_or(p, SightCell{kUnknown, 0, 0}); };
  const double za = static_cast<double>(cell(a).ground_m) + a_height_m,
               zb = static_cast<double>(cell(b).ground_m) + b_height_m;
  if (std::isnan(za) || std::isnan(zb)) return 0;
  const double d = distance_m(a, b);
  const int steps = std::max(1, static_cast<int>(std::ceil(d / (0.5 * land.spec.cell_m))));
  double tau = 0;
  for (int i = 1; i < steps; ++i) {
    const double t = static_cast<double>(i) / steps;
    const SightCell c = cell(a + (b - a) * t);
    if (std::isnan(c.ground_m)) continue;
    const double z = za + (zb - za) * t, ground = static_cast<double>(c.ground_m);
    // The first and last cell hold the eye and the target themselves.
    if (z < ground && t * d > land.spec.cell_m && (1 - t) * d > land.spec.cell_m) return 0;
    if (t * d > cleared_m && z < ground + static_cast<double>(c.top_m))
      tau += static_cast<double>(c.density_per_m) * d / steps;
  }
  return std::exp(-tau);
}

}  // namespace leeward::compute
