// How fast a person walks.
#pragma once

#include <cmath>

namespace leeward::compute {

/// Tobler (1993): 6 exp(-3.5 |S + 0.05|) km/h on a path; slope S = rise over run in walking
/// direction. Seconds a horizontal metre.
inline double path_pace_s_per_m(double slope) {
  return 0.6 * std::exp(3.5 * std::abs(slope + 0.05));
}
/// The same off paths: three fifths of the speed (Tobler 1993).
inline double off_path_pace_s_per_m(double slope) { return path_pace_s_per_m(slope) / 0.6; }

}  // namespace leeward::compute
