#include "core/compute/near_field.h"
#include "core/compute/patch_plume.h"
#include "tests/support/terrain_makers.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace leeward::compute {
namespace {

const GridSpec kLand{-1000, 1000, 10, 200, 200};

// What relative exposure 1 stands for: 25 m downwind, class D, 2 m/s, scent and nose at 1 m.
TEST(ScentPlume, IsOneAtItsReference) {
  const ScentPlume plume(Flow::uniform(kLand, {2, 0}), PlumeTable(PlumeAir{}), {0, 0});
  EXPECT_NEAR(plume.at({25, 0}), 1, 0.01);
}

// On the axis of a steady wind the plume is Turner's (1970, eq. 3.1) with the sigmas of its class,
// the crosswind spread widened by what light wind and the share to all sides take.
TEST(ScentPlume, IsTheGaussianPlumeOnTheAxisInAStrongWind) {
  constexpr double kSpeed = 12;
  const PlumeAir air;
  const ScentPlume plume(Flow::uniform(kLand, {kSpeed, 0}), PlumeTable(air), {0, 0});
  const SurfaceLayer layer = surface_layer(air.stability, kSpeed, air.transport_m, air.roughness_m);
  const NearFieldAir near{kSpeed, turbulent_direction_sd_rad(layer, kSpeed), layer};
  const auto expected = [&](double x, double across) {
    return plume_concentration(joined_sigmas(near, air.stability, x), kSpeed, across, 1, 1);
  };
  const double scale = plume.at({100, 0}) / expected(100, 0);
  for (const double x : {50.0, 200.0, 400.0}) {
    const double c = expected(x, 0);
    EXPECT_NEAR(plume.at({x, 0}) / scale, c, 0.04 * c) << x;
    const double y = joined_sigmas(near, air.stability, x).y_m, turn = y / x;
    EXPECT_NEAR(plume.at({x * std::cos(turn), x * std::sin(turn)}) / plume.at({x, 0}),
                std::exp(-0.5), 0.03)
        << x;
  }
}

// Turner (1970): class D, 2 m/s, a source at 6 m against one at 1 m: at 25 m hardly anything (the
// cap of a tenth), rising with the distance to the same.
TEST(ScentPlume, AHigherSourceReachesTheGroundFartherOut) {
  PlumeAir high;
  high.source_m = 6;
  const Flow flow = Flow::uniform(kLand, {0, -2});
  const ScentPlume a(flow, PlumeTable(PlumeAir{}), {0, 0}), b(flow, PlumeTable(high), {0, 0});
  const auto ratio = [&](double x) { return b.at({0, -x}) / a.at({0, -x}); };
  EXPECT_NEAR(ratio(12), 0.1, 0.03);
  EXPECT_GT(ratio(100), 0.4);
  EXPECT_GT(ratio(200), ratio(100));
  EXPECT_NEAR(ratio(600), 1, 0.08);
}

TEST(ScentPlume, SpreadsToAllSidesInACalmAndDownwindInAWind) {
  const PlumeTable table{PlumeAir{}};
  const ScentPlume wind(Flow::uniform(kLand, {0, -4}), table, {0, 0});
  EXPECT_GT(wind.at({0, -100}), 20 * wind.at({0, 100}));
  const ScentPlume calm(Flow::uniform(kLand, {0, -0.05}), table, {0, 0});
  EXPECT_LT(calm.at({0, -100}), 2 * calm.at({0, 100}));
  EXPECT_GT(calm.at({0, 100}), 10 * wind.at({0, 100}));
}

// A wind that turns on a circle of 300 m about (0, -300): the middle of the plume follows it.
TEST(ScentPlume, FollowsAWindThatBends) {
  Flow flow = Flow::uniform(kLand, {0, 0});
  for (int r = 0; r < kLand.rows; ++r)
    for (int c = 0; c < kLand.cols; ++c) {
      const LocalXY p = kLand.centre(c, r);
      const double dx = p.x, dy = p.y + 300, d = std::hypot(dx, dy) + 1e-9;
      flow.cells[kLand.index(c, r)] =
          Flow::Cell::of(static_cast<float>(3 * dy / d), static_cast<float>(-3 * dx / d), 0);
    }
  const ScentPlume plume(flow, PlumeTable{PlumeAir{}}, {0, 0});
  const double turn = 1;  // radians along the circle: 300 m of line
  const LocalXY on{300 * std::sin(turn), 300 * std::cos(turn) - 300};
  const LocalXY straight{300, 0};
  EXPECT_GT(plume.at(on), 5 * plume.at(straight));
  // The largest value at that distance lies within 6 m of the circle.
  const double r = std::hypot(on.x, on.y);
  double best = 0, best_angle = 0;
  for (double a = -kPi; a < kPi; a += 0.005) {
    const double v = plume.at({r * std::cos(a), r * std::sin(a)});
    if (v > best) best = v, best_angle = a;
  }
  EXPECT_NEAR(best_angle, std::atan2(on.y, on.x), 6 / r);
}

TEST(ScentPlume, FieldEqualsPointByPoint) {
  const Flow flow = Flow::uniform(kLand, {1.5, 1});
  const ScentPlume plume(flow, PlumeTable(PlumeAir{}, 300), {3, 7});
  Raster<float> field(GridSpec{-250, 250, 5, 100, 100}, 0.0F);
  plume.add_to(field, PolarCells(field.spec, {3, 7}, 300));
  for (int r = 0; r < 100; r += 7)
    for (int c = 0; c < 100; c += 7) {
      const double want = plume.at(field.spec.centre(c, r));
      EXPECT_NEAR(static_cast<double>(field.at(c, r)), want, 1e-4 * want + 1e-7);
    }
}

// The field mixes between rays and rings; along its own line each place is exact.
TEST(ScentPlume, EqualsTheExposureAlongEachPlacesOwnLine) {
  Flow flow = Flow::uniform(kLand, {2, 1});
  const Raster<float> wave = testing::seeded_ground(kLand, 4);
  for (size_t i = 0; i < flow.cells.size(); ++i) {
    flow.cells[i].north += (wave.cells[i] - 200) / 30;
    flow.cells[i].timber = wave.cells[i] > 203 ? 1.0F : 0.0F;
  }
  const PlumeTable table{PlumeAir{}};
  std::vector<LocalXY> places;
  for (int n = 0; n < 60; ++n)
    places.push_back({15 + 9.0 * n * std::cos(n * 0.2), 12 + 9.0 * n * std::sin(n * 0.2)});
  for (const auto run : {compute::Run::forward, compute::Run::backward}) {
    const ScentPlume plume(flow, table, {5, 3}, run);
    const auto exact = exposures(flow, table, {5, 3}, places, run);
    for (size_t n = 0; n < places.size(); ++n)
      EXPECT_NEAR(plume.at(places[n]), exact[n], 0.05 * exact[n] + 1e-4) << n;
  }
}

// Deer on a patch, in a wind that bends, over timber in places.
struct PatchOnLand {
  Flow flow = Flow::uniform(kLand, {2, 1});
  const LocalXY middle{12, -7};
  const double sd_m = 20, reach_m = 400;
  const PlumeTable table{PlumeAir{}, 400};
  const GridSpec grid{-250, 250, 10, 51, 51};  // narrower than the reach

