#include "core/compute/plume.h"

#include "core/compute/fast_exp.h"
#include "core/compute/spread.h"

#include <gtest/gtest.h>

#include <cmath>

namespace leeward::compute {
namespace {

// Briggs (1973), open country, as tabulated in air-pollution handbooks; metres at x metres.
TEST(Briggs, AgreesWithItsTable) {
  struct Row {
    double x;
    double yz[6][2];
  };
  const Row rows[] = {
      {10,
       {{2.199, 2.000},
        {1.599, 1.200},
        {1.099, .7992},
        {.7996, .5956},
        {.5997, .2991},
        {.3998, .1595}}},
      {100,
       {{21.89, 20.00},
        {15.92, 12.00},
        {10.95, 7.921},
        {7.960, 5.595},
        {5.970, 2.913},
        {3.980, 1.553}}},
      {400,
       {{86.29, 80.00},
        {62.76, 48.00},
        {43.15, 30.79},
        {31.38, 18.97},
        {23.53, 10.71},
        {15.69, 5.714}}},
  };
  for (const Row& r : rows) {
    for (int c = 0; c < 6; ++c) {
      EXPECT_NEAR(briggs(c, r.x).y_m, r.yz[c][0], 1e-3 * r.yz[c][0]) << c << " " << r.x;
      EXPECT_NEAR(briggs(c, r.x).z_m, r.yz[c][1], 1e-3 * r.yz[c][1]) << c << " " << r.x;
    }
  }
}

// Turner (1964), the objective key's worked cases; 1 knot = 0.514 m/s.
TEST(Turner, AgreesWithTheKey) {
  EXPECT_EQ(turner_stability(3 * 0.5144, 30, 0.3), 1);   // altitude 30, cloud 3/10, 3 kt: B
  EXPECT_EQ(turner_stability(5 * 0.5144, -20, 0.2), 5);  // night 2/10, 5 kt: F
  EXPECT_EQ(turner_stability(7 * 0.5144, -20, 0.8), 3);  // night 8/10, 7 kt: D
  EXPECT_EQ(turner_stability(1 * 0.5144, 50, 1.0), 3);   // low overcast: D
}

// sigma-theta 0.5/u (Hanna, from memory): 28.65, 14.32, 5.73 degrees before the floor is joined.
TEST(DirectionSd, FallsWithSpeedAndNeverVanishes) {
  EXPECT_NEAR(direction_sd_deg(1), 28.89, 0.05);
  EXPECT_NEAR(direction_sd_deg(2), 14.80, 0.05);
  EXPECT_NEAR(direction_sd_deg(5), 6.83, 0.05);
  EXPECT_NEAR(direction_sd_deg(0), 104, 1e-9);
  EXPECT_GT(direction_sd_deg(5, 10), direction_sd_deg(5));
}

// Circular sd to kappa (exact inverse of I1/I0): 10 33.33, 20 8.736, 30 4.233, 45 2.248, 60 1.428.
TEST(VonMises, KappaOfACircularSd) {
  const double rows[][2] = {{10, 33.33}, {20, 8.736}, {30, 4.233}, {45, 2.248}, {60, 1.428}};
  for (const auto& r : rows)
    EXPECT_NEAR(von_mises_kappa(r[0] * kRadPerDeg), r[1], 0.015 * r[1]) << r[0];
}

TEST(Bessel, ScaledI0) {
  EXPECT_NEAR(bessel_i0_scaled(0), 1, 1e-7);
  EXPECT_NEAR(bessel_i0_scaled(1), 1.2660658778 * std::exp(-1),
              1e-6);  // Abramowitz & Stegun table 9.8
  EXPECT_NEAR(bessel_i0_scaled(5), 27.239871824 * std::exp(-5), 1e-6);
}

// Log law with z0: u(2)/u(10), u(6)/u(10) (published profile ratios recomputed).
TEST(LogProfile, AgreesWithTabulatedRatios) {
  EXPECT_NEAR(log_profile(2, 0.03), 0.7229, 1e-4);
  EXPECT_NEAR(log_profile(6, 0.03), 0.9121, 1e-4);
  EXPECT_NEAR(log_profile(2, 0.10), 0.6505, 1e-4);
  EXPECT_NEAR(log_profile(6, 0.5), 0.8295, 1e-4);
}

// Airfield to forest floor, canopy 20 m: index 2.5 gives 0.0466 at 2 m and 0.0769 at 6 m.
TEST(CanopyProfile, AgreesWithTabulatedShares) {
  EXPECT_NEAR(canopy_profile(2, 20, 2.5), 0.0466, 2e-4);
  EXPECT_NEAR(canopy_profile(6, 20, 2.5), 0.0769, 2e-4);
  EXPECT_NEAR(canopy_profile(2, 20, 1.5), 0.1147, 2e-4);
}

TEST(FastExp, StaysWithinItsStatedError) {
  double worst = 0;
  for (double x = -80; x < 80; x += 0.01237) {
    const float xf = static_cast<float>(x);
    const double exact = std::exp(static_cast<double>(xf));
    worst = std::max(worst, std::abs(static_cast<double>(fast_exp(xf)) - exact) / exact);
  }
  EXPECT_LT(worst, 3e-7);
  EXPECT_EQ(fast_exp(-100), 0);
}

// The polar plume in a steady wind is Turner's (1970, eq. 3.1) on the centre line when neither the
// random share nor the wander matters.
TEST(Plume, MatchesTheGaussianPlumeInAStrongSteadyWind) {
  PlumeSource s;
  s.speed_mps = 40;  // the random share is then 0.03 %
  s.direction_sd_rad = 1e-4;
  s.stability = 3;
  const Plume plume(s);
  for (const double x : {50.0, 100.0, 200.0, 400.0}) {
    const Sigmas g = briggs(3, x);
    const double a = 0.0, b = 2.0 / g.z_m;  // source and nose both at 1 m
    const double c =
        1 / (2 * kPi * 40 * g.y_m * g.z_m) * (std::exp(-0.5 * a * a) + std::exp(-0.5 * b * b));
    EXPECT_NEAR(plume.at(x, 0, Bearing::degrees(90)) * reference_exposure(), c, 0.02 * c) << x;
    const double off = g.y_m;  // one sigma to the side, at equal distance
    const double phi = off / x;
    const double side =
        plume.at(x * std::cos(phi), x * std::sin(phi), Bearing::degrees(90)) * reference_exposure();
    EXPECT_NEAR(side / c, std::exp(-0.5), 0.03) << x;
  }
}

// Turner (1970) workbook figures as ratios of height: class D, 2 m/s, source 6 m against 1 m at 100
// m is 0.582, at 200 m 0.855 (centre line, receptor 1 m).
TEST(Plume, AHigherSourceReachesTheGroundFartherOut) {
  PlumeSource low, high;
  high.height_m = 6;
  const Plume a(low), b(high);
  const auto ratio = [&](double x) {
    return b.at(0, -x, Bearing::degrees(180)) / a.at(0, -x, Bearing::degrees(180));
  };
  EXPECT_NEAR(ratio(100), 0.582, 0.01);
  EXPECT_NEAR(ratio(200), 0.855, 0.01);
  EXPECT_GE(ratio(10), 0.1 - 1e-6);  // the benefit of height is capped
}

TEST(Plume, BlowsDownwindAndSpreadsToAllSidesInACalm) {
  PlumeSource s;
  s.speed_mps = 4;
  s.direction_sd_rad = 0.12;
  const Plume steady(s);
  const Bearing south = WindFrom(Bearing::degrees(0)).blows_toward();
  EXPECT_GT(steady.at(0, -100, south), 20 * steady.at(0, 100, south));
  s.speed_mps = 0.05;
  s.direction_sd_rad = 104 * kRadPerDeg;
  const Plume calm(s);
  EXPECT_LT(calm.at(0, -100, south), 2 * calm.at(0, 100, south));
}

TEST(Plume, FieldEqualsPointByPoint) {
  PlumeSource s;
  const Plume plume(s, 300);
  Raster<float> field(GridSpec{0, 500, 5, 100, 100});
  plume.fill(field, {251, 252}, Bearing::degrees(33));
  for (int r = 0; r < 100; r += 7) {
    for (int c = 0; c < 100; c += 7) {
      const LocalXY p = field.spec.centre(c, r);
      const double want = plume.at(p.x - 251, p.y - 252, Bearing::degrees(33));
      EXPECT_NEAR(static_cast<double>(field.at(c, r)), want, 1e-4 * want + 1e-7);
    }
  }
}

TEST(Spread, EqualsTheSumPointByPoint) {
  const Stencil stencil(3,
                        [](int dc, int dr) { return static_cast<float>(10 * (dc + 3) + dr + 4); });
  const std::vector<WeightedCell> points = {{2, 2, 1.5F}, {7, 4, 2.0F}, {0, 0, 1.0F}};
  Raster<float> out(GridSpec{0, 8, 1, 9, 8}, 0.0F);
  spread(points, stencil, out);
  for (int r = 0; r < 8; ++r) {
    for (int c = 0; c < 9; ++c) {
      float want = 0;
      for (const auto& p : points) want += p.weight * stencil.at(c - p.col, r - p.row);
      EXPECT_FLOAT_EQ(out.at(c, r), want);
    }
  }
}

}  // namespace
}  // namespace leeward::compute
