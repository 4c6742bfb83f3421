// Sun, light and wind of a moment at a property.
#pragma once

#include "core/eval/results.h"

namespace leeward {

/// `place` is the property's centre in WGS 84.
SunDay sun_day_of(Instant at, LonLat place, const Settings& settings);
SunNow sun_now(Instant at, LonLat place);

/// Spread of direction where nothing is known of it, and in a calm: all sides alike.
inline constexpr double kAnyDirectionSd_deg = 104;
/// Below this speed at 10 m an hour is calm and its direction says nothing (METAR counts a wind
/// below 3 kt, 1.5 m/s, as calm; a forecast's 0.5 m/s and more is believed with its spread).
inline constexpr double kCalmBelow_mps = 0.5;
/// Hours so long after their forecast was issued are said to be doubtful (common practice, no
/// source).
inline constexpr std::chrono::hours kFarAhead{72};
/// Cloud where none is given. Common practice, no source.
inline constexpr double kAssumedCloud = 0.5;

/// Turner's key (compute::turner_stability) as a real number, 0 = A .. 5 = F: its mean over the
/// sun's altitude with a triangular weight of 6 degrees to each side, about half an hour each in
/// middle latitudes, so that the class does not jump at sunrise, sunset and the key's other
/// altitudes (the window is common practice, no source).
double stability_index(double speed_10m_mps, double sun_altitude_deg, double cloud);

/// How far the direction of a wind hour turns within the hour, degrees, as the root mean square
/// about the hour's own direction. The direction is taken to move evenly from the middle of one
/// hour to that of the next along the smaller angle; so the hour holds half of each turn, and a
/// steady turn of w an hour gives the w / sqrt(12) of an even sweep. Neighbours count if they begin
/// at most 65 minutes away, have a direction and are not calm; a single one is taken to stand for
/// both sides; none: 0.
double turn_sd_deg(const Document& document, const WindHour& hour);

/// The wind of the hour that holds `at`: by hand if the settings say so, else from the wind hours.
/// stability_index() gives the stability unless the settings do. `doubts` says of each value that
/// was missing what stands in for it. A calm is known and goes to all sides. `convergence_deg`
/// turns the grid direction to true for display.
AirNow air_of(const Document& document, Instant at, const SunNow& sun, double convergence_deg);

/// The property's wind hour that holds `at`, or nullptr.
Ref<WindHour> hour_at(const Document& document, Instant at);

/// Leaves are taken to be on from May to October (common practice, no source).
bool leaf_on_at(Instant at, const std::string& time_zone);

}  // namespace leeward
