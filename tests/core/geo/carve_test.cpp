#include "core/geo/carve.h"

#include <gtest/gtest.h>

namespace leeward {
namespace {

Shape square(double x, double y, double side) {
  return Shape::area({{x, y}, {x + side, y}, {x + side, y + side}, {x, y + side}});
}

double sum_m2(const std::vector<Shape>& shapes) {
  double sum = 0;
  for (const Shape& s : shapes) sum += area_m2(s);
  return sum;
}

TEST(Carve, ALineSplitsWhereItIsCrossedAndKeepsItsDirection) {
  const Shape trail = Shape::line({{0, 0}, {10, 0}, {10, 10}});
  const auto pieces = split_by(trail, {{4, -5}, {4, 5}, {20, 5}});
  ASSERT_TRUE(pieces);
  ASSERT_EQ(pieces->size(), 3U);
  EXPECT_EQ((*pieces)[0].path(), (Path{{0, 0}, {4, 0}}));
  EXPECT_EQ((*pieces)[1].path(), (Path{{4, 0}, {10, 0}, {10, 5}}));
  EXPECT_EQ((*pieces)[2].path(), (Path{{10, 5}, {10, 10}}));
  EXPECT_FALSE(split_by(trail, {{4, 1}, {4, 5}}));
}

TEST(Carve, ACutThatEndsOnTheEdgeBySnappingStillCuts) {
  const auto pieces = split_by(Shape::line({{0, 0}, {30, 10}}), {{3, 1.0 - 1e-9}, {2, -5}});
  ASSERT_TRUE(pieces);
  EXPECT_EQ(pieces->size(), 2U);
  EXPECT_EQ(split_by(square(0, 0, 10), {{0, 4}, {10, 6}})->size(), 2U);
}

TEST(Carve, AnAreaSplitsIntoPiecesThatFillItAndHolesStay) {
  Shape field = square(0, 0, 10);
  field.parts.push_back({{2, 2}, {4, 2}, {4, 4}, {2, 4}});
  const auto pieces = split_by(field, {{-1, 6}, {11, 6}});
  ASSERT_TRUE(pieces);
  ASSERT_EQ(pieces->size(), 2U);
  EXPECT_NEAR(sum_m2(*pieces), 96, 1e-9);
  const auto through = split_by(field, {{3, -1}, {3, 11}});
  ASSERT_TRUE(through);
  EXPECT_EQ(through->size(), 2U);
  EXPECT_NEAR(sum_m2(*through), 96, 1e-9);
  EXPECT_FALSE(split_by(field, {{5, 5}, {8, 8}})) << "inside, from no edge to no edge";
}

TEST(Carve, LinesJoinAtTheirNearestEndsInTheFirstOnesDirection) {
  const Path a{{0, 0}, {10, 0}};
  EXPECT_EQ(joined(a, {{10, 0}, {20, 0}}).path, (Path{{0, 0}, {10, 0}, {20, 0}}));
  EXPECT_EQ(joined(a, {{20, 0}, {11, 0}}).path, (Path{{0, 0}, {10, 0}, {11, 0}, {20, 0}}));
  EXPECT_EQ(joined(a, {{-5, 0}, {0, 0}}).path, (Path{{-5, 0}, {0, 0}, {10, 0}}));
  const JoinedLines back = joined(a, {{0, 0}, {-5, 0}});
  EXPECT_EQ(back.path, (Path{{-5, 0}, {0, 0}, {10, 0}}));
  EXPECT_TRUE(back.b_first);
  EXPECT_TRUE(back.b_reversed);
}

TEST(Carve, AreasThatTouchMergeAndOthersAreRefused) {
  const auto one = merged({square(0, 0, 10), square(10, 0, 10), square(5, 5, 10)});
  ASSERT_TRUE(one);
  EXPECT_NEAR(area_m2(*one), 250, 1e-9);
  EXPECT_FALSE(merged({square(0, 0, 10), square(11, 0, 10)}));
  EXPECT_FALSE(merged({square(0, 0, 10), square(10, 10, 10)})) << "a corner is no edge";
}

TEST(Carve, AHoleIsCutOutOfAnArea) {
  const auto holed = cut_out(square(0, 0, 10), {{2, 2}, {4, 2}, {4, 4}, {2, 4}});
  ASSERT_TRUE(holed);
  ASSERT_EQ(holed->size(), 1U);
  EXPECT_EQ(holed->at(0).parts.size(), 2U);
  EXPECT_NEAR(area_m2(holed->at(0)), 96, 1e-9);
  EXPECT_FALSE(cut_out(square(0, 0, 10), {{20, 2}, {24, 2}, {24, 4}}));
  EXPECT_FALSE(cut_out(square(0, 0, 10), {{-1, -1}, {12, -1}, {12, 12}, {-1, 12}}));
  EXPECT_EQ(cut_out(square(0, 0, 10), {{4, -1}, {6, -1}, {6, 11}, {4, 11}})->size(), 2U);
}

TEST(Carve, AStripHasTheLinesLengthTimesItsWidth) {
  const auto strip = strip_along({{0, 0}, {100, 0}}, 6);
  ASSERT_TRUE(strip);
  EXPECT_NEAR(sum_m2(*strip), 600, 1e-6);
  EXPECT_FALSE(strip_along({{0, 0}, {100, 0}}, 0));
}

TEST(Carve, AnEdgeFollowsWhatIsDrawn) {
  const auto grown = reshaped(square(0, 0, 10), {{8, 2}, {13, 2}, {13, 8}, {8, 8}});
  ASSERT_TRUE(grown);
  EXPECT_NEAR(area_m2(*grown), 118, 1e-9);
  const auto cut = reshaped(square(0, 0, 10), {{12, 2}, {7, 2}, {7, 8}, {12, 8}});
  ASSERT_TRUE(cut);
  EXPECT_NEAR(area_m2(*cut), 82, 1e-9);
  const auto line = reshaped(Shape::line({{0, 0}, {10, 0}}), {{2, 0}, {2, 3}, {6, 3}, {6, 0}});
  ASSERT_TRUE(line);
  ASSERT_EQ(line->path().size(), 6U);
  for (size_t i = 0; i < 6; ++i) {
    const Path want{{0, 0}, {2, 0}, {2, 3}, {6, 3}, {6, 0}, {10, 0}};
    EXPECT_LT(distance_m(line->path()[i], want[i]), 1e-6) << i;
  }
  EXPECT_FALSE(reshaped(square(0, 0, 10), {{8, 2}, {13, 2}}));
}

TEST(Carve, AFreehandLineKeepsItsCorners) {
  Path hand;
  for (int i = 0; i <= 100; ++i) hand.push_back({i * 0.1, 0.01 * (i % 2)});
  for (int i = 1; i <= 100; ++i) hand.push_back({10, i * 0.1});
  const Path simple = simplified(hand, 0.2);
  EXPECT_EQ(simple.size(), 3U);
  EXPECT_LT(distance_m(simple[1], {10, 0}), 0.3);
}

}  // namespace
}  // namespace leeward
