#include "ui/render/isolines.h"

#include <gtest/gtest.h>

#include <cmath>

namespace leeward::ui {
namespace {

TEST(Isolines, OfAConeAreCirclesOfTheRightRadius) {
  GridSpec spec{1000, 3000, 2, 120, 120};
  Raster<float> cone(spec);
  const LocalXY top{1120, 2880};
  for (int r = 0; r < spec.rows; ++r)
    for (int c = 0; c < spec.cols; ++c)
      cone.at(c, r) = 100 - static_cast<float>(distance_m(spec.centre(c, r), top));
  const std::vector<Path> lines = isolines(cone, 40);  // 60 m from the top
  ASSERT_EQ(lines.size(), 1U);
  EXPECT_EQ(lines[0].front(), lines[0].back()) << "closed";
  for (const LocalXY p : lines[0]) EXPECT_NEAR(distance_m(p, top), 60, 0.05);
  EXPECT_NEAR(path_length_m(lines[0]), 2 * kPi * 60, 1.5);
}

TEST(Isolines, OfASlopeAreOneOpenLine) {
  GridSpec spec{0, 100, 1, 50, 40};
  Raster<float> slope(spec);
  for (int r = 0; r < spec.rows; ++r)
    for (int c = 0; c < spec.cols; ++c) slope.at(c, r) = static_cast<float>(c);
  const std::vector<Path> lines = isolines(slope, 10.25F);
  ASSERT_EQ(lines.size(), 1U);
  EXPECT_EQ(lines[0].size(), 40U);
  for (const LocalXY p : lines[0]) EXPECT_NEAR(p.x, 10.75, 1e-5);
}

TEST(Isolines, LeaveOutUnknownCellsAndMissNothingElse) {
  GridSpec spec{0, 20, 1, 20, 20};
  Raster<float> r(spec, 0.0F);
  for (int y = 0; y < 20; ++y)
    for (int x = 10; x < 20; ++x) r.at(x, y) = 1;
  r.at(10, 10) = kUnknown;
  double length = 0;
  for (const Path& p : isolines(r, 0.5F)) length += path_length_m(p);
  EXPECT_NEAR(length, 17, 1e-6);  // 19 rows of squares, less the two that touch the hole
  EXPECT_TRUE(isolines(r, 2).empty());
}

}  // namespace
}  // namespace leeward::ui