  PatchOnLand() {
    const Raster<float> wave = testing::seeded_ground(kLand, 4);
    for (size_t i = 0; i < flow.cells.size(); ++i) {
      flow.cells[i].north += (wave.cells[i] - 200) / 30;
      flow.cells[i].timber = wave.cells[i] > 203 ? 1.0F : 0.0F;
    }
  }
  PatchCells cells(PatchCells::Fade fade) const { return {grid, middle, sd_m, reach_m, fade}; }
};

TEST(PatchPlume, TwoAtOnceAreTheSameAsOneAfterTheOther) {
  const PatchOnLand land;
  const PatchPlume a(land.flow, land.table, land.middle, land.sd_m),
      b(Flow::uniform(kLand, {-1, 3}), land.table, land.middle, land.sd_m);
  const PatchCells where = land.cells({});
  Raster<float> one(land.grid, 0.5F), other(land.grid, 0.5F), first = one, second = one;
  a.add_to(one, where, 0.25F, 3), b.add_to(other, where, 0.25F, 3);
  PatchPlume::add_both({&a, &b}, {&first, &second}, where, 0.25F, 3);
  EXPECT_EQ(one.cells, first.cells);
  EXPECT_EQ(other.cells, second.cells);
  EXPECT_NE(one.cells, other.cells);
}

TEST(PatchPlume, NearAndFarPartsAddUpToTheWhole) {
  using Fade = PatchCells::Fade;
  const PatchOnLand land;
  const PatchPlume plume(land.flow, land.table, land.middle, land.sd_m);
  Raster<float> whole(land.grid, 0.0F), parts = whole;
  plume.add_to(whole, land.cells({}), 1, 1e9F);
  plume.add_to(parts, land.cells({Fade::Part::near, 60, 160}), 1, 1e9F);
  EXPECT_LT(parts.at(50, 25), 0.01F * whole.at(50, 25));  // 233 m off
  plume.add_to(parts, land.cells({Fade::Part::far, 60, 160}), 1, 1e9F);
  for (size_t i = 0; i < whole.cells.size(); ++i)
    EXPECT_NEAR(parts.cells[i], whole.cells[i], 0.008F * whole.cells[i]) << i;  // two 256ths
}

// From afar a patch is nearly a point: along its own line each place is exact but for the angle
// that the patch takes up, which lowers the peak and raises the flanks.
TEST(PatchPlume, OfASmallPatchIsThePlumeOfAPoint) {
  const PatchOnLand land;
  const double sd_m = 0.5;
  const PatchPlume plume(land.flow, land.table, land.middle, sd_m);
  Raster<float> field(land.grid, 0.0F);
  plume.add_to(field, PatchCells(land.grid, land.middle, sd_m, land.reach_m, {}), 1, 1e9F);
  std::vector<LocalXY> places;
  for (int r = 0; r < land.grid.rows; r += 3)
    for (int c = 0; c < land.grid.cols; c += 3) places.push_back(land.grid.centre(c, r));
  const auto exact = exposures(land.flow, land.table, land.middle, places, compute::Run::backward);
  double squares = 0, n = 0;
  for (size_t k = 0; k < places.size(); ++k) {
    if (exact[k] < 0.01 || distance_m(places[k], land.middle) < 20) continue;
    const double off = static_cast<double>(field.value_or(places[k], 0)) / exact[k] - 1;
    squares += off * off, n += 1;
  }
  ASSERT_GT(n, 20);
  EXPECT_LT(std::sqrt(squares / n), 0.05);
}

// Areas are left out by it.
TEST(PlumeTable, NoWindGivesAPlaceMoreThanTheMost) {
  for (const double source_m : {1.0, 6.0})
    for (const double stability : {1.0, 3.0, 5.0}) {
      PlumeAir air;
      air.source_m = source_m, air.stability = stability;
      const PlumeTable table(air);
      double nearest = 0;
      for (const double speed : {0.05, 0.1, 0.3, 0.7, 1.1, 2.0, 4.5, 12.0, 20.0})
        for (const float timber : {0.0F, 0.4F, 1.0F}) {
          Flow flow = Flow::uniform({-900, 900, 20, 90, 90}, {speed, 0});
          for (auto& c : flow.cells) c.timber = timber;
          for (double d = 1; d < 820; d *= 1.13) {
            const double most = table.most_at(d), got = exposures(flow, table, {0, 0}, {{d, 0}})[0];
            ASSERT_LE(got, most) << d << ' ' << speed << ' ' << timber;
            if (d > 20 && d < 700) nearest = std::max(nearest, got / most);
          }
        }
      EXPECT_GT(nearest, 0.5) << "the bound says something";
    }
}

TEST(ScentPlume, BandHoldsTheValueAndWidensOffTheAxis) {
  const ScentPlume plume(Flow::uniform(kLand, {4, 0}), PlumeTable(PlumeAir{}), {0, 0});
  for (const LocalXY p : {LocalXY{60, 0}, LocalXY{150, 50}, LocalXY{-80, 10}}) {
    const ScentBand b = plume.band_at(p);
    EXPECT_LT(b.low, b.exposure);
    EXPECT_GT(b.high, b.exposure);
  }
  const ScentBand on = plume.band_at({150, 0}), off = plume.band_at({140, 55});
  EXPECT_GT(off.high / off.low, 1.5 * on.high / on.low);
}

// Published check values of (t_mean / t_peak)^(6/17) from a ten-minute mean.
TEST(PeakToMean, CheckValues) {
  EXPECT_NEAR(peak_to_mean(600, 1), 9.562, 0.01);
  EXPECT_NEAR(peak_to_mean(600, 5), 5.418, 0.01);
  EXPECT_NEAR(peak_to_mean(600, 60), 2.254, 0.01);
}

// Forward from a person or backward from a deer, the exposure is one number. A made wind: waves of
// 60 to 900 m turn it by up to 40 degrees and change its speed by a factor of two.
TEST(ScentPlume, ForwardAndBackwardAgree) {
  const Raster<float> wave = testing::seeded_ground(kLand, 3),
                      other = testing::seeded_ground(kLand, 8);
  Flow flow = Flow::uniform(kLand, {0, 0});
  for (size_t i = 0; i < flow.cells.size(); ++i) {
    const double turn = (static_cast<double>(wave.cells[i]) - 200) / 80;
    const double speed = 3 * std::exp((static_cast<double>(other.cells[i]) - 200) / 120);
    flow.cells[i].east = static_cast<float>(speed * std::cos(turn));
    flow.cells[i].north = static_cast<float>(speed * std::sin(turn));
  }
  const PlumeTable table{PlumeAir{}};
  std::mt19937 random(11);
  std::uniform_real_distribution<double> place(-400, 400);
  int compared = 0, apart = 0;
  for (int n = 0; n < 200; ++n) {
    const LocalXY person{place(random), place(random)}, deer{place(random), place(random)};
    if (distance_m(person, deer) > 750) continue;
    const double forward = ScentPlume(flow, table, person).at(deer);
    const double backward = ScentPlume(flow, table, deer, compute::Run::backward).at(person);
    ++compared;
    apart += std::abs(backward - forward) > 0.03 * forward + 1e-5;
    // Where lines fold the two ends may take another line; 0.001 is the least that is drawn.
    EXPECT_NEAR(backward, forward, 0.1 * forward + 1e-4)
        << person.x << ' ' << person.y << " to " << deer.x << ' ' << deer.y;
  }
  EXPECT_GT(compared, 150);
  EXPECT_LE(apart, compared / 30);
}

}  // namespace
}  // namespace leeward::compute
