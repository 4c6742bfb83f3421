// How fast a person walks.
#pragma once

#include <cmath>

namespace leeward::compute {

/// Tobler (1993): 6 exp(-3.5 |S + 0.05|) km/h on a path; slope S = rise over run in walking
/// direction. Seconds a horizontal metre.
inline double path_pace_s_per_m(double slope) {
  return 0.6 * std::exp(3.5 * std::abs(slope + 0.05));
}
/// Time on a path as a share of the time off it: three fifths of the speed off paths (Tobler 1993).
inline constexpr double kPathFactor = 0.6;
/// The same off paths.
inline double off_path_pace_s_per_m(double slope) { return path_pace_s_per_m(slope) / kPathFactor; }

}  // namespace leeward::compute
