// Hours of a property's days: stepping goes by UTC, so a day of a clock change has its 23 or 25
// hours; clock labels come from the property's time zone.
#pragma once

#include "core/model/document.h"

#include <QString>

#include <optional>
#include <vector>

namespace leeward::ui {

struct HourTick {
  Instant at;
  int clock_hour = 0;
  bool repeated = false;  ///< Second pass of an hour that a clock change repeats.
};
/// One tick an hour from the day's midnight up to, not including, the next.
std::vector<HourTick> hourTicks(const CivilDay& day, const std::string& time_zone);

/// The wind that holds at an instant: by hand if the property says so, else the forecast's hour.
/// Directions are grid bearings. nullopt: nothing is known.
std::optional<WindHour> windAt(const Document& document, Instant at);

/// Days (their midnights) that the forecast covers, or the week from `today` without one.
std::vector<Instant> plannedDays(const Document& document, Instant today);

/// Where the strip begins when a property opens: 15:00 local on the first planned day.
Instant firstSit(const Document& document, Instant today);

}  // namespace leeward::ui
