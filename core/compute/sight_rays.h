// Inside the quick pass of sight: a block of rays side by side, and the cover that they meet.
#pragma once

#include <cstddef>
#include <cstdint>

namespace leeward::compute::octant {

inline constexpr int kBlock = 16;       ///< Rays side by side.
inline constexpr int kMostRings = 16;   ///< Looked at together.
inline constexpr int kTogether = 4;     ///< Samples.
inline constexpr float kBelow = -1e6F;  ///< Slope of the horizon before any ground, of no cover.

/// What a block of rays meets on one ring or some that follow each other, by ray.
struct Cover {
  float slope[kBlock];    ///< Of its top, metres a ring.
  float density[kBlock];  ///< In 1/m, times the rings.
};

/// Rings of land under a block of rays; where ray n meets ring i is cell n i per_ring + half.
struct Under {
  const float* ground_m;               ///< Swept, of the first ring; from the eye.
  std::ptrdiff_t stride;               ///< From ring to ring.
  const float *top_m, *density_per_m;  ///< Of the land, on the axis of the first ring.
  std::ptrdiff_t major;
  std::int32_t minor;
  int widest;  ///< The last cell that is on the land.
  int first, rings;
  int group;                  ///< Rings whose cover is taken together: 1 or 2.
  const int *last, *cleared;  ///< By ring, as in Octant.
  const float* inverse;       ///< Of the ring.
  float per_ring, half;
  int first_ray;
  bool all;  ///< Of the rings of each group, not the last alone.
};

/// The cover on groups of rings that rises above the horizons of some of the rays, for what lies
/// below dims nothing that is seen beyond. Up to one more than is met is written. `before`: by
/// group, how many came before it, and how many in all.
int meet_block(const Under& under, const float* horizon, Cover* to, int* before);
/// Leaves what rises above the horizons, in its order; how many that are.
int cull(Cover* cover, int count, const float* horizon);
/// The horizon on a ring where rays meet it: the lower of the two cells beside each.
void take_horizon(const float* horizon, float a_ray, int last, int lanes, float* out);
/// Slopes of the lines to the targets on ring `k` of those under the rays.
void aim(const Under& under, int k, float target_height_m, float* target);
/// Adds to depths the cover whose slope is higher than the target's, times `share`; to kTogether of
/// them, or one.
void add_four(const Cover* from, const Cover* end, float share, const float* target, float* depth);
void add_one(const Cover* from, const Cover* end, float share, const float* target, float* depth);

}  // namespace leeward::compute::octant
