#include "core/compute/sight_dimming.h"

#include "core/base/multiversion.h"
#include "core/compute/fast_exp.h"
#include "core/compute/sight_lanes.h"

#include <algorithm>
#include <cmath>

namespace leeward::compute::octant {
namespace {

using lanes::Floats;
using lanes::Ints;
using lanes::kLanes;

constexpr int kMostRays = 128;
constexpr int kChunk = 16;  // lists are padded to whole chunks

// Sum of the densities whose slope is higher; lists are padded to whole chunks with none.
LEEWARD_INLINE float met_under(const float* slope, const float* density, int count, float target,
                               float enough) {
  Floats sum[2] = {};
  const Floats zero{};
  float met = 0;
  for (int at = 0; at < count; at += kChunk) {
    for (int q = 0; q < 2; ++q) {
      Floats height, thick;
      lanes::load(height, slope + at + q * kLanes);
      lanes::load(thick, density + at + q * kLanes);
      sum[q] += height > target ? thick : zero;
    }
    if ((at / kChunk) % 4 != 3) continue;
    const Floats all = sum[0] + sum[1];
    met = ((all[0] + all[1]) + (all[2] + all[3])) + ((all[4] + all[5]) + (all[6] + all[7]));
    if (met > enough) return met;
  }
  const Floats all = sum[0] + sum[1];
  return ((all[0] + all[1]) + (all[2] + all[3])) + ((all[4] + all[5]) + (all[6] + all[7]));
}

// What the rays' lists hold, a row of `room` entries a ray.
struct Lists {
  float *slope, *density;
  int* count;
  std::ptrdiff_t room;
};
// One ring of the land under the rays: where ray n meets it is cell n a_ray + half.
struct UnderRays {
  const float *ground_m, *top_m, *density_per_m;
  int rays, last;
  float a_ray, half, inverse;
};

// Depth on each ray to the target on this ring.
LEEWARD_CLONES void depths(const UnderRays& ring, const Lists& lists, float target_height_m,
                           float within, float enough, float* out) {
  for (int n = 0; n <= ring.rays; ++n) {
    const int j = std::min(static_cast<int>(static_cast<float>(n) * ring.a_ray + ring.half),
                           std::max(0, ring.last));
    const float target_m = ring.ground_m[j] + target_height_m;
    const float own = target_m < ring.top_m[j] ? 0.5F * ring.density_per_m[j] : 0.0F;
    const std::ptrdiff_t list = n * lists.room;
    out[n] = within + own +
             met_under(lists.slope + list, lists.density + list, lists.count[n],
                       target_m * ring.inverse, enough);
  }
}

// Adds the cover of this ring to the lists.
LEEWARD_CLONES void take_in(const UnderRays& ring, const Lists& lists) {
  for (int n = 0; n <= ring.rays; ++n) {
    const int j = static_cast<int>(static_cast<float>(n) * ring.a_ray + ring.half);
    if (j > ring.last) break;
    const float density = ring.density_per_m[j];
    if (!(density > 0)) continue;
    const std::ptrdiff_t to = n * lists.room + lists.count[n]++;
    lists.slope[to] = ring.top_m[j] * ring.inverse;
    lists.density[to] = density;
  }
}

// Depths of the cells of a ring from those of the rays, eight at a time; rays no denser than cells.
LEEWARD_CLONES void spread(const float* by_ray, float rays_a_cell, int count, float* out) {
  Floats index{0, 1, 2, 3, 4, 5, 6, 7};
  for (int j = 0; j < count; j += kLanes) {
    const int from = static_cast<int>(static_cast<float>(j) * rays_a_cell);
    const Floats off = (index + static_cast<float>(j)) * rays_a_cell - static_cast<float>(from);
    const Ints whole = __builtin_convertvector(off, Ints);
    const Floats part = off - __builtin_convertvector(whole, Floats);
    Floats a, b;
    lanes::load(a, by_ray + from);
    lanes::load(b, by_ray + from + 1);
    a = __builtin_shuffle(a, whole);
    b = __builtin_shuffle(b, whole);
    lanes::store(out + j, a + (b - a) * part);
  }
}

// The line is longer than a ring by the secant of its bearing.
LEEWARD_CLONES void values(const float* __restrict depth, const float* __restrict seen,
                           float inverse, float cell_m, int count, std::uint8_t* __restrict out) {
  for (int j = 0; j < (count + 15) / 16 * 16; ++j) {
    const float share = static_cast<float>(j) * inverse;
    const float length_m = cell_m * std::sqrt(1.0F + share * share);
    const float value = 255.0F * seen[j] * fast_exp(-depth[j] * length_m) + 0.5F;
    out[j] = static_cast<std::uint8_t>(static_cast<int>(value));
  }
}

}  // namespace

Dimming::Dimming(const Octant& o)
    : o_(o),
      rays_(std::min(o.rings, kMostRays)),
      step_(std::clamp(o.rings / 100, 1, 16)),
      room_((o.rings + 2 * kChunk) / kChunk * kChunk) {}

void Dimming::start() {
  started_ = true;
  const size_t rays = static_cast<size_t>(rays_) + 1;
  slope_.assign(rays * static_cast<size_t>(room_), 0.0F);
  density_.assign(rays * static_cast<size_t>(room_), 0.0F);
  listed_.assign(rays, 0);
  inner_.assign(rays + 2 * kPad, within_);
  outer_.assign(rays + 2 * kPad, within_);
  mixed_.assign(rays + 2 * kPad, 0.0F);
  depth_.assign(static_cast<size_t>(o_.rings) + 3 * kPad, 0.0F);
}

void Dimming::start_within(float density_per_m) {
  within_ = 0.5F * density_per_m;  // half a step
  start();
}

void Dimming::advance(const Rings& strip, int first, int from, int past) {
  if (!started_) start();
  const Lists lists{slope_.data(), density_.data(), listed_.data(), room_};
  const auto under = [&](int ring) {
    const std::ptrdiff_t at = (ring - first) * strip.stride;
    return UnderRays{strip.ground_m + at,
                     strip.top_m + at,
                     strip.density_per_m + at,
                     rays_,
                     o_.last(ring),
                     static_cast<float>(ring) / static_cast<float>(rays_),
                     o_.half(),
                     1.0F / static_cast<float>(ring)};
  };
  for (int i = from; i < past - 1; ++i) take_in(under(i), lists);
  std::swap(inner_, outer_);
  depths(under(past - 1), lists, static_cast<float>(o_.options.target_m), within_,
         kOpaque / o_.cell_m, outer_.data());
  take_in(under(past - 1), lists);
  outer_[static_cast<size_t>(rays_) + 1] = outer_[static_cast<size_t>(rays_)];
  from_ = from;
  past_ = past;
}

void Dimming::dim(int ring, int count, const float* seen, std::uint8_t* out) {
  const float share = static_cast<float>(ring - from_ + 1) / static_cast<float>(past_ - from_);
  float* const by_ray = mixed_.data();
  for (size_t n = 0; n < outer_.size() - kPad; ++n)
    by_ray[n] = inner_[n] + (outer_[n] - inner_[n]) * share;
  const float rays_a_cell = static_cast<float>(rays_) / static_cast<float>(ring);
  if (rays_ <= ring) {
    spread(by_ray, rays_a_cell, count, depth_.data());
  } else {
    for (int j = 0; j < count; ++j) {
      const float off = static_cast<float>(j) * rays_a_cell;
      const size_t n = static_cast<size_t>(off);
      depth_[static_cast<size_t>(j)] =
          by_ray[n] + (by_ray[n + 1] - by_ray[n]) * (off - static_cast<float>(n));
    }
  }
  values(depth_.data(), seen, 1.0F / static_cast<float>(ring), o_.cell_m, count, out);
}

}  // namespace leeward::compute::octant
