// Sun, light and wind of a moment at a property.
#pragma once

#include "core/eval/results.h"

namespace leeward {

/// `place` is the property's centre in WGS 84.
SunDay sun_day_of(Instant at, LonLat place, const Settings& settings);
SunNow sun_now(Instant at, LonLat place);

/// The wind of the hour that holds `at`: by hand if the settings say so, else from the wind hours.
/// Turner's key gives the stability. `convergence_deg` turns the grid direction to true for
/// display.
AirNow air_of(const Document& document, Instant at, const SunNow& sun, double convergence_deg);

/// The property's wind hour that holds `at`, or nullptr.
Ref<WindHour> hour_at(const Document& document, Instant at);

/// Leaves are taken to be on from May to October (common practice, no source).
bool leaf_on_at(Instant at, const std::string& time_zone);

}  // namespace leeward
