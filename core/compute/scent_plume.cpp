#include "core/compute/scent_plume.h"

#include "core/base/multiversion.h"
#include "core/compute/fast_exp.h"
#include "core/compute/near_field.h"

#include <algorithm>
#include <bit>
#include <cmath>

namespace leeward::compute {
namespace {

constexpr int kRays = 128;
constexpr int kPerRay = 2;  // angles of the drawn ring for each ray
constexpr int kAngles = kRays * kPerRay;
constexpr int kRayRow = kRays + 1, kRow = kAngles + 1;
// Rings at r = (i / kRingScale + sqrt(kRingStart))^2 - kRingStart: 3 m apart at the source, 12 m at
// 100 m, 31 m at 800 m.
constexpr float kRingScale = 1.8F, kRingStart = 4, kRingRoot = 2;
constexpr float kLeastDistance = 1.5F;  // m; a body is not a point
constexpr double kLeastSpeed = 0.1, kMostSpeed = 16;
constexpr float kSlowest = static_cast<float>(kLeastSpeed);
constexpr float kLongestStep = 16;  // m; along a ray
const float kSpeedStepsPerOctave = static_cast<float>(std::log(2.0) * (PlumeTable::kSpeeds - 1) /
                                                      std::log(kMostSpeed / kLeastSpeed));
constexpr double kOpenWander = 0.5, kTimberWander = 0.15;  // m/s
constexpr double kUniform_rad = 104 * kRadPerDeg;
constexpr double kLeastHeightShare = 0.1;

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
  f.cells.assign(spec.size(), {static_cast<float>(toward.x), static_cast<float>(toward.y), 0, 0});
  return f;
}

namespace {

static_assert(sizeof(PlumeTable::Row) == 3 * PlumeTable::kSpeeds * sizeof(float));
static_assert(sizeof(Flow::Cell) == 4 * sizeof(float), "lines walk the cells as floats");

// `x`, `y` in cells from the centre of the north-west cell.
[[gnu::always_inline]] inline Flow::Cell sampled(const float* cells, int cols, int rows, float x,
                                                 float y) {
  const float most_x = static_cast<float>(cols - 1) - 0.001F,
              most_y = static_cast<float>(rows - 1) - 0.001F;
  x = x < 0 ? 0 : x > most_x ? most_x : x;
  y = y < 0 ? 0 : y > most_y ? most_y : y;
  const int c = static_cast<int>(x), r = static_cast<int>(y);
  const float u = x - static_cast<float>(c), v = y - static_cast<float>(r);
  const int a = 4 * (r * cols + c), b = a + 4 * cols;
  return {mix(mix(cells[a], cells[a + 4], u), mix(cells[b], cells[b + 4], u), v),
          mix(mix(cells[a + 1], cells[a + 5], u), mix(cells[b + 1], cells[b + 5], u), v),
          mix(mix(cells[a + 2], cells[a + 6], u), mix(cells[b + 2], cells[b + 6], u), v), 0};
}

const float* floats_of(const Flow& flow) { return &flow.cells.front().east; }

}  // namespace

Flow::Cell Flow::at(LocalXY p) const {
  return sampled(floats_of(*this), spec.cols, spec.rows, static_cast<float>(spec.col_of(p.x) - 0.5),
                 static_cast<float>(spec.row_of(p.y) - 0.5));
}

double PlumeTable::ring_m(int ring) {
  const double root = ring / static_cast<double>(kRingScale) + static_cast<double>(kRingRoot);
  return root * root - static_cast<double>(kRingStart);
}

PlumeTable::PlumeTable(const PlumeAir& air, double reach_m)
    : reach_m_(reach_m),
      rings_(static_cast<int>(std::ceil(ring_coordinate(static_cast<float>(reach_m)))) + 2) {
  rows_.resize(static_cast<size_t>(2 * rings_));
  const double scale = 1 / reference_strength();
  for (int n = 0; n < 2 * rings_; ++n) {
    const double l = std::max(ring_m(n % rings_), 1.0);
    Row& row = rows_[static_cast<size_t>(n)];
    for (size_t k = 0; k < kSpeeds; ++k) {
      const double speed =
          kLeastSpeed * std::exp(log_speed_step() * static_cast<double>(k) / (kSpeeds - 1));
      const Strength s = strength(air, n >= rings_, l, speed);
      row.log_peak[k] = static_cast<float>(std::log(s.peak * scale * l * l));
      row.kappa[k] = static_cast<float>(s.kappa);
      row.rest[k] = static_cast<float>(s.rest * scale * l * l);
    }
  }
}

namespace {

// Sums along each ray from the source, side by side for vector code.
struct Rays {
  alignas(64) float x[kRays], y[kRays];                    // direction, length 1
  alignas(64) float sum_x[kRays] = {}, sum_y[kRays] = {};  // of the wind times metres
  alignas(64) float run[kRays] = {}, under[kRays] = {};    // of the speed; m under canopy
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

// Adds the wind at the distance `at` for `step` metres of every ray.
LEEWARD_CLONES static void advance(const Place& place, float at, float step,
                                   const float* __restrict x, const float* __restrict y,
                                   float* __restrict sum_x, float* __restrict sum_y,
                                   float* __restrict run, float* __restrict under) {
  const Place p = place;
  for (int k = 0; k < kRays; ++k) {
    const Flow::Cell w =
        sampled(p.cells, p.cols, p.rows, p.x0 + at * x[k] * p.per_m, p.y0 - at * y[k] * p.per_m);
    const float speed = std::sqrt(w.east * w.east + w.north * w.north);
    sum_x[k] += p.sign * step * w.east;
    sum_y[k] += p.sign * step * w.north;
    run[k] += step * speed;
    under[k] += step * w.timber;
  }
}

// What the table says for every ray at a ring `r` metres out.
LEEWARD_CLONES static void look_up(const float* __restrict open, const float* __restrict closed,
                                   float r, const float* __restrict run,
                                   const float* __restrict under, float* __restrict log_peak,
                                   float* __restrict kappa, float* __restrict rest,
                                   float* __restrict timber) {
  constexpr int kN = PlumeTable::kSpeeds;
  const float per_octave = kSpeedStepsPerOctave, inverse = 1 / r, per_slowest = inverse / kSlowest;
  alignas(64) int cell[kRays];
  alignas(64) float share[kRays];
  for (int k = 0; k < kRays; ++k) {
    float place = fast_log2(run[k] * per_slowest) * per_octave;
    place = place < 0.0F ? 0.0F : place;
    place = place > kN - 1.001F ? kN - 1.001F : place;
    cell[k] = static_cast<int>(place);
    share[k] = place - static_cast<float>(cell[k]);
    timber[k] = under[k] * inverse;
  }
  for (int k = 0; k < kRays; ++k) {
    const int i = cell[k];
    const float w = share[k], t = timber[k];
    log_peak[k] = mix(mix(open[i], open[i + 1], w), mix(closed[i], closed[i + 1], w), t);
    kappa[k] =
        mix(mix(open[kN + i], open[kN + i + 1], w), mix(closed[kN + i], closed[kN + i + 1], w), t);
    rest[k] = mix(mix(open[2 * kN + i], open[2 * kN + i + 1], w),
                  mix(closed[2 * kN + i], closed[2 * kN + i + 1], w), t);
  }
}

// Exposure times squared distance around a ring: between two rays all that they hold is mixed.
LEEWARD_CLONES static void evaluate(const float* __restrict mean_x, const float* __restrict mean_y,
                                    const float* __restrict log_peak, const float* __restrict kappa,
                                    const float* __restrict rest, const float* __restrict cosine,
                                    const float* __restrict sine, float* __restrict out) {
  for (int j = 0; j < kAngles; ++j) {
    const int k = j / kPerRay;
    const float t = static_cast<float>(j % kPerRay) * (1.0F / kPerRay);
    const float x = mix(mean_x[k], mean_x[k + 1], t), y = mix(mean_y[k], mean_y[k + 1], t);
    const float along = (cosine[j] * x + sine[j] * y) / (std::sqrt(x * x + y * y) + 1e-6F);
    out[j] = fast_exp(mix(log_peak[k], log_peak[k + 1], t) +
                      mix(kappa[k], kappa[k + 1], t) * (along - 1)) +
             mix(rest[k], rest[k + 1], t);
  }
}

namespace {

struct Circle {
  alignas(64) std::array<float, kAngles> cosine, sine;
  Circle() {
    for (size_t j = 0; j < kAngles; ++j) {
      const double a = 2 * kPi * static_cast<double>(j) / kAngles;
      cosine[j] = static_cast<float>(std::cos(a));
      sine[j] = static_cast<float>(std::sin(a));
    }
  }
};
const Circle& circle() {
  static const Circle value;
  return value;
}

}  // namespace

ScentPlume::ScentPlume(const Flow& flow, const PlumeTable& table, LocalXY source, Run run)
    : source_(source), reach_m_(table.reach_m()), rings_(table.rings()) {
  for (auto* v : {&mean_x_, &mean_y_, &log_peak_, &kappa_, &rest_, &timber_})
    v->resize(static_cast<size_t>(rings_) * kRayRow);
  value_.resize(static_cast<size_t>(rings_) * kRow);
  trace(flow, table, run);
}

void ScentPlume::trace(const Flow& flow, const PlumeTable& table, Run run) {
  const Place place = place_of(flow, source_, run);
  Rays rays;
  for (size_t k = 0; k < kRays; ++k) {
    rays.x[k] = circle().cosine[k * kPerRay];
    rays.y[k] = circle().sine[k * kPerRay];
  }
  float from = 0;
  for (int ring = 0; ring < rings_; ++ring) {
    const float r = ring == 0 ? kLeastDistance : static_cast<float>(PlumeTable::ring_m(ring));
    const int parts = static_cast<int>((r - from) / kLongestStep) + 1;
    const float step = (r - from) / static_cast<float>(parts);
    for (int n = 0; n < parts; ++n)
      advance(place, from + (static_cast<float>(n) + 0.5F) * step, step, rays.x, rays.y, rays.sum_x,
              rays.sum_y, rays.run, rays.under);
    from = r;
    const size_t row = static_cast<size_t>(ring) * kRayRow;
    look_up(table.row(ring, false).log_peak.data(), table.row(ring, true).log_peak.data(), r,
            rays.run, rays.under, &log_peak_[row], &kappa_[row], &rest_[row], &timber_[row]);
    std::copy_n(rays.sum_x, kRays, &mean_x_[row]);
    std::copy_n(rays.sum_y, kRays, &mean_y_[row]);
    for (auto* v : {&mean_x_, &mean_y_, &log_peak_, &kappa_, &rest_, &timber_})
      (*v)[row + kRays] = (*v)[row];
    const size_t around = static_cast<size_t>(ring) * kRow;
    evaluate(&mean_x_[row], &mean_y_[row], &log_peak_[row], &kappa_[row], &rest_[row],
             circle().cosine.data(), circle().sine.data(), &value_[around]);
    value_[around + kAngles] = value_[around];
  }
}

LEEWARD_CLONES static void add_cells(const float* __restrict value, int rings,
                                     float* __restrict out, int cols, float dx0, float cell,
                                     float dy, float reach, float least, float weight, float cap) {
  const float last = static_cast<float>(rings - 1) - 0.001F;
  for (int c = 0; c < cols; ++c) {
    const float dx = dx0 + cell * static_cast<float>(c);
    const float far = std::sqrt(dx * dx + dy * dy);
    const float r = far < least ? least : far;
    float ring = kRingScale * (std::sqrt(r + kRingStart) - kRingRoot);
    ring = ring < last ? ring : last;
    float angle = turns_of(dy, dx) * static_cast<float>(kAngles);
    angle = angle < static_cast<float>(kAngles) - 0.001F ? angle : 0;
    const int i = static_cast<int>(ring), j = static_cast<int>(angle);
    const float t = ring - static_cast<float>(i), w = angle - static_cast<float>(j);
    const int n = i * kRow + j;
    const float near = mix(value[n], value[n + 1], w);
    const float far_ring = mix(value[n + kRow], value[n + kRow + 1], w);
    const float v = mix(near, far_ring, t) / (r * r);
    const float capped = v < cap ? v : cap;
    out[c] += far < reach ? weight * capped : 0.0F;
  }
}

void ScentPlume::add_to(Raster<float>& field, float weight, float cap, double least_m) const {
  const GridSpec& g = field.spec;
  const auto cell = [](double v, int n) {
    return std::clamp(static_cast<int>(std::floor(v)), 0, n);
  };
  const int r0 = cell(g.row_of(source_.y + reach_m_), g.rows),
            r1 = cell(g.row_of(source_.y - reach_m_) + 1, g.rows);
  const float reach = static_cast<float>(reach_m_);
  for (int row = r0; row < r1; ++row) {
    const double dy = g.centre(0, row).y - source_.y;
    const double half = std::sqrt(std::max(0.0, reach_m_ * reach_m_ - dy * dy));
    const int c0 = cell(g.col_of(source_.x - half), g.cols),
              c1 = cell(g.col_of(source_.x + half) + 1, g.cols);
    if (c1 <= c0) continue;
    add_cells(value_.data(), rings_, field.row(row) + c0, c1 - c0,
              static_cast<float>(g.centre(c0, 0).x - source_.x), static_cast<float>(g.cell_m),
              static_cast<float>(dy), reach, std::max(kLeastDistance, static_cast<float>(least_m)),
              weight, cap);
  }
}

void ScentPlume::fill(Raster<float>& field) const {
  std::fill(field.cells.begin(), field.cells.end(), 0.0F);
  add_to(field, 1, 1e9F);
}

// Sums the wind at the middle of each of `parts` parts of the lines to (dx, dy).
LEEWARD_CLONES static void walk_lines(const Place& place, int n, int parts,
                                      const float* __restrict dx, const float* __restrict dy,
                                      float* __restrict sum_x, float* __restrict sum_y,
                                      float* __restrict run, float* __restrict under) {
  const Place p = place;
  for (int part = 0; part < parts; ++part) {
    const float t = (static_cast<float>(part) + 0.5F) / static_cast<float>(parts) * p.per_m;
    for (int k = 0; k < n; ++k) {
      const Flow::Cell w = sampled(p.cells, p.cols, p.rows, p.x0 + t * dx[k], p.y0 - t * dy[k]);
      sum_x[k] += p.sign * w.east;
      sum_y[k] += p.sign * w.north;
      run[k] += std::sqrt(w.east * w.east + w.north * w.north);
      under[k] += w.timber;
    }
  }
}

std::vector<double> exposures(const Flow& flow, const PlumeTable& table, LocalXY source,
                              const std::vector<LocalXY>& places, Run run) {
  constexpr int kParts = 32;
  const size_t n = places.size();
  std::vector<float> all(6 * n, 0.0F);
  float *dx = all.data(), *dy = dx + n, *x = dy + n, *y = x + n, *speed = y + n, *under = speed + n;
  for (size_t k = 0; k < n; ++k) {
    dx[k] = static_cast<float>(places[k].x - source.x);
    dy[k] = static_cast<float>(places[k].y - source.y);
  }
  walk_lines(place_of(flow, source, run), static_cast<int>(n), kParts, dx, dy, x, y, speed, under);
  std::vector<double> out(n, 0.0);
  for (size_t k = 0; k < n; ++k) {
    const float far = std::sqrt(dx[k] * dx[k] + dy[k] * dy[k]);
    const float r = std::max(far, kLeastDistance);
    if (static_cast<double>(far) >= table.reach_m()) continue;
    const float ring = std::max(0.0F, ring_coordinate(r));
    const int i = std::min(static_cast<int>(ring), table.rings() - 2);
    const float place = std::clamp(fast_log2(speed[k] / (kParts * kSlowest)) * kSpeedStepsPerOctave,
                                   0.0F, static_cast<float>(PlumeTable::kSpeeds) - 1.001F);
    const size_t c = static_cast<size_t>(place);
    const float w = place - static_cast<float>(c), t = ring - static_cast<float>(i);
    const auto look = [&](auto member) {
      const auto in = [&](int at, bool timber) {
        const auto& row = table.row(at, timber).*member;
        return mix(row[c], row[c + 1], w);
      };
      const float u = under[k] / kParts;
      return mix(mix(in(i, false), in(i, true), u), mix(in(i + 1, false), in(i + 1, true), u), t);
    };
    const float along = far > 0 ? (dx[k] * x[k] + dy[k] * y[k]) /
                                      (far * std::sqrt(x[k] * x[k] + y[k] * y[k]) + 1e-9F)
                                : 1;
    const float value =
        fast_exp(look(&PlumeTable::Row::log_peak) + look(&PlumeTable::Row::kappa) * (along - 1)) +
        look(&PlumeTable::Row::rest);
    out[k] = static_cast<double>(value / (r * r));
  }
  return out;
}

double ScentPlume::at(LocalXY p) const {
  const float dx = static_cast<float>(p.x - source_.x), dy = static_cast<float>(p.y - source_.y);
  float out = 0;
  add_cells(value_.data(), rings_, &out, 1, dx, 1, dy, static_cast<float>(reach_m_), kLeastDistance,
            1, 1e9F);
  return static_cast<double>(out);
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
  const double error = std::log(1.8) + (std::log(2.5) - std::log(1.8)) * there(timber_);
  const double factor = std::exp(kFourOfFive * error), swing = kFourOfFive * 10 * kRadPerDeg;
  const double turned =
      std::abs(wrap_180((std::atan2(there(mean_y_), there(mean_x_)) - std::atan2(dy, dx)) *
                        kDegPerRad)) *
      kRadPerDeg;
  const double log_peak = there(log_peak_), kappa = there(kappa_), rest = there(rest_);
  const auto with = [&](double d) { return std::exp(log_peak + kappa * (std::cos(d) - 1)) + rest; };
  const double middle = with(turned), v = at(p);
  return {v, v * with(std::min(kPi, turned + swing)) / middle / factor,
          v * with(std::max(0.0, turned - swing)) / middle * factor};
}

}  // namespace leeward::compute
