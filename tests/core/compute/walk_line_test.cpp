#include "core/compute/walk_line.h"

#include "tests/support/terrain_makers.h"
#include "tests/support/walk_lands.h"
#include "tests/support/walk_map.h"

#include <gtest/gtest.h>

namespace leeward::compute {
namespace {

using testing::WalkMap;

struct Walked {
  std::vector<size_t> way;
  WalkLine line;
};
Walked walked(const WalkGraph& graph, size_t from, size_t to,
              const std::vector<float>* hazard = nullptr, double weight_s = 0) {
  const auto field = cheapest_ways(graph, {{from}, hazard, weight_s, false});
  EXPECT_TRUE(field);
  Walked out;
  out.way = trace_way(graph, *field, hazard, to);
  EXPECT_FALSE(out.way.empty());
  out.line = walk_line(graph, out.way, hazard, weight_s);
  return out;
}

std::string turns_between(const WalkMap& map, const std::vector<float>* hazard = nullptr,
                          double weight_s = 0) {
  const WalkGraph graph = make_walk_graph(map.cells);
  return "\n" + map.with_turns(
                    walked(graph, map.places.at('A'), map.places.at('B'), hazard, weight_s).line);
}

TEST(WalkLine, IsOneLegOverOpenGround) {
  const WalkMap map(R"(
      .............B
      ..............
      ..............
      A.............)");
  const Walked w = walked(make_walk_graph(map.cells), map.places.at('A'), map.places.at('B'));
  ASSERT_EQ(w.line.legs.size(), 1U);
  EXPECT_GT(w.way.size(), 5U);
  const WalkLeg& leg = w.line.legs[0];
  EXPECT_NEAR(leg.length_m, 5 * std::hypot(13, 3), 1e-9);
  EXPECT_NEAR(leg.toward.degrees(), std::atan2(13, 3) * kDegPerRad, 1e-9);
  EXPECT_NEAR(leg.seconds, leg.length_m * off_path_pace_s_per_m(0), 1e-3);
  EXPECT_EQ(leg.climb_m, 0);
  EXPECT_EQ(leg.drop_m, 0);
}

TEST(WalkLine, TurnsAtTheEndOfAWall) {
  const WalkMap map(R"(
      ......#.......
      ......#.......
      ......#.......
      A.....#......B
      ......#.......
      ......#.......
      ..............
      ..............)");
  EXPECT_EQ(turns_between(map), R"(
......#.......
......#.......
......#.......
A.....#......B
......#.......
......#.......
......o.......
..............
)");
}

TEST(WalkLine, GoesThroughAGapAndCutsNoCorner) {
  const WalkMap map(R"(
      A.....#......
      ......#......
      ......#......
      .............
      ......#......
      ......#......
      ......#.....B)");
  const Walked w = walked(make_walk_graph(map.cells), map.places.at('A'), map.places.at('B'));
  EXPECT_LE(w.line.legs.size(), 3U);
  for (const WalkLeg& leg : w.line.legs) EXPECT_GT(leg.length_m, 5);
  for (size_t i = 0; i + 1 < w.line.points.size(); ++i) {
    const LocalXY a = w.line.points[i], b = w.line.points[i + 1];
    for (int k = 0; k <= 1000; ++k) {
      const LocalXY p = a + (b - a) * (k / 1000.0);
      EXPECT_TRUE(std::isfinite(map.cells.value_or(p, {}).slowness));
    }
  }
}

TEST(WalkLine, GoesAroundAThicketThatItsStraightLineWouldCross) {
  const WalkMap map(R"(
      ..............
      ..............
      .....tttt.....
      A....tttt....B
      .....tttt.....
      .....tttt.....
      .....tttt.....)");
  EXPECT_EQ(turns_between(map), R"(
..............
.....o.o......
.....tttt.....
A....tttt....B
.....tttt.....
.....tttt.....
.....tttt.....
)");
}

TEST(WalkLine, KeepsToABentPathThatIsQuicker) {
  const WalkMap map(R"(
      tttttttttttttt
      tttttt=======B
      tttttt=ttttttt
      tttttt=ttttttt
      tttttt=ttttttt
      A======ttttttt)");
  EXPECT_EQ(turns_between(map), R"(
tttttttttttttt
tttttt=o=====B
ttttttottttttt
tttttt=ttttttt
ttttttottttttt
A====o=ttttttt
)");
}

TEST(WalkLine, GoesAroundDangerAsFarAsItIsWeighed) {
  const WalkMap map(R"(
      ..............
      ..............
      A............B
      ..............)");
  std::vector<float> hazard(map.cells.spec.size());
  for (int r = 1; r < 4; ++r)
    for (int c = 5; c < 9; ++c) hazard[map.cells.spec.index(c, r)] = 1;
  EXPECT_EQ(turns_between(map, &hazard, 0), R"(
..............
..............
A............B
..............
)");
  EXPECT_EQ(turns_between(map, &hazard, 600), R"(
.....o.o......
..............
A............B
..............
)");
}

// A straight walk over a ridge: 40 m up at 20 %, 40 m down at 10 %, on 10 m cells. Tobler (1993)
// off paths: 1.501 km/h and 3.022 km/h.
TEST(WalkLeg, TellsClimbDropAndTime) {
  Raster<WalkCell> cells(GridSpec{0, 10, 10, 9, 1});
  const float ground[] = {0, 2, 4, 6, 8, 7, 6, 5, 4};
  for (int c = 0; c < 9; ++c) cells.at(c, 0).ground_m = ground[c];
  const WalkGraph graph = make_walk_graph(cells);
  std::vector<float> hazard(9, 0.5F);
  const WalkLeg leg = walk_leg(graph, &hazard, cells.spec.centre(0, 0), cells.spec.centre(8, 0));
  EXPECT_NEAR(leg.length_m, 80, 1e-9);
  EXPECT_NEAR(leg.climb_m, 8, 1e-5);
  EXPECT_NEAR(leg.drop_m, 4, 1e-5);
  EXPECT_NEAR(leg.seconds, 40 * 3.6 / 1.501 + 40 * 3.6 / 3.022, 0.1);
  EXPECT_NEAR(leg.hazard, 0.5 * leg.seconds / 60, 1e-9);
  EXPECT_NEAR(leg.cost_s(120), 2 * leg.seconds, 1e-9);
  const WalkLeg home = walk_leg(graph, nullptr, cells.spec.centre(8, 0), cells.spec.centre(0, 0));
  EXPECT_NEAR(home.climb_m, 4, 1e-5);
  EXPECT_NEAR(home.toward.degrees(), 270, 1e-9);
  EXPECT_EQ(home.hazard, 0);
}

TEST(WalksStraight, StopsAtClosedCellsCornersAndTheEdge) {
  const WalkMap map(R"(
      A.#B
      .#..
      C..D)");
  const WalkGraph graph = make_walk_graph(map.cells);
  const auto straight = [&](char a, char b) {
    const auto at = [&](char p) {
      const auto i = static_cast<int>(map.places.at(p));
      return map.cells.spec.centre(i % 4, i / 4);
    };
    return walks_straight(graph, at(a), at(b)) && walks_straight(graph, at(b), at(a));
  };
  EXPECT_FALSE(straight('A', 'B'));  // through a cell
  EXPECT_FALSE(straight('A', 'D'));  // through a cell, aslant
  EXPECT_TRUE(straight('A', 'C'));
  EXPECT_TRUE(straight('C', 'D'));
  EXPECT_TRUE(straight('D', 'B'));
  const LocalXY a = map.cells.spec.centre(1, 0), b = map.cells.spec.centre(2, 1);
  EXPECT_FALSE(walks_straight(graph, a, b));  // between two closed corners
  EXPECT_FALSE(walks_straight(graph, a, {a.x, 100}));
}

TEST(WalkLine, OfNoWayOrOneCellHasNoLegs) {
  const WalkGraph graph = make_walk_graph(WalkMap("A.B").cells);
  EXPECT_TRUE(walk_line(graph, {}, nullptr, 0).points.empty());
  const WalkLine stays = walk_line(graph, {1}, nullptr, 0);
  EXPECT_EQ(stays.points, (Path{graph.spec.centre(1, 0)}));
  EXPECT_TRUE(stays.legs.empty());
  EXPECT_EQ(stays.whole().length_m, 0);
}

// On flat open ground the walk is as long as the straight line in every whole degree; the steps
// alone are up to 2.8 % longer (half of 26.6 degrees between two of 16 directions).
TEST(WalkLine, IsStraightInEveryBearingOnOpenFlatGround) {
  const Raster<WalkCell> cells(GridSpec{0, 845, 5, 169, 169});
  const WalkGraph graph = make_walk_graph(cells);
  const GridSpec& g = cells.spec;
  const auto field = cheapest_ways(graph, {{g.index(84, 84)}, nullptr, 0, false});
  ASSERT_TRUE(field);
  double worst_steps = 0;
  for (int deg = 0; deg < 360; ++deg) {
    const LocalXY start = g.centre(84, 84), goal = moved(start, Bearing::degrees(deg), 400);
    const size_t cell = g.index(g.cell_col(goal.x), g.cell_row(goal.y));
    const auto way = trace_way(graph, *field, nullptr, cell);
    const WalkLine line = walk_line(graph, way, nullptr, 0);
    const double straight = distance_m(start, line.points.back());
    EXPECT_NEAR(straight, 400, 4);
    EXPECT_LT(line.whole().length_m, 1.015 * straight) << deg;
    EXPECT_EQ(line.legs.size(), 1U) << deg;
    worst_steps = std::max(
        worst_steps, static_cast<double>(field->cost[cell]) / off_path_pace_s_per_m(0) / straight);
  }
  EXPECT_LT(worst_steps, 1.028);
}

// Hills, cover, danger and closed cells: over many ways no leg touches a closed cell, the whole
// costs no more than 1 % above the way, and few turns are left.
TEST(WalkLine, CostsNoMoreThanItsWayOnMixedLand) {
  const GridSpec spec{0, 900, 5, 180, 180};
  Raster<WalkCell> cells(spec);
  const Raster<float> ground = testing::seeded_ground(spec, 4);
  std::vector<float> hazard(spec.size());
  for (int r = 0; r < spec.rows; ++r) {
    for (int c = 0; c < spec.cols; ++c) {
      WalkCell& cell = cells.at(c, r);
      cell.ground_m = ground.at(c, r);
      cell.slowness = testing::patch_cost(c, r);
      hazard[spec.index(c, r)] = (c / 30 + r / 25) % 3 == 0 ? 0.3F : 0.02F;
      if (testing::mixed(c / 2, r / 2) % 23 == 0)
        cell.slowness = std::numeric_limits<float>::infinity();
    }
  }
  const WalkGraph graph = make_walk_graph(cells);
  const size_t start = spec.index(90, 91);
  ASSERT_TRUE(graph.open(start));
  const auto field = cheapest_ways(graph, {{start}, &hazard, 600, false});
  ASSERT_TRUE(field);
  int ways = 0;
  size_t steps = 0, legs = 0;
  for (int k = 0; k < 200; ++k) {
    const size_t goal = testing::mixed(k, 5) % spec.size();
    const auto way = trace_way(graph, *field, &hazard, goal);
    if (way.size() < 20) continue;
    double way_s = 0;
    for (size_t i = 0; i + 1 < way.size(); ++i) {
      const auto at = [&](size_t cell) {
        return spec.centre(static_cast<int>(cell) % spec.cols, static_cast<int>(cell) / spec.cols);
      };
      ASSERT_TRUE(walks_straight(graph, at(way[i]), at(way[i + 1])));
      way_s += walk_leg(graph, &hazard, at(way[i]), at(way[i + 1])).cost_s(600);
    }
    const WalkLine line = walk_line(graph, way, &hazard, 600);
    EXPECT_LE(line.whole().cost_s(600), 1.01 * way_s);
    for (size_t i = 0; i + 1 < line.points.size(); ++i) {
      const LocalXY a = line.points[i], b = line.points[i + 1];
      for (int j = 0; j <= 2000; ++j)
        ASSERT_TRUE(std::isfinite(cells.value_or(a + (b - a) * (j / 2000.0), {}).slowness));
    }
    ++ways;
    steps += way.size() - 1;
    legs += line.legs.size();
  }
  EXPECT_GT(ways, 120);
  EXPECT_LT(6 * legs, steps);
}

}  // namespace
}  // namespace leeward::compute
