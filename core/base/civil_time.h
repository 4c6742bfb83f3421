// Instants are UTC inside (std::chrono::sys_seconds); a property's own IANA time zone turns them
// into clock time at the edges. The system tzdata is read through the date library, in the .cpp
// only.
#pragma once

#include "core/base/result.h"

#include <chrono>
#include <string>
#include <string_view>

namespace leeward {

using Instant = std::chrono::sys_seconds;

/// Clock time at a place. `repeated` marks the second pass of an hour that a clock change repeats.
struct CivilTime {
  int year = 1970;
  int month = 1;
  int day = 1;
  int hour = 0;
  int minute = 0;
  int second = 0;
  int weekday = 4;  ///< 0 = Sunday.
  int day_of_year = 1;
  int utc_offset_min = 0;
  bool repeated = false;
  std::string zone_abbreviation;
};

/// True if the system's tzdata knows `iana_name`.
bool is_time_zone(std::string_view iana_name);

/// Clock time of `at` in `iana_name`; an unknown zone falls back to UTC.
CivilTime to_civil(Instant at, const std::string& iana_name);
/// "2026-11-14".
std::string iso_date(const CivilTime& time);

/// The instant of a clock time; of an ambiguous time the first pass, of a skipped one the instant
/// of the jump. ERRORS: invalid_argument for an unknown zone or a date that does not exist.
Result<Instant> from_civil(int year, int month, int day, int hour, int minute,
                           const std::string& iana_name);

/// Local midnight that begins the day of `at`, and the length of that day in hours (23, 24 or 25).
struct CivilDay {
  Instant start;
  Instant end;
};
CivilDay civil_day(Instant at, const std::string& iana_name);

/// ISO 8601, "2026-11-14T21:30:00Z".
std::string to_iso8601(Instant at);
/// Accepts "YYYY-MM-DDTHH:MM[:SS][.fff](Z|+HH:MM|-HH:MM)". ERRORS: parse.
Result<Instant> parse_iso8601(std::string_view text);

}  // namespace leeward
