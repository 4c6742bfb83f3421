#include "core/compute/sight_dimming.h"

#include "core/base/multiversion.h"
#include "core/compute/fast_exp.h"
#include "core/compute/sight_lanes.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstring>

namespace leeward::compute::octant {
namespace {

using lanes::Bytes;
using lanes::Floats;
using lanes::Ints;
using lanes::kLanes;

constexpr int kMostRays = 127;  // and one on the axis
// Rings within which a quarter of the rays will do; within twice as many, half of them.
constexpr int kFewRings = 32;
constexpr int kNear = 16;  // rings, each of which is looked at
constexpr float kSeen = 255.0F;

// Shares of 0..255 that reach through the depths of some samples, `stride` apart in `out`; not 0
// where any is dimmed.
LEEWARD_CLONES int shares(const float* depth, const float* length_m, int samples,
                          std::ptrdiff_t stride, float* out) {
  float length[kBlock];
  std::memcpy(length, length_m, sizeof length);
  int any = 0;
  for (int k = 0; k < samples; ++k) {
    const float* __restrict const from = depth + k * kBlock;
    float* __restrict const to = out + k * stride;
    for (int l = 0; l < kBlock; ++l) {
      const float share = kSeen * fast_exp(-from[l] * length[l]);
      to[l] = share;
      any |= share < kSeen;
    }
  }
  return any;
}

LEEWARD_CLONES void mixed(const float* __restrict inner, const float* __restrict outer, float share,
                          int count, float* __restrict out) {
  for (int n = 0; n < count; ++n) out[n] = inner[n] + (outer[n] - inner[n]) * share;
}

bool any_of_32(const std::uint8_t* out) {
  std::uint64_t seen[4];
  static_assert(sizeof seen == lanes::kBytes);
  std::memcpy(seen, out, sizeof seen);
  return (seen[0] | seen[1] | seen[2] | seen[3]) != 0;
}

// Shares at cells [from, past) of a ring from those of the rays, which eight cells have no more
// than kRays of.
template <int kRays>
LEEWARD_INLINE void spread_over(const float* by_ray, float rays_a_cell, int from, int past,
                                std::uint8_t* seen) {
  const Floats index{0, 1, 2, 3, 4, 5, 6, 7};
  for (int j = from; j < past; j += lanes::kBytes) {
    if (!any_of_32(seen + j)) continue;
    Ints values[4];
    for (int k = 0; k < 4; ++k) {
      const float first = static_cast<float>(j + k * kLanes);
      const int ray = static_cast<int>(first * rays_a_cell);
      const Floats off = (index + first) * rays_a_cell - static_cast<float>(ray);
      const Ints whole = __builtin_convertvector(off, Ints);
      const Floats part = off - __builtin_convertvector(whole, Floats);
      Floats a, b;
      lanes::load(a, by_ray + ray);
      lanes::load(b, by_ray + ray + 1);
      if constexpr (kRays == kLanes) {
        a = __builtin_shuffle(a, whole);
        b = __builtin_shuffle(b, whole);
      } else {
        Floats next_a, next_b;
        lanes::load(next_a, by_ray + ray + kLanes);
        lanes::load(next_b, by_ray + ray + 1 + kLanes);
        const Ints lane = whole & (kLanes - 1), near = whole < kLanes;
        a = near ? __builtin_shuffle(a, lane) : __builtin_shuffle(next_a, lane);
        b = near ? __builtin_shuffle(b, lane) : __builtin_shuffle(next_b, lane);
      }
      values[k] = __builtin_convertvector(a + (b - a) * part + 0.5F, Ints);
    }
    Bytes share, was;
    lanes::low_bytes(values, share);
    std::memcpy(&was, seen + j, sizeof was);
    share &= was;
    std::memcpy(seen + j, &share, sizeof share);
  }
}
LEEWARD_CLONES void spread(const float* by_ray, float rays_a_cell, int from, int past,
                           std::uint8_t* seen) {
  spread_over<kLanes>(by_ray, rays_a_cell, from, past, seen);
}
LEEWARD_CLONES void spread_dense(const float* by_ray, float rays_a_cell, int from, int past,
                                 std::uint8_t* seen) {
  spread_over<2 * kLanes>(by_ray, rays_a_cell, from, past, seen);
}
// The same where rays are denser still, beside the eye.
void spread_near(const float* by_ray, float rays_a_cell, int from, int past, std::uint8_t* seen) {
  for (int j = from; j < past; ++j) {
    const float off = static_cast<float>(j) * rays_a_cell;
    const int n = static_cast<int>(off);
    const float share = by_ray[n] + (by_ray[n + 1] - by_ray[n]) * (off - static_cast<float>(n));
    seen[j] &= static_cast<std::uint8_t>(static_cast<int>(share + 0.5F));
  }
}

LEEWARD_CLONES void join(const std::uint8_t* __restrict from, int count,
                         std::uint8_t* __restrict to) {
  for (int j = 0; j < count; ++j) to[j] |= from[j];
}

template <class Bits>
LEEWARD_INLINE int joined(const Bits* from, std::ptrdiff_t count) {
  int any = 0;
  for (std::ptrdiff_t n = 0; n < count; ++n) any |= from[n];
  return any;
}
LEEWARD_CLONES int any_dims(const std::int32_t* from, std::ptrdiff_t count) {
  return joined(from, count);
}
LEEWARD_CLONES int any_seen(const std::uint8_t* from, std::ptrdiff_t count) {
  return joined(from, count);
}

}  // namespace

Dimming::Dimming(const Octant& o)
    : o_(o),
      rays_(rays_from(1)),
      step_(std::clamp(static_cast<int>(std::bit_floor(static_cast<unsigned>(o.rings) / 100)), 1,
                       kMostRings)),
      lanes_((std::min(o.rings, kMostRays) + kBlock) / kBlock * kBlock) {
  const float top_m = *o.ground_m - o.eye_z_m + *o.top_m;
  if (top_m <= 0 || !(*o.density_per_m > 0) || o.options.cleared_m > 0) return;
  within_ = 0.5F * *o.density_per_m;  // half a step
  start();
}

int Dimming::rays_from(int first) const {
  if (o_.rings < kMostRays || first > 2 * kFewRings) return std::min(o_.rings, kMostRays);
  return first > kFewRings ? kMostRays / 2 : kMostRays / 4;
}

void Dimming::start() {
  started_ = true;
  const size_t lanes = static_cast<size_t>(lanes_), most = static_cast<size_t>(o_.rings) + 2;
  cover_ = std::make_unique_for_overwrite<Cover[]>(lanes / kBlock * most);
  for (size_t n = 0; n < lanes / kBlock; ++n) block_.push_back({cover_.get() + n * most});
  horizon_.assign(lanes, kBelow);
  length_m_.resize(lanes);
  measure();
  samples_.assign(lanes * (kMostRings + 1) + 4 * kPad, kSeen);
  for (size_t n = 0; n < lanes; ++n) samples_[n] = kSeen * fast_exp(-within_ * length_m_[n]);
  for (Block& b : block_) b.dims = within_ > 0;
  mixed_.assign(lanes + 4 * kPad, kSeen);
  seen_.assign(static_cast<size_t>(o_.rings) + 4 * kPad, 0);
}

void Dimming::measure() {
  for (int n = 0; n < lanes_; ++n) {  // longer than a ring by the secant of the bearing
    const float aside = static_cast<float>(n) / static_cast<float>(rays_);
    length_m_[static_cast<size_t>(n)] = o_.cell_m * std::sqrt(1.0F + aside * aside);
  }
}

void Dimming::double_rays() {
  const float old_rays = static_cast<float>(rays_);
  rays_ = 2 * rays_ + 1;
  for (int n = blocks() - 1; n >= 0; --n) {  // never over what is still to be read
    const Block& from = block_[static_cast<size_t>(n / 2)];
    Block to = from;
    to.cover = block_[static_cast<size_t>(n)].cover;
    const int half = n % 2 * (kBlock / 2);
    for (int k = 0; k < from.count; ++k) {
      const Cover cover = from.cover[k];
      for (int l = 0; l < kBlock; ++l) {
        to.cover[k].slope[l] = cover.slope[half + l / 2];
        to.cover[k].density[l] = cover.density[half + l / 2];
      }
    }
    block_[static_cast<size_t>(n)] = to;
  }
  for (int ray = rays_; ray >= 0; --ray) {
    const float off = static_cast<float>(ray) * old_rays / static_cast<float>(rays_);
    const int n = static_cast<int>(off);
    float* const by_ray = sample(0);
    by_ray[ray] = by_ray[n] + (by_ray[n + 1] - by_ray[n]) * (off - static_cast<float>(n));
  }
  measure();
}

void Dimming::dim(const Swept& swept, int first, int end) {
  Strip strip{swept, first, end, step_ > 1 && first > kNear ? 2 : 1};
  strip.samples = (end - first + step_ - 1) / step_;
  for (int k = 0; k < end - first; ++k) {
    strip.last[k] = o_.last(first + k);
    strip.cleared[k] = o_.last_cleared(first + k);
    strip.inverse[k] = 1.0F / static_cast<float>(first + k);
    strip.widest = std::max(strip.widest, strip.last[k]);
  }
  if (!started_) {
    rays_ = rays_from(first);
    if (any_dims(swept.dims, (strip.widest / kLanes + 1) * kLanes) == 0) return;
    start();
  }
  std::fill_n(seen_.begin(), strip.widest + 1, std::uint8_t{0});
  for (int k = 0; k < end - first; ++k)
    join(swept.seen + k * swept.stride, strip.last[k] + 1, seen_.data());
  bool any = false;
  for (int n = 0; n < blocks(); ++n) any = look(strip, n) || any;
  if (any) mix(strip);
  std::copy_n(sample(strip.samples), lanes_, sample(0));
  if (rays_from(end) > rays_) double_rays();
  take_horizon(swept.horizon, static_cast<float>(end - 1) / static_cast<float>(rays_),
               std::max(0, o_.last(end - 1)), lanes_, horizon_.data());
}

bool Dimming::look(const Strip& strip, int n) {
  Block& b = block_[static_cast<size_t>(n)];
  // Cells whose share is mixed from one of these rays at least; none where the rays have left the
  // reach or the land, to which they do not come back.
  const int from = std::max(0, n * kBlock - 1) * strip.first / rays_;
  if (from > strip.widest) return b.mixed = false;
  const auto cell_of = [&](int ray, int ring) {
    return std::min(ray * ring / rays_, strip.widest);
  };
  const int past = cell_of((n + 1) * kBlock, strip.end) + 1;
  const bool seen = any_seen(seen_.data() + from, past - from) != 0;
  const float* const horizon = horizon_.data() + n * kBlock;
  const std::ptrdiff_t at = strip.first * o_.major;
  const Under under{strip.swept.ground_m,
                    strip.swept.stride,
                    o_.top_m + at,
                    o_.density_per_m + at,
                    o_.major,
                    static_cast<std::int32_t>(o_.minor),
                    o_.widest,
                    strip.first,
                    strip.end - strip.first,
                    strip.group,
                    strip.last,
                    strip.cleared,
                    strip.inverse,
                    1.0F / static_cast<float>(rays_),
                    o_.half(),
                    n * kBlock,
                    seen};
  if (seen) b.count = cull(b.cover, b.count, horizon);
  const int old = b.count;
  int before[kMostRings + 1] = {};
  const int dims_from = cell_of(n * kBlock, strip.first) / kLanes * kLanes,
            dims_past = (cell_of((n + 1) * kBlock, strip.end) / kLanes + 1) * kLanes;
  if (any_dims(strip.swept.dims + dims_from, dims_past - dims_from) != 0)
    b.count += meet_block(under, horizon, b.cover + old, before);
  const bool dimmed_before = b.dims && !b.missing, missing = b.missing;
  b.missing = !seen;
  if (!seen) return b.mixed = false;
  float* const out = sample(1) + n * kBlock;
  bool dimmed = false;
  if (b.count > 0 || within_ > 0)
    dimmed = take_samples(strip, under, b, old, before, out);
  else
    for (int k = 0; k < strip.samples; ++k) std::fill_n(out + k * lanes_, kBlock, kSeen);
  if (missing) std::copy_n(out, kBlock, sample(0) + n * kBlock);
  b.dims = dimmed;
  return b.mixed = dimmed || dimmed_before;
}

bool Dimming::take_samples(const Strip& strip, const Under& under, const Block& b, int old,
                           const int* before, float* out) {
  alignas(64) float target[kMostRings * kBlock], depth[kMostRings * kBlock];
  std::fill_n(depth, strip.samples * kBlock, within_);
  const auto ring = [&](int k) { return std::min((k + 1) * step_, under.rings) - 1; };
  for (int k = 0; k < strip.samples; ++k)
    aim(under, ring(k), static_cast<float>(o_.options.target_m), target + k * kBlock);
  for (int k = 0; k < strip.samples;) {
    const int together = strip.samples - k >= kTogether ? kTogether : 1;
    const Cover* const all = b.cover + old + before[ring(k) / strip.group];
    (together == 1 ? add_one : add_four)(b.cover, all, 1.0F, target + k * kBlock,
                                         depth + k * kBlock);
    for (const int past = k + together; k < past; ++k) {
      const int own = ring(k) / strip.group;  // the target's own group, to its middle
      const Cover *const its = b.cover + old + before[own], *const its_end =
                                                                b.cover + old + before[own + 1];
      const float rings = static_cast<float>(ring(k) + 1 - own * strip.group);
      add_one(all, its, 1.0F, target + k * kBlock, depth + k * kBlock);
      add_one(its, its_end, (rings - 0.5F) / rings, target + k * kBlock, depth + k * kBlock);
    }
  }
  return shares(depth, length_m_.data() + under.first_ray, strip.samples, lanes_, out) != 0;
}

void Dimming::mix(const Strip& strip) {
  for (int n = 0; n < blocks(); ++n) {
    const int from_block = n;
    while (n < blocks() && block_[static_cast<size_t>(n)].mixed) ++n;
    if (n > from_block) mix(strip, std::max(0, from_block * kBlock - 1), n * kBlock);
  }
}

void Dimming::mix(const Strip& strip, int first_ray, int past_ray) {
  // Cells are dimmed 32 at a time: some past those between the rays, by the rays that lie there.
  const int ahead = (rays_ <= strip.first ? 1 : 2) * lanes::kBytes + kLanes;
  const int lanes = std::min(past_ray + ahead, lanes_) - first_ray;
  for (int i = strip.first; i < strip.end; ++i) {
    const int step = (i - strip.first) / step_, from = strip.first + step * step_,
              past = std::min(from + step_, strip.end);
    const float share = static_cast<float>(i - from + 1) / static_cast<float>(past - from);
    const bool between = i + 1 < past;
    if (between)
      mixed(sample(step) + first_ray, sample(step + 1) + first_ray, share, lanes,
            mixed_.data() + first_ray);
    const int from_cell = first_ray * i / rays_,
              past_cell = std::min(past_ray * i / rays_, strip.last[i - strip.first]) + 1;
    const auto spread_on = rays_ <= i ? spread : rays_ <= 2 * i ? spread_dense : spread_near;
    spread_on(between ? mixed_.data() : sample(step + 1),
              static_cast<float>(rays_) / static_cast<float>(i), from_cell, past_cell,
              strip.swept.seen + (i - strip.first) * strip.swept.stride);
  }
}

}  // namespace leeward::compute::octant
