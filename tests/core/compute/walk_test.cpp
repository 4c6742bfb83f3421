#include "core/compute/walk_graph.h"
#include "core/compute/walking.h"
#include "tests/support/ascii_grid.h"
#include "tests/support/terrain_makers.h"

#include <queue>

#include <gtest/gtest.h>

#include <cmath>

namespace leeward::compute {
namespace {

constexpr float kInf = std::numeric_limits<float>::infinity();

Raster<WalkCell> cells_of(const Raster<float>& ground) {
  Raster<WalkCell> out(ground.spec);
  for (size_t i = 0; i < out.cells.size(); ++i) out.cells[i].ground_m = ground.cells[i];
  return out;
}

// Plain Dijkstra over the same steps: the oracle of the bucket search.
std::vector<double> dijkstra(const WalkGraph& g, size_t start, const std::vector<float>& hazard,
                             double weight_s) {
  std::vector<double> cost(g.spec.size(), 1e300);
  using Item = std::pair<double, size_t>;
  std::priority_queue<Item, std::vector<Item>, std::greater<>> queue;
  cost[start] = 0;
  queue.emplace(0, start);
  while (!queue.empty()) {
    const auto [d, i] = queue.top();
    queue.pop();
    if (d > cost[i]) continue;
    for (size_t k = 0; k < kDirections; ++k) {
      const float t = g.seconds[i * kDirections + k];
      if (!(t < kInf)) continue;
      const size_t n = static_cast<size_t>(static_cast<std::ptrdiff_t>(i) +
                                           kSteps[k].dr * g.spec.cols + kSteps[k].dc);
      const double c = d + static_cast<double>(t) *
                               (1 + weight_s / 120 * static_cast<double>(hazard[i] + hazard[n]));
      if (c < cost[n]) cost[n] = c, queue.emplace(c, n);
    }
  }
  return cost;
}

// Tobler (1993): km/h at slope; off path three fifths.
TEST(Tobler, AgreesWithThePublishedCurve) {
  const double rows[][2] = {{-.5, 1.242}, {-.2, 3.549}, {-.05, 6.000},
                            {0, 5.037},   {.1, 3.549},  {.3, 1.763}};
  for (const auto& r : rows) {
    EXPECT_NEAR(3.6 / path_pace_s_per_m(r[0]), r[1], 2e-3);
    EXPECT_NEAR(3.6 / off_path_pace_s_per_m(r[0]), 0.6 * r[1], 2e-3);
  }
}

// A profile 0 1 3 2 2 at 10 m: 38.83 s forward, 34.58 s back on a path (Tobler, recomputed).
TEST(WalkGraph, WalkingTimeDependsOnDirection) {
  Raster<WalkCell> cells = cells_of(testing::grid_from_ascii("0 1 3 2 2", 10));
  for (auto& c : cells.cells) c.on_path = true;
  const WalkGraph g = make_walk_graph(cells);
  const auto out = cheapest_ways(g, {{0}, nullptr, 0, false});
  const auto back = cheapest_ways(g, {{0}, nullptr, 0, true});
  ASSERT_TRUE(out && back);
  EXPECT_NEAR(static_cast<double>(out->cost[4]), 38.83, 0.01);
  EXPECT_NEAR(static_cast<double>(back->cost[4]), 34.58, 0.01);
}

TEST(CheapestWays, EqualsDijkstraOnHillsWithHazard) {
  const GridSpec spec{0, 600, 5, 120, 120};
  Raster<WalkCell> cells = cells_of(testing::seeded_ground(spec, 3));
  std::vector<float> hazard(spec.size());
  std::uint32_t s = 1;
  for (size_t i = 0; i < hazard.size(); ++i) {
    s = s * 1664525U + 1013904223U;
    hazard[i] = static_cast<float>(s >> 24) / 400.0F;
    if ((s >> 8) % 9 == 0) cells.cells[i].slowness = kInf;
  }
  cells.at(60, 60).slowness = 1;
  const WalkGraph g = make_walk_graph(cells);
  const size_t start = spec.index(60, 60);
  const auto field = cheapest_ways(g, {{start}, &hazard, 900, false});
  ASSERT_TRUE(field);
  const auto exact = dijkstra(g, start, hazard, 900);
  int reached = 0;
  for (size_t i = 0; i < exact.size(); ++i) {
    if (exact[i] > 1e299) {
      EXPECT_FALSE(std::isfinite(field->cost[i]));
      continue;
    }
    ++reached;
    EXPECT_NEAR(static_cast<double>(field->cost[i]), exact[i], 1e-5 * exact[i] + 1e-4);
  }
  EXPECT_GT(reached, 9000);
}

TEST(CheapestWays, BackwardFieldGivesTheCostOfTheForwardWalk) {
  const GridSpec spec{0, 300, 5, 60, 60};
  const WalkGraph g = make_walk_graph(cells_of(testing::seeded_ground(spec, 5)));
  const auto to_gate = cheapest_ways(g, {{spec.index(3, 4)}, nullptr, 0, true});
  ASSERT_TRUE(to_gate);
  const size_t stand = spec.index(50, 41);
  const auto way = trace_way(*to_gate, stand, true);
  ASSERT_FALSE(way.empty());
  EXPECT_EQ(way.front(), stand);
  EXPECT_EQ(way.back(), spec.index(3, 4));
  double sum = 0;
  for (size_t i = 1; i < way.size(); ++i) {
    for (size_t d = 0; d < kDirections; ++d) {
      const auto off = kSteps[d].dr * spec.cols + kSteps[d].dc;
      if (static_cast<std::ptrdiff_t>(way[i - 1]) + off == static_cast<std::ptrdiff_t>(way[i])) {
        sum += static_cast<double>(g.seconds[way[i - 1] * kDirections + d]);
      }
    }
  }
  EXPECT_NEAR(sum, static_cast<double>(to_gate->cost[stand]), 0.01);
}

TEST(CheapestWays, GoesAroundABarrierRatherThanThroughIt) {
  Raster<WalkCell> cells(GridSpec{0, 35, 5, 7, 7});
  for (int r = 0; r < 6; ++r)
    cells.at(3, r).slowness = kInf;  // a wall with an opening in the south
  const WalkGraph g = make_walk_graph(cells);
  const auto field = cheapest_ways(g, {{cells.spec.index(0, 0)}, nullptr, 0, false});
  ASSERT_TRUE(field);
  const auto way = trace_way(*field, cells.spec.index(6, 0), false);
  ASSERT_FALSE(way.empty());
  bool through_opening = false;
  for (const size_t i : way) {
    EXPECT_TRUE(g.open[i]);
    through_opening = through_opening || i == cells.spec.index(3, 6);
  }
  EXPECT_TRUE(through_opening);
}

TEST(CheapestWays, NoStepSlipsThroughADiagonalWall) {
  Raster<WalkCell> cells(GridSpec{0, 50, 5, 10, 10});
  for (int i = 0; i < 10; ++i) {
    cells.at(i, 9 - i).slowness = kInf;
    if (i > 0) cells.at(i - 1, 9 - i).slowness = kInf;
  }
  const WalkGraph g = make_walk_graph(cells);
  const auto field = cheapest_ways(g, {{cells.spec.index(0, 0)}, nullptr, 0, false});
  ASSERT_TRUE(field);
  EXPECT_FALSE(std::isfinite(field->cost[cells.spec.index(9, 9)]));
}

// 16 directions: at most 2.8 % longer than straight on open flat ground (1/cos of half of 26.6
// degrees).
TEST(CheapestWays, LengthOnOpenGroundStaysNearTheStraightLine) {
  Raster<WalkCell> cells(GridSpec{0, 1005, 5, 201, 201});
  const WalkGraph g = make_walk_graph(cells);
  const auto field = cheapest_ways(g, {{cells.spec.index(100, 100)}, nullptr, 0, false});
  ASSERT_TRUE(field);
  double worst = 0;
  for (int deg = 0; deg < 360; deg += 3) {
    const int c = 100 + static_cast<int>(std::lround(95 * std::sin(deg * kRadPerDeg)));
    const int r = 100 - static_cast<int>(std::lround(95 * std::cos(deg * kRadPerDeg)));
    const double straight = 5 * std::hypot(c - 100, r - 100) * off_path_pace_s_per_m(0);
    worst =
        std::max(worst, static_cast<double>(field->cost[cells.spec.index(c, r)]) / straight - 1);
  }
  EXPECT_LT(worst, 0.029);
}

}  // namespace
}  // namespace leeward::compute
