#include "core/compute/slope_air.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>

namespace leeward::compute {
namespace {

double sine_of(double slope) { return slope / std::hypot(1, slope); }

// Mahrt's layer form with the stated constants, evaluated: heat, distance, slope and speed.
TEST(DownslopeSpeed, AgreesWithTheCheckValues) {
  const auto speed = [](double heat, double x, double slope) {
    return downslope_speed(heat, x, x * sine_of(slope), sine_of(slope));
  };
  EXPECT_NEAR(speed(-20, 200, .1), .9946, 1e-3);
  EXPECT_NEAR(speed(-20, 500, .1), 1.350, 1e-3);
  EXPECT_NEAR(speed(-40, 500, .2), 1.929, 1e-3);
  EXPECT_EQ(speed(20, 500, .2), 0);
}

TEST(UpslopeSpeed, AgreesWithTheCheckValues) {
  EXPECT_NEAR(upslope_speed(100, 20), .5178, 1e-4);
  EXPECT_NEAR(upslope_speed(200, 20), .6524, 1e-4);
  EXPECT_NEAR(upslope_speed(200, 50), .8854, 1e-4);
  EXPECT_EQ(upslope_speed(-10, 50), 0);
}

GridSpec square(double side_m, double cell_m) {
  return GridSpec::covering({0, 0, side_m, side_m}, cell_m);
}

Raster<float> ground_of(const GridSpec& g, const std::function<double(LocalXY)>& height) {
  Raster<float> out(g);
  for (int r = 0; r < g.rows; ++r)
    for (int c = 0; c < g.cols; ++c) out.at(c, r) = static_cast<float>(height(g.centre(c, r)));
  return out;
}

SlopePlaces places_of(const Raster<float>& ground) {
  SlopePlacesOptions o;
  o.smooth_m = 0;
  auto out = slope_places(ground, o);
  EXPECT_TRUE(out);
  return *std::move(out);
}

// A roof: ridge along x = 500, falling 0.1 to both sides.
Raster<float> roof() {
  return ground_of(square(1000, 10), [](LocalXY p) { return 200 - 0.1 * std::abs(p.x - 500); });
}

TEST(SlopePlaces, MeasureFromTheRidgeAlongTheFallLine) {
  const SlopePlaces s = places_of(roof());
  for (const double x : {105.0, 305.0, 805.0}) {
    const LocalXY p{x, 505};
    EXPECT_NEAR(s.to_ridge_m.value_or(p, -1), std::abs(x - 500), 10) << x;
    EXPECT_NEAR(s.ridge_height_m.value_or(p, -1), 0.1 * std::abs(x - 500), 1) << x;
    EXPECT_NEAR(s.slope_east.value_or(p, 9), x < 500 ? 0.1 : -0.1, 1e-4) << x;
    EXPECT_NEAR(s.slope_north.value_or(p, 9), 0, 1e-4) << x;
  }
  // Down to the edge, 5 m from the outermost centres: 0.1 times the distance.
  EXPECT_NEAR(s.above_valley_m.value_or({305, 505}, -1), 30, 1);
}

// The fall line is followed whatever its direction on the grid: a slope toward 30 degrees.
TEST(SlopePlaces, DoNotDependOnTheGridsDirections) {
  const Bearing down = Bearing::degrees(30);
  const LocalXY toward{down.east(), down.north()};
  const Raster<float> plane = ground_of(square(1200, 10), [&](LocalXY p) {
    const double along = dot(p - LocalXY{600, 600}, toward);
    return 200 - 0.2 * std::abs(along);
  });
  const SlopePlaces s = places_of(plane);
  for (const double d : {100.0, 200.0, 300.0}) {
    const LocalXY p = LocalXY{600, 600} + toward * d;
    // Steps of a two-way flow zigzag: up to 8 % longer than the straight line.
    EXPECT_GT(s.to_ridge_m.value_or(p, -1), 0.92 * d) << d;
    EXPECT_LT(s.to_ridge_m.value_or(p, -1), 1.12 * d) << d;
    EXPECT_NEAR(s.ridge_height_m.value_or(p, -1), 0.2 * d, 4) << d;
  }
}

TEST(SlopePlaces, AConeDrainsFromItsTopToThePlain) {
  const Raster<float> cone = ground_of(square(800, 10), [](LocalXY p) {
    return 200 - 0.15 * std::min(300.0, length_m(p - LocalXY{400, 400}));
  });
  const SlopePlaces s = places_of(cone);
  EXPECT_NEAR(s.ridge_height_m.value_or({605, 405}, -1), 0.15 * 205, 5);
  EXPECT_NEAR(s.above_valley_m.value_or({605, 405}, -1), 0.15 * (300 - 205), 3);
}

TEST(SlopePlaces, LeaveUnknownGroundUnknown) {
  Raster<float> g = roof();
  g.at(30, 30) = kUnknown;
  const SlopePlaces s = places_of(g);
  EXPECT_TRUE(std::isnan(s.to_ridge_m.at(30, 30)));
  EXPECT_TRUE(std::isfinite(s.to_ridge_m.at(31, 30)));
}

TEST(SlopePlaces, StopWhenAskedAndRefuseTinyGround) {
  std::stop_source stop;
  stop.request_stop();
  const auto out = slope_places(roof(), {}, stop.get_token());
  ASSERT_FALSE(out);
  EXPECT_EQ(out.error().code, ErrorCode::cancelled);
  const auto tiny = slope_places(Raster<float>(square(20, 10), 1.0F));
  ASSERT_FALSE(tiny);
  EXPECT_EQ(tiny.error().code, ErrorCode::invalid_argument);
}

// A wall of 50 m at x >= 600; the sun low in the east, 30 m of shade for 30 m of height at 45
// degrees.
TEST(Shade, ReachesAsFarAsTheLandIsHighOverTheSunsSlope) {
  const Raster<float> wall =
      ground_of(square(1000, 5), [](LocalXY p) { return p.x >= 600 ? 50.0 : 0.0; });
  const auto at = [&](double altitude, double x) {
    return static_cast<int>(shade(wall, {altitude, Bearing::degrees(90)}).value_or({x, 502}, 9));
  };
  EXPECT_EQ(at(45, 560), 1);
  EXPECT_EQ(at(45, 540), 0);
  const double reach = 50 / std::tan(10 * kRadPerDeg);  // 283.6 m
  EXPECT_EQ(at(10, 600 - reach + 10), 1);
  EXPECT_EQ(at(10, 600 - reach - 10), 0);
  EXPECT_EQ(at(10, 700), 0);
  EXPECT_EQ(at(-1, 700), 1);
  const auto low = shade(wall, {10, Bearing::degrees(90)});  // the outermost rows like the others
  EXPECT_EQ(low.value_or({500, 2}, 9), 1);
  EXPECT_EQ(low.value_or({500, 998}, 9), 1);
}

TEST(Sunlight, FollowsTheSunOnTheSlope) {
  const Sun south{30, Bearing::degrees(180)};
  const auto light = [](const Sun& sun, double cloud, double north, bool shaded) {
    return sunlight_w_m2(sunshine(sun, cloud), 0, north, shaded);
  };
  const double level = light(south, 0, 0, false);
  // 1361 * 0.7^(2^0.678) * sin 30 by hand, and a tenth of it again.
  EXPECT_NEAR(level, 1.1 * 0.5 * 1361 * std::pow(0.7, std::pow(2, 0.678)), 1e-6);
  EXPECT_GT(light(south, 0, 0.3, false), level);  // rising to the north: it faces south
  EXPECT_LT(light(south, 0, -0.3, false), level);
  EXPECT_NEAR(light(south, 0, 0, true), level / 11, 1e-6);
  EXPECT_NEAR(light(south, 1, 0, false), level / 4, 1e-6);
  EXPECT_EQ(light({-3, Bearing::degrees(250)}, 0, 0, false), 0);
}

TEST(SensibleHeat, IsLossAtNightAndLessUnderCloud) {
  EXPECT_NEAR(sensible_heat_w_m2(0, 0), -30, 1e-9);
  EXPECT_NEAR(sensible_heat_w_m2(0, 1), -6, 1e-9);
  EXPECT_NEAR(sensible_heat_w_m2(500, 0), 0.4 * 300, 1e-9);
}

class OnTheRoof : public ::testing::Test {
 protected:
  Raster<float> ground = roof();
  SlopePlaces places = places_of(ground);
  SlopeAir air(const SlopeAirHour& hour) const {
    auto out = slope_air(ground, places, hour);
    EXPECT_TRUE(out);
    return *std::move(out);
  }
  LocalXY east_side{805, 505}, west_side{205, 505};
};

TEST_F(OnTheRoof, AClearCalmNightDrainsDownBothSides) {
  SlopeAirHour night;
  night.sun = {-20, Bearing::degrees(300)};
  night.height_m = 0.5;
  const SlopeAir a = air(night);
  const double expected = downslope_speed(-30, 305, 30.5, sine_of(0.1));
  EXPECT_NEAR(a.east.value_or(east_side, 0), expected, 0.05);
  EXPECT_NEAR(a.east.value_or(west_side, 0), -downslope_speed(-30, 295, 29.5, sine_of(0.1)), 0.05);
  EXPECT_NEAR(a.north.value_or(east_side, 9), 0, 1e-4);
}

// The low evening sun stands in the west: it strikes the east side too flatly to make
// up for what is lost to the sky, so that side drains while the west side is still warm.
TEST_F(OnTheRoof, EveningAirTurnsWhereTheSunHasLeft) {
  SlopeAirHour evening;
  evening.sun = {12, Bearing::degrees(270)};
  const SlopeAir a = air(evening);
  EXPECT_LT(a.heat_w_m2.value_or(east_side, 9), 0);
  EXPECT_GT(a.east.value_or(east_side, 0), 0.3);  // down, to the east
  EXPECT_GT(a.heat_w_m2.value_or(west_side, -9), 0);
  EXPECT_GE(a.east.value_or(west_side, -9), 0);  // not down: up, toward the ridge
}

TEST_F(OnTheRoof, UpslopeAirWaitsForAnHourOfSun) {
  SlopeAirHour morning;
  morning.sun = {25, Bearing::degrees(110)};
  morning.hour_before = Sun{-2, Bearing::degrees(100)};
  EXPECT_EQ(air(morning).east.value_or(east_side, 9), 0);
  morning.hour_before = Sun{15, Bearing::degrees(105)};
  EXPECT_LT(air(morning).east.value_or(east_side, 9), -0.1);  // up, to the west
}

TEST_F(OnTheRoof, WindDestroysIt) {
  SlopeAirHour night;
  night.sun = {-20, Bearing::degrees(300)};
  const double calm = static_cast<double>(air(night).east.value_or(east_side, 0));
  night.ambient_mps = 2;
  const double breeze = static_cast<double>(air(night).east.value_or(east_side, 0));
  night.ambient_mps = 3.2;
  EXPECT_EQ(air(night).east.value_or(east_side, 9), 0);
  EXPECT_LT(breeze, calm);
  EXPECT_GT(breeze, 0);
}

TEST_F(OnTheRoof, AThinLayerCountsLessHigherUp) {
  SlopeAirHour night;
  night.sun = {-20, Bearing::degrees(300)};
  const LocalXY near_ridge{605, 505};  // 10.5 m below the ridge: a layer of half a metre
  night.height_m = 0.5;
  const double low = static_cast<double>(air(night).east.value_or(near_ridge, 0));
  night.height_m = 2;
  EXPECT_NEAR(air(night).east.value_or(near_ridge, 0), low * 0.525 / 2 / 1, 0.05);
}

}  // namespace
}  // namespace leeward::compute
