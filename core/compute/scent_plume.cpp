#include "core/compute/scent_plume.h"

#include "core/base/multiversion.h"
#include "core/compute/fast_exp.h"
#include "core/compute/near_field.h"
#include "core/compute/plume_line.h"

#include <algorithm>
#include <bit>
#include <cassert>
#include <cmath>
#include <cstring>

namespace leeward::compute {
namespace {

constexpr int kRays = 128, kFewRays = 48;
constexpr int kPerRay = 2;  // angles of the drawn ring for each ray
constexpr int kRayRow = kRays + 1;
constexpr int kAngles = kRays * kPerRay, kFewAngles = kFewRays * kPerRay;
constexpr int row_of(int angles) { return angles + 1; }
constexpr int kRow = row_of(kAngles);
// Rings at r = (i / kRingScale + sqrt(kRingStart))^2 - kRingStart: 3 m apart at the source, 12 m at
// 100 m, 31 m at 800 m.
constexpr float kRingScale = 1.8F, kRingStart = 4, kRingRoot = 2;
constexpr float kLeastDistance = 1.5F;  // m; a body is not a point
constexpr double kLeastSpeed = 0.1, kMostSpeed = 16;
constexpr float kSlowest = static_cast<float>(kLeastSpeed);
constexpr float kLongestStep = 32;  // m; along a ray: 0.2 % from steps of 2 m
constexpr int kPatchRing = 2;       // a patch shows no finer rings than each second one
const float kSpeedStepsPerOctave = static_cast<float>(std::log(2.0) * (PlumeTable::kSpeeds - 1) /
                                                      std::log(kMostSpeed / kLeastSpeed));
constexpr double kOpenWander = 0.5, kTimberWander = 0.15;  // m/s
constexpr double kUniform_rad = 104 * kRadPerDeg;
constexpr double kLeastHeightShare = 0.1;
constexpr float kAnyMuch = 1e9F;
constexpr double kNearestInPatch = 0.9;  // standard deviations; nothing counts as nearer

float ring_coordinate(float distance) {
  return kRingScale * (std::sqrt(distance + kRingStart) - kRingRoot);
}

// log2 to 2e-4.
[[gnu::always_inline]] inline float fast_log2(float x) {
  const auto bits = std::bit_cast<std::uint32_t>(x);
  const float e = static_cast<float>(static_cast<int>(bits >> 23) - 127);
  const float m = std::bit_cast<float>((bits & 0x7FFFFFU) | 0x3F800000U) - 1;
  return e + m * (1.4413F + m * (-0.7090F + m * (0.4146F + m * (-0.1950F + m * 0.0481F))));
}

// atan2(y, x) in turns of a circle, 0..1, to 2e-6 of a turn; 0 at the origin.
[[gnu::always_inline]] inline float turns_of(float y, float x) {
  const float ax = std::abs(x), ay = std::abs(y);
  const float low = ax < ay ? ax : ay, high = ax < ay ? ay : ax;
  const float a = low / (high + 1e-20F), s = a * a;
  float t =
      a * (0.15915494F +
           s * (-0.05304984F +
                s * (0.0317636F +
                     s * (-0.0220424F + s * (0.0146183F + s * (-0.0073236F + s * 0.0018793F))))));
  t = ay > ax ? 0.25F - t : t;
  t = x < 0 ? 0.5F - t : t;
  return y < 0 ? 1 - t : t;
}

// Vertical Gaussian with reflection, 1/m.
double vertical(double sz, double source_m, double nose_m) {
  const double a = (nose_m - source_m) / sz, b = (nose_m + source_m) / sz;
  return (std::exp(-0.5 * a * a) + std::exp(-0.5 * b * b)) / (std::sqrt(2 * kPi) * sz);
}

struct Spread {
  double circular_rad, z_m;
};

Spread spread_at(const PlumeAir& air, bool timber, double l, double speed) {
  Sigmas sigma;
  double turbulent;
  if (timber) {
    // Elevation angle of 0.2 rad, mixed below the crowns from about 60 m on: common practice, no
    // source. Measured trunk-space plumes reach 30 m only (Peterson et al. 2010).
    constexpr double kDepth = 12;
    sigma = {air.timber_sd_rad * l, kDepth * (1 - std::exp(-0.2 * l / kDepth))};
    turbulent = 0;  // light wind's wandering comes on top
  } else {
    NearFieldAir near;
    near.speed_mps = speed;
    near.layer = surface_layer(air.stability, speed, air.transport_m, air.roughness_m);
    turbulent = near.direction_sd_rad = turbulent_direction_sd_rad(near.layer, speed);
    sigma = joined_sigmas(near, air.stability, l);
  }
  const double sideways = (timber ? kTimberWander : kOpenWander) / speed;
  const double wander_sq = std::max(0.0, sideways * sideways - turbulent * turbulent);
  const double sd =
      std::sqrt(sigma.y_m * sigma.y_m / (l * l) + wander_sq + air.extra_sd_rad * air.extra_sd_rad);
  return {std::min(sd, kUniform_rad), std::max(sigma.z_m, 0.3)};
}

struct Strength {
  double peak, kappa, rest;  // s/m3
};

Strength strength(const PlumeAir& air, bool timber, double length, double speed) {
  const double l = std::max(length, 1.0);
  const Spread spread = spread_at(air, timber, l, speed);
  const double sv = timber ? kTimberWander : kOpenWander;
  const double effective = std::sqrt(speed * speed + 2 * sv * sv);
  const double random_share = 2 * sv * sv / (effective * effective);
  const double v =
      std::max(vertical(spread.z_m, air.source_m, air.nose_m),
               kLeastHeightShare * vertical(spread.z_m, std::min(air.source_m, 1.0), air.nose_m));
  const double kappa =
      spread.circular_rad < kUniform_rad ? von_mises_kappa(spread.circular_rad) : 0;
  const double common = v / (effective * l);
  static const double burst = peak_to_mean(3600, 5) / peak_to_mean(600, 5);
  return {(1 - random_share) * common / (2 * kPi * bessel_i0_scaled(kappa)), kappa,
          random_share * burst * common / (2 * kPi)};
}

double reference_strength() {
  static const double value = [] {
    const Strength s = strength(PlumeAir{}, false, 25, 2);
    return s.peak + s.rest;
  }();
  return value;
}

double log_speed_step() { return std::log(kMostSpeed / kLeastSpeed); }

[[gnu::always_inline]] inline float mix(float a, float b, float t) { return a + (b - a) * t; }

}  // namespace

double plume_spread_rad(const PlumeAir& air, double speed, double timber) {
  const double v = std::max(speed, kLeastSpeed);
  const double open = spread_at(air, false, 50, v).circular_rad,
               closed = spread_at(air, true, 50, v).circular_rad;
  return std::sqrt((1 - timber) * open * open + timber * closed * closed);
}

double peak_to_mean(double mean_s, double peak_s) { return std::pow(mean_s / peak_s, 6.0 / 17); }

Flow Flow::uniform(const GridSpec& spec, LocalXY toward) {
  Flow f{spec, {}};
  f.cells.assign(spec.size(),
                 Cell::of(static_cast<float>(toward.x), static_cast<float>(toward.y), 0));
  return f;
}

namespace {

static_assert(sizeof(PlumeTable::Row) == PlumeTable::kCell * PlumeTable::kSpeeds * sizeof(float));
static_assert(sizeof(Flow::Cell) == 4 * sizeof(float), "lines walk the cells as floats");

const float* floats_of(const Flow& flow) { return &flow.cells.front().east; }

}  // namespace

double PlumeTable::ring_m(int ring) {
  const double root = ring / static_cast<double>(kRingScale) + static_cast<double>(kRingRoot);
  return root * root - static_cast<double>(kRingStart);
}

PlumeTable::PlumeTable(const PlumeAir& air, double reach_m)
    : reach_m_(reach_m),
      rings_(static_cast<int>(std::ceil(ring_coordinate(static_cast<float>(reach_m)))) + 2) {
  rings_ += (rings_ + 1) % kPatchRing;  // the last is a patch's as well
  rows_.resize(static_cast<size_t>(rings_));
  const double scale = 1 / reference_strength();
  for (int ring = 0; ring < rings_; ++ring) {
    const double l = std::max(ring_m(ring), 1.0);
    for (size_t k = 0; k < kSpeeds; ++k) {
      const double speed =
          kLeastSpeed * std::exp(log_speed_step() * static_cast<double>(k) / (kSpeeds - 1));
      float* said = rows_[static_cast<size_t>(ring)][k].data();
      for (const bool timber : {false, true}) {
        const Strength s = strength(air, timber, l, speed);
        *said++ = static_cast<float>(std::log(s.peak * scale * l * l));
        *said++ = static_cast<float>(s.kappa);
        *said++ = static_cast<float>(s.rest * scale * l * l);
        *said++ = 0;
      }
    }
  }
  // What lies between is mixed from the logarithm and the rest of both rings.
  std::vector<double> log_peak(static_cast<size_t>(rings_), -1e9), rest(log_peak.size(), 0.0);
  for (size_t ring = 0; ring < rows_.size(); ++ring)
    for (const auto& said : rows_[ring])
      for (const size_t setting : {size_t{0}, size_t{4}}) {
        log_peak[ring] = std::max(log_peak[ring], static_cast<double>(said[setting]));
        rest[ring] = std::max(rest[ring], static_cast<double>(said[setting + 2]));
      }
  for (size_t ring = 0; ring + 1 < rows_.size(); ++ring)
    most_.push_back(std::exp(std::max(log_peak[ring], log_peak[ring + 1])) +
                    std::max(rest[ring], rest[ring + 1]));
}

double PlumeTable::most_at(double distance_m) const {
  if (distance_m >= reach_m_) return 0;
  const double r = std::max(distance_m, static_cast<double>(kLeastDistance));
  const auto ring = static_cast<size_t>(ring_coordinate(static_cast<float>(r)));
  return 1.00001 * most_[std::min(ring, most_.size() - 1)] / (r * r);  // for float's last digits
}

namespace {

// Numbers side by side: four are one register on every machine, eight are two neighbours of four.
using Four [[gnu::vector_size(16)]] = float;
using Eight [[gnu::vector_size(32)]] = float;
[[gnu::always_inline]] inline Four four_at(const float* p) {
  Four v;
  std::memcpy(&v, p, sizeof v);
  return v;
}
[[gnu::always_inline]] inline Four mix(Four a, Four b, float t) { return a + (b - a) * t; }
// Between the eight at `a` and at `b` by `down`, then between the two fours of that by `right`.
[[gnu::always_inline]] inline Four mix_of(const float* a, const float* b, float down, float right) {
  Eight above, below;
  std::memcpy(&above, a, sizeof above);
  std::memcpy(&below, b, sizeof below);
  const Eight both = above + (below - above) * down;
  return mix(__builtin_shufflevector(both, both, 0, 1, 2, 3),
             __builtin_shufflevector(both, both, 4, 5, 6, 7), right);
}

// Sums along each ray from the source.
template <int N>
struct Rays {
  alignas(64) float x[N], y[N];  // direction, length 1
  Four sum[N] = {};              // of the cells of a Flow times metres
};

struct Place {
  const float* cells;
  int cols, rows;
  float x0, y0, per_m;  // of the source in cells; cells a metre
  float sign;           // -1: against the wind
};
Place place_of(const Flow& flow, LocalXY source, Run run) {
  return {floats_of(flow),
          flow.spec.cols,
          flow.spec.rows,
          static_cast<float>(flow.spec.col_of(source.x) - 0.5),
          static_cast<float>(flow.spec.row_of(source.y) - 0.5),
          static_cast<float>(1 / flow.spec.cell_m),
          run == Run::forward ? 1.0F : -1.0F};
}

}  // namespace

// Cells in which N points stand, and how far they stand from their centres; place(k) says where, in
// cells from the centre of the north-west cell.
template <int N>
struct Located {
  alignas(64) int cell[N];  // of the north-west of four
  alignas(64) float right[N], down[N];

