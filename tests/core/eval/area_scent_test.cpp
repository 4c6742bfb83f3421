// The pieces that stand for an area, and what a person's scent does to deer on it.
#include "core/eval/air.h"
#include "core/eval/hazard.h"
#include "tests/support/small_property.h"

#include <gtest/gtest.h>

#include <cmath>

namespace leeward {
namespace {

using namespace leeward::testing;
using compute::Flow;

constexpr double kReach_m = 400;
const GridSpec kLand{0, 1000, 10, 100, 100};

DeerArea area_of(Kind kind, Shape shape) {
  Document d;
  d.features[static_cast<size_t>(kind)] =
      make_ref<Rows<Feature>>(Rows<Feature>{make_ref<Feature>(make_feature(kind, shape))});
  return deer_areas(d).at(0);
}
Shape rectangle(double x, double y, double w, double h) {
  return Shape::area({{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}});
}

double farthest_m(const DeerArea& area) {
  const GridSpec fine = GridSpec::covering(bounds(area.feature->shape), 5);
  double out = 0;
  for (const size_t i : cells_of(*area.feature, fine)) {
    const LocalXY p = fine.centre(static_cast<int>(i % static_cast<size_t>(fine.cols)),
                                  static_cast<int>(i / static_cast<size_t>(fine.cols)));
    double nearest = 1e9;
    for (const LocalXY s : area.samples) nearest = std::min(nearest, distance_m(p, s));
    out = std::max(out, nearest);
  }
  return out;
}

TEST(DeerAreas, SamplesLeaveNoPlaceFarFromOne) {
  const DeerArea bed = area_of(Kind::bedding, rectangle(400, 400, 140, 110));
  EXPECT_EQ(bed.samples.size(), 8U);
  EXPECT_LT(farthest_m(bed), 40);
  const DeerArea trail =
      area_of(Kind::deer_trail, Shape::line({{400, 300}, {520, 550}, {420, 780}}));
  EXPECT_EQ(trail.samples.size(), 16U);
  EXPECT_LT(farthest_m(trail), 35);
  // At most 16, however large.
  const DeerArea large = area_of(Kind::bedding, rectangle(100, 100, 800, 800));
  EXPECT_EQ(large.samples.size(), 16U);
  EXPECT_LT(farthest_m(large), 150);  // half the diagonal of 200 m square, and a cell
}

// A rectangle w by h has the variances w^2/12 and h^2/12 about its middle.
TEST(DeerAreas, PatchesHaveTheMiddleAndTheSpreadOfTheArea) {
  const DeerArea small = area_of(Kind::bedding, rectangle(400, 400, 60, 40));
  ASSERT_EQ(small.patches.size(), 1U);
  EXPECT_LT(distance_m(small.patches[0].middle, {430, 420}), 5);
  EXPECT_NEAR(small.patches[0].sd_m, std::sqrt((60.0 * 60 + 40.0 * 40) / 24), 1.5);
  const DeerArea bed = area_of(Kind::bedding, rectangle(400, 400, 140, 110));
  LocalXY mean;
  for (const DeerPatch& p : bed.patches) mean = mean + p.middle;
  const double n = static_cast<double>(bed.patches.size());
  EXPECT_LT(distance_m({mean.x / n, mean.y / n}, {470, 455}), 5);
}

// A few patches against one plume from each 10 m cell of the area, in a wind that bends.
TEST(AreaScent, OfPatchesIsTheMeanOverAllPlaces) {
  Flow flow = Flow::uniform(kLand, {0, 0});
  for (int r = 0; r < kLand.rows; ++r)
    for (int c = 0; c < kLand.cols; ++c) {
      const LocalXY p = kLand.centre(c, r);
      flow.cells[kLand.index(c, r)] =
          Flow::Cell::of(static_cast<float>(1.5 + 0.8 * std::sin(p.y / 150)),
                         static_cast<float>(0.9 * std::cos(p.x / 180)), p.x > 500 ? 0.8F : 0.1F);
    }
  const compute::PlumeTable table(compute::PlumeAir{}, kReach_m);
  for (const DeerArea& area :
       {area_of(Kind::bedding, rectangle(430, 450, 140, 110)),
        area_of(Kind::food, rectangle(450, 480, 60, 40)),
        area_of(Kind::deer_trail, Shape::line({{430, 300}, {550, 550}, {450, 700}}))}) {
    const AreaScent field = make_area_scent(flow, table, area_places(kLand, area, kReach_m), 3);
    const auto cells = cells_of(*area.feature, kLand);
    Raster<float> all(kLand, 0.0F);
    for (const size_t i : cells) {
      const LocalXY p = kLand.centre(static_cast<int>(i % 100), static_cast<int>(i / 100));
      compute::ScentPlume(flow, table, p, compute::Run::backward)
          .add_to(all, compute::PolarCells(kLand, p, kReach_m),
                  1.0F / static_cast<float>(cells.size()), 3);
    }
    // Mean and spread of the logarithm of the ratio outside: next to the area, and from 60 m on.
    struct Band {
      double n = 0, sum = 0, squares = 0;
    } near, far;
    for (int r = 0; r < kLand.rows; ++r)
      for (int c = 0; c < kLand.cols; ++c) {
        const LocalXY p = kLand.centre(c, r);
        const double off = distance_m(area.feature->shape, p);
        if (off < 10 || all.at(c, r) < 0.005F) continue;
        Band& b = off < 60 ? near : far;
        const double ratio = std::log(field.at(p) / static_cast<double>(all.at(c, r)));
        b.n += 1, b.sum += ratio, b.squares += ratio * ratio;
      }
    ASSERT_GT(near.n, 100);
    ASSERT_GT(far.n, 200);
    EXPECT_LT(std::abs(near.sum / near.n), 0.2) << area.samples.size();
    EXPECT_LT(std::sqrt(near.squares / near.n), 0.4) << area.samples.size();
    EXPECT_LT(std::abs(far.sum / far.n), 0.03) << area.samples.size();
    EXPECT_LT(std::sqrt(far.squares / far.n), 0.1) << area.samples.size();
  }
}

// Deer are at the gap of a wall that they pass, and hear what is near it, not along the wall.
TEST(AreaSound, OfAWallComesFromItsGaps) {
  Document d;
  Feature wall = make_feature(Kind::barrier, Shape::line({{200, 500}, {800, 500}}));
  wall.as<BarrierAttrs>().gaps = {{100, 8}};
  const Uid uid = wall.uid;
  d.features[static_cast<size_t>(Kind::barrier)] =
      make_ref<Rows<Feature>>(Rows<Feature>{make_ref<Feature>(wall)});
  const std::vector<DeerArea> areas = deer_areas(d, {{uid, 0, {300, 500}, 1.0}});
  ASSERT_EQ(areas.size(), 1U);
  const AreaSound heard = make_area_sound(kLand, areas[0], Judgement{});
  EXPECT_GT(heard.value_or({300, 505}, 0), 0.6F);
  EXPECT_EQ(heard.value_or({600, 505}, 0), 0);
}

// common practice, no source: from food to beds in the morning, from beds to food in the evening.
TEST(DeerAreas, MostWalkToBedsInTheMorningAndToFoodInTheEvening) {
  Document d;
  const auto put_in = [&](Kind kind, Shape shape) {
    d.features[static_cast<size_t>(kind)] =
        make_ref<Rows<Feature>>(Rows<Feature>{make_ref<Feature>(make_feature(kind, shape))});
  };
  put_in(Kind::bedding, rectangle(100, 100, 50, 50));
  put_in(Kind::food, rectangle(600, 100, 50, 50));
  const Feature trail = make_feature(Kind::deer_trail, Shape::line({{160, 120}, {590, 120}}));
  const SunDay day = sun_day_of(kEvening, {-93, 38.85}, Settings());
  const auto at = [&](Instant t) { return deer_time(t, day, Settings()); };
  EXPECT_EQ(most_walk_from_start(d, trail, at(*day.rise)), false);
  EXPECT_EQ(most_walk_from_start(d, trail, at(*day.set)), true);
  const Feature round = make_feature(Kind::deer_trail, Shape::line({{160, 120}, {90, 120}}));
  EXPECT_EQ(most_walk_from_start(d, round, at(*day.set)), std::nullopt);
}

}  // namespace
}  // namespace leeward
