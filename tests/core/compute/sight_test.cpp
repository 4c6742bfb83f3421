#include "core/compute/sight.h"

#include "core/compute/fast_exp.h"
#include "core/compute/shot.h"
#include "core/compute/sight_octant.h"
#include "tests/support/ascii_grid.h"
#include "tests/support/sight_lands.h"
#include "tests/support/terrain_makers.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <random>

namespace leeward::compute {
namespace {

SightLand bare(const Raster<float>& ground) {
  SightLand out(ground.spec);
  out.ground_m = ground;
  return out;
}

TEST(Sight, RidgeHidesTheCellsBehindIt) {
  const auto land = bare(testing::grid_from_ascii(R"(
      0 0 0 5 0 0 0
      0 0 0 5 0 0 0
      0 0 0 5 0 0 0
  )"));
  const auto seen = sight_from(land, {0.5, 1.5}, {1.6, 0.8, 10, 0});
  ASSERT_TRUE(seen);
  EXPECT_EQ(seen->at(2, 1), 255);
  EXPECT_EQ(seen->at(3, 1), 255);  // the ridge itself
  EXPECT_EQ(seen->at(4, 1), 0);
  EXPECT_EQ(seen->at(6, 1), 0);
}

TEST(Sight, FlatOpenGroundIsSeenWholeWithinReach) {
  const auto land = bare(Raster<float>(GridSpec{0, 101, 1, 101, 101}, 10.0F));
  const auto seen = sight_from(land, {50.5, 50.5}, {5, 0.8, 40, 0});
  ASSERT_TRUE(seen);
  int inside = 0;
  for (int r = 0; r < seen->spec.rows; ++r) {
    for (int c = 0; c < seen->spec.cols; ++c) {
      const double d = distance_m(seen->spec.centre(c, r), {50.5, 50.5});
      if (d < 39.5) {
        EXPECT_EQ(seen->at(c, r), 255) << c << ' ' << r;
        ++inside;
      }
      if (d > 40.5) {
        EXPECT_EQ(seen->at(c, r), 0);
      }
    }
  }
  EXPECT_GT(inside, 4800);
}

TEST(Sight, UniformCoverDimsByBeerLambert) {
  SightLand land(GridSpec{0, 101, 1, 201, 101}, SightCell{0, 20, 0.05F});
  const auto seen = sight_from(land, {0.5, 50.5}, {6, 0.8, 150, 0});
  ASSERT_TRUE(seen);
  for (const int d : {20, 50, 100}) {
    EXPECT_NEAR(seen->at(d, 50) / 255.0, std::exp(-0.05 * (d - 0.5)), 0.01) << d;
  }
}

TEST(Sight, TrimmedLimbsAndLowCoverDoNotDim) {
  SightLand land(GridSpec{0, 101, 1, 201, 101}, SightCell{0, 20, 0.05F});
  const auto trimmed = sight_from(land, {0.5, 50.5}, {6, 0.8, 150, 20});
  ASSERT_TRUE(trimmed);
  EXPECT_EQ(trimmed->at(15, 50), 255);
  // Cover of half a metre lies below every sight line from 6 m to 0.8 m.
  SightLand low(GridSpec{0, 101, 1, 201, 101}, SightCell{0, 0.5F, 0.5F});
  const auto over = sight_from(low, {0.5, 50.5}, {6, 0.8, 150, 0});
  ASSERT_TRUE(over);
  EXPECT_GT(over->at(120, 50), 250);  // bins of slope blur by a percent or two
}

// The exact line walk of single cells is the oracle. Two correct tools differ at the rims of
// shadow.
TEST(Sight, SweepAgreesWithTheExactLineOnRidgesWithCover) {
  const GridSpec g{0, 500, 1, 500, 500};
  SightLand land = bare(testing::seeded_ground(g, 7));
  for (int r = 0; r < 500; ++r)
    for (int c = 0; c < 500; ++c)
      if (((c / 60) + (r / 60)) % 3 == 0)
        land.at(c, r).top_m = 8, land.at(c, r).density_per_m = 0.03F;
  const LocalXY eye{250.5, 250.5};
  const SightOptions o{6.2, 0.8, 240, 4};
  const auto seen = sight_from(land, eye, o);
  ASSERT_TRUE(seen);
  int cells = 0, agree = 0;
  double bias = 0;
  for (int r = 0; r < seen->spec.rows; r += 3) {
    for (int c = 0; c < seen->spec.cols; c += 3) {
      const LocalXY p = seen->spec.centre(c, r);
      if (distance_m(p, eye) > 239) continue;
      const double exact = sight_between(land, eye, o.eye_m, p, o.target_m, o.cleared_m);
      const double got = seen->at(c, r) / 255.0;
      ++cells;
      agree += std::abs(got - exact) < 0.1;
      bias += got - exact;
    }
  }
  RecordProperty("agree_per_mille", agree * 1000 / cells);
  EXPECT_GT(agree, 0.97 * cells) << agree << " of " << cells;
  EXPECT_LT(std::abs(bias / cells), 0.01);
}

// Each octant reads the land and writes its answer in its own way: along its rows or across them,
// on or back.
class TurnedSight : public ::testing::TestWithParam<bool> {
 protected:
  static constexpr int kSide = 501;
  // Cell of a square that is mirrored by columns (1), by rows (2), then turned about its diagonal.
  static std::pair<int, int> turned(int how, int side, int c, int r) {
    if (how & 1) c = side - 1 - c;
    if (how & 2) r = side - 1 - r;
    return how & 4 ? std::pair(r, c) : std::pair(c, r);
  }
  // What is seen on turned land, turned back; but for the diagonals, on each of which two octants
  // meet, which look at cells on its two sides.
  static Raster<std::uint8_t> seen_on(const SightLand& land, int how) {
    SightLand other(land.spec);
    for (int r = 0; r < kSide; ++r)
      for (int c = 0; c < kSide; ++c) {
        const auto [to_c, to_r] = turned(how, kSide, c, r);
        other.at(to_c, to_r) = SightCell(land.at(c, r));
      }
    const auto seen = sight_from(other, land.spec.centre(kSide / 2, kSide / 2), {6.2, 0.8, 245, 3});
    Raster<std::uint8_t> back(seen->spec);
    for (int r = 0; r < back.spec.rows; ++r)
      for (int c = 0; c < back.spec.cols; ++c) {
        const auto [from_c, from_r] = turned(how, back.spec.cols, c, r);
        if (c != r && c != back.spec.rows - 1 - r) back.at(c, r) = seen->at(from_c, from_r);
      }
    return back;
  }
};

TEST_P(TurnedSight, IsTheSameAsOnTheLandAsItLies) {
  SightLand land = testing::sight_land(testing::seeded_ground({0, kSide, 1, kSide, kSide}, 7));
  testing::chequer_cover(land, GetParam());
  const auto seen = seen_on(land, 0);
  EXPECT_GT(std::count_if(seen.cells.begin(), seen.cells.end(),
                          [](int share) { return share > 0 && share < 255; }),
            50000);
  for (int mirror = 0; mirror < 4; ++mirror) {
    const auto mirrored = seen_on(land, mirror);
    EXPECT_EQ(mirrored.cells, seen_on(land, mirror | 4).cells) << mirror;
    // Places half way between cells go to the eastern or southern one, at the edges of cover too.
    size_t differ = 0;
    for (size_t n = 0; n < seen.cells.size(); ++n)
      differ += std::abs(int{seen.cells[n]} - int{mirrored.cells[n]}) > 8;
    EXPECT_LE(differ * 500, seen.cells.size()) << mirror;
  }
}
INSTANTIATE_TEST_SUITE_P(Covers, TurnedSight, ::testing::Bool(),
                         [](const auto& timber) { return timber.param ? "Timber" : "Brush"; });

TEST(Sight, UnknownGroundIsNeverSeenAndNeverBlocks) {
  auto land = bare(Raster<float>(GridSpec{0, 3, 1, 9, 3}, 0.0F));
  land.at(3, 1).ground_m = kUnknown;
  const auto seen = sight_from(land, {0.5, 1.5}, {1.6, 0.8, 10, 0});
  ASSERT_TRUE(seen);
  EXPECT_EQ(seen->at(3, 1), 0);
  EXPECT_EQ(seen->at(6, 1), 255);
}

TEST(Sight, AnEyeOffTheMapSeesNothing) {
  const auto land = bare(Raster<float>(GridSpec{0, 5, 1, 5, 5}, 0.0F));
  const auto seen = sight_from(land, {50, 50}, {});
  ASSERT_TRUE(seen);
  for (const auto v : seen->cells) EXPECT_EQ(v, 0);
}

// Cover and ground changed in random boxes, near the eye and far, at the land's edge too; boxes of
// one cell and of one row as well.
TEST(Sight, WalkedAgainOverChangedGroundItIsTheSameAsWhole) {
  std::array<SightLand, 2> lands;
  lands.fill(testing::sight_land(testing::seeded_ground(GridSpec{0, 400, 1, 400, 400}, 7)));
  testing::chequer_cover(lands[0], true);                            // the other is bare
  for (float& density : lands[0].density_per_m.cells) density *= 4;  // dark behind
  std::mt19937 random(11);
  const auto below = [&](int n) { return static_cast<int>(random() % static_cast<unsigned>(n)); };
  int seen_otherwise = 0;
  for (const LocalXY eye : {LocalXY{200.5, 200.5}, {30.5, 371.5}, {399.5, 200.5}, {210.5, 90.5}}) {
    const SightOptions options{6, 0.8, 180, 3};
    const SightLand& land = lands[eye.x == 30.5 ? 1 : 0];
    auto before = sight_exact(land, eye, options), quick_before = sight_from(land, eye, options);
    ASSERT_TRUE(before && quick_before);
    for (int n = 0; n < 40; ++n) {
      auto changed_land = land;
      std::vector<CellBox> changed;
      for (int k = below(3); k >= 0; --k) {
        const int most = n % 2 == 0 ? 40 : 3;
        const CellBox b = CellBox{below(392), below(392), 1 + below(most), 1 + below(most)}.within(
            {0, 0, 400, 400});
        changed.push_back(b);
        const int how = below(4);
        for (int r = b.row; r < b.end_row(); ++r)
          for (int c = b.col; c < b.end_col(); ++c) {
            const auto cell = changed_land.at(c, r);
            if (how == 0) cell.ground_m += static_cast<float>(below(5));
            const float top_m = static_cast<float>(below(how == 1 ? 2 : 12));
            // 2: nowhere less; 3: nowhere lower, but thinner.
            cell.top_m = how >= 2 ? std::max(cell.top_m, top_m) : top_m;
            cell.density_per_m = how == 3 ? 0.01F : std::max(cell.density_per_m, 0.05F);
          }
      }
      const auto again = sight_exact_again(changed_land, eye, options, *before,
                                           cover_changes(land, changed_land, changed));
      const auto whole = sight_exact(changed_land, eye, options);
      ASSERT_TRUE(again && whole);
      ASSERT_EQ(again->spec, whole->spec);
      ASSERT_EQ(again->cells, whole->cells) << eye.x << ' ' << n;
      const auto quick = sight_from_again(changed_land, eye, options, *quick_before, changed);
      const auto quick_whole = sight_from(changed_land, eye, options);
      ASSERT_TRUE(quick && quick_whole);
      ASSERT_EQ(quick->cells, quick_whole->cells) << eye.x << ' ' << n;
      seen_otherwise += whole->cells != before->cells;
    }
  }
  EXPECT_GT(seen_otherwise, 60);  // the changes were such as can be seen
}

// What was dark stays dark where cover only grows.
TEST(Sight, MoreCoverNeverShowsMore) {
  const auto value = [](float depth) { return static_cast<int>(255.0F * fast_exp(-depth) + 0.5F); };
  int before = value(6);
  for (float depth = 6; depth < octant::kOpaque + 0.1F; depth = std::nextafter(depth, 7.0F)) {
    const int now = value(depth);
    ASSERT_LE(now, before) << depth;
    before = now;
  }
  EXPECT_EQ(before, 0);
}

TEST(Sight, IsCancelled) {
  std::stop_source stop;
  stop.request_stop();
  const auto land = bare(Raster<float>(GridSpec{0, 300, 1, 300, 300}, 0.0F));
  const auto seen = sight_from(land, {150, 150}, {}, stop.get_token());
  ASSERT_FALSE(seen);
  EXPECT_EQ(seen.error().code, ErrorCode::cancelled);
}

// A watcher's eye 1 m up at x = 20.5, a head 6 m up at x = 50.5: the line rises 5 m in 30 m. What
// is behind is laid on a strip of 1 m cells along x, by similar triangles.
class SkyBehind : public ::testing::Test {
 protected:
  static constexpr LocalXY kWatcher{20.5, 2.5}, kHead{50.5, 2.5};
  SightLand land{GridSpec{0, 5, 1, 500, 5}, SightCell{}};

  void lay(double from_x, double to_x, SightCell cell) {
    for (int r = 0; r < land.spec.rows; ++r)
      for (int c = 0; c < land.spec.cols; ++c)
        if (c + 0.5 > from_x && c + 0.5 < to_x) land.at(c, r) = cell;
  }
  double share(double cleared_m = 0, double beyond_m = 400) const {
    return sky_behind(land, kWatcher, 1, kHead, 6, cleared_m, beyond_m);
  }
};

TEST_F(SkyBehind, IsWholeOnBareGround) { EXPECT_EQ(share(), 1); }

TEST_F(SkyBehind, EndsAtGroundThatRisesIntoTheLine) {
  // 24 m behind the head the line is 6 + 24 / 6 = 10 m up.
  lay(74, 75, {9.99F, 0, 0});
  EXPECT_EQ(share(), 1);
  lay(74, 75, {10.01F, 0, 0});
  EXPECT_EQ(share(), 0);
}

TEST_F(SkyBehind, IsLookedForAsFarAsAsked) {
  // 300 m behind it is 56 m up.
  lay(350, 351, {57, 0, 0});
  EXPECT_EQ(share(), 0);
  EXPECT_EQ(share(0, 200), 1);
  lay(350, 351, {55, 0, 0});
  EXPECT_EQ(share(), 1);
}

TEST_F(SkyBehind, IsDimmedByCoverAsFarAsTheLineIsBelowItsTop) {
  // 12 m of cover from 10 m behind the head on: the line leaves it where 6 + d / 6 = 12, at 36 m:
  // 26 cells of 1 m, 0.02 a metre.
  lay(60, 200, {0, 12, 0.02F});
  EXPECT_NEAR(share(), std::exp(-0.02 * 26), 1e-6);
  lay(60, 200, {0, 12, 1});
  EXPECT_LT(share(), 1e-9);
  lay(60, 200, {0, 7.5F, 1});  // 10.5 m behind it is 7.75 m up already
  EXPECT_EQ(share(), 1);
}

TEST_F(SkyBehind, DoesNotCountWhatWasCutAwayAroundTheHead) {
  lay(48, 53, {0, 18, 1});
  EXPECT_LT(share(), 0.1);
  EXPECT_EQ(share(4), 1);
}

TEST_F(SkyBehind, IsNoneForWhoLooksDownAtTheHead) {
  // From a bank of 10 m: 11 m down to 6 m in 30 m, on the ground 36 m behind the head.
  lay(0, 30, {10, 0, 0});
  EXPECT_EQ(share(), 0);
  // Unless the ground drops away below the line, which is 61 m deep at 400 m.
  lay(55, 500, {-80, 0, 0});
  EXPECT_EQ(share(), 1);
}

TEST_F(SkyBehind, LooksAsFarAsLandIsKnown) {
  lay(110, 500, {kUnknown, 0, 0});
  EXPECT_EQ(share(), 1);
  // The last known land, 59 m behind, where the line is 15.8 m up.
  lay(108, 110, {17, 0, 0});
  EXPECT_EQ(share(), 0);
  lay(108, 110, {15, 0, 0});
  EXPECT_EQ(share(), 1);
}

TEST_F(SkyBehind, IsUnknownWithoutGroundAtAnEnd) {
  EXPECT_TRUE(std::isnan(sky_behind(land, kHead, 1, kHead, 6)));
  EXPECT_TRUE(std::isnan(sky_behind(land, {-50, 2.5}, 1, kHead, 6)));
  lay(50, 51, {kUnknown, 0, 0});
  EXPECT_TRUE(std::isnan(share()));
}

// Slant and depression: right triangles, as in hunter-education worked examples (recomputed).
TEST(Shot, SlantAndDepressionAreTheTriangles) {
  Raster<float> flat(GridSpec{0, 100, 1, 100, 100}, 100.0F);
  struct Row {
    double height, range, slant, depression;
  };
  for (const Row& r : {Row{6, 5, 7.810, 50.19}, Row{6, 10, 11.66, 30.96}, Row{6, 20, 20.88, 16.70},
                       Row{6, 30, 30.59, 11.31}, Row{10, 27.432, 29.20, 20.03}}) {
    const ShotLine s = shot_line(flat, {50, 50}, r.height + 0.8, {50 + r.range, 50}, 0.8);
    EXPECT_NEAR(s.slant_m, r.slant, 0.006);
    EXPECT_NEAR(s.depression_deg, r.depression, 0.006);
  }
}

TEST(Shot, FallingGroundAddsToTheDrop) {
  Raster<float> slope(GridSpec{0, 100, 1, 100, 100});
  for (int r = 0; r < 100; ++r)
    for (int c = 0; c < 100; ++c)
      slope.at(c, r) = static_cast<float>(100 - 0.1 * slope.spec.centre(c, r).x);
  const ShotLine s = shot_line(slope, {30.5, 50}, 6, {50.5, 50}, 0.8);
  EXPECT_NEAR(s.slant_m, 21.26, 0.01);
  EXPECT_NEAR(s.depression_deg, 19.80, 0.02);
}

TEST(Rings, EveryVertexLiesAtTheExactHorizontalDistance) {
  for (const LocalXY p : ring_points({100, 200}, 27.432))
    EXPECT_NEAR(distance_m(p, {100, 200}), 27.432, 1e-9);
  EXPECT_EQ(ring_points({0, 0}, 5).size(), static_cast<size_t>(kRingVertices));
}

}  // namespace
}  // namespace leeward::compute