  template <class At>
  [[gnu::always_inline]] inline Located(const Place& p, At at) {
    const float most_x = static_cast<float>(p.cols - 1) - 0.001F,
                most_y = static_cast<float>(p.rows - 1) - 0.001F;
    const int cols = p.cols;
    for (int k = 0; k < N; ++k) {
      float x, y;
      at(k, x, y);
      x = x < 0 ? 0 : x > most_x ? most_x : x;
      y = y < 0 ? 0 : y > most_y ? most_y : y;
      const int c = static_cast<int>(x), r = static_cast<int>(y);
      right[k] = x - static_cast<float>(c);
      down[k] = y - static_cast<float>(r);
      cell[k] = 4 * (r * cols + c);
    }
  }
  [[gnu::always_inline]] inline Four mean(const Place& p, int k) const {
    const float* a = p.cells + cell[k];
    return mix_of(a, a + 4 * p.cols, down[k], right[k]);
  }
};

Flow::Cell Flow::at(LocalXY p) const {
  const Place place = place_of(*this, p, Run::forward);
  const Located<1> there(place, [&](int, float& x, float& y) {
    x = place.x0;
    y = place.y0;
  });
  const Four v = there.mean(place, 0);
  return {v[0], v[1], v[2], v[3]};
}

namespace {

// Directions of the rays and of what is drawn between them.
template <int N>
struct Circle {
  alignas(64) float cosine[N];
  alignas(64) float sine[N];
  alignas(64) float cosine_between[N];
  alignas(64) float sine_between[N];
  Circle() {
    for (int k = 0; k < N; ++k) {
      const double a = 2 * kPi * k / N, b = 2 * kPi * (k + 0.5) / N;
      cosine[k] = static_cast<float>(std::cos(a));
      sine[k] = static_cast<float>(std::sin(a));
      cosine_between[k] = static_cast<float>(std::cos(b));
      sine_between[k] = static_cast<float>(std::sin(b));
    }
  }
  static const Circle& of() {
    static const Circle value;
    return value;
  }
};

// What the rays meet at one ring, the first ray again at the end: mean wind (not normalised), what
// the table says, share under canopy.
template <int N>
struct Ring {
  alignas(64) float mean_x[N + 1];
  alignas(64) float mean_y[N + 1];
  alignas(64) float log_peak[N + 1];
  alignas(64) float kappa[N + 1];
  alignas(64) float rest[N + 1];
  alignas(64) float timber[N + 1];
};

// Adds the wind at the distance `at` for `step` metres of every ray.
template <int N>
[[gnu::always_inline]] inline void advance_rays(const Place& place, float at, float step,
                                                Rays<N>& rays) {
  const Place p = place;
  const float far = at * p.per_m;
  const float* __restrict x = rays.x, * __restrict y = rays.y;
  const Located<N> there(
      p, [&](int k, float& px, float& py) __attribute__((always_inline)) {
        px = p.x0 + far * x[k];
        py = p.y0 - far * y[k];
      });
  for (int k = 0; k < N; ++k) rays.sum[k] += there.mean(p, k) * step;
}

// What the table says for every ray at a ring `r` metres out.
template <int N>
[[gnu::always_inline]] inline void look_up_rays(const float* __restrict row, float r, float sign,
                                                const Rays<N>& rays, Ring<N>& out) {
  constexpr int kN = PlumeTable::kSpeeds;
  const float per_octave = kSpeedStepsPerOctave, inverse = 1 / r, per_slowest = inverse / kSlowest;
  const float* __restrict sums = reinterpret_cast<const float*>(rays.sum);
  alignas(64) int cell[N];
  alignas(64) float share[N];
  alignas(64) float said[4 * N];
  for (int k = 0; k < N; ++k) {
    out.mean_x[k] = sign * sums[4 * k];
    out.mean_y[k] = sign * sums[4 * k + 1];
    out.timber[k] = sums[4 * k + 2] * inverse;
    float place = fast_log2(sums[4 * k + 3] * per_slowest) * per_octave;
    place = place < 0.0F ? 0.0F : place;
    place = place > kN - 1.001F ? kN - 1.001F : place;
    cell[k] = static_cast<int>(place);
    share[k] = place - static_cast<float>(cell[k]);
  }
  constexpr int kCell = PlumeTable::kCell;
  for (int k = 0; k < N; ++k) {
    const float* a = row + kCell * cell[k];  // in the open, in timber
    const Four mixed = mix_of(a, a + kCell, share[k], out.timber[k]);
    std::memcpy(said + 4 * k, &mixed, sizeof mixed);
  }
  for (int k = 0; k < N; ++k) {
    out.log_peak[k] = said[4 * k];
    out.kappa[k] = said[4 * k + 1];
    out.rest[k] = said[4 * k + 2];
  }
  for (float* v : {out.mean_x, out.mean_y, out.log_peak, out.kappa, out.rest, out.timber})
    v[N] = v[0];
}

// Exposure times squared distance around a ring: between two rays all that they hold is mixed.
template <int N>
[[gnu::always_inline]] inline void evaluate_rays(const Ring<N>& ring, const Circle<N>& circle,
                                                 float* __restrict out) {
  const auto value = [&](float x, float y, float cosine, float sine, float log_peak, float kappa,
                         float rest) __attribute__((always_inline)) {
    const float along = (cosine * x + sine * y) / (std::sqrt(x * x + y * y) + 1e-6F);
    return fast_exp(log_peak + kappa * (along - 1)) + rest;
  };
  for (int k = 0; k < N; ++k) {
    const auto between = [&](const float* v) __attribute__((always_inline)) {
      return 0.5F * (v[k] + v[k + 1]);
    };
    out[kPerRay * k] = value(ring.mean_x[k], ring.mean_y[k], circle.cosine[k], circle.sine[k],
                             ring.log_peak[k], ring.kappa[k], ring.rest[k]);
    out[kPerRay * k + 1] = value(between(ring.mean_x), between(ring.mean_y),
                                 circle.cosine_between[k], circle.sine_between[k],
                                 between(ring.log_peak), between(ring.kappa), between(ring.rest));
  }
}

// The ring as a patch `square` = (sd / distance)^2 wide is seen on it: the angle that the patch
// takes up joins the spread in quadrature (1 / kappa is its square), and the peak falls as a von
// Mises density does, whose square is (kappa + 0.16 - 0.5 kappa / (kappa + 0.45)) / 2 pi to 5 %.
template <int N>
[[gnu::always_inline]] inline void widen_rays(Ring<N>& ring, float square) {
  const auto peak_square = [](float kappa) __attribute__((always_inline)) {
    return kappa + 0.16F - 0.5F * kappa / (kappa + 0.45F);
  };
  for (int k = 0; k <= N; ++k) {
    const float narrow = ring.kappa[k], wide = narrow / (1 + square * narrow);
    ring.kappa[k] = wide;
    ring.log_peak[k] += 0.34657359F * fast_log2(peak_square(wide) / peak_square(narrow));
  }
}

// Templates cannot be cloned: one name for each number of rays.
LEEWARD_CLONES void advance(const Place& p, float at, float step, Rays<kRays>& rays) {
  advance_rays(p, at, step, rays);
}
LEEWARD_CLONES void advance(const Place& p, float at, float step, Rays<kFewRays>& rays) {
  advance_rays(p, at, step, rays);
}
LEEWARD_CLONES void look_up(const float* row, float r, float sign, const Rays<kRays>& rays,
                            Ring<kRays>& out) {
  look_up_rays(row, r, sign, rays, out);
}
LEEWARD_CLONES void look_up(const float* row, float r, float sign, const Rays<kFewRays>& rays,
                            Ring<kFewRays>& out) {
  look_up_rays(row, r, sign, rays, out);
}
LEEWARD_CLONES void evaluate(const Ring<kRays>& ring, const Circle<kRays>& circle, float* out) {
  evaluate_rays(ring, circle, out);
}
LEEWARD_CLONES void evaluate(const Ring<kFewRays>& ring, const Circle<kFewRays>& circle,
                             float* out) {
  evaluate_rays(ring, circle, out);
}
LEEWARD_CLONES void widen(Ring<kFewRays>& ring, float square) { widen_rays(ring, square); }

}  // namespace

// Follows N rays and shows `keep(n, r, what they meet)` each of `every` rings from `nearest` on.
template <int N, class Keep>
static void trace(const Flow& flow, const PlumeTable& table, LocalXY source, Run run, int every,
                  int nearest, Keep keep) {
  const Place place = place_of(flow, source, run);
  Rays<N> rays;
  for (size_t k = 0; k < N; ++k) {
    rays.x[k] = Circle<N>::of().cosine[k];
    rays.y[k] = Circle<N>::of().sine[k];
  }
  Ring<N> met;
  float from = 0;
  for (int ring = nearest; ring < table.rings(); ring += every) {
    const float r = ring == 0 ? kLeastDistance : static_cast<float>(PlumeTable::ring_m(ring));
    const int parts = static_cast<int>((r - from) / kLongestStep) + 1;
    const float step = (r - from) / static_cast<float>(parts);
    for (int n = 0; n < parts; ++n)
      advance(place, from + (static_cast<float>(n) + 0.5F) * step, step, rays);
    from = r;
    look_up(table.row(ring).front().data(), r, place.sign, rays, met);
    keep(static_cast<size_t>(ring / every), r, met);
  }
}

// Of every angle, the first again at the end.
template <int N>
static void draw_ring(const Ring<N>& met, float* value) {
  evaluate(met, Circle<N>::of(), value);
  value[kPerRay * N] = value[0];
}

ScentPlume::ScentPlume(const Flow& flow, const PlumeTable& table, LocalXY source, Run run)
    : source_(source), reach_m_(table.reach_m()), rings_(table.rings()) {
  for (auto* v : {&mean_x_, &mean_y_, &log_peak_, &kappa_, &rest_, &timber_})
    v->resize(static_cast<size_t>(rings_) * kRayRow);
  value_.resize(static_cast<size_t>(rings_) * kRow);
  trace<kRays>(flow, table, source, run, 1, 0, [&](size_t ring, float, const Ring<kRays>& met) {
    const size_t row = ring * kRayRow;
    const auto keep = [&](const float* from, std::vector<float>& to) {
      std::memcpy(&to[row], from, kRayRow * sizeof(float));
    };
    keep(met.mean_x, mean_x_);
    keep(met.mean_y, mean_y_);
    keep(met.log_peak, log_peak_);
    keep(met.kappa, kappa_);
    keep(met.rest, rest_);
    keep(met.timber, timber_);
    draw_ring(met, &value_[ring * kRow]);
  });
}

// How places around a source are counted in rings and angles.
struct Drawn {
  float reach, least;  // metres
  int angles;
  float rings;  // a unit of ring_coordinate()
};

// Where a place stands: ring times angles, and angle; how far beyond them, and what the square of
// its distance takes off.
struct Placed {
  int place;
  float outward, around, scale;

