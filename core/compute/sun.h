// Sun position, rise, set and twilight by the equations of the NOAA solar calculator (Meeus,
// Astronomical Algorithms, chapter 25, low precision). Accurate to a minute below 72 degrees
// latitude on a level horizon; ridges and refraction add one or two.
#pragma once

#include "core/base/civil_time.h"
#include "core/geo/point.h"

#include <optional>

namespace leeward::compute {

struct SunPosition {
  double altitude_deg = 0;  ///< Geometric (no refraction), of the disc's centre.
  double azimuth_deg = 0;   ///< Clockwise from true north.
};
SunPosition sun_position(Instant at, LonLat place);

/// Apparent altitude less geometric altitude (NOAA refraction), degrees.
double refraction_deg(double altitude_deg);

inline constexpr double kRiseSetZenithDeg = 90.833;
inline constexpr double kCivilZenithDeg = 96.0;

/// The rising (or setting) passage through a zenith angle nearest to `near_noon`, the local solar
/// noon of the day in question. Empty: no such passage that day.
std::optional<Instant> sun_event(Instant near_noon, LonLat place, double zenith_deg, bool rising);
/// Solar noon nearest to `at`.
Instant solar_noon(Instant at, LonLat place);

/// Astronomical terms, for tests against the published worked example (Meeus 25.a, 28.b).
struct SunTerms {
  double apparent_longitude_deg, declination_deg, right_ascension_deg, equation_of_time_min;
};
SunTerms sun_terms(double julian_day);

}  // namespace leeward::compute
