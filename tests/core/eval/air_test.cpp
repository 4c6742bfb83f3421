// The air of an hour: stability blended over the sun's altitude, spread of direction, and a
// sentence for every value that was missing.
#include "core/eval/air.h"

#include "core/compute/plume.h"
#include "tests/support/small_property.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <functional>

namespace leeward {
namespace {

using namespace testing;
using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

constexpr double kMpsPerKt = 0.5144;
constexpr double kKeyAltitudes_deg[] = {0, 15, 35, 60};  // where Turner's key steps

const SunNow kNoon{35, 180, LightPhase::day, 1};

Instant hour_start(int steps_from_evening) {
  return std::chrono::floor<std::chrono::hours>(kEvening) + std::chrono::hours(steps_from_evening);
}

/// The document with the hour of the evening, or one before or after it, changed.
Document with_hour(const Document& d, int steps, const std::function<void(WindHour&)>& change) {
  WindHour h = *hour_at(d, hour_start(steps));
  change(h);
  return edited(d, {put(h)});
}
Document without_hour(const Document& d, int steps) {
  return edited(d, {Remove{hour_at(d, hour_start(steps))->uid}});
}
Document turned(double before_deg, double now_deg, double after_deg) {
  Document d = small_property(now_deg, 4);
  d = with_hour(d, -1, [&](WindHour& h) { h.from_deg = before_deg; });
  return with_hour(d, 1, [&](WindHour& h) { h.from_deg = after_deg; });
}
double turn_of(const Document& d) { return turn_sd_deg(d, *hour_at(d, kEvening)); }
AirNow evening_air(const Document& d) { return air_of(d, kEvening, kNoon, 0); }

// Turner (1964), worked cases of the objective key: all far enough from its steps to stay whole.
TEST(StabilityIndex, AgreesWithTheKeysExamples) {
  EXPECT_NEAR(stability_index(3 * kMpsPerKt, 30, 0.3), 1, 1e-9);   // 3/10, 3 kt: B
  EXPECT_NEAR(stability_index(5 * kMpsPerKt, -20, 0.2), 5, 1e-9);  // night 2/10, 5 kt: F
  EXPECT_NEAR(stability_index(7 * kMpsPerKt, -20, 0.8), 3, 1e-9);  // night 8/10, 7 kt: D
  EXPECT_NEAR(stability_index(1 * kMpsPerKt, 50, 1.0), 3, 1e-9);   // low overcast: D
}

TEST(StabilityIndex, IsTheKeyFarFromItsSteps) {
  int checked = 0;
  for (double altitude = -60; altitude <= 80; altitude += 0.7) {
    bool far = true;
    for (const double step : kKeyAltitudes_deg) far = far && std::abs(altitude - step) > 6.1;
    if (!far) continue;
    for (const double speed : {0.3, 1.5, 2.5, 3.5, 5.0, 7.0}) {
      for (const double cloud : {0.1, 0.6, 1.0}) {
        EXPECT_NEAR(stability_index(speed, altitude, cloud),
                    compute::turner_stability(speed, altitude, cloud), 1e-9)
            << speed << " m/s, " << altitude << " degrees, cloud " << cloud;
        ++checked;
      }
    }
  }
  EXPECT_GT(checked, 1000);
}

TEST(StabilityIndex, MovesSteadilyWithTheSun) {
  for (const double speed : {0.3, 1.5, 2.5, 3.5, 5.0, 7.0}) {
    for (const double cloud : {0.1, 0.6, 1.0}) {
      double last = stability_index(speed, -20, cloud);
      for (int tenth = -199; tenth <= 800; ++tenth) {
        const double now = stability_index(speed, tenth / 10.0, cloud);
        EXPECT_LT(std::abs(now - last), 0.15) << speed << " m/s at " << tenth / 10.0;
        EXPECT_LE(now, last + 1e-9)
            << speed << " m/s at " << tenth / 10.0;  // more sun, less stable
        last = now;
      }
    }
  }
}

// In a light wind under a clear sky the key steps from F to C at sunrise: half way at the horizon,
// and an eighth of the step is left three degrees on (the triangle's tail).
TEST(StabilityIndex, IsHalfWayAtTheHorizon) {
  EXPECT_NEAR(stability_index(0.5, 0, 0), 3.5, 0.03);
  EXPECT_NEAR(stability_index(0.5, 3, 0), 2 + 3.0 / 8, 0.03);
  EXPECT_NEAR(stability_index(0.5, -3, 0), 5 - 3.0 / 8, 0.03);
}

TEST(Air, StabilityIsTheNearestClassOrTheUsers) {
  const Document d = small_property(200, 1.5);
  const AirNow low = air_of(d, kEvening, SunNow{2, 240, LightPhase::day, 1}, 0);
  EXPECT_FALSE(low.stability_by_hand);
  // From F to C at the horizon; two degrees on, (4/6)^2 / 2 of the triangle still lies below it.
  EXPECT_NEAR(low.stability_index, 2 + 3 * 2.0 / 9, 0.03);
  EXPECT_EQ(low.stability, Stability::d);
  Settings s = *d.settings;
  s.stability = 0;
  const AirNow by_hand = evening_air(edited(d, {put(s)}));
  EXPECT_TRUE(by_hand.stability_by_hand);
  EXPECT_EQ(by_hand.stability, Stability::a);
  EXPECT_EQ(by_hand.stability_index, 0);
}

// An even sweep of width w has sd w / sqrt(12).
TEST(TurnSd, OfASteadyTurnIsThatOfAnEvenSweep) {
  EXPECT_NEAR(turn_of(turned(200, 230, 260)), 30 / std::sqrt(12), 1e-9);
  EXPECT_NEAR(turn_of(turned(340, 0, 20)), 20 / std::sqrt(12), 1e-9);
  EXPECT_NEAR(turn_of(turned(20, 350, 320)), 30 / std::sqrt(12), 1e-9);
  EXPECT_EQ(turn_of(turned(350, 350, 350)), 0);
}

// The oracle walks the hour minute by minute and takes the root mean square about its own
// direction.
TEST(TurnSd, AgreesWithTheHourWalkedMinuteByMinute) {
  const double cases[][3] = {{200, 230, 210}, {300, 330, 355}, {10, 350, 30}, {90, 90, 180}};
  for (const auto& c : cases) {
    double squares = 0;
    int n = 0;
    for (double t = -0.4995; t < 0.5; t += 0.001, ++n) {
      const double toward = t < 0 ? c[0] : c[2];
      const double off = std::abs(t) * wrap_180(toward - c[1]);
      squares += off * off;
    }
    EXPECT_NEAR(turn_of(turned(c[0], c[1], c[2])), std::sqrt(squares / n), 0.01) << c[1];
  }
}

TEST(TurnSd, UsesTheNeighboursThatThereAre) {
  const Document d = turned(200, 230, 290);
  EXPECT_NEAR(turn_of(without_hour(d, 1)), 30 / std::sqrt(12), 1e-9);
  EXPECT_NEAR(turn_of(without_hour(d, -1)), 60 / std::sqrt(12), 1e-9);
  EXPECT_EQ(turn_of(without_hour(without_hour(d, -1), 1)), 0);  // the next are two hours away
  const auto calm = [](WindHour& h) { h.speed_mps = 0.2; };
  const auto variable = [](WindHour& h) { h.from_deg.reset(); };
  EXPECT_NEAR(turn_of(with_hour(d, 1, calm)), 30 / std::sqrt(12), 1e-9);
  EXPECT_NEAR(turn_of(with_hour(d, -1, variable)), 60 / std::sqrt(12), 1e-9);
  EXPECT_EQ(turn_of(with_hour(d, 0, calm)), 0);
  const auto late = [](WindHour& h) { h.at += std::chrono::minutes(5); };
  const auto later = [](WindHour& h) { h.at += std::chrono::minutes(6); };
  const Document only_next = without_hour(without_hour(d, -1), 2);
  EXPECT_GT(turn_of(with_hour(only_next, 1, late)), 17);
  EXPECT_EQ(turn_of(with_hour(only_next, 1, later)), 0);
}

TEST(Air, GustsAndTurnJoinInQuadrature) {
  const AirNow turning = evening_air(turned(200, 230, 260));
  EXPECT_NEAR(turning.extra_sd_deg, 30 / std::sqrt(12), 1e-9);
  EXPECT_NEAR(turning.direction_sd_deg, compute::direction_sd_deg(4, turning.extra_sd_deg), 1e-12);
  const auto gusty = [](WindHour& h) { h.gust_mps = 8; };
  const double gust_deg = evening_air(with_hour(small_property(230, 4), 0, gusty)).extra_sd_deg;
  EXPECT_NEAR(gust_deg, 0.25 * kDegPerRad, 1e-9);  // gusts of twice the mean
  EXPECT_NEAR(evening_air(with_hour(turned(200, 230, 260), 0, gusty)).extra_sd_deg,
              std::hypot(gust_deg, 30 / std::sqrt(12)), 1e-9);
}

TEST(Doubts, AreNoneWhereEverythingIsGiven) {
  EXPECT_THAT(evening_air(small_property()).doubts, IsEmpty());
}

struct Missing {
  const char* name;
  std::function<Document()> document;
  bool known;
  double sd_deg;  ///< -1: as usual for its speed.
  const char* said;
};

class MissingValue : public ::testing::TestWithParam<Missing> {};

TEST_P(MissingValue, HasItsSentenceAndAnHonestSpread) {
  const Missing& m = GetParam();
  const AirNow air = evening_air(m.document());
  EXPECT_EQ(air.known, m.known);
  EXPECT_THAT(air.doubts, Contains(HasSubstr(m.said)));
  const double usual = compute::direction_sd_deg(air.speed_10m_mps, air.extra_sd_deg);
  EXPECT_DOUBLE_EQ(air.direction_sd_deg, m.sd_deg < 0 ? usual : m.sd_deg);
  EXPECT_TRUE(std::isfinite(air.stability_index));
  if (!m.known) {
    EXPECT_THAT(air.doubts, Contains(HasSubstr("spread to all sides")));
  }
}

Document evening_with(const std::function<void(WindHour&)>& change) {
  return with_hour(small_property(), 0, change);
}

const Missing kMissing[] = {
    {"speed", [] { return evening_with([](WindHour& h) { h.speed_mps.reset(); }); }, false, 104,
     "no wind speed"},
    {"direction", [] { return evening_with([](WindHour& h) { h.from_deg.reset(); }); }, false, 104,
     "no wind direction for this hour (unknown or variable)"},
    {"calm", [] { return evening_with([](WindHour& h) { h.speed_mps = 0.4; }); }, true, 104,
     "calm (below 0.5 m/s): no direction is used"},
    {"calm_without_direction",
     [] {
       return evening_with([](WindHour& h) {
         h.speed_mps = 0;
         h.from_deg.reset();
       });
     },
     true, 104, "calm (below 0.5 m/s): no direction is used"},
    {"calm_by_hand",
     [] {
       Document d = small_property();
       Settings s = *d.settings;
       s.use_hand_wind = true;
       s.hand_wind.speed_mps = 0;
       return edited(d, {put(s)});
     },
     true, 104, "calm (below 0.5 m/s): no direction is used"},
    {"cloud", [] { return evening_with([](WindHour& h) { h.cloud.reset(); }); }, true, -1,
     "a sky half covered is assumed"},
    {"gust_below_the_mean", [] { return evening_with([](WindHour& h) { h.gust_mps = 2; }); }, true,
     -1, "less than its mean wind"},
    {"gap", [] { return without_hour(small_property(), 0); }, false, 104,
     "last hour before it is Sat 14 Nov 2026 13:00, the next hour after it is Sat 14 Nov 2026 "
     "15:00"},
    {"no_wind",
     [] {
       Document d = small_property();
       return edited(d, {Remove{d.forecasts->front()->uid}});
     },
     false, 104, "not known for this hour"},
};
INSTANTIATE_TEST_SUITE_P(Every, MissingValue, ::testing::ValuesIn(kMissing),
                         [](const auto& row) { return std::string(row.param.name); });

TEST(Doubts, NameTheEndsOfAForecast) {
  const Document d = small_property();
  const AirNow late = air_of(d, kEvening + std::chrono::hours(100), kNoon, 0);
  EXPECT_THAT(late.doubts, Contains(HasSubstr("the last hour before it is")));
  EXPECT_THAT(late.doubts, Not(Contains(HasSubstr("the next hour after it"))));
  EXPECT_EQ(late.cloud, kAssumedCloud);
  const AirNow early = air_of(d, kEvening - std::chrono::hours(100), kNoon, 0);
  EXPECT_THAT(early.doubts, Contains(HasSubstr("hour: the next hour after it is")));
}

TEST(Doubts, SayHowFarAheadAnHourWasForecast) {
  const auto issued = [](std::chrono::hours before) {
    Document d = small_property();
    Forecast f = *d.forecasts->front();
    f.issued = hour_at(d, kEvening)->at - before;
    return edited(d, {put(f)});
  };
  const auto doubts = [](const Document& d) { return air_of(d, kEvening, kNoon, 0).doubts; };
  EXPECT_THAT(doubts(issued(std::chrono::hours(100))),
              Contains(HasSubstr("was forecast 4 days ahead")));
  EXPECT_TRUE(doubts(issued(std::chrono::hours(71))).empty());
}

TEST(Doubts, AGustBelowTheMeanIsNotShown) {
  const AirNow air = evening_air(evening_with([](WindHour& h) { h.gust_mps = 2; }));
  EXPECT_FALSE(air.gust_mps);
  EXPECT_TRUE(evening_air(evening_with([](WindHour& h) { h.gust_mps = 2.9; })).doubts.empty());
}

}  // namespace
}  // namespace leeward
