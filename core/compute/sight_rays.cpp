#include "core/compute/sight_rays.h"

#include "core/base/multiversion.h"
#include "core/compute/sight_lanes.h"
#include "core/compute/sight_octant.h"

#include <algorithm>
#include <cstring>

namespace leeward::compute::octant {
namespace {

using lanes::any_set;
using lanes::Floats;
using lanes::Ints;
using lanes::kLanes;

// In registers: lanes that are stored one by one are waited for when they are loaded as a vector.
LEEWARD_INLINE void gather(const float* from, const std::int32_t* at, Floats& out) {
  out = Floats{from[at[0]], from[at[1]], from[at[2]], from[at[3]],
               from[at[4]], from[at[5]], from[at[6]], from[at[7]]};
}
// Of cells and those one step on, which is to the side of each in memory or far off.
LEEWARD_INLINE void gather_two(const float* from, const std::int32_t* at, std::ptrdiff_t step,
                               Floats& first, Floats& second) {
  if (step != 1 && step != -1) {
    gather(from, at, first);
    gather(from + step, at, second);
    return;
  }
  using Pairs = std::int64_t __attribute__((vector_size(32)));
  const float* const low = from + std::min<std::ptrdiff_t>(step, 0);
  std::int64_t pair[kLanes];
  for (int l = 0; l < kLanes; ++l) std::memcpy(&pair[l], low + at[l], sizeof pair[l]);
  const Floats a = reinterpret_cast<Floats>(Pairs{pair[0], pair[1], pair[2], pair[3]}),
               b = reinterpret_cast<Floats>(Pairs{pair[4], pair[5], pair[6], pair[7]});
  constexpr Ints kEven = {0, 2, 4, 6, 8, 10, 12, 14}, kOdd = {1, 3, 5, 7, 9, 11, 13, 15};
  const Floats even = __builtin_shuffle(a, b, kEven), odd = __builtin_shuffle(a, b, kOdd);
  first = step > 0 ? even : odd;
  second = step > 0 ? odd : even;
}

// What eight rays meet: the sum of densities, and that of densities times slopes.
struct Met {
  Floats density{}, slope{};
};

// Cells at which a block of rays meets a group of rings: of a ring, and in the land.
struct Cells {
  std::int32_t of_ring[kBlock], of_land[kBlock];
};

// The cells of eight rays, which rise from ray to ray, among some eights of cells side by side.
struct Window {
  const std::int32_t *of_ring, *of_land;
  int eights;
  bool on_land;  // all of them are on the land
  Ints lane, eight;
};
constexpr int kMostEights = 4;
LEEWARD_INLINE void window(const Cells& cells, int l, const Under& u, Window& out) {
  out.of_ring = cells.of_ring + l;
  out.of_land = cells.of_land + l;
  Ints cell;
  lanes::load(cell, out.of_ring);
  const Ints off = cell - out.of_ring[0];
  out.lane = off & 7;
  out.eight = off >> 3;
  out.eights = ((out.of_ring[7] - out.of_ring[0]) >> 3) + 1;
  out.on_land = out.of_ring[0] + out.eights * kLanes - 1 <= u.widest;
}
// `from`: the first eight of the window; `step`: to the next.
LEEWARD_INLINE void pick(const float* from, int step, const Ints& lane, const Window& w,
                         Floats& out) {
  lanes::load(out, from);
  out = __builtin_shuffle(out, lane);
  for (int n = 1; n < w.eights; ++n) {
    Floats next;
    lanes::load(next, from + n * step);
    next = __builtin_shuffle(next, lane);
    out = w.eight == n ? next : out;
  }
}
LEEWARD_INLINE void pick_ground(const float* ring, const Window& w, Floats& out) {
  if (w.eights <= kMostEights)
    pick(ring + w.of_ring[0], kLanes, w.lane, w, out);
  else
    gather(ring, w.of_ring, out);
}
// Of the land, where rays meet a ring, or two that are `major` apart.
template <int kRings>
LEEWARD_INLINE void pick_land(const float* axis, const Under& u, const Window& w,
                              Floats (&out)[kRings]) {
  const bool side_by_side = w.on_land && w.eights <= kMostEights;
  if (u.minor == 1 && side_by_side) {
    for (int r = 0; r < kRings; ++r)
      pick(axis + r * u.major + w.of_ring[0], kLanes, w.lane, w, out[r]);
  } else if (u.minor == -1 && side_by_side) {
    const float* const last = axis - w.of_ring[0] - (kLanes - 1);
    for (int r = 0; r < kRings; ++r) pick(last + r * u.major, -kLanes, w.lane ^ 7, w, out[r]);
  } else if constexpr (kRings == 2) {
    gather_two(axis, w.of_land, u.major, out[0], out[1]);
  } else {
    gather(axis, w.of_land, out[0]);
  }
}

LEEWARD_INLINE void meet_ring(const Under& u, int k, const Ints& cell, const Floats& ground,
                              const Floats& height, const Floats& density, Met& met) {
  const Floats zero{};
  const Ints covered =
      (ground > kIsGround_m) & (height > zero) & (density > zero) & (cell > u.cleared[k]);
  const Floats dims = covered ? density : zero;
  met.density += dims;
  met.slope += dims * ((covered ? ground + height : zero) * u.inverse[k]);
}

// Adds the cover that eight rays meet on one ring, or on two at the same cells. False: there is
// none.
template <int kRings>
LEEWARD_INLINE bool meet_rings(const Under& u, int k, const Window& w, Met& met) {
  Floats height[kRings]{}, density[kRings]{};
  const std::ptrdiff_t at = k * u.major;
  pick_land(u.density_per_m + at, u, w, density);
  Ints bits = reinterpret_cast<Ints>(density[0]);
  if constexpr (kRings == 2) bits |= reinterpret_cast<Ints>(density[1]);
  if (!any_set(bits)) return false;
  pick_land(u.top_m + at, u, w, height);
  Ints cell;
  lanes::load(cell, w.of_ring);
  for (int r = 0; r < kRings; ++r) {
    Floats ground{};
    pick_ground(u.ground_m + (k + r) * u.stride, w, ground);
    meet_ring(u, k + r, cell, ground, height[r], density[r], met);
  }
  return true;
}

// Where the rays meet a ring, or what is half way between rings; up to the last cell.
LEEWARD_INLINE void cells_at(const Under& u, float ring, int last, Cells& out) {
  const Floats index{0, 1, 2, 3, 4, 5, 6, 7};
  for (int l = 0; l < kBlock; l += kLanes) {
    const Floats ray = index + static_cast<float>(u.first_ray + l);
    const Ints cell = __builtin_convertvector(ray * (ring * u.per_ring) + u.half, Ints),
               end = Ints{} + last, on = cell < end ? cell : end;
    lanes::store(out.of_ring + l, on);
    lanes::store(out.of_land + l, on * u.minor);
  }
}
// The same for each group of rings, half way through it.
LEEWARD_INLINE int cells_under(const Under& u, Cells* out) {
  int groups = 0;
  for (int from = 0; from < u.rings; from += u.group, ++groups) {
    const int past = std::min(from + u.group, u.rings);
    cells_at(u, static_cast<float>(2 * u.first + from + past - 1) * 0.5F,
             std::max(std::min(u.last[from], u.last[past - 1]), 0), out[groups]);
  }
  return groups;
}

// Adds to K depths the cover whose slope is higher than the target's, times `share`. Eight rays
// after the other: all that is added to stays in registers.
template <int K>
LEEWARD_INLINE void add_met(const Cover* from, const Cover* end, float share,
                            const float* target_slopes, float* depths) {
  const Floats zero{};
  for (int l = 0; l < kBlock; l += kLanes) {
    Floats target[K], sum[K], slope, density;
    for (int k = 0; k < K; ++k) {
      lanes::load(target[k], target_slopes + k * kBlock + l);
      lanes::load(sum[k], depths + k * kBlock + l);
    }
    for (const Cover* cover = from; cover < end; ++cover) {
      lanes::load(slope, cover->slope + l);
      lanes::load(density, cover->density + l);
      density *= share;
      for (int k = 0; k < K; ++k) sum[k] += slope > target[k] ? density : zero;
    }
    for (int k = 0; k < K; ++k) lanes::store(depths + k * kBlock + l, sum[k]);
  }
}

}  // namespace

LEEWARD_CLONES int meet_block(const Under& under, const float* horizon, Cover* to, int* before) {
  const Under u = under;
  const Floats zero{}, none = zero + kBelow;
  Cells cells[kMostRings];
  const int groups = cells_under(u, cells);
  int count = 0;
  for (int n = 0; n < groups; ++n) {
    const int from = n * u.group, rings = std::min(u.group, u.rings - from),
              met_rings = u.all ? rings : 1;
    const float weight = static_cast<float>(rings) / static_cast<float>(met_rings);
    Ints any{};
    Cover& cover = to[count];
    for (int l = 0; l < kBlock; l += kLanes) {
      Window w;
      window(cells[n], l, u, w);
      Met met;
      Floats slope = none;
      if (met_rings == 2 ? meet_rings<2>(u, from, w, met)
                         : meet_rings<1>(u, from + rings - 1, w, met)) {
        Floats above;
        lanes::load(above, horizon + l);
        slope = met.density > zero ? met.slope / met.density : none;
        any |= slope > above;
      }
      lanes::store(cover.slope + l, slope);
      lanes::store(cover.density + l, met.density * weight);
    }
    before[n] = count;
    count += any_set(any);
  }
  before[groups] = count;
  return count;
}

LEEWARD_CLONES int cull(Cover* cover, int count, const float* horizon) {
  Floats above[2], slope[2];
  for (int h = 0; h < 2; ++h) lanes::load(above[h], horizon + h * kLanes);
  int kept = 0;
  for (int n = 0; n < count; ++n) {
    for (int h = 0; h < 2; ++h) lanes::load(slope[h], cover[n].slope + h * kLanes);
    if (!any_set((slope[0] > above[0]) | (slope[1] > above[1]))) continue;
    if (kept != n) cover[kept] = cover[n];
    ++kept;
  }
  return kept;
}

LEEWARD_CLONES void take_horizon(const float* __restrict horizon, float a_ray, int last, int lanes,
                                 float* __restrict out) {
  for (int n = 0; n < lanes; ++n) {
    const int at = static_cast<int>(static_cast<float>(n) * a_ray), j = at < last ? at : last;
    const float a = horizon[j], b = horizon[j + 1];
    out[n] = a < b ? a : b;
  }
}

LEEWARD_CLONES void aim(const Under& under, int k, float target_height_m, float* target) {
  const Under u = under;
  const float ring = static_cast<float>(u.first + k);
  Cells cells;
  cells_at(u, ring, std::max(u.last[k], 0), cells);
  for (int l = 0; l < kBlock; l += kLanes) {
    Window w;
    window(cells, l, u, w);
    Floats ground{};
    pick_ground(u.ground_m + k * u.stride, w, ground);
    lanes::store(target + l, (ground + target_height_m) * u.inverse[k]);
  }
}

LEEWARD_CLONES void add_four(const Cover* from, const Cover* end, float share, const float* target,
                             float* depth) {
  add_met<kTogether>(from, end, share, target, depth);
}
LEEWARD_CLONES void add_one(const Cover* from, const Cover* end, float share, const float* target,
                            float* depth) {
  add_met<1>(from, end, share, target, depth);
}

}  // namespace leeward::compute::octant
