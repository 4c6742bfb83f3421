#include "core/geo/shape.h"

#include "core/geo/raster.h"

#include <gtest/gtest.h>

namespace leeward {
namespace {

Shape square(double x, double y, double side) {
  return Shape::area({{x, y}, {x + side, y}, {x + side, y + side}, {x, y + side}});
}

TEST(Shape, MeasuresAreaWithHolesAndLengths) {
  Shape s = square(0, 0, 10);
  s.parts.push_back({{2, 2}, {4, 2}, {4, 4}, {2, 4}});
  EXPECT_DOUBLE_EQ(area_m2(s), 96);
  EXPECT_DOUBLE_EQ(length_m(s), 40);
  EXPECT_TRUE(contains(s, {1, 1}));
  EXPECT_FALSE(contains(s, {3, 3}));
  EXPECT_DOUBLE_EQ(distance_m(s, {13, 14}), 5);
  EXPECT_DOUBLE_EQ(distance_m(s, {5, 5}), 0);
}

TEST(Shape, NamesWhatIsWrong) {
  EXPECT_EQ(shape_problem(square(0, 0, 5)), "");
  EXPECT_NE(shape_problem(Shape::line({{0, 0}})), "");
  EXPECT_NE(shape_problem(Shape::point({std::nan(""), 0})), "");
  EXPECT_NE(shape_problem(Shape::area({{0, 0}, {1, 1}})), "");
  EXPECT_NE(shape_problem(Shape::area({{0, 0}, {10, 10}, {10, 0}, {0, 10}})).find("intersection"),
            std::string::npos);
}

TEST(Shape, RepairsABowTieIntoTwoPiecesAndSaysSo) {
  const auto fixed = repaired(Shape::area({{0, 0}, {10, 10}, {10, 0}, {0, 10}}));
  ASSERT_TRUE(fixed);
  ASSERT_EQ(fixed->pieces.size(), 2U);
  EXPECT_NE(fixed->note.find("repaired"), std::string::npos);
  for (const Shape& s : fixed->pieces) {
    EXPECT_EQ(shape_problem(s), "");
    EXPECT_NEAR(area_m2(s), 25, 1e-9);
  }
}

TEST(Shape, AnchorLiesInsideAHorseshoe) {
  const Shape u =
      Shape::area({{0, 0}, {30, 0}, {30, 30}, {20, 30}, {20, 10}, {10, 10}, {10, 30}, {0, 30}});
  EXPECT_TRUE(contains(u, anchor(u)));
}

TEST(Shape, BufferOfAPointHasNearlyTheCirclesArea) {
  const auto disc = buffered(Shape::point({0, 0}), 10);
  ASSERT_TRUE(disc);
  EXPECT_NEAR(area_m2(disc->at(0)), kPi * 100, 3.0);
}

TEST(Shape, ClipsALineAtAnArea) {
  const auto in = clipped({{-10, 5}, {20, 5}}, square(0, 0, 10), true);
  ASSERT_EQ(in.size(), 1U);
  EXPECT_DOUBLE_EQ(path_length_m(in[0]), 10);
  EXPECT_EQ(clipped({{-10, 5}, {20, 5}}, square(0, 0, 10), false).size(), 2U);
}

TEST(Cells, AreaTakesCellsWhoseCentreIsInside) {
  const GridSpec g{0, 10, 1, 10, 10};
  int n = 0;
  for_each_cell_in(square(2, 2, 3), g, [&](int c, int r) {
    ++n;
    EXPECT_TRUE(contains(square(2, 2, 3), g.centre(c, r)));
  });
  EXPECT_EQ(n, 9);
}

// A line leaves no gap that a diagonal step could slip through.
TEST(Cells, LineTakesEveryCellItTouchesInOrder) {
  const GridSpec g{0, 10, 1, 10, 10};
  std::vector<std::pair<int, int>> cells;
  for_each_cell_on({{0.5, 9.5}, {7.3, 2.1}}, g, [&](int c, int r) { cells.emplace_back(c, r); });
  ASSERT_FALSE(cells.empty());
  EXPECT_EQ(cells.front(), std::make_pair(0, 0));
  EXPECT_EQ(cells.back(), std::make_pair(7, 7));
  for (size_t i = 1; i < cells.size(); ++i) {
    EXPECT_EQ(std::abs(cells[i].first - cells[i - 1].first) +
                  std::abs(cells[i].second - cells[i - 1].second),
              1);
  }
}

TEST(Raster, SampleIsBilinearAndStepsOverUnknown) {
  Raster<float> r(GridSpec{0, 2, 1, 2, 2});
  r.cells = {0, 10, 20, 30};
  EXPECT_FLOAT_EQ(sample(r, {1, 1}), 15);
  EXPECT_FLOAT_EQ(sample(r, {0.5, 1.5}), 0);
  r.cells[3] = kUnknown;
  EXPECT_FALSE(std::isnan(sample(r, {1.2, 1.2})));
  EXPECT_TRUE(std::isnan(sample(r, {5, 5})));
}

TEST(Path, FindsPointsAlongAndNearest) {
  const Path p = {{0, 0}, {10, 0}, {10, 10}};
  EXPECT_EQ(point_along(p, 15), (LocalXY{10, 5}));
  const NearestOnPath n = nearest_on_path(p, {12, 4});
  EXPECT_DOUBLE_EQ(n.distance_m, 2);
  EXPECT_DOUBLE_EQ(n.at_m, 14);
  EXPECT_EQ(densified(p, 3).size(), 9U);
}

}  // namespace
}  // namespace leeward
