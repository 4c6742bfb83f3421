#include "core/eval/air.h"
#include "core/eval/deer.h"
#include "tests/support/small_property.h"

#include <gtest/gtest.h>

namespace leeward {
namespace {

using namespace leeward::testing;

const LonLat kPlace{-93, 38.85};

SunDay day() {
  Settings s;
  return sun_day_of(kEvening, kPlace, s);
}
double use(Kind kind, double hours_from_rise, double hours_from_set, bool morning, int month = 11) {
  const SunDay d = day();
  const Instant t = morning ? *d.rise + std::chrono::minutes{static_cast<int>(60 * hours_from_rise)}
                            : *d.set + std::chrono::minutes{static_cast<int>(60 * hours_from_set)};
  const Feature f = kind == Kind::deer_trail ? make_feature(kind, Shape::line({{0, 0}, {10, 0}}))
                                             : make_feature(kind, box(0, 0, 10, 10));
  DeerTime time = deer_time(t, d, Settings());
  time.month = month;
  return occupancy(f, time, Settings());
}

// common practice, no source: bedding by day, food by night, trails between.
TEST(Occupancy, BeddingByDayFoodByNightTrailsBetween) {
  EXPECT_GT(use(Kind::bedding, 4, 0, true), 0.8);
  EXPECT_LT(use(Kind::bedding, -2, 0, true), 0.2);
  EXPECT_GT(use(Kind::food, 0, 1, false), 0.7);
  EXPECT_LT(use(Kind::food, 4, 0, true), 0.1);
  EXPECT_GT(use(Kind::deer_trail, 0, -0.25, false), 3 * use(Kind::deer_trail, 4.5, 0, true));
}

TEST(Occupancy, FoodDrawsOnlyInItsMonths) { EXPECT_LT(use(Kind::food, 0, 1, false, 6), 0.1); }

TEST(Occupancy, ChangesWithoutAStep) {
  for (const Kind k : {Kind::bedding, Kind::food, Kind::deer_trail}) {
    double last = use(k, -3, 0, true);
    for (double h = -3; h < 4.5; h += 0.05) {
      const double v = use(k, h, 0, true);
      EXPECT_LT(std::abs(v - last), 0.05) << h;
      last = v;
    }
  }
}

TEST(Air, FindsTheHourAndTheHandWindWins) {
  Document d = small_property(200, 4);
  SunNow sun = sun_now(kEvening, kPlace);
  AirNow air = air_of(d, kEvening, sun, 0);
  EXPECT_TRUE(air.known);
  EXPECT_DOUBLE_EQ(air.from.source().degrees(), 200);
  Settings s = *d.settings;
  s.use_hand_wind = true;
  s.hand_wind = {90, 2, 0.5};
  air = air_of(edited(d, {put(s)}), kEvening, sun, 0);
  EXPECT_DOUBLE_EQ(air.from.source().degrees(), 90);
  EXPECT_EQ(air.source, "by hand");
  EXPECT_EQ(hour_at(d, *parse_iso8601("2027-01-01T00:00:00Z")), nullptr);
}

TEST(Air, AStatedRangeAndGustsWidenTheDirection) {
  Document d = small_property(200, 4);
  const SunNow sun = sun_now(kEvening, kPlace);
  const double narrow = air_of(d, kEvening, sun, 0).direction_sd_deg;
  WindHour h = *hour_at(d, kEvening);
  h.gust_mps = 9;
  EXPECT_GT(air_of(edited(d, {put(h)}), kEvening, sun, 0).direction_sd_deg, narrow + 5);
  h.from_deg.reset();
  const AirNow unknown = air_of(edited(d, {put(h)}), kEvening, sun, 0);
  EXPECT_FALSE(unknown.known);
  EXPECT_DOUBLE_EQ(unknown.direction_sd_deg, 104);
}

}  // namespace
}  // namespace leeward
