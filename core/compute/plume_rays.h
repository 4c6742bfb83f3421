// Rays of a plume: followed over the wind, looked up in the table, drawn ring by ring. For
// scent_plume.cpp and patch_plume.cpp alone; each names advance(), look_up() and evaluate() for its
// number of rays, since templates cannot be cloned.
#pragma once

#include "core/compute/fast_exp.h"
#include "core/compute/plume_parts.h"

#include <span>

namespace leeward::compute::plume {

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

// Sums along each ray from the source.
template <int N>
struct Rays {
  alignas(64) float x[N], y[N];  // direction, length 1
  Four sum[N] = {};              // of the cells of a Flow times metres
  float from = 0;                // metres out, of the sums

  Rays() {
    std::memcpy(x, Circle<N>::of().cosine, sizeof x);
    std::memcpy(y, Circle<N>::of().sine, sizeof y);
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

// Follows the rays on in steps of at most `longest` metres and shows `keep(r, what they meet)` each
// of the table's `rings`.
template <int N, class Keep>
void trace(const Place& place, const PlumeTable& table, std::span<const int> rings, float longest,
           Rays<N>& rays, Keep keep) {
  Ring<N> met;
  for (const int ring : rings) {
    const float r = ring == 0 ? kLeastDistance : static_cast<float>(PlumeTable::ring_m(ring));
    const int parts = static_cast<int>((r - rays.from) / longest) + 1;
    const float step = (r - rays.from) / static_cast<float>(parts);
    for (int p = 0; p < parts; ++p)
      advance(place, rays.from + (static_cast<float>(p) + 0.5F) * step, step, rays);
    rays.from = r;
    look_up(table.row(ring).front().data(), r, place.sign, rays, met);
    keep(r, met);
  }
}

// Rays as near to one another again: between two of them all that they hold is mixed.
template <int N>
void double_rays(const Rays<N>& from, Rays<2 * N>& to) {
  for (int k = 0; k < N; ++k) {
    to.sum[2 * k] = from.sum[k];
    to.sum[2 * k + 1] = 0.5F * (from.sum[k] + from.sum[(k + 1) % N]);
  }
  to.from = from.from;
}
template <int N>
[[gnu::always_inline]] inline void double_ring(const Ring<N>& from, Ring<2 * N>& to) {
  const auto both =
      [](const float* __restrict a, float* __restrict b) __attribute__((always_inline)) {
    for (int k = 0; k < N; ++k) {
      b[2 * k] = a[k];
      b[2 * k + 1] = 0.5F * (a[k] + a[k + 1]);
    }
    b[2 * N] = a[N];
  };
  both(from.mean_x, to.mean_x), both(from.mean_y, to.mean_y);
  both(from.log_peak, to.log_peak), both(from.kappa, to.kappa), both(from.rest, to.rest);
}

// Of every angle, the first again at the end.
template <int N>
void draw_ring(const Ring<N>& met, float* value) {
  evaluate(met, Circle<N>::of(), value);
  value[kPerRay * N] = value[0];
}

}  // namespace leeward::compute::plume
