#include "core/compute/near_field.h"

#include <gtest/gtest.h>

#include <cmath>

namespace leeward::compute {
namespace {

// Draxler (1976) with the constants in use (Irwin 1983): the formula evaluated.
TEST(DraxlerF, AgreesWithItsTable) {
  EXPECT_NEAR(draxler_f(25, 1000), .8754, 1e-4);
  EXPECT_NEAR(draxler_f(400, 1000), .6373, 1e-4);
  EXPECT_NEAR(draxler_f(50, 300), .7313, 1e-4);
  EXPECT_NEAR(draxler_f(100, 300), .6581, 1e-4);
  EXPECT_NEAR(draxler_f(25, 50), .6111, 1e-4);
}

// EPA-454/B-95-003b evaluated at 100 m, 400 m and 50 m.
TEST(PasquillGifford, AgreesWithItsTable) {
  const double at_100[6][2] = {{26.85, 13.95}, {19.27, 10.60}, {12.46, 7.442},
                               {8.201, 4.651}, {6.123, 3.534}, {4.069, 2.326}};
  for (int c = 0; c < 6; ++c) {
    EXPECT_NEAR(pasquill_gifford(c, 100).y_m, at_100[c][0], 1e-3 * at_100[c][0]) << c;
    EXPECT_NEAR(pasquill_gifford(c, 100).z_m, at_100[c][1], 1e-3 * at_100[c][1]) << c;
  }
  EXPECT_NEAR(pasquill_gifford(3, 400).y_m, 29.45, 0.01);
  EXPECT_NEAR(pasquill_gifford(3, 400).z_m, 15.27, 0.01);
  EXPECT_NEAR(pasquill_gifford(5, 400).y_m, 14.64, 0.01);
  EXPECT_NEAR(pasquill_gifford(5, 400).z_m, 7.048, 0.001);
  EXPECT_NEAR(pasquill_gifford(3, 50).z_m, 2.545, 0.001);
}

TEST(PasquillGifford, HasNoGapBetweenItsBands) {
  for (int c = 0; c < 6; ++c)
    for (double x = 10; x < 800; x += 5) {
      const double step = pasquill_gifford(c, x + 5).z_m / pasquill_gifford(c, x).z_m;
      EXPECT_GT(step, 1) << c << " " << x;
      EXPECT_LT(step, std::pow((x + 5) / x, 2.2) * 1.02) << c << " " << x;
    }
}

// Turner (1970) workbook examples: 1.1e-5, 3.3e-5 and 1.3e-5 g/m3.
TEST(PlumeConcentration, AgreesWithTheWorkbook) {
  EXPECT_NEAR(3 * plume_concentration({190, 65}, 7, 0, 0, 0), 1.105e-5, 1e-8);
  EXPECT_NEAR(80 * plume_concentration({36, 18.5}, 6, 0, 0, 60), 3.313e-5, 2e-8);
  EXPECT_NEAR(80 * plume_concentration({36, 18.5}, 6, 50, 0, 60), 1.263e-5, 1e-8);
}

// What passes any distance is what was let out: the flux through a plane is 1.
TEST(PlumeConcentration, CarriesTheWholeSource) {
  const Sigmas s{6, 3};
  double flux = 0;
  for (double y = -60; y < 60; y += 0.5)
    for (double z = 0.125; z < 40; z += 0.25)
      flux += plume_concentration(s, 3, y, z, 2) * 3 * 0.5 * 0.25;
  EXPECT_NEAR(flux, 1, 1e-3);
}

TEST(Golder, NamesTheClassOfItsOwnMiddle) {
  for (const double z0 : {0.006, 0.03, 0.3})
    for (int c = 0; c < 6; ++c) EXPECT_EQ(golder_stability(golder_inverse_length(c, z0), z0), c);
  EXPECT_EQ(golder_stability(1e-5, 0.03), 3);
}

// The log law backwards when neutral; less friction in stable air, more in unstable.
TEST(SurfaceLayer, FollowsTheProfile) {
  const double neutral = surface_layer(3, 5, 10, 0.03).friction_mps;
  EXPECT_NEAR(neutral, 0.4 * 5 / std::log(10 / 0.03), 1e-12);
  EXPECT_LT(surface_layer(5, 5, 10, 0.03).friction_mps, neutral);
  EXPECT_GT(surface_layer(0, 5, 10, 0.03).friction_mps, neutral);
}

// Panofsky et al. (1977): neutral sigma_v = 12^(1/3) u* = 2.29 u*; at zi/L = -100, 3.96 u*.
TEST(TurbulentDirectionSd, GrowsWithHeating) {
  EXPECT_NEAR(turbulent_direction_sd_rad({0.4, 0}, 5), 2.289 * 0.4 / 5, 1e-4);
  EXPECT_NEAR(turbulent_direction_sd_rad({0.4, 0.05}, 5), 2.289 * 0.4 / 5, 1e-4);
  EXPECT_NEAR(turbulent_direction_sd_rad({0.4, -0.1}, 5), 3.958 * 0.4 / 5, 1e-3);
}

NearFieldAir air_of(int stability, double speed, double sd) {
  return {speed, sd, surface_layer(stability, speed, 2, 0.03)};
}

// s 25 degrees, u 1 m/s, T 300 s: the definition at two distances.
TEST(NearField, CrosswindSpreadIsTheStatisticalForm) {
  const NearFieldAir air = air_of(3, 1, 25 * kRadPerDeg);
  EXPECT_NEAR(near_field_sigmas(air, 50).y_m, 25 * kRadPerDeg * 50 * .7313, 0.01);
  EXPECT_NEAR(near_field_sigmas(air, 100).y_m, 25 * kRadPerDeg * 100 * .6581, 0.01);
}

TEST(NearField, VerticalSpreadGrowsWithDistanceAndInstability) {
  double last = 1e9;
  for (int c = 0; c < 6; ++c) {
    const NearFieldAir air = air_of(c, 2, 0.2);
    for (double x = 10; x < 400; x *= 1.3)
      EXPECT_GT(near_field_sigmas(air, 1.3 * x).z_m, near_field_sigmas(air, x).z_m);
    EXPECT_LT(near_field_sigmas(air, 100).z_m, last) << c;
    last = near_field_sigmas(air, 100).z_m;
  }
  // Neutral: sqrt(2/pi) u* / u, a straight line.
  const NearFieldAir neutral = air_of(3, 2, 0.2);
  EXPECT_NEAR(near_field_sigmas(neutral, 100).z_m,
              std::sqrt(2 / kPi) * neutral.layer.friction_mps / 2 * 100, 1e-9);
}

TEST(NearField, JoinsBriggsWithoutAStep) {
  for (int c = 0; c < 6; ++c) {
    const NearFieldAir air = air_of(c, 2, 0.25);
    EXPECT_DOUBLE_EQ(joined_sigmas(air, c, 80).y_m, near_field_sigmas(air, 80).y_m);
    EXPECT_NEAR(joined_sigmas(air, c, 450).z_m, briggs(c, 450).z_m, 1e-9);
    EXPECT_NEAR(joined_sigmas(air, c, 450).y_m, briggs(c, 450).y_m, 1e-9);
    for (double x = 90; x < 420; x += 1) {
      const Sigmas a = joined_sigmas(air, c, x), b = joined_sigmas(air, c, x + 1);
      EXPECT_NEAR(b.y_m / a.y_m, 1, 0.03);
      EXPECT_NEAR(b.z_m / a.z_m, 1, 0.04);
    }
  }
}

}  // namespace
}  // namespace leeward::compute
