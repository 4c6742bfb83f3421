#include "core/base/civil_time.h"

#include <gtest/gtest.h>

namespace leeward {
namespace {

Instant at(const char* iso) { return *parse_iso8601(iso); }

TEST(CivilTime, ReadsAndWritesIso8601) {
  EXPECT_EQ(to_iso8601(at("2026-11-14T21:30:00Z")), "2026-11-14T21:30:00Z");
  EXPECT_EQ(to_iso8601(at("2026-11-14T15:30:00-06:00")), "2026-11-14T21:30:00Z");
  EXPECT_EQ(to_iso8601(at("2026-11-14T15:30:00.123-0600")), "2026-11-14T21:30:00Z");
  EXPECT_EQ(to_iso8601(at("2026-11-14 15:30Z")), "2026-11-14T15:30:00Z");
}

TEST(CivilTime, RefusesTimesWithoutAZoneOrWithNonsense) {
  for (const char* bad : {"2026-11-14T15:30:00", "2026-02-30T00:00:00Z", "yesterday", "",
                          "2026-11-14T15:30:00Zx", "2026-11-14T25:30Z"}) {
    EXPECT_FALSE(parse_iso8601(bad)) << bad;
  }
}

// United States clock change of 1 November 2026, 02:00 CDT to 01:00 CST (IANA tzdata).
TEST(CivilTime, TheDayOfTheAutumnChangeHas25HoursAndMarksTheRepeatedOne) {
  const CivilDay day = civil_day(at("2026-11-01T15:00:00Z"), "America/Chicago");
  EXPECT_EQ(day.end - day.start, std::chrono::hours{25});
  const CivilTime first = to_civil(at("2026-11-01T06:30:00Z"), "America/Chicago");
  const CivilTime second = to_civil(at("2026-11-01T07:30:00Z"), "America/Chicago");
  EXPECT_EQ(first.hour, 1);
  EXPECT_EQ(second.hour, 1);
  EXPECT_FALSE(first.repeated);
  EXPECT_TRUE(second.repeated);
}

TEST(CivilTime, TheDayOfTheSpringChangeHas23Hours) {
  const CivilDay day = civil_day(at("2026-03-08T18:00:00Z"), "America/Chicago");
  EXPECT_EQ(day.end - day.start, std::chrono::hours{23});
}

TEST(CivilTime, GoesFromClockToInstantAndBack) {
  const auto t = from_civil(2026, 11, 14, 15, 30, "America/Chicago");
  ASSERT_TRUE(t);
  EXPECT_EQ(to_iso8601(*t), "2026-11-14T21:30:00Z");
  EXPECT_FALSE(from_civil(2026, 11, 31, 0, 0, "America/Chicago"));
  EXPECT_FALSE(from_civil(2026, 11, 14, 0, 0, "Mars/Olympus"));
}

}  // namespace
}  // namespace leeward
