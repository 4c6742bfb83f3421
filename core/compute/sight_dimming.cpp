#include "core/compute/sight_dimming.h"

#include "core/base/multiversion.h"
#include "core/compute/fast_exp.h"
#include "core/compute/sight_lanes.h"

#include <algorithm>
#include <cmath>
#include <cstring>

namespace leeward::compute::octant {
namespace {

using lanes::Floats;
using lanes::Ints;
using lanes::kLanes;

constexpr int kMostRays = 128;
constexpr int kBlock = 16;       // rays side by side
constexpr int kTogether = 4;     // samples
constexpr float kBelow = -1e6F;  // slope of the horizon before any ground is met

using Wide = float __attribute__((vector_size(64)));
using LooseWide = float __attribute__((vector_size(64), aligned(4), may_alias));
LEEWARD_INLINE void load(Wide& out, const float* from) {
  out = *reinterpret_cast<const LooseWide*>(from);
}
LEEWARD_INLINE void store(float* to, const Wide& from) { *reinterpret_cast<LooseWide*>(to) = from; }
LEEWARD_INLINE bool all_above(const Wide& v, float least) {
  float lowest = v[0];
  for (int l = 1; l < kBlock; ++l) lowest = lowest < v[l] ? lowest : v[l];
  return lowest > least;
}

// One ring of the land under the rays: where ray n meets it is cell n a_ray + half.
struct UnderRays {
  const float *ground_m, *top_m, *density_per_m;
  int last;
  float a_ray, half, inverse;
};

// The cover under a block of rays of rings that lie side by side in `land`, `last` by ring. `rays`
// is kBlock: loops of a known few turns are unrolled, not made into vectors.
LEEWARD_CLONES void take_in(const Rings& land, const int* lasts, float per_ring, float half,
                            int first, int end, int first_ray, int rays, float* __restrict slope,
                            float* __restrict density) {
  for (int i = first; i < end; ++i) {
    const std::ptrdiff_t row = (i - first) * land.stride, to = std::ptrdiff_t{i} * kBlock;
    const float* __restrict top_m = land.top_m + row;
    const float* __restrict thick = land.density_per_m + row;
    const int last = lasts[i] > 0 ? lasts[i] : 0;
    const float inverse = 1.0F / static_cast<float>(i), a_ray = static_cast<float>(i) * per_ring;
    for (int l = 0; l < rays; ++l) {
      const int at = static_cast<int>(static_cast<float>(first_ray + l) * a_ray + half);
      const int j = at < last ? at : last;
      const float dims = thick[j];
      slope[to + l] = top_m[j] * inverse;
      density[to + l] = at <= last ? dims : 0.0F;
    }
  }
}

// The horizon on a ring where rays meet it: the lower of the two cells beside each.
LEEWARD_CLONES void take_horizon(const float* __restrict horizon, float a_ray, int last, int lanes,
                                 float* __restrict out) {
  for (int n = 0; n < lanes; ++n) {
    const int at = static_cast<int>(static_cast<float>(n) * a_ray), j = at < last ? at : last;
    const float a = horizon[j], b = horizon[j + 1];
    out[n] = a < b ? a : b;
  }
}

// Slopes of the lines to the targets on this ring, and the depth of the cover that they stand in.
LEEWARD_CLONES void aim(const UnderRays& ring, int lanes, float target_height_m, float within,
                        float* __restrict target, float* __restrict depth) {
  const UnderRays r = ring;
  for (int n = 0; n < lanes; ++n) {
    const int at = static_cast<int>(static_cast<float>(n) * r.a_ray + r.half);
    const int j = at < r.last ? at : r.last;
    const float target_m = r.ground_m[j] + target_height_m;
    target[n] = target_m * r.inverse;
    const float half = 0.5F * r.density_per_m[j];
    depth[n] = within + (target_m < r.top_m[j] ? half : 0.0F);
  }
}

// A block's cover, ring by ring from `begin`, for K samples; sample k lies on ring ring[k].
struct Block {
  const float *slope, *density;
  int begin;
  int ring[kTogether];
  const float* target[kTogether];
  float* depth[kTogether];
};

// Adds the densities whose slope is higher than the target's. Stops where all are opaque.
template <int K>
LEEWARD_INLINE void add_met(const Block& b, float enough) {
  Wide target[K], sum[K], slope, density;
  const Wide zero{};
  for (int k = 0; k < K; ++k) load(target[k], b.target[k]), load(sum[k], b.depth[k]);
  const auto add = [&](int k) __attribute__((always_inline)) {
    sum[k] += slope > target[k] ? density : zero;
  };
  for (int i = b.begin; i < b.ring[0]; ++i) {
    load(slope, b.slope + i * kBlock);
    load(density, b.density + i * kBlock);
    for (int k = 0; k < K; ++k) add(k);
    if ((i & 31) != 31) continue;
    bool opaque = true;
    for (int k = 0; k < K; ++k) opaque = opaque && all_above(sum[k], enough);
    if (opaque) break;
  }
  for (int k = 1; k < K; ++k)
    for (int i = std::max(b.begin, b.ring[0]); i < b.ring[k]; ++i) {
      load(slope, b.slope + i * kBlock);
      load(density, b.density + i * kBlock);
      add(k);
    }
  for (int k = 0; k < K; ++k) store(b.depth[k], sum[k]);
}
LEEWARD_CLONES void add_four(const Block& b, float enough) { add_met<4>(b, enough); }
LEEWARD_CLONES void add_one(const Block& b, float enough) { add_met<1>(b, enough); }

// The first ring from `begin` on with cover above the horizons: what lies below dims nothing that
// is seen beyond.
LEEWARD_CLONES int still_dims(const float* slope, const float* density, const float* horizon,
                              int rays, int begin, int end) {
  for (; begin < end; ++begin) {
    int any = 0;
    for (int l = 0; l < rays; ++l)
      any |= (density[begin * kBlock + l] > 0) & (slope[begin * kBlock + l] > horizon[l]);
    if (any != 0) break;
  }
  return begin;
}

LEEWARD_CLONES void mix(const float* __restrict inner, const float* __restrict outer, float share,
                        int count, float* __restrict out) {
  for (int n = 0; n < count; ++n) out[n] = inner[n] + (outer[n] - inner[n]) * share;
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

// The same near the eye, where rays are denser.
LEEWARD_CLONES void spread_near(const float* __restrict by_ray, float rays_a_cell, int count,
                                float* __restrict out) {
  for (int j = 0; j < count; ++j) {
    const float off = static_cast<float>(j) * rays_a_cell;
    const int n = static_cast<int>(off);
    out[j] = by_ray[n] + (by_ray[n + 1] - by_ray[n]) * (off - static_cast<float>(n));
  }
}

// Of cells that are seen. The line is longer than a ring by the secant of its bearing.
LEEWARD_CLONES void values(const float* __restrict depth, float inverse, float cell_m, int from,
                           int past, int* __restrict out) {
  for (int j = from; j < past; ++j) {
    const float share = static_cast<float>(j) * inverse;
    const float length_m = cell_m * std::sqrt(1.0F + share * share);
    out[j] = static_cast<int>(255.0F * fast_exp(-depth[j] * length_m) + 0.5F);
  }
}
LEEWARD_CLONES void narrow(const int* __restrict values, int from, int past,
                           std::uint8_t* __restrict seen) {
  for (int j = from; j < past; ++j) seen[j] &= static_cast<std::uint8_t>(values[j]);
}

bool any_seen(const std::uint8_t* out) {
  std::uint64_t seen[2];
  static_assert(sizeof seen == kBlock);
  std::memcpy(seen, out, sizeof seen);
  return (seen[0] | seen[1]) != 0;
}

}  // namespace

Dimming::Dimming(const Octant& o)
    : o_(o),
      rays_(std::min(o.rings, kMostRays)),
      step_(std::clamp(o.rings / 100, 1, 16)),
      blocks_((rays_ + 1 + kBlock) / kBlock),
      lanes_(blocks_ * kBlock) {}

void Dimming::start(int first) {
  started_ = true;
  const size_t lanes = static_cast<size_t>(lanes_);
  for (auto* cover : {&slope_, &density_})
    *cover = std::make_unique_for_overwrite<float[]>(lanes * (static_cast<size_t>(o_.rings) + 1));
  horizon_.assign(lanes, kBelow);
  begin_.assign(static_cast<size_t>(blocks_), first);
  samples_.assign(lanes * (kMostSamples + 1) + kPad, within_);
  target_.assign(lanes * kMostSamples, 0.0F);
  mixed_.assign(lanes + 2 * kPad, 0.0F);
  depth_.assign(static_cast<size_t>(o_.rings) + 3 * kPad, 0.0F);
  value_.assign(depth_.size(), 0);
}

void Dimming::start_within(float density_per_m) {
  within_ = 0.5F * density_per_m;  // half a step
  start(1);
}

void Dimming::advance(const Rings& strip, int first, int end, const float* horizon_at_end) {
  if (!started_) start(first);
  if (taken_ > 0) std::copy_n(sample(taken_), lanes_, sample(0));
  const float per_ring = 1.0F / static_cast<float>(rays_);
  const auto under = [&](int ring) {
    const std::ptrdiff_t at = (ring - first) * strip.stride;
    return UnderRays{strip.ground_m + at,
                     strip.top_m + at,
                     strip.density_per_m + at,
                     std::max(0, o_.last(ring)),
                     static_cast<float>(ring) * per_ring,
                     o_.half(),
                     1.0F / static_cast<float>(ring)};
  };
  taken_ = (end - first + step_ - 1) / step_;
  int rings[kMostSamples];
  for (int k = 0; k < taken_; ++k) {
    rings[k] = std::min(first + (k + 1) * step_, end) - 1;
    aim(under(rings[k]), lanes_, static_cast<float>(o_.options.target_m), within_,
        target_.data() + k * lanes_, sample(k + 1));
  }
  const float enough = kOpaque / o_.cell_m;
  for (int n = 0; n < blocks_; ++n) {
    const std::ptrdiff_t at = static_cast<std::ptrdiff_t>(n) * (o_.rings + 1) * kBlock;
    float *const slope = slope_.get() + at, *const density = density_.get() + at;
    const float* const horizon = horizon_.data() + n * kBlock;
    int& begin = begin_[static_cast<size_t>(n)];
    begin = still_dims(slope, density, horizon, kBlock, begin, first);
    take_in(strip, o_.lasts.data(), per_ring, o_.half(), first, end, n * kBlock, kBlock, slope,
            density);
    for (int k = 0; k < taken_;) {
      const int together = taken_ - k >= kTogether ? kTogether : 1;
      Block b{slope, density, begin, {}, {}, {}};
      for (int q = 0; q < together; ++q) {
        b.ring[q] = rings[k + q];
        b.target[q] = target_.data() + (k + q) * lanes_ + n * kBlock;
        b.depth[q] = sample(k + q + 1) + n * kBlock;
      }
      (together == 1 ? add_one : add_four)(b, enough);
      k += together;
    }
  }
  take_horizon(horizon_at_end, static_cast<float>(end - 1) * per_ring,
               std::max(0, o_.last(end - 1)), lanes_, horizon_.data());
  first_ = first;
  end_ = end;
}

void Dimming::dim(int ring, int count, std::uint8_t* out) {
  const int step = (ring - first_) / step_, from = first_ + step * step_,
            past = std::min(from + step_, end_);
  const float share = static_cast<float>(ring - from + 1) / static_cast<float>(past - from);
  float* const by_ray = mixed_.data();
  mix(sample(step), sample(step + 1), share, lanes_, by_ray);
  const float rays_a_cell = static_cast<float>(rays_) / static_cast<float>(ring);
  (rays_ <= ring ? spread : spread_near)(by_ray, rays_a_cell, count, depth_.data());
  for (int j = 0; j < count;) {
    int end = j;
    while (end < count && any_seen(out + end)) end += kBlock;
    if (end > j) {
      values(depth_.data(), 1.0F / static_cast<float>(ring), o_.cell_m, j, end, value_.data());
      narrow(value_.data(), j, end, out);
    }
    j = end + kBlock;
  }
}

}  // namespace leeward::compute::octant
