#include "core/compute/horizon_sun.h"

#include "tests/support/ascii_grid.h"
#include "tests/support/terrain_makers.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace leeward::compute {
namespace {

Instant at(const char* iso) { return *parse_iso8601(iso); }
const LonLat kColumbia{-92.3341, 38.9517};
const Instant kNoon = at("2025-11-15T18:00:00Z");

HorizonProfile even_horizon(double angle_deg) {
  HorizonProfile h;
  h.angle_deg.assign(kHorizonAzimuths, angle_deg);
  return h;
}
double minutes(Instant a, Instant b) { return static_cast<double>((b - a).count()) / 60.0; }

// A wall along the east side, its top row of cell centres 8 m east of the eye.
TEST(Horizon, WallStandsAsHighAsItsTangentSays) {
  const auto ground = testing::grid_from_ascii(R"(
      0 0 0 0 0 0 0 0 0 0 9 9
      0 0 0 0 0 0 0 0 0 0 9 9
      0 0 0 0 0 0 0 0 0 0 9 9
      0 0 0 0 0 0 0 0 0 0 9 9
      0 0 0 0 0 0 0 0 0 0 9 9
  )");
  const auto h = terrain_horizon(ground, {2.5, 2.5}, 1);
  ASSERT_TRUE(h);
  ASSERT_EQ(h->angle_deg.size(), static_cast<size_t>(kHorizonAzimuths));
  EXPECT_NEAR(h->at(Bearing::degrees(90)), std::atan(8.0 / 8) * kDegPerRad, 1e-6);
  const double slanted = 8 / std::cos(10 * kRadPerDeg);
  EXPECT_NEAR(h->at(Bearing::degrees(80)), std::atan(8 / slanted) * kDegPerRad, 1e-6);
  EXPECT_NEAR(h->reach_m[45], 9.5, 1e-9);
  // West: level ground 1 m below the eye, its edge 2.5 m off.
  EXPECT_NEAR(h->at(Bearing::degrees(270)), -std::atan(1 / 2.5) * kDegPerRad, 1e-6);
}

// Exact along each direction: a walk in steps of a millimetre never finds a higher angle, and comes
// close to the one found.
TEST(Horizon, AgreesWithAFineWalk) {
  for (std::uint32_t seed = 1; seed <= 2; ++seed) {
    auto ground = testing::seeded_ground(GridSpec{0, 500, 5, 100, 100}, seed);
    std::mt19937 random(seed);  // rough: saddles between cells, with peaks inside a stretch
    for (float& z : ground.cells) z += static_cast<float>(random() % 1000) * 0.012F;
    const LocalXY place{240 + 10.0 * seed, 260};
    const auto h = terrain_horizon(ground, place, 5);
    ASSERT_TRUE(h);
    const double eye = static_cast<double>(sample(ground, place)) + 5;
    for (int i = 0; i < kHorizonAzimuths; i += 5) {
      const Bearing b = Bearing::degrees(2.0 * i);
      double best = -90;
      for (double d = 2.5; ground.spec.contains(moved(place, b, d)); d += 0.001) {
        const double rise = static_cast<double>(sample(ground, moved(place, b, d))) - eye;
        best = std::max(best, std::atan2(rise, d) * kDegPerRad);
      }
      EXPECT_GE(h->angle_deg[static_cast<size_t>(i)], best - 1e-4);
      EXPECT_LE(h->angle_deg[static_cast<size_t>(i)], best + 0.005);
    }
  }
}

TEST(Horizon, HolesArePassedOverAndAnUnknownPlaceIsAnError) {
  auto ground = testing::grid_from_ascii(R"(
      0 0 0 0 0 0 0 0 9
      0 0 0 0 0 0 0 0 9
      0 0 0 0 0 0 0 0 9
  )");
  ground.at(4, 1) = kUnknown;
  const auto h = terrain_horizon(ground, {0.5, 1.5}, 1);
  ASSERT_TRUE(h);
  EXPECT_NEAR(h->at(Bearing::degrees(90)), 45, 1e-6);
  const auto lost = terrain_horizon(ground, {4.5, 1.5}, 1);
  ASSERT_FALSE(lost);
  EXPECT_EQ(lost.error().code, ErrorCode::invalid_argument);
}

TEST(Horizon, IsReadBetweenDirectionsAndAcrossNorth) {
  HorizonProfile h = even_horizon(0);
  h.angle_deg[0] = 4, h.angle_deg[179] = 2, h.angle_deg[90] = std::nan("");
  EXPECT_DOUBLE_EQ(h.at(Bearing::degrees(0)), 4);
  EXPECT_NEAR(h.at(Bearing::degrees(0.5)), 3, 1e-9);
  EXPECT_NEAR(h.at(Bearing::degrees(359)), 3, 1e-9);
  EXPECT_DOUBLE_EQ(h.at(Bearing::degrees(180)), 0);
  EXPECT_DOUBLE_EQ(HorizonProfile{}.at(Bearing::degrees(10)), 0);
}

// On flat land the first and last minute are sunrise and sunset: Columbia, 2025-11-15, 06:52 and
// 16:55 local (NOAA equations; an independent ephemeris agrees within 0.05 min).
TEST(DirectSun, OnFlatLandIsFromRiseToSet) {
  for (const double low : {0.0, -3.0}) {
    const auto spans = direct_sun(even_horizon(low), sun_minutes(kNoon, kColumbia, 0));
    ASSERT_EQ(spans.size(), 1U);
    EXPECT_LE(std::abs(minutes(at("2025-11-15T12:52:00Z"), spans[0].from)), 1.5);
    EXPECT_LE(std::abs(minutes(at("2025-11-15T22:55:00Z"), spans[0].to)), 1.5);
    EXPECT_LE(
        std::abs(minutes(*sun_event(kNoon, kColumbia, kRiseSetZenithDeg, true), spans[0].from)),
        1.5);
  }
}

// At 13:30Z the sun stands at 119.56 degrees, 5.829 seen (centre, refraction included; astropy):
// a ridge of that height plus the sun's radius lets the limb over within a minute of it.
TEST(DirectSun, RidgeDelaysItToTheMinuteTheSunClimbsOver) {
  HorizonProfile h = even_horizon(0);
  for (size_t i = 50; i < 70; ++i) h.angle_deg[i] = 5.829 + 16.0 / 60;
  const auto spans = direct_sun(h, sun_minutes(kNoon, kColumbia, 0));
  ASSERT_EQ(spans.size(), 1U);
  EXPECT_LE(std::abs(minutes(at("2025-11-15T13:30:00Z"), spans[0].from)), 1.0);

  // With grid north 5 degrees clockwise of true north the sun's grid bearing is 5 less: the ridge
  // from 100 to 138 still holds it, one from 116 to 138 does not any more.
  HorizonProfile narrow = even_horizon(0);
  for (size_t i = 58; i < 70; ++i) narrow.angle_deg[i] = 30;
  const GridSun turned = grid_sun(at("2025-11-15T13:30:00Z"), kColumbia, 5);
  EXPECT_NEAR(turned.toward.degrees(), 114.56, 0.02);
  EXPECT_NEAR(turned.altitude_deg, 5.684, 0.02);
  const auto early = direct_sun(narrow, sun_minutes(kNoon, kColumbia, 5));
  ASSERT_EQ(early.size(), 2U);  // sun before the ridge, then again after it
  EXPECT_LT(early[0].from, at("2025-11-15T13:00:00Z"));
  EXPECT_GT(early[0].to, at("2025-11-15T13:20:00Z"));
}

TEST(DirectSun, NeverReachesADeepHole) {
  EXPECT_TRUE(direct_sun(even_horizon(40), sun_minutes(kNoon, kColumbia, 0)).empty());
}

// Sight line level toward 110; sun at azimuth 118.86, altitude 8: acos(cos 8 cos 8.86) = 11.92.
TEST(Glare, AngleIsThatOfTheSphere) {
  const GridSun sun{Bearing::degrees(118.86), 8};
  EXPECT_NEAR(glare_angle_deg({Bearing::degrees(110), 0}, sun), 11.92, 0.005);
  EXPECT_NEAR(glare_angle_deg({Bearing::degrees(118.86), 0}, sun), 8, 1e-9);
  EXPECT_NEAR(glare_angle_deg({Bearing::degrees(118.86), 12}, sun), 20, 1e-9);
  EXPECT_NEAR(glare_angle_deg({Bearing::degrees(298.86), 8}, sun), 180, 1e-5);
}

TEST(Glare, ListsLinesIntoALowSunThatStandsAboveTheLand) {
  const SightLine lines[] = {
      {Bearing::degrees(110), 0}, {Bearing::degrees(200), 0}, {Bearing::degrees(130), 10}};
  const GridSun sun{Bearing::degrees(118.86), 8};
  const auto found = lines_in_glare(lines, sun, even_horizon(0), {25, 20});
  ASSERT_EQ(found.size(), 2U);
  EXPECT_EQ(found[0].line, 0U);
  EXPECT_NEAR(found[0].angle_deg, 11.92, 0.005);
  EXPECT_EQ(found[1].line, 2U);
  EXPECT_EQ(lines_in_glare(lines, sun, even_horizon(0), {12, 20}).size(), 1U);
  EXPECT_TRUE(lines_in_glare(lines, sun, even_horizon(0), {25, 7}).empty());    // not low
  EXPECT_TRUE(lines_in_glare(lines, sun, even_horizon(10), {25, 20}).empty());  // behind a ridge
}

}  // namespace
}  // namespace leeward::compute
