// Clock changes of the IANA zone America/Chicago in 2026: forward on 8 March, back on 1 November.
#include "ui/session/hours.h"

#include "tests/support/small_property.h"

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

const std::string kZone = "America/Chicago";
CivilDay day(int month, int d) {
  return civil_day(*from_civil(2026, month, d, 12, 0, kZone), kZone);
}

TEST(HourTicks, ADayOfTheSpringChangeHas23) {
  const auto ticks = hourTicks(day(3, 8), kZone);
  ASSERT_EQ(ticks.size(), 23U);
  EXPECT_EQ(ticks[1].clock_hour, 1);
  EXPECT_EQ(ticks[2].clock_hour, 3);
  for (const HourTick& t : ticks) EXPECT_FALSE(t.repeated);
}

TEST(HourTicks, ADayOfTheAutumnChangeHas25AndMarksTheRepeatedHour) {
  const auto ticks = hourTicks(day(11, 1), kZone);
  ASSERT_EQ(ticks.size(), 25U);
  EXPECT_EQ(ticks[1].clock_hour, 1);
  EXPECT_FALSE(ticks[1].repeated);
  EXPECT_EQ(ticks[2].clock_hour, 1);
  EXPECT_TRUE(ticks[2].repeated);
  EXPECT_EQ(ticks.back().clock_hour, 23);
}

TEST(PlannedDays, AreThoseOfTheForecast) {
  const Document d = testing::small_property();  // 48 hours from 18:00 local on the 13th
  const auto days = plannedDays(d, testing::kEvening);
  ASSERT_EQ(days.size(), 3U);
  EXPECT_EQ(to_civil(days[0], kZone).day, 13);
  EXPECT_EQ(to_civil(days[2], kZone).day, 15);
}

TEST(WindAt, TheHandWindGoesBeforeTheForecast) {
  Document d = testing::small_property(315, 3);
  EXPECT_EQ(windAt(d, testing::kEvening)->from_deg, 315);
  EXPECT_FALSE(windAt(d, testing::kEvening + std::chrono::hours{24 * 30}));
  Settings s = *d.settings;
  s.use_hand_wind = true;
  s.hand_wind.from_deg = 90;
  d = testing::edited(d, {put(s)});
  EXPECT_EQ(windAt(d, testing::kEvening)->from_deg, 90);
}

}  // namespace
}  // namespace leeward::ui
