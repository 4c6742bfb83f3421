// The sun in the sitter's eyes and on his face, direct sun over the land, the moon, legal light.
// Columbia, Missouri, on 15 November 2025: civil dawn 06:24, sunrise 06:52 (412.50 minutes, on the
// edge of 06:53), sunset 16:55, civil dusk 17:24 at UTC-6 by the NOAA equations (Meeus, chapter
// 25), within 0.05 minutes of the ephemeris of astropy; there also the sun's azimuth and height:
// 13:30Z 119.56 and 5.684 degrees (5.829 as seen), 18:00Z 181.69 and 32.35, 22:00Z 237.33 and
// 8.609. The angles that count as glare (25 degrees, sun below 20) and as a lit face (60): common
// practice, no source.
#include "core/eval/stand_light.h"

#include "core/compute/sun.h"
#include "core/eval/explain.h"
#include "tests/support/ascii_map.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace leeward::testing {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

const LonLat kColumbia{-92.3341, 38.9517};
Instant utc(const std::string& clock) { return *parse_iso8601("2025-11-15T" + clock + ":00Z"); }
double minutes_apart(Instant a, Instant b) {
  return std::abs(static_cast<double>((a - b).count())) / 60;
}

compute::HorizonProfile even_horizon(double angle_deg) {
  compute::HorizonProfile h;
  h.angle_deg.assign(compute::kHorizonAzimuths, angle_deg);
  return h;
}
// A level line of sight along a bearing, and what the light does on it while the sitter is there.
StandLight light_along(double toward_deg, Instant arrive, Instant leave, double within_deg = 25,
                       double horizon_deg = 0, double depression_deg = 0) {
  InReach line;
  line.feature = Uid::from_seed("line");
  line.bearing = Bearing::degrees(toward_deg);
  line.depression_deg = depression_deg;
  const compute::HorizonProfile horizon = even_horizon(horizon_deg);
  const auto sun = compute::direct_sun(horizon, compute::sun_minutes(utc("18:00"), kColumbia, 0));
  return stand_light(horizon, sun, kColumbia, 0, {line}, within_deg, arrive, leave);
}

TEST(LowSun, IsAsFarFromTheLineOfSightAsTheSphereSays) {
  const Instant t = utc("22:00");
  const StandLight along = light_along(237.33, t, t);
  ASSERT_EQ(along.glare.size(), 1U);
  EXPECT_NEAR(along.glare[0].angle_deg, 8.609, 0.02);
  EXPECT_EQ(along.glare[0].from, t);
  EXPECT_EQ(along.glare[0].until, t);
  // Looking 10 degrees down it stands 10 degrees higher.
  EXPECT_NEAR(light_along(237.33, t, t, 25, 0, 10).glare.at(0).angle_deg, 18.609, 0.02);
  // 20 degrees aside: acos(cos 8.609 cos 20) = 21.70.
  EXPECT_NEAR(light_along(217.33, t, t).glare.at(0).angle_deg, 21.70, 0.02);
  // The set angle is the limit.
  EXPECT_EQ(light_along(237.33, t, t, 8.7).glare.size(), 1U);
  EXPECT_TRUE(light_along(237.33, t, t, 8.5).glare.empty());
}

TEST(LowSun, LightsTheFaceWithinAWiderAngle) {
  const Instant t = utc("22:00");
  // 40 degrees aside: acos(cos 8.609 cos 40) = 40.76; 70: beyond 60.
  const StandLight aside = light_along(197.33, t, t);
  EXPECT_TRUE(aside.glare.empty());
  ASSERT_EQ(aside.lit.size(), 1U);
  EXPECT_NEAR(aside.lit[0].angle_deg, 40.76, 0.02);
  EXPECT_TRUE(light_along(167.33, t, t).lit.empty());
  EXPECT_TRUE(light_along(57.33, t, t).lit.empty());  // his back
}

TEST(LowSun, IsNeitherHighNorDownNorBehindTheLand) {
  const Instant noon = utc("18:00"), t = utc("22:00"), dark = utc("23:30");
  EXPECT_TRUE(light_along(181.69, noon, noon).lit.empty());
  EXPECT_TRUE(light_along(245, dark, dark).lit.empty());
  const StandLight hidden = light_along(237.33, t, t, 25, 15);
  EXPECT_TRUE(hidden.known);
  EXPECT_TRUE(hidden.glare.empty());
  EXPECT_TRUE(hidden.lit.empty());
}

