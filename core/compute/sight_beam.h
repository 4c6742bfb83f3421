// Inside the exact pass of sight: eight sight lines side by side, and what they meet.
#pragma once

#include "core/compute/sight_lanes.h"

#include <cstddef>
#include <cstdint>

namespace leeward::compute::octant {

/// Lines to eight neighbouring cells of one ring, with what they have met.
struct Beam {
  int ring;
  float aside[lanes::kLanes];          ///< Cells to the side a ring; ascending.
  float rise_m[lanes::kLanes];         ///< Of the sight line a ring.
  float step_m[lanes::kLanes];         ///< Of the line, between rings.
  float depth[lanes::kLanes];          ///< Optical.
  std::int32_t hidden[lanes::kLanes];  ///< -1 by ground.
};

/// On rings [first, end) of a layer with `stride` cells from ring to ring. Ground in between:
/// linear between the two cells whose centres the line passes between.
void meet_ground(Beam& beam, const float* ground_m, std::ptrdiff_t stride, int first, int end);
/// Cover: that of the cell whose centre the line passes nearest. `half`: Octant::half().
void meet_cover(Beam& beam, const float* top_m, const float* density_per_m, std::ptrdiff_t stride,
                float half, int first, int end);
}  // namespace leeward::compute::octant
