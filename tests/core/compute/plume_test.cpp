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
