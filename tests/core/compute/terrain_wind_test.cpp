#include "core/compute/terrain_wind.h"

#include "tests/support/terrain_makers.h"

#include <gtest/gtest.h>

#include <cmath>

namespace leeward::compute {
namespace {

// Published profile ratios recomputed: airfield (0.03 m) to rougher ground through 60 m at 10 m
// height 0.9419, 0.8807, 0.8187; to the top of a 20 m canopy through 100 m 0.4424.
TEST(WindProfile, AgreesWithTabulatedRatios) {
  EXPECT_NEAR(WindProfile(0.03, 0.03, 0).speed(10), 1, 1e-12);
  EXPECT_NEAR(WindProfile(0.03, 0.03, 0).speed(2), 0.7229, 1e-4);
  EXPECT_NEAR(WindProfile(0.03, 0.10, 0).speed(10), 0.9419, 1e-4);
  EXPECT_NEAR(WindProfile(0.03, 0.25, 0).speed(10), 0.8807, 1e-4);
  EXPECT_NEAR(WindProfile(0.03, 0.50, 0).speed(10), 0.8187, 1e-4);
  EXPECT_NEAR(WindProfile(0.03, 2.0, 13.4).speed(20), 0.4424, 5e-4);
}

TEST(WindProfile, MeanIsTheIntegralOfTheSpeed) {
  for (const WindProfile& p : {WindProfile(0.03, 0.03, 0), WindProfile(0.03, 1.0, 10)}) {
    for (const auto& [low, high] : {std::pair{0.0, 3.0}, {8.0, 20.0}, {50.0, 120.0}}) {
      double sum = 0;
      const int n = 200000;
      for (int i = 0; i < n; ++i) sum += p.speed(low + (i + 0.5) * (high - low) / n);
      EXPECT_NEAR(p.mean(low, high), sum / n, 1e-4) << low;
    }
  }
}

GridSpec square(double side_m, double cell_m) {
  return GridSpec::covering({0, 0, side_m, side_m}, cell_m);
}

TEST(TerrainWind, LeavesAUniformWindOverFlatGroundUnchanged) {
  const Raster<float> flat(square(1000, 10), 231.7F);
  for (const double ratio : {1.0, 0.4}) {
    TerrainWindOptions o;
    o.stability_ratio = ratio;
    const auto field = solve_terrain_wind(flat, flat.spec.box(), {}, o);
    ASSERT_TRUE(field);
    const WindProfile profile(0.03, 0.03, 0);
    for (const double h : {1.0, 2.0, 10.0, 60.0}) {
      const WindVector v = field->at({421, 333}, h, {3, -2});
      EXPECT_NEAR(v.east, 3 * profile.speed(h), 1e-6 * 3);
      EXPECT_NEAR(v.north, -2 * profile.speed(h), 1e-6 * 3);
      EXPECT_NEAR(v.up, 0, 1e-6);
    }
  }
}

TEST(TerrainWind, LeavesNoMoreDivergenceThanAsked) {
  const Raster<float> ground = testing::seeded_ground(square(1500, 10), 7);
  const auto field = solve_terrain_wind(ground, ground.spec.box(), {});
  ASSERT_TRUE(field);
  EXPECT_LT(field->divergence(), 1e-6);
  EXPECT_LE(field->iterations(), 20);
  EXPECT_GE(field->layers(), 12);
  EXPECT_LE(field->spec().cell_m, 25);
}

// Ratios solved together share work, not results.
TEST(TerrainWind, OfARatioDoesNotDependOnTheOthersSolvedWithIt) {
  const Raster<float> ground = testing::seeded_ground(square(1500, 10), 7);
  TerrainWindOptions o;
  const auto both = solve_terrain_winds(ground, ground.spec.box(), {}, o, {0.5, 1.2});
  o.stability_ratio = 1.2;
  const auto alone = solve_terrain_wind(ground, ground.spec.box(), {}, o);
  ASSERT_TRUE(both && alone);
  ASSERT_EQ(both->size(), 2u);
  EXPECT_EQ((*both)[1].divergence(), alone->divergence());
  for (const double h : {1.0, 10.0, 200.0}) {
    EXPECT_EQ((*both)[1].slice(h).ee.cells, alone->slice(h).ee.cells);
    EXPECT_NE((*both)[0].slice(h).ee.cells, alone->slice(h).ee.cells);
  }
}

// A kept solver has nothing of the surfaces that it met before.
TEST(TerrainWind, OfAKeptSolverIsThatOfANewOne) {
  const Raster<float> ground = testing::seeded_ground(square(1500, 10), 7);
  const auto kept = TerrainWindSolver::over(ground, ground.spec.box(), {}, {0.5, 1.2});
  ASSERT_TRUE(kept);
  WindSurface timber;
  timber.displacement_m = Raster<float>(square(1500, 25), 0.0F);
  for (int row = 10; row < 40; ++row)
    for (int col = 20; col < 50; ++col) timber.displacement_m.at(col, row) = 12;
  ASSERT_TRUE(kept->solve({}));
  const auto again = kept->solve(timber);
  const auto fresh = solve_terrain_winds(ground, ground.spec.box(), timber, {}, {0.5, 1.2});
  const auto open = kept->solve({});
  ASSERT_TRUE(again && fresh && open);
  for (size_t n = 0; n < 2; ++n)
    for (const double h : {2.0, 30.0}) {
      EXPECT_EQ((*again)[n].slice(h).ee.cells, (*fresh)[n].slice(h).ee.cells);
      EXPECT_EQ((*again)[n].slice(h).nn.cells, (*fresh)[n].slice(h).nn.cells);
      EXPECT_NE((*again)[n].slice(h).ee.cells, (*open)[n].slice(h).ee.cells);
    }
}

// A mountain stands half a kilometre beyond the area.
TEST(TerrainWind, LandBeyondTheMarginIsFeltAsOnTheWholeGrid) {
  Raster<float> ground =
      testing::seeded_ground(GridSpec::covering({-1700, -1700, 2400, 2400}, 10), 7);
  for (int row = 0; row < ground.spec.rows; ++row)
    for (int col = 0; col < ground.spec.cols; ++col) {
      const LocalXY p = ground.spec.centre(col, row) - LocalXY{1400, 300};
      ground.at(col, row) += static_cast<float>(500 * std::exp(-dot(p, p) / (2 * 350.0 * 350.0)));
    }
  const Box area{0, 0, 700, 700};
  TerrainWindOptions whole, open, beyond;
  whole.cell_m = open.cell_m = beyond.cell_m = 15;
  whole.margin_m = 1600, open.margin_m = beyond.margin_m = 120;
  beyond.beyond_m = 1480;
  const auto far = solve_terrain_wind(ground, area, {}, whole),
             near = solve_terrain_wind(ground, area, {}, open),
             both = solve_terrain_wind(ground, area, {}, beyond);
  ASSERT_TRUE(far && near && both);
  EXPECT_LT(both->spec().size(), far->spec().size() / 8);
  const auto apart = [&](const TerrainWind& f) {
    double most = 0;
    for (const LocalXY upwind : {LocalXY{1, 0}, {0, 1}})
      for (double x = 10; x < 700; x += 40)
        for (double y = 10; y < 700; y += 40) {
          const WindVector a = f.at({x, y}, 6, upwind), b = far->at({x, y}, 6, upwind);
          most = std::max(most, std::hypot(a.east - b.east, a.north - b.north));
        }
    return most;
  };
  EXPECT_LT(apart(*both), 0.06);
  EXPECT_GT(apart(*near), 0.25);
}

TEST(TerrainWind, ShapesOfAKeptSolverAreThoseOfItsWind) {
  const Raster<float> ground = testing::seeded_ground(square(1500, 10), 7);
  TerrainWindOptions o;
  o.margin_m = 125, o.beyond_m = 1000;
  const auto kept = TerrainWindSolver::over(ground, ground.spec.box(), o, {0.5, 1.2});
  ASSERT_TRUE(kept);
  WindSurface timber;
  timber.displacement_m = Raster<float>(square(1500, 25), 0.0F);
  for (int row = 10; row < 40; ++row)
    for (int col = 20; col < 50; ++col) timber.displacement_m.at(col, row) = 12;
  const GridSpec grid = GridSpec::covering({200, 300, 1100, 1200}, 15);
  const std::array heights = {2.0, 8.0};
  ASSERT_TRUE(kept->shapes({}, grid, heights));
  const auto fresh = solve_terrain_winds(ground, ground.spec.box(), timber, o, {0.5, 1.2});
  const auto again = kept->shapes(timber, grid, heights);
  ASSERT_TRUE(fresh && again);
  for (size_t n = 0; n < 2; ++n) EXPECT_EQ((*again)[n], (*fresh)[n].shapes(grid, heights));
}

TEST(TerrainWind, ShapesAreSlicesOverTheProfile) {
  const Raster<float> ground = testing::seeded_ground(square(1500, 10), 7);
  const auto field = solve_terrain_wind(ground, ground.spec.box(), {});
  ASSERT_TRUE(field);
  const GridSpec grid = GridSpec::covering({200, 300, 1100, 1200}, 15);
  const std::array heights = {0.7, 2.0, 6.0, 40.0};
  const auto shapes = field->shapes(grid, heights);
  const WindProfile open(0.03, 0.03, 0);
  for (size_t n = 0; n < heights.size(); ++n) {
    const WindSlice slice = field->slice(heights[n]);
    const double over = open.speed(heights[n]);
    for (const auto& [col, row] : {std::pair{0, 0}, {31, 7}, {59, 59}}) {
      const LocalXY p = grid.centre(col, row), east = slice.at(p, {1, 0}),
                    north = slice.at(p, {0, 1});
      const UnitTurn& t = shapes[n][grid.index(col, row)];
      EXPECT_NEAR(static_cast<double>(t[0]), east.x / over, 1e-5);
      EXPECT_NEAR(static_cast<double>(t[1]), east.y / over, 1e-5);
      EXPECT_NEAR(static_cast<double>(t[2]), north.x / over, 1e-5);
      EXPECT_NEAR(static_cast<double>(t[3]), north.y / over, 1e-5);
    }
  }
}

class OverAHill : public ::testing::Test {
 protected:
  static Raster<float> hill() {
    Raster<float> r(square(2000, 10));
    for (int row = 0; row < r.spec.rows; ++row)
      for (int col = 0; col < r.spec.cols; ++col) {
        const LocalXY p = r.spec.centre(col, row) - LocalXY{1000, 1000};
        r.at(col, row) = static_cast<float>(100 + 80 * std::exp(-dot(p, p) / (2 * 200.0 * 200.0)));
      }
    return r;
  }
  static TerrainWind solved(double ratio) {
    TerrainWindOptions o;
    o.stability_ratio = ratio;
    const Raster<float> ground = hill();
    auto f = solve_terrain_wind(ground, ground.spec.box(), {}, o);
    EXPECT_TRUE(f);
    return *std::move(f);
  }
};

TEST_F(OverAHill, TheTopIsFasterAndTheFootSlower) {
  const TerrainWind f = solved(1);
  const LocalXY north_wind{0, -4};
  const double far = -f.at({100, 1000}, 10, north_wind).north;
  EXPECT_GT(-f.at({1000, 1000}, 10, north_wind).north, 1.2 * far);
  EXPECT_LT(-f.at({1000, 1420}, 10, north_wind).north, far);
  EXPECT_GT(f.at({1000, 1200}, 10, north_wind).up, 0.1);  // climbing on the windward side
  EXPECT_LT(f.at({1000, 800}, 10, north_wind).up, -0.1);
}

TEST_F(OverAHill, StableAirGoesRoundRatherThanOver) {
  const TerrainWind neutral = solved(1), stable = solved(0.4);
  const LocalXY east_wind{-4, 0};
  const auto climb = [&](const TerrainWind& f) { return f.at({1200, 1000}, 10, east_wind).up; };
  const auto aside = [&](const TerrainWind& f) { return f.at({1150, 1150}, 10, east_wind).north; };
  EXPECT_LT(climb(stable), 0.9 * climb(neutral));
  EXPECT_GT(aside(stable), 1.2 * aside(neutral));
}

TEST_F(OverAHill, TurningHillAndWindTurnsTheAnswer) {
  const TerrainWind f = solved(1);
  const WindVector a = f.at({1000 + 150, 1000 + 60}, 5, {2, 1});
  const WindVector b = f.at({1000 - 60, 1000 + 150}, 5, {-1, 2});  // a quarter turn to the left
  EXPECT_NEAR(b.east, -a.north, 2e-4);
  EXPECT_NEAR(b.north, a.east, 2e-4);
  EXPECT_NEAR(b.up, a.up, 2e-4);
}

TEST_F(OverAHill, ASliceIsTheFieldAtItsHeight) {
  const TerrainWind f = solved(1);
  const WindSlice s = f.slice(2);
  const LocalXY wind{-1.5, 2.5};
  Raster<float> east, north;
  s.combine(wind, east, north);
  for (const LocalXY p : {LocalXY{812, 1003}, LocalXY{1000, 1444}, LocalXY{333, 777}}) {
    const WindVector v = f.at(p, 2, wind);
    EXPECT_NEAR(s.at(p, wind).x, v.east, 1e-5);
    EXPECT_NEAR(s.at(p, wind).y, v.north, 1e-5);
    const int c = s.spec.cell_col(p.x), r = s.spec.cell_row(p.y);
    const WindVector centre = f.at(s.spec.centre(c, r), 2, wind);
    EXPECT_NEAR(east.at(c, r), centre.east, 1e-5);
    EXPECT_NEAR(north.at(c, r), centre.north, 1e-5);
  }
}

TEST(TerrainWind, RoughGroundSlowsTheLowestAir) {
  const Raster<float> flat(square(1000, 10), 50.0F);
  WindSurface surface;
  surface.roughness_m = Raster<float>(flat.spec, kUnknown);
  for (int r = 0; r < 100; ++r)
    for (int c = 50; c < 100; ++c) surface.roughness_m.at(c, r) = 0.5F;
  const auto f = solve_terrain_wind(flat, flat.spec.box(), surface);
  ASSERT_TRUE(f);
  const double open = f->at({200, 500}, 5, {0, 3}).north;
  EXPECT_LT(f->at({800, 500}, 5, {0, 3}).north, 0.85 * open);
}

TEST(TerrainWind, CarriesTheEdgeOfKnownGroundOutward) {
  Raster<float> ground = testing::seeded_ground(square(600, 10), 3);
  ground.at(30, 30) = kUnknown;
  const auto f = solve_terrain_wind(ground, ground.spec.box(), {});
  ASSERT_TRUE(f);
  EXPECT_TRUE(std::isfinite(f->at({-400, 900}, 2, {1, 1}).east));
}

TEST(TerrainWind, SaysWhatIsWrongWithItsInput) {
  const Raster<float> unknown(square(600, 10), kUnknown), flat(square(600, 10), 1.0F);
  const auto code = [](const auto& r) { return r ? ErrorCode::internal : r.error().code; };
  EXPECT_EQ(code(solve_terrain_wind(unknown, flat.spec.box(), {})), ErrorCode::invalid_argument);
  EXPECT_EQ(code(solve_terrain_wind(flat, Box{}, {})), ErrorCode::invalid_argument);
  TerrainWindOptions few;
  few.layers = 8;
  EXPECT_EQ(code(solve_terrain_wind(flat, flat.spec.box(), {}, few)), ErrorCode::invalid_argument);
}

TEST(LeeFlags, MarkTheFallingSideAndItsShelterOnly) {
  GridSpec g = square(1000, 10);
  Raster<float> ridge(g);  // a ridge 40 m high at x = 500, 100 m to each foot
  for (int r = 0; r < g.rows; ++r)
    for (int c = 0; c < g.cols; ++c)
      ridge.at(c, r) =
          static_cast<float>(std::max(0.0, 40 - 0.4 * std::abs(g.centre(c, r).x - 500)));
  const auto flags = lee_flags(ridge, Bearing::degrees(90));
  const auto at = [&](double x) { return static_cast<int>(flags.value_or({x, 505}, 9)); };
  EXPECT_EQ(at(105), 0);
  EXPECT_EQ(at(455), 0);  // the windward slope
  EXPECT_EQ(at(545), 1);  // the lee slope
  EXPECT_EQ(at(805), 1);  // in its shelter: 40 m high, 300 m behind
  EXPECT_EQ(at(985), 0);  // 485 m behind: more than ten heights
}

}  // namespace
}  // namespace leeward::compute
