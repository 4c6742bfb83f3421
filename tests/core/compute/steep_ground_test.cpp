#include "core/compute/steep_ground.h"

#include "tests/support/ascii_grid.h"
#include "tests/support/walk_map.h"

#include <gtest/gtest.h>

namespace leeward::compute {
namespace {

// '.' as it was, 's' slowed, '#' closed.
std::string drawn(const Raster<WalkCell>& cells) {
  std::string out = "\n";
  for (int r = 0; r < cells.spec.rows; ++r) {
    for (int c = 0; c < cells.spec.cols; ++c) {
      const float s = cells.at(c, r).slowness;
      out += std::isinf(s) ? '#' : s > 1 ? 's' : '.';
    }
    out += '\n';
  }
  return out;
}

Raster<WalkCell> on_ground(const std::string& heights_m) {
  const Raster<float> ground = testing::grid_from_ascii(heights_m, 5);
  Raster<WalkCell> out(ground.spec);
  for (size_t i = 0; i < out.cells.size(); ++i) out.cells[i].ground_m = ground.cells[i];
  return out;
}

// A bank of 4 m between two columns of 5 m cells: 80 %. The slope before it is 40 %.
const char* const kBank = R"(
    0 0 2 6 6 6
    0 0 2 6 6 6
    0 0 2 6 6 6)";

TEST(SteepRules, SlowBothSidesOfABankByDayAndCloseThemByNight) {
  Raster<WalkCell> day = on_ground(kBank), night = day;
  EXPECT_NEAR(steepest_step(day, 1, 1), 0.4, 1e-6);
  EXPECT_NEAR(steepest_step(day, 2, 1), 0.8, 1e-6);
  EXPECT_NEAR(steepest_step(day, 3, 1), 0.8, 1e-6);
  apply_steep_rules(day, {}, {}, false);
  EXPECT_EQ(drawn(day), R"(
..ss..
..ss..
..ss..
)");
  EXPECT_EQ(day.at(2, 1).slowness, 3);
  apply_steep_rules(night, {}, {}, true);
  EXPECT_EQ(drawn(night), R"(
..##..
..##..
..##..
)");
}

TEST(SteepRules, FollowTheirLimitAndFactor) {
  Raster<WalkCell> cells = on_ground(kBank);
  SteepRules rules;
  rules.limit_slope = 0.9;
  apply_steep_rules(cells, {}, rules, true);
  EXPECT_EQ(drawn(cells).find('#'), std::string::npos);
  rules.limit_slope = 0.3;
  rules.steep_slowness = std::numeric_limits<double>::infinity();
  apply_steep_rules(cells, {}, rules, false);
  EXPECT_EQ(drawn(cells), R"(
.###..
.###..
.###..
)");
}

TEST(SteepRules, LeaveAPathAloneAndUnknownGroundOpen) {
  Raster<WalkCell> cells = on_ground(kBank);
  for (int c = 0; c < 6; ++c) cells.at(c, 1).on_path = true;
  cells.at(2, 2).ground_m = kUnknown;
  apply_steep_rules(cells, {}, {}, true);
  EXPECT_EQ(drawn(cells), R"(
..##..
......
......
)");
}

// Cells of 5 m; the edge runs down the middle of a column, its south end a row short of the map's.
TEST(SteepRules, KeepAwayFromTheEdgeOfACliff) {
  const testing::WalkMap map(R"(
      .......
      .......
      .......
      .......
      .......)");
  const std::vector<Path> edge = {{{17.5, 25}, {17.5, 12.5}}};
  Raster<WalkCell> night = map.cells, day = map.cells;
  apply_steep_rules(night, edge, {}, true);
  EXPECT_EQ(drawn(night), R"(
..###..
..###..
..###..
..###..
.......
)");
  SteepRules near_rules;
  near_rules.cliff_near_m = 4;
  apply_steep_rules(day, edge, near_rules, false);
  EXPECT_EQ(drawn(day), R"(
...s...
...s...
...s...
.......
.......
)");
  EXPECT_EQ(day.at(3, 0).slowness, 2);
}

// By day the straight way over the bank is slow and still the quickest; by night it goes around.
TEST(SteepRules, SendTheWayAroundByNight) {
  Raster<WalkCell> cells = on_ground(R"(
      0 0.0 2 2.0 2
      0 0.0 2 2.0 2
      0 0.0 2 2.0 2
      0 0.0 2 2.0 2
      0 0.5 1 1.5 2
      0 0.5 1 1.5 2)");
  const auto goes_around = [&](bool night) {
    Raster<WalkCell> walked = cells;
    SteepRules rules;
    rules.limit_slope = 0.3;
    rules.steep_slowness = 1.2;
    apply_steep_rules(walked, {}, rules, night);
    const WalkGraph graph = make_walk_graph(walked);
    const auto field = cheapest_ways(graph, {{cells.spec.index(0, 0)}, nullptr, 0, false});
    const auto way = trace_way(graph, *field, nullptr, cells.spec.index(4, 0));
    EXPECT_FALSE(way.empty());
    return std::any_of(way.begin(), way.end(), [](size_t cell) { return cell / 5 >= 4; });
  };
  EXPECT_FALSE(goes_around(false));
  EXPECT_TRUE(goes_around(true));
}

}  // namespace
}  // namespace leeward::compute
