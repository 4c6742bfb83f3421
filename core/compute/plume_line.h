// A straight line that scent takes from a source to a place. For scent_plume.cpp and
// wind_response.cpp alone.
#pragma once

#include "core/compute/scent_plume.h"

namespace leeward::compute {

inline constexpr float kLongestPart_m = 25;
/// A line is followed in 8, 16 or 32 parts.
inline int parts_of_line(float length_m) {
  return length_m <= 8 * kLongestPart_m ? 8 : length_m <= 16 * kLongestPart_m ? 16 : 32;
}

/// Exposure at the end of a line (dx, dy) from the source, over which the wind is `mean` (as a cell
/// of a Flow; toward where the scent goes).
double exposure_along(const PlumeTable& table, const Flow::Cell& mean, float dx, float dy);

}  // namespace leeward::compute