TEST(LowSun, IsToldFromWhenToWhen) {
  // The whole afternoon toward the sunset: from when the sun stands below 20 degrees and within 25
  // of the line, until the last five minutes before 22:55.
  const double set_deg = compute::sun_position(utc("22:55"), kColumbia).azimuth_deg;
  const StandLight light = light_along(set_deg, utc("18:00"), utc("23:55"));
  ASSERT_EQ(light.glare.size(), 1U);
  const GlareOn& g = light.glare[0];
  const auto angle_deg = [&](Instant t) {
    return compute::glare_angle_deg({Bearing::degrees(set_deg), 0},
                                    compute::grid_sun(t, kColumbia, 0));
  };
  EXPECT_LE(angle_deg(g.from), 25);
  EXPECT_GT(angle_deg(g.from - std::chrono::minutes{5}), 25);
  EXPECT_LE(minutes_apart(g.until, utc("22:55")), 5);
  EXPECT_LT(g.angle_deg, 2);
  EXPECT_LT(light.lit.at(0).from, g.from);
}

// --- through the engine

// A stand at Columbia with a trail that crosses 20 m from it toward a true bearing.
class ColumbiaStand : public ::testing::Test {
 protected:
  ColumbiaStand() {
    const Frame frame = *Frame::make("EPSG:32615");
    stand_at = frame.to_local(kColumbia);
    convergence_deg = frame.convergence_deg(stand_at);
  }
  Document looking(double true_deg) const {
    const Bearing toward = Bearing::degrees(true_deg - convergence_deg);
    const LocalXY crossing = moved(stand_at, toward, 20);
    const Bearing along = Bearing::degrees(toward.degrees() + 90);
    const auto end = [&](double m) { return moved(crossing, along, m); };
    Document d = with_settings(document_from_ascii("", 10), [](Settings& s) {
      s.legal_before_sunrise_min = s.legal_after_sunset_min = 30;
      s.sit_minutes = 180;
    });
    return edited(d, {put(seeded(Kind::stand, Shape::point(stand_at), "Stand")),
                      put(seeded(Kind::deer_trail, Shape::line({end(-30), end(30)}), "Trail"))});
  }
  // Cells of 10 m with one centre at the stand, 700 m each way.
  template <class Height>
  Ref<Terrain> ground(Height height) const {
    Terrain t;
    t.ground = ground_by(GridSpec{stand_at.x - 705, stand_at.y + 705, 10, 141, 141},
                         [&](LocalXY p) { return height(p.x - stand_at.x, p.y - stand_at.y); });
    return make_ref<Terrain>(std::move(t));
  }
  Ref<Terrain> level() const {
    return ground([](double, double) { return 200.0; });
  }
  static const StandLight& light(const Ref<Results>& r) { return r->stands.at(0).light; }
  static std::string words(const Document& d, const Results& r) {
    std::string out;
    for (const Sentence& s : explain_stand(d, r, r.stands.at(0))) out += s.text + "\n";
    return out;
  }

  LocalXY stand_at;
  double convergence_deg = 0;
};

TEST_F(ColumbiaStand, IsDazzledAndLitByTheEveningSunAlongATrailToTheSouthWest) {
  const Document d = looking(237.33);
  const auto r = evaluate_cold(d, level(), utc("20:00"));
  ASSERT_TRUE(light(r).known);
  ASSERT_EQ(light(r).glare.size(), 1U);
  const GlareOn& g = light(r).glare[0];
  EXPECT_EQ(g.feature, Uid::from_seed("Trail"));
  // From 6.2 m down to 0.8 m at 20 m he looks 15.11 degrees down: at 22:00Z the sun stands 23.7
  // from that, and nearer until it sets.
  EXPECT_LE(g.from, utc("22:00"));
  EXPECT_GE(g.from, utc("21:30"));
  EXPECT_LE(minutes_apart(g.until, utc("22:55")), 5);
  EXPECT_LT(g.angle_deg, 23.7);
  EXPECT_EQ(light(r).lit.at(0).feature, Uid::from_seed("Trail"));
  const std::string text = words(d, *r);
  EXPECT_THAT(text, HasSubstr("Low sun in your eyes toward Trail 15:"));
  EXPECT_THAT(text, HasSubstr(" to 16:5"));
  EXPECT_THAT(text, HasSubstr("The sun lights your face for deer on Trail "));
  const auto narrow = with_settings(d, [](Settings& s) { s.glare_within_deg = 10; });
  EXPECT_TRUE(light(evaluate_cold(narrow, level(), utc("20:00"))).glare.empty());
}

TEST_F(ColumbiaStand, IsNotDazzledAlongATrailToTheNorthEastInTheEvening) {
  const Document d = looking(57);
  const auto r = evaluate_cold(d, level(), utc("20:00"));
  EXPECT_TRUE(light(r).glare.empty());
  EXPECT_TRUE(light(r).lit.empty());
  EXPECT_THAT(words(d, *r), Not(HasSubstr("Low sun")));
}

