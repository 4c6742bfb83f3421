#include "core/compute/scent_plume.h"

#include "core/base/multiversion.h"
#include "core/compute/fast_exp.h"
#include "core/compute/plume_parts.h"

#include <algorithm>
#include <cassert>

namespace leeward::compute {

using namespace plume;

namespace {

constexpr float kLongestStep = 32;  // m; along a ray: 0.2 % from steps of 2 m
constexpr float kAnyMuch = 1e9F;

// Sums along each ray from the source.
template <int N>
struct Rays {
  alignas(64) float x[N], y[N];  // direction, length 1
  Four sum[N] = {};              // of the cells of a Flow times metres
};

}  // namespace

Flow Flow::uniform(const GridSpec& spec, LocalXY toward) {
  Flow f{spec, {}};
  f.cells.assign(spec.size(),
                 Cell::of(static_cast<float>(toward.x), static_cast<float>(toward.y), 0));
  return f;
}

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
