// How fast a person walks.
#pragma once

#include <cmath>

namespace leeward::compute {

/// How far from his fastest slope Tobler's curve is rounded.
inline constexpr double kToblerRound = 0.02;

/// |x| with its corner rounded for |x| < round: the quartic that joins it with the same slope and
/// curvature, 3/8 round at 0.
inline double rounded_magnitude(double x, double round) {
  const double t = std::abs(x) / round;
  return t < 1 ? round * (0.375 + t * t * (0.75 - 0.125 * t * t)) : std::abs(x);
}

/// Tobler (1993): 6 exp(-3.5 |S + 0.05|) km/h on a path; slope S = rise over run in walking
/// direction. Seconds a horizontal metre. His corner at S = -0.05 is rounded within kToblerRound:
/// there the pace is up to 2.7 % slower than his, elsewhere it is his.
inline double path_pace_s_per_m(double slope) {
  return 0.6 * std::exp(3.5 * rounded_magnitude(slope + 0.05, kToblerRound));
}
/// Time on a path as a share of the time off it: three fifths of the speed off paths (Tobler 1993).
inline constexpr double kPathFactor = 0.6;
/// The same off paths.
inline double off_path_pace_s_per_m(double slope) { return path_pace_s_per_m(slope) / kPathFactor; }

}  // namespace leeward::compute
