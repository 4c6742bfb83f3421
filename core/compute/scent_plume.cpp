#include "core/compute/scent_plume.h"

#include "core/base/multiversion.h"
#include "core/compute/fast_exp.h"
#include "core/compute/near_field.h"

#include <algorithm>
#include <bit>
#include <cmath>

namespace leeward::compute {
namespace {

constexpr int kLines = 64;    // of the fan
constexpr int kAngles = 160;  // around each ring
constexpr int kLineRow = kLines + 1, kRow = kAngles + 1;
constexpr float kTurn = static_cast<float>(2 * kPi);
// Rings at r = (i / kRingScale + sqrt(kRingStart))^2 - kRingStart: 4 m apart at the source, 17 m at
// 100 m, 46 m at 800 m.
constexpr float kRingScale = 1.2F, kRingStart = 4, kRingRoot = 2;
constexpr float kLeastDistance = 1.5F;  // m; a body is not a point
constexpr double kLeastSpeed = 0.1, kMostSpeed = 16;
constexpr float kSlowest = static_cast<float>(kLeastSpeed);
constexpr float kLog2 = 0.69314718F;
constexpr double kOpenWander = 0.5, kTimberWander = 0.15;  // m/s
constexpr double kUniform_rad = 104 * kRadPerDeg;
constexpr double kLeastHeightShare = 0.1;
constexpr float kLeastOutward =
    0.2F;  // of a step's direction, so that every line reaches each ring

float ring_coordinate(float distance) {
  return kRingScale * (std::sqrt(distance + kRingStart) - kRingRoot);
}

// log2 to 2e-4.
float fast_log2(float x) {
  const auto bits = std::bit_cast<std::uint32_t>(x);
  const float e = static_cast<float>(static_cast<int>(bits >> 23) - 127);
  const float m = std::bit_cast<float>((bits & 0x7FFFFFU) | 0x3F800000U) - 1;
  return e + m * (1.4413F + m * (-0.7090F + m * (0.4146F + m * (-0.1950F + m * 0.0481F))));
}

// atan2(y, x) in turns of a circle, 0..1, to 2e-6 of a turn; 0 at the origin.
inline float turns_of(float y, float x) {
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
  const double kappa = von_mises_kappa(spread.circular_rad);
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
  entries_.resize(static_cast<size_t>(2 * rings_));
  const double scale = 1 / reference_strength();
  for (int n = 0; n < 2 * rings_; ++n) {
    const double l = std::max(ring_m(n % rings_), 1.0);
    for (int k = 0; k < kSpeeds; ++k) {
      const double speed = kLeastSpeed * std::exp(log_speed_step() * k / (kSpeeds - 1));
      const Strength s = strength(air, n >= rings_, l, speed);
      entries_[static_cast<size_t>(n)][static_cast<size_t>(k)] = {
          static_cast<float>(std::log(s.peak * scale * l * l)), static_cast<float>(s.kappa),
          static_cast<float>(s.rest * scale * l * l)};
    }
  }
}

PlumeTable::Entry PlumeTable::at(float length, float speed, float timber) const {
  static const float per_octave =
      static_cast<float>(std::log(2.0) * (kSpeeds - 1) / log_speed_step());
  const float ring = std::min(ring_coordinate(length), static_cast<float>(rings_) - 1.001F);
  const float place = std::clamp(fast_log2(speed / static_cast<float>(kLeastSpeed)) * per_octave,
                                 0.0F, static_cast<float>(kSpeeds) - 1.001F);
  const auto i = static_cast<size_t>(ring), k = static_cast<size_t>(place);
  const float t = ring - static_cast<float>(i), w = place - static_cast<float>(k);
  const auto look = [&](size_t setting) {
    const auto* row = &entries_[setting * static_cast<size_t>(rings_) + i];
    const Entry &a = row[0][k], &b = row[0][k + 1], &c = row[1][k], &d = row[1][k + 1];
    return Entry{mix(mix(a.log_peak, b.log_peak, w), mix(c.log_peak, d.log_peak, w), t),
                 mix(mix(a.kappa, b.kappa, w), mix(c.kappa, d.kappa, w), t),
                 mix(mix(a.rest, b.rest, w), mix(c.rest, d.rest, w), t)};
  };
  if (timber <= 0.001F) return look(0);
  const Entry closed = look(1);
  if (timber >= 0.999F) return closed;
  const Entry open = look(0);
  return {mix(open.log_peak, closed.log_peak, timber), mix(open.kappa, closed.kappa, timber),
          mix(open.rest, closed.rest, timber)};
}

// The lines of the fan at one ring, side by side for vector code.
struct ScentPlume::Fan {
  alignas(64) float x[kLines], y[kLines];                         // from the source, m
  alignas(64) float cosine[kLines], sine[kLines];                 // of the line's turn
  alignas(64) float length[kLines], time[kLines], under[kLines];  // m, s, m under canopy
};

namespace {

struct Place {
  const float* cells;
  int cols, rows;
  float x0, y0, per_m;  // of the source in cells; cells a metre
  float sign;           // -1: against the wind
};

struct Pace {
  float x, y;   // direction, length 1
  float speed;  // m/s
  float timber;
};

// Direction at a place of a line, held outward of (ox, oy).
[[gnu::always_inline]] inline Pace pace_at(const Place& p, float x, float y, float cosine,
                                           float sine, float ox, float oy) {
  const Flow::Cell w = sampled(p.cells, p.cols, p.rows, p.x0 + x * p.per_m, p.y0 - y * p.per_m);
  const float e = p.sign * (w.east * cosine - w.north * sine);
  const float n = p.sign * (w.east * sine + w.north * cosine);
  const float speed = std::sqrt(e * e + n * n);
  const float inverse = 1 / (speed + 1e-6F);
  float dx = e * inverse, dy = n * inverse;
  const float outward = dx * ox + dy * oy;
  const float lift = outward < kLeastOutward ? kLeastOutward - outward : 0;
  dx += lift * ox, dy += lift * oy;
  const float norm = 1 / std::sqrt(dx * dx + dy * dy + 1e-12F);
  return {dx * norm, dy * norm, speed, w.timber};
}

}  // namespace

// Turn of a line, -1/2 .. 1/2 of a circle, by its place in the fan: twice as dense ahead as evenly.
[[gnu::always_inline]] inline float turn_of(float place) {
  const float s = (place + 0.5F) / kLines - 0.5F;
  return s * (0.5F + 2 * s * s);
}

// exposure times squared distance around a ring.
LEEWARD_CLONES static void evaluate(const float* __restrict line, const float* __restrict log_peak,
                                    const float* __restrict kappa, const float* __restrict rest,
                                    float* __restrict out) {
  for (int j = 0; j < kRow; ++j) {
    const int k = static_cast<int>(line[j]);
    const float t = line[j] - static_cast<float>(k);
    const float turned = turn_of(line[j]);             // beyond the last line: half a turn and more
    const float h = 0.5F * kTurn * turned, q = h * h;  // sin(h) to 4e-6 to half a turn
    const float sine =
        h * (1 + q * (-1.6666657e-1F + q * (8.333017e-3F + q * (-1.980661e-4F + q * 2.6e-6F))));
    const float peak = mix(log_peak[k], log_peak[k + 1], t);
    const float narrow = mix(kappa[k], kappa[k + 1], t);
    out[j] = fast_exp(peak - 2 * narrow * sine * sine) + mix(rest[k], rest[k + 1], t);
  }
}

// One ring outward, by the midpoint rule.
LEEWARD_CLONES static void advance(const Place& place, float to, float* __restrict x,
                                   float* __restrict y, const float* __restrict cosine,
                                   const float* __restrict sine, float* __restrict length,
                                   float* __restrict time, float* __restrict under) {
  const Place p = place;
  for (int k = 0; k < kLines; ++k) {
    const float px = x[k], py = y[k], rr = px * px + py * py;
    const float inverse = 1 / (std::sqrt(rr) + 1e-6F);
    const Pace a = pace_at(p, px, py, cosine[k], sine[k], px * inverse, py * inverse);
    const float pa = px * a.x + py * a.y, room = to * to - rr;
    const float ha = std::sqrt(pa * pa + room) - pa;
    const float mx = px + 0.5F * ha * a.x, my = py + 0.5F * ha * a.y;
    const float mi = 1 / (std::sqrt(mx * mx + my * my) + 1e-6F);
    const Pace b = pace_at(p, mx, my, cosine[k], sine[k], mx * mi, my * mi);
    const float pb = px * b.x + py * b.y;
    const float h = std::sqrt(pb * pb + room) - pb;
    x[k] = px + h * b.x;
    y[k] = py + h * b.y;
    length[k] += h;
    time[k] += h / (b.speed > kSlowest ? b.speed : kSlowest);
    under[k] += h * b.timber;
  }
}

// Which line of the fan passes each angle of a ring; of several, the one turned least.
static void find_lines(const float* angle, float* line) {
  constexpr float kMiddle = (kLines - 1) / 2.0F;
  std::fill_n(line, kRow, 1e9F);
  for (int k = 0; k < kLines; ++k) {
    const float from = angle[k];
    float across = angle[k + 1] - from;
    if (across > kAngles / 2) across -= kAngles;  // the shorter way round
    if (across < -kAngles / 2) across += kAngles;
    const float low = across < 0 ? from + across : from, high = across < 0 ? from : from + across;
    const float per_node = across != 0 ? 1 / across : 0;
    for (int j = static_cast<int>(std::ceil(low)); static_cast<float>(j) <= high; ++j) {
      const float place = static_cast<float>(k) + (static_cast<float>(j) - from) * per_node;
      float& best = line[j < 0 ? j + kAngles : j >= kAngles ? j - kAngles : j];
      if (std::abs(place - kMiddle) < std::abs(best - kMiddle)) best = place;
    }
  }
  // An angle that rounding left between two lines takes its neighbour's.
  for (int j = 1; j < kAngles; ++j)
    if (line[j] > kLines) line[j] = line[j - 1];
  for (int j = kAngles - 2; j >= 0; --j)
    if (line[j] > kLines) line[j] = line[j + 1];
  line[kAngles] = line[0];
}

ScentPlume::ScentPlume(const Flow& flow, const PlumeTable& table, LocalXY source, Run run)
    : source_(source), reach_m_(table.reach_m()), rings_(table.rings()) {
  for (auto* v : {&log_peak_, &kappa_, &rest_, &timber_})
    v->resize(static_cast<size_t>(rings_) * kLineRow);
  for (auto* v : {&line_, &value_}) v->resize(static_cast<size_t>(rings_) * kRow);
  trace(flow, table, run);
}

void ScentPlume::trace(const Flow& flow, const PlumeTable& table, Run run) {
  Fan fan;
  const Place place{floats_of(flow),
                    flow.spec.cols,
                    flow.spec.rows,
                    static_cast<float>(flow.spec.col_of(source_.x) - 0.5),
                    static_cast<float>(flow.spec.row_of(source_.y) - 0.5),
                    static_cast<float>(1 / flow.spec.cell_m),
                    run == Run::forward ? 1.0F : -1.0F};
  const Flow::Cell here = flow.at(source_);
  const float speed = std::hypot(here.east, here.north);
  const float east = speed > 0 ? place.sign * here.east / speed : 1;
  const float north = speed > 0 ? place.sign * here.north / speed : 0;
  for (int k = 0; k < kLines; ++k) {
    fan.cosine[k] = std::cos(kTurn * turn_of(static_cast<float>(k)));
    fan.sine[k] = std::sin(kTurn * turn_of(static_cast<float>(k)));
    // A first step so short that the wind at the source holds.
    const float step = 0.01F;
    fan.x[k] = step * (east * fan.cosine[k] - north * fan.sine[k]);
    fan.y[k] = step * (east * fan.sine[k] + north * fan.cosine[k]);
    fan.length[k] = step;
    fan.time[k] = step / std::max(speed, kSlowest);
    fan.under[k] = step * here.timber;
  }
  float angle[kLineRow];
  for (int ring = 0; ring < rings_; ++ring) {
    const float r = std::max(0.01F, static_cast<float>(PlumeTable::ring_m(ring)));
    if (ring > 0)
      advance(place, r, fan.x, fan.y, fan.cosine, fan.sine, fan.length, fan.time, fan.under);
    const size_t row = static_cast<size_t>(ring) * kLineRow;
    for (int k = 0; k <= kLines; ++k) {
      const int n = k % kLines;
      const size_t at = row + static_cast<size_t>(k);
      const float length = fan.length[n], straight = r / length;
      timber_[at] = fan.under[n] / length;
      const PlumeTable::Entry e = table.at(length, length / fan.time[n], timber_[at]);
      log_peak_[at] = e.log_peak + 2 * kLog2 * fast_log2(straight);
      kappa_[at] = e.kappa;
      rest_[at] = e.rest * straight * straight;
      angle[k] = turns_of(fan.y[n], fan.x[n]) * kAngles;
    }
    const size_t around = static_cast<size_t>(ring) * kRow;
    find_lines(angle, &line_[around]);
    evaluate(&line_[around], &log_peak_[row], &kappa_[row], &rest_[row], &value_[around]);
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
  const float line = line_[static_cast<size_t>(ring * kRow + angle)];
  const size_t k = static_cast<size_t>(ring * kLineRow) + static_cast<size_t>(line);
  const float t = line - std::floor(line);
  const auto there = [&](const std::vector<float>& of) {
    return static_cast<double>(mix(of[k], of[k + 1], t));
  };
  constexpr double kFourOfFive = 1.2816;  // standard deviations
  const double error = std::log(1.8) + (std::log(2.5) - std::log(1.8)) * there(timber_);
  const double factor = std::exp(kFourOfFive * error), swing = kFourOfFive * 10 * kRadPerDeg;
  const double apart = std::abs(static_cast<double>(turn_of(line)));  // turns
  const double turned = 2 * kPi * std::min(apart, 1 - apart);
  const double log_peak = there(log_peak_), kappa = there(kappa_), rest = there(rest_);
  const auto with = [&](double d) { return std::exp(log_peak + kappa * (std::cos(d) - 1)) + rest; };
  const double middle = with(turned), v = at(p);
  return {v, v * with(std::min(kPi, turned + swing)) / middle / factor,
          v * with(std::max(0.0, turned - swing)) / middle * factor};
}

}  // namespace leeward::compute