TEST_F(ColumbiaStand, GetsTheSunLateBehindARidge) {
  // A wall with its foot cell 500 m east. Toward the sun of 13:30Z, 119.56 degrees true less 0.42
  // of convergence, that is 500 / sin(119.14) = 572.4 m. The upper limb is seen at 5.829 + 0.267:
  // 572.4 tan(6.096) = 61.13 m above the eye at 6.2 m.
  EXPECT_NEAR(convergence_deg, 0.4186, 0.001);
  const auto ridge = ground([](double x, double) { return x > 495 ? 200 + 6.2 + 61.13 : 200; });
  const Document d = looking(237.33);
  const auto behind = evaluate_cold(d, ridge, utc("20:00"));
  ASSERT_EQ(light(behind).sun.size(), 1U);
  EXPECT_LE(minutes_apart(light(behind).sun[0].from, utc("13:30")), 1.5);
  EXPECT_LE(minutes_apart(light(behind).sun[0].to, utc("22:55")), 1.5);
  EXPECT_THAT(words(d, *behind), HasSubstr("direct sun reaches the stand 07:"));
  const auto flat = evaluate_cold(d, level(), utc("20:00"));
  ASSERT_EQ(light(flat).sun.size(), 1U);
  EXPECT_LE(minutes_apart(light(flat).sun[0].from, utc("12:52")), 1.5);
}

TEST_F(ColumbiaStand, KnowsNoLightWithoutElevation) {
  EXPECT_FALSE(light(evaluate_cold(looking(237.33), make_ref<Terrain>(), utc("20:00"))).known);
}

TEST_F(ColumbiaStand, HasTheDayOfTheTables) {
  const auto r = evaluate_cold(looking(237.33), make_ref<Terrain>(), utc("20:00"));
  const SunDay& sun = r->sun_day;
  EXPECT_LE(minutes_apart(*sun.civil_dawn, utc("12:24")), 1);
  EXPECT_LE(minutes_apart(*sun.rise, utc("12:52")), 1);
  EXPECT_LE(minutes_apart(*sun.set, utc("22:55")), 1);
  EXPECT_LE(minutes_apart(*sun.civil_dusk, utc("23:24")), 1);
  // Half an hour to each side, rounded inward to the minute: later in the morning, earlier in the
  // evening, by less than a minute.
  const Instant earliest = *sun.rise - std::chrono::minutes{30};
  const Instant latest = *sun.set + std::chrono::minutes{30};
  EXPECT_GE(*sun.legal_start, earliest);
  EXPECT_LT(*sun.legal_start, earliest + std::chrono::minutes{1});
  EXPECT_LE(*sun.legal_end, latest);
  EXPECT_GT(*sun.legal_end, latest - std::chrono::minutes{1});
  for (const Instant t : {*sun.legal_start, *sun.legal_end})
    EXPECT_EQ(t.time_since_epoch().count() % 60, 0);
  EXPECT_EQ(*sun.legal_end, utc("23:25"));
}

TEST_F(ColumbiaStand, HasTheMoonOfTheDay) {
  // Full 2025-11-05 13:19Z, new 2025-11-20 06:47Z; 0.5254 lit on 2025-11-12 at 0Z (ephemeris of
  // astropy); the low-precision phase is good to 0.004.
  const auto moon = [&](const char* at) {
    return evaluate_cold(looking(237.33), make_ref<Terrain>(), *parse_iso8601(at))->moon;
  };
  EXPECT_NEAR(moon("2025-11-05T13:19:00Z").phase.illuminated, 0.9986, 0.004);
  EXPECT_NEAR(moon("2025-11-20T06:47:00Z").phase.illuminated, 0.0017, 0.004);
  const MoonDay half = moon("2025-11-12T00:00:00Z");
  EXPECT_NEAR(half.phase.illuminated, 0.5254, 0.004);
  EXPECT_FALSE(half.phase.waxing);
  EXPECT_TRUE(moon("2025-11-25T00:00:00Z").phase.waxing);
  // 0Z on the 12th is the evening of the 11th at Columbia: times are those of that local day.
  ASSERT_TRUE(half.times.rise && half.times.set);
  for (const Instant t : {*half.times.rise, *half.times.set}) {
    EXPECT_GE(t, *parse_iso8601("2025-11-11T06:00:00Z"));
    EXPECT_LT(t, *parse_iso8601("2025-11-12T06:00:00Z"));
  }
}

// The local day may change without the stand, its horizon, its trails or the hour.
TEST_F(ColumbiaStand, IsWorkedOutAnewWhenTheTimeZoneChanges) {
  const Document d = looking(237.33);
  const Document by_utc = with_settings(d, [](Settings& s) { s.time_zone = "UTC"; });
  const Ref<Terrain> terrain = level();
  // The evening of the 15th in Chicago, the 16th by UTC.
  const Instant at = *parse_iso8601("2025-11-16T02:00:00Z");
  Engine warm;
  const auto ask = [&](const Document& document) {
    return *warm.evaluate({make_ref<Document>(document), terrain, scene_at(document, at)});
  };
  const Instant before = light(ask(d)).sun.at(0).from, after = light(ask(by_utc)).sun.at(0).from;
  EXPECT_NEAR(minutes_apart(before, after), 24 * 60, 2);
}

}  // namespace
}  // namespace leeward::testing