  [[gnu::always_inline]] Placed(float dx, float dy, const Drawn& drawn) {
    const float far = std::sqrt(dx * dx + dy * dy);
    const float within = far < drawn.reach ? far : drawn.reach;
    const float r = within < drawn.least ? drawn.least : within;
    const float ring = drawn.rings * (std::sqrt(r + kRingStart) - kRingRoot);
    const float all = static_cast<float>(drawn.angles);
    float angle = turns_of(dy, dx) * all;
    angle = angle < all - 0.001F ? angle : 0;
    const int i = static_cast<int>(ring), j = static_cast<int>(angle);
    outward = ring - static_cast<float>(i);
    around = angle - static_cast<float>(j);
    place = i * row_of(drawn.angles) + j;
    scale = far < drawn.reach ? 1 / (r * r) : 0.0F;
  }
};

// Where `n` places stand: place c lies dx(c), dy(c) from the source.
template <class Dx, class Dy>
[[gnu::always_inline]] inline void place_all(PolarPlaces& to, size_t first, int n,
                                             const Drawn& drawn, Dx dx, Dy dy) {
  const Drawn d = drawn;
  std::uint16_t* __restrict place = &to.place[first];
  float* __restrict outward = &to.outward[first], * __restrict around = &to.around[first], * __restrict scale = &to.scale[first];
  for (int c = 0; c < n; ++c) {
    const Placed at(dx(c), dy(c), d);
    place[c] = static_cast<std::uint16_t>(at.place);
    outward[c] = at.outward;
    around[c] = at.around;
    scale[c] = at.scale;
  }
}
// The cells of a row from `dx0`, `dy` from the source on.
LEEWARD_CLONES static void place_cells(PolarPlaces& to, size_t first, int n, float dx0, float cell,
                                       float dy, const Drawn& drawn) {
  place_all(
      to, first, n, drawn,
      [=](int c) __attribute__((always_inline)) { return dx0 + cell * static_cast<float>(c); },
      [=](int) __attribute__((always_inline)) { return dy; });
}
LEEWARD_CLONES static void place_points(PolarPlaces& to, int n, const float* __restrict dx,
                                        const float* __restrict dy, const Drawn& drawn) {
  place_all(
      to, 0, n, drawn, [=](int c) __attribute__((always_inline)) { return dx[c]; },
      [=](int c) __attribute__((always_inline)) { return dy[c]; });
}

static Drawn drawn_of(const PolarPlaces& p) {
  const bool patch = p.patch_sd_m > 0;
  return {static_cast<float>(p.reach_m),
          std::max(kLeastDistance, static_cast<float>(kNearestInPatch * p.patch_sd_m)), p.angles,
          patch ? kRingScale / kPatchRing : kRingScale};
}

PolarPlaces::PolarPlaces(LocalXY at, double reach, double patch)
    : source(at), reach_m(reach), patch_sd_m(patch), angles(patch > 0 ? kFewAngles : kAngles) {}

void PolarPlaces::resize(size_t count) {
  place.resize(count);
  for (auto* v : {&outward, &around, &scale}) v->resize(count);
}

PolarPlaces::PolarPlaces(const std::vector<LocalXY>& places, LocalXY at, double reach)
    : PolarPlaces(at, reach, 0) {
  resize(places.size());
  if (places.empty()) return;
  std::vector<float> dx, dy;
  for (const LocalXY p : places) {
    dx.push_back(static_cast<float>(p.x - at.x));
    dy.push_back(static_cast<float>(p.y - at.y));
  }
  place_points(*this, static_cast<int>(places.size()), dx.data(), dy.data(), drawn_of(*this));
}

PolarCells::PolarCells(const GridSpec& spec, LocalXY at, double reach, double patch)
    : PolarPlaces(at, reach, patch), grid(spec) {
  const auto cell = [](double v, int n) {
    return std::clamp(static_cast<int>(std::floor(v)), 0, n);
  };
  const int r0 = cell(spec.row_of(at.y + reach_m), spec.rows),
            r1 = cell(spec.row_of(at.y - reach_m) + 1, spec.rows);
  size_t total = 0;
  for (int row = r0; row < r1; ++row) {
    const double dy = spec.centre(0, row).y - at.y;
    const double half = std::sqrt(std::max(0.0, reach_m * reach_m - dy * dy));
    const int c0 = cell(spec.col_of(at.x - half), spec.cols),
              c1 = cell(spec.col_of(at.x + half) + 1, spec.cols);
    if (c1 <= c0) continue;
    const int count = std::min((c1 - c0 + 3) / 4 * 4, spec.cols - c0);  // beyond the reach: 0
    spans.push_back({spec.index(c0, row), total, count});
    total += static_cast<size_t>(count);
  }
  resize(total);
  const Drawn drawn = drawn_of(*this);
  for (const Span& s : spans) {
    const LocalXY first = spec.centre(static_cast<int>(s.cell % static_cast<size_t>(spec.cols)),
                                      static_cast<int>(s.cell / static_cast<size_t>(spec.cols)));
    place_cells(*this, s.from, s.count, static_cast<float>(first.x - at.x),
                static_cast<float>(spec.cell_m), static_cast<float>(first.y - at.y), drawn);
  }
}

PolarCells& PolarCells::keep(Part part, double from_m, double to_m) {
  for (float& s : scale) {
    if (s <= 0) continue;
    const double share =
        std::clamp((1 / std::sqrt(static_cast<double>(s)) - from_m) / (to_m - from_m), 0.0, 1.0);
    const double far = share * share * (3 - 2 * share);
    s *= static_cast<float>(part == Part::near ? 1 - far : far);
  }
  return *this;
}

// The values at each of four places and beside it, as two loads fetch them: by twos.
[[gnu::always_inline]] inline void beside(const float* a, const float* b, const float* c,
                                          const float* d, Four& here, Four& next) {
  const auto two = [](const float* p, const float* q) __attribute__((always_inline)) {
    using Pair [[gnu::vector_size(16)]] = long long;
    Pair v;
    std::memcpy(&v, p, 8);
    long long other;
    std::memcpy(&other, q, 8);
    v[1] = other;
    return std::bit_cast<Four>(v);
  };
  const Four ab = two(a, b), cd = two(c, d);
  here = __builtin_shufflevector(ab, cd, 0, 2, 4, 6);
  next = __builtin_shufflevector(ab, cd, 1, 3, 5, 7);
}

LEEWARD_CLONES static void add_cells(const float* __restrict value,
                                     const std::uint16_t* __restrict place,
                                     const float* __restrict outward,
                                     const float* __restrict around, const float* __restrict scale,
                                     int count, float weight, float cap, int row,
                                     float* __restrict out) {
  int c = 0;
  for (; c + 4 <= count; c += 4) {  // compilers gather number by number
    const float* at[4];
    for (int k = 0; k < 4; ++k) at[k] = value + place[c + k];
    Four a, b, far_a, far_b;
    beside(at[0], at[1], at[2], at[3], a, b);
    beside(at[0] + row, at[1] + row, at[2] + row, at[3] + row, far_a, far_b);
    const Four t = four_at(around + c);
    const Four near = a + (b - a) * t, far = far_a + (far_b - far_a) * t;
    const Four v = (near + (far - near) * four_at(outward + c)) * four_at(scale + c);
    const Four sum = four_at(out + c) + weight * (v < cap ? v : Four{} + cap);
    std::memcpy(out + c, &sum, sizeof sum);
  }
  for (; c < count; ++c) {
    const float* at = value + place[c];
    const float near = mix(at[0], at[1], around[c]), far = mix(at[row], at[row + 1], around[c]);
    const float v = mix(near, far, outward[c]) * scale[c];
    out[c] += weight * (v < cap ? v : cap);
  }
}

static void add_all(const std::vector<float>& value, const PolarCells& where, float weight,
                    float cap, Raster<float>& field) {
  for (const PolarCells::Span& s : where.spans)
    add_cells(value.data(), &where.place[s.from], &where.outward[s.from], &where.around[s.from],
              &where.scale[s.from], s.count, weight, cap, row_of(where.angles),
              &field.cells[s.cell]);
}

void ScentPlume::add_to(Raster<float>& field, const PolarCells& where, float weight,
                        float cap) const {
  assert(where.source == source_ && where.grid == field.spec && where.reach_m <= reach_m_ &&
         where.patch_sd_m <= 0);
  add_all(value_, where, weight, cap, field);
}

PatchPlume::PatchPlume(const Flow& flow, const PlumeTable& table, LocalXY middle, double sd)
    : middle_(middle), sd_m_(sd), reach_m_(table.reach_m()) {
  constexpr size_t kFewRow = row_of(kFewAngles);
  value_.resize(static_cast<size_t>(table.rings() / kPatchRing + 1) * kFewRow);
  const int nearest =  // no cell of PolarCells stands inside it
      static_cast<int>(ring_coordinate(static_cast<float>(kNearestInPatch * sd))) / kPatchRing *
      kPatchRing;
  trace<kFewRays>(flow, table, middle, Run::backward, kPatchRing, nearest,
                  [&](size_t ring, float r, Ring<kFewRays>& met) {
                    widen(met, static_cast<float>(sd * sd) / (r * r));
                    draw_ring(met, &value_[ring * kFewRow]);
                  });
}

void PatchPlume::add_to(Raster<float>& field, const PolarCells& where, float weight,
                        float cap) const {
  assert(where.source == middle_ && where.grid == field.spec && where.reach_m <= reach_m_ &&
         where.patch_sd_m > 0 && where.patch_sd_m <= sd_m_ && where.patch_sd_m >= sd_m_);
  add_all(value_, where, weight, cap, field);
}

// Mean of the flow at the middle of each of N parts of the line to (dx, dy).
template <int N>
[[gnu::always_inline]] inline void mean_of_parts(const Place& place, float dx, float dy,
                                                 Four& out) {
  const Place p = place;
  const float each_x = dx * p.per_m / N, each_y = dy * p.per_m / N;
  const Located<N> there(
      p, [&](int k, float& x, float& y) __attribute__((always_inline)) {
        x = p.x0 + (static_cast<float>(k) + 0.5F) * each_x;
        y = p.y0 - (static_cast<float>(k) + 0.5F) * each_y;
      });
  out = Four{};
  for (int k = 0; k < N; ++k) out += there.mean(p, k);
  out *= 1.0F / N;
}
LEEWARD_CLONES static Four mean_along(const Place& place, float dx, float dy, int parts) {
  Four out;
  if (parts == 8) {
    mean_of_parts<8>(place, dx, dy, out);
  } else if (parts == 16) {
    mean_of_parts<16>(place, dx, dy, out);
  } else {
    mean_of_parts<32>(place, dx, dy, out);
  }
  return out;
}

double exposure_along(const PlumeTable& table, const Flow::Cell& mean, float dx, float dy) {
  const float far = std::sqrt(dx * dx + dy * dy), r = std::max(far, kLeastDistance);
  const float ring = std::max(0.0F, ring_coordinate(r));
  const int i = std::min(static_cast<int>(ring), table.rings() - 2);
  const float place = std::clamp(fast_log2(mean.speed / kSlowest) * kSpeedStepsPerOctave, 0.0F,
                                 static_cast<float>(PlumeTable::kSpeeds) - 1.001F);
  const size_t c = static_cast<size_t>(place);
  const float w = place - static_cast<float>(c), t = ring - static_cast<float>(i);
  const auto in = [&](int at) {
    const float* row = table.row(at)[c].data();
    return mix_of(row, row + PlumeTable::kCell, w, mean.timber);
  };
  const Four said = mix(in(i), in(i + 1), t);  // log_peak, kappa, rest
  const float along = (dx * mean.east + dy * mean.north) /
                      (r * std::sqrt(mean.east * mean.east + mean.north * mean.north) + 1e-9F);
  const float value = fast_exp(said[0] + said[1] * ((far > 0 ? along : 1) - 1)) + said[2];
  return static_cast<double>(value / (r * r));
}

std::vector<double> exposures(const Flow& flow, const PlumeTable& table, LocalXY source,
                              const std::vector<LocalXY>& places, Run run) {
  const Place from = place_of(flow, source, run);
  std::vector<double> out(places.size(), 0.0);
  for (size_t k = 0; k < places.size(); ++k) {
    const float dx = static_cast<float>(places[k].x - source.x),
                dy = static_cast<float>(places[k].y - source.y);
    const float far = std::sqrt(dx * dx + dy * dy);
    if (static_cast<double>(far) >= table.reach_m()) continue;
    const Four wind = mean_along(from, dx, dy, parts_of_line(far));
    out[k] =
        exposure_along(table, {from.sign * wind[0], from.sign * wind[1], wind[2], wind[3]}, dx, dy);
  }
  return out;
}

std::vector<float> ScentPlume::at(const PolarPlaces& where) const {
  assert(where.source == source_ && where.reach_m <= reach_m_ && where.patch_sd_m <= 0);
  std::vector<float> out(where.place.size());
  add_cells(value_.data(), where.place.data(), where.outward.data(), where.around.data(),
            where.scale.data(), static_cast<int>(out.size()), 1, kAnyMuch, kRow, out.data());
  return out;
}

Raster<float> ScentPlume::field(const GridSpec& grid) const {
  Raster<float> out(grid, 0.0F);
  add_to(out, PolarCells(grid, source_, reach_m_));
  return out;
}

double ScentPlume::at(LocalXY p) const {
  const Placed there(static_cast<float>(p.x - source_.x), static_cast<float>(p.y - source_.y),
                     {static_cast<float>(reach_m_), kLeastDistance, kAngles, kRingScale});
  const float* v = &value_[static_cast<size_t>(there.place)];
  const float near = mix(v[0], v[1], there.around), far = mix(v[kRow], v[kRow + 1], there.around);
  return static_cast<double>(mix(near, far, there.outward) * there.scale);
}

ScentBand ScentPlume::band_at(LocalXY p) const {
  const double dx = p.x - source_.x, dy = p.y - source_.y;
  const double r = std::max(std::hypot(dx, dy), static_cast<double>(kLeastDistance));
  if (r >= reach_m_) return {};
  const int ring =
      std::min(static_cast<int>(std::lround(ring_coordinate(static_cast<float>(r)))), rings_ - 1);
  const int angle = static_cast<int>(std::lround(
      turns_of(static_cast<float>(dy), static_cast<float>(dx)) * static_cast<float>(kAngles)));
  const size_t k = static_cast<size_t>(ring * kRayRow + angle / kPerRay);
  const float t = static_cast<float>(angle % kPerRay) / kPerRay;
  const auto there = [&](const std::vector<float>& of) {
    return static_cast<double>(mix(of[k], of[std::min(k + 1, of.size() - 1)], t));
  };
  constexpr double kFourOfFive = 1.2816;  // standard deviations
  static const double open = std::log(1.8), closed = std::log(2.5),
                      swing_cos = std::cos(kFourOfFive * 10 * kRadPerDeg),
                      swing_sin = std::sin(kFourOfFive * 10 * kRadPerDeg);
  const double factor = std::exp(kFourOfFive * (open + (closed - open) * there(timber_)));
  // Cosine of the angle to the mean wind; by the swing nearer to it, at most 0, and farther off.
  const double x = there(mean_x_), y = there(mean_y_);
  const double cosine = std::clamp(
      (x * dx + y * dy) / (std::sqrt((x * x + y * y) * (dx * dx + dy * dy)) + 1e-9), -1.0, 1.0);
  const double sine = std::sqrt(1 - cosine * cosine);
  const double nearer = cosine > swing_cos ? 1 : cosine * swing_cos + sine * swing_sin,
               farther = cosine < -swing_cos ? -1 : cosine * swing_cos - sine * swing_sin;
  const double log_peak = there(log_peak_), kappa = there(kappa_), rest = there(rest_);
  const auto with = [&](double c) {
    return static_cast<double>(fast_exp(static_cast<float>(log_peak + kappa * (c - 1)))) + rest;
  };
  const double middle = with(cosine), v = at(p);
  return {v, v * with(farther) / middle / factor, v * with(nearer) / middle * factor};
}

}  // namespace leeward::compute
