// Moon: phase, position, rise and set.
//
// Phase: Meeus, Astronomical Algorithms, 48.4 (low precision, leaves the moon's latitude out):
// lit share within 0.004.
// Position: the longest terms of Meeus chapter 47 (those above 0.003 degrees), from memory; within
// 0.007 degrees of the chapter's worked example. Nutation and the difference of dynamical and
// universal time (69 s, 0.01 degrees of moon) are left out.
// Rise and set: upper limb on a level horizon with the usual refraction of 34', parallax from the
// distance (Meeus chapter 15: geocentric altitude 0.7275 parallax - 0.567 degrees), found by
// walking the day in steps of ten minutes and halving. Against a year published by the US Naval
// Observatory for 37 degrees north (706 events, printed to the minute) the largest difference is
// 0.63 minutes. Nearer the poles the moon grazes the horizon, and a pass shorter than ten minutes
// may be missed. Ridges and weather are not in it.
#pragma once

#include "core/base/civil_time.h"
#include "core/geo/point.h"

#include <optional>

namespace leeward::compute {

/// Geocentric, mean equinox of date.
struct MoonPosition {
  double longitude_deg = 0, latitude_deg = 0;  ///< Ecliptic.
  double distance_km = 0;                      ///< Between centres.
  double right_ascension_deg = 0, declination_deg = 0;
};
MoonPosition moon_position(double julian_day);

struct MoonPhase {
  double illuminated = 0;  ///< Lit share of the disc, 0 new to 1 full.
  /// Mean elongation as days since new moon, 0 to 29.53: the true age differs by up to 0.8 days.
  double age_days = 0;
  bool waxing = false;
};
MoonPhase moon_phase(Instant at);

struct MoonTimes {
  std::optional<Instant> rise, set;  ///< The first of each in the span; empty: none.
  bool up_at_start = false;
};
/// For a span of time, as a rule a civil day. An event at the very end of a span counts, one at its
/// very start does not: of spans that follow each other, each event is in one.
MoonTimes moon_times(Instant start, Instant end, LonLat place);

}  // namespace leeward::compute
