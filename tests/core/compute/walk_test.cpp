#include "core/compute/walk_times.h"
#include "core/compute/walking.h"
#include "tests/support/ascii_grid.h"
#include "tests/support/terrain_makers.h"
#include "tests/support/walk_lands.h"

#include <queue>

#include <gtest/gtest.h>

#include <cmath>
#include <random>

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
    for (int k = 0; k < kDirections; ++k) {
      const float t = g.seconds(i, k);
      if (!(t < kInf)) continue;
      const Step s = kSteps[static_cast<size_t>(k)];
      const size_t n =
          static_cast<size_t>(static_cast<std::ptrdiff_t>(i) + s.dr * g.spec.cols + s.dc);
      const double c = d + static_cast<double>(t) *
                               (1 + weight_s / 120 * static_cast<double>(hazard[i] + hazard[n]));
      if (c < cost[n]) cost[n] = c, queue.emplace(c, n);
    }
  }
  return cost;
}

// Tobler (1993), 6 exp(-3.5 |S + 0.05|) km/h, off paths three fifths: the values of his formula.
TEST(Tobler, AgreesWithThePublishedCurve) {
  const double rows[][2] = {{-.5, 1.242}, {-.3, 2.501}, {-.2, 3.549}, {-.1, 5.037}, {0, 5.037},
                            {.05, 4.228}, {.1, 3.549},  {.2, 2.501},  {.3, 1.763},  {.5, .8753}};
  for (const auto& r : rows) {
    EXPECT_NEAR(3.6 / path_pace_s_per_m(r[0]), r[1], 6e-4);
    EXPECT_NEAR(3.6 / off_path_pace_s_per_m(r[0]), 0.6 * r[1], 6e-4);
  }
  EXPECT_NEAR(3.6 / path_pace_s_per_m(-.05), 6, 0.03 * 6);
}

TEST(Tobler, IsRoundedAtHisFastestSlopeAndNowhereElse) {
  constexpr double kStep = 1e-4;
  double last_turn = 0, sharpest = 0;
  for (int i = -600; i <= 600; ++i) {
    const double x = i * kStep, slope = x - 0.05;
    const double tobler = 0.6 * std::exp(3.5 * std::abs(x)), ours = path_pace_s_per_m(slope);
    EXPECT_GE(ours, tobler * (1 - 1e-12));
    EXPECT_LT(ours, tobler * (std::abs(x) < 0.02 ? 1.027 : 1 + 1e-12));
    const double turn = path_pace_s_per_m(slope + kStep) - path_pace_s_per_m(slope);
    if (i > -600) sharpest = std::max(sharpest, std::abs(turn - last_turn) / kStep);
    last_turn = turn;
  }
  EXPECT_LT(sharpest, 0.02);  // his own turns by 4.2 at once
}

// The least cost by hand: eight neighbours, mean of the two cells times the length of the step.
TEST(WalkGraph, LeastCostOfNineCellsIsAsWorkedByHand) {
  const Raster<float> costs = testing::grid_from_ascii(R"(
      1 5 1
      1 5 1
      1 1 1
  )");
  Raster<WalkCell> cells(costs.spec);
  for (size_t i = 0; i < cells.cells.size(); ++i) cells.cells[i].slowness = costs.cells[i];
  const WalkGraph g = make_walk_graph(cells, {8, [](double) { return 1.0; }, 1});
  const auto field = cheapest_ways(g, {{0}, nullptr, 0, false});
  ASSERT_TRUE(field);
  const double by_hand[] = {0, 3, 4.828, 1, 4, 3.828, 2, 2.414, 3.414};
  for (size_t i = 0; i < 9; ++i) EXPECT_NEAR(static_cast<double>(field->cost[i]), by_hand[i], 5e-4);
  const std::vector<size_t> around = {0, 3, 7, 5, 2};
  EXPECT_EQ(trace_way(g, *field, nullptr, 2), around);
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

// Hills, cover, a path, unknown ground and closed cells, over several strips of 64 rows.
Raster<WalkCell> mixed_land(const GridSpec& spec) {
  Raster<WalkCell> cells = cells_of(testing::seeded_ground(spec, 11));
  for (int r = 0; r < spec.rows; ++r) {
    for (int c = 0; c < spec.cols; ++c) {
      WalkCell& cell = cells.at(c, r);
      cell.slowness = testing::patch_cost(c, r);
      cell.on_path = c + r / 3 == 150 || r == 70;
      const auto dice = testing::mixed(c, r) >> 8;
      if (dice % 11 == 0) cell.slowness = kInf;
      if (dice % 13 == 0) cell.ground_m = kUnknown;
    }
  }
  return cells;
}

// Every step's time beside the formula in the header, worked out in double.
TEST(WalkGraph, StepsTakeLengthTimesPaceTimesMeanSlowness) {
  const GridSpec spec{0, 1000, 5, 230, 200};
  const Raster<WalkCell> cells = mixed_land(spec);
  const WalkGraph g = make_walk_graph(cells);
  int on_path = 0, blocked = 0, knights = 0;
  for (int i = 0; i < 20000; ++i) {
    const int c = 3 + static_cast<int>(testing::mixed(i, 1) % 224),
              r = 3 + static_cast<int>(testing::mixed(i, 2) % 194), d = i % kDirections;
    const Step s = kSteps[static_cast<size_t>(d)];
    const WalkCell &from = cells.at(c, r), &to = cells.at(c + s.dc, r + s.dr);
    std::vector<WalkCell> touched = {from, to};
    if (d >= 8) {
      touched.push_back(cells.at(c + s.dc / 2, r + s.dr / 2));
      touched.push_back(cells.at(c + s.dc - s.dc / 2, r + s.dr - s.dr / 2));
    }
    double slowness = 0;
    for (const WalkCell& t : touched)
      slowness += (t.on_path && std::isfinite(t.slowness) ? 0.6 : static_cast<double>(t.slowness)) /
                  static_cast<double>(touched.size());
    const bool squeezed =
        d >= 4 && d < 8 &&
        (std::isinf(cells.at(c + s.dc, r).slowness) || std::isinf(cells.at(c, r + s.dr).slowness));
    const auto seconds = static_cast<double>(g.seconds(spec.index(c, r), d));
    if (squeezed || std::isinf(slowness)) {
      EXPECT_TRUE(std::isinf(seconds));
      ++blocked;
      continue;
    }
    on_path += from.on_path && to.on_path;
    const double run = 5 * std::hypot(s.dc, s.dr);
    double slope = static_cast<double>(to.ground_m - from.ground_m) / run;
    if (std::isnan(slope)) slope = 0;
    const double exact = run * off_path_pace_s_per_m(std::clamp(slope, -1.2, 1.2)) * slowness;
    EXPECT_NEAR(seconds, exact, 1e-4 * exact);
    knights += d >= 8;
  }
  EXPECT_GT(on_path, 20);
  EXPECT_GT(blocked, 3000);
  EXPECT_GT(knights, 3000);
}

TEST(CheapestWays, AreTheSameToTheLastBitHoweverManyThreadsShareTheWork) {
  const GridSpec spec{0, 1000, 5, 230, 200};
  std::vector<float> hazard(spec.size());
  for (size_t i = 0; i < hazard.size(); ++i) hazard[i] = static_cast<float>(i % 89) / 300;
  for (const int directions : {8, 16}) {
    WalkOptions options;
    options.directions = directions;
    const WalkGraph g = make_walk_graph(mixed_land(spec), options);
    for (const bool backward : {false, true}) {
      CostQuery query{{spec.index(40, 62), spec.index(200, 190)}, &hazard, 600, backward, 1};
      const auto alone = cheapest_ways(g, query);
      ASSERT_TRUE(alone);
      EXPECT_GT(std::count_if(alone->cost.begin(), alone->cost.end(),
                              [](float c) { return std::isfinite(c); }),
                30000);
      for (const int shares : {2, 3, 4, 7}) {
        query.shares = shares;
        const auto shared = cheapest_ways(g, query);
        ASSERT_TRUE(shared);
        EXPECT_EQ(alone->cost, shared->cost) << directions << " " << shares;
      }
    }
  }
}

// Walls that come and go, ground that rises and a path, on grids of one strip of rows and of more.
TEST(StepTimes, FollowTheGraphAndLeaveEveryFieldTheSameToTheLastBit) {
  for (const int directions : {8, 16}) {
    for (const int side : {5, 61, 150}) {
      const GridSpec spec{0, 5.0 * side, 5, side, side};
      Raster<WalkCell> cells = mixed_land(spec);
      std::vector<float> hazard(spec.size());
      for (size_t i = 0; i < hazard.size(); ++i)
        hazard[i] = testing::noise_cost(static_cast<int>(i % 97), static_cast<int>(i / 97)) / 40;
      WalkOptions options;
      options.directions = directions;
      WalkGraph graph = make_walk_graph(cells, options);
      StepTimes out(graph, false), back(graph, true);
      for (int change = 0; change < 4; ++change) {
        for (const double weight_s : {0.0, 900.0})
          for (const StepTimes* times : {&out, &back}) {
            CostQuery query{{0, spec.size() - 1}, &hazard, weight_s, times->toward_starts(), 1};
            const auto plain = cheapest_ways(graph, query);
            query.times = times;
            query.shares = 1 + change % 2;
            const auto held = cheapest_ways(graph, query);
            ASSERT_TRUE(plain && held);
            ASSERT_EQ(plain->cost, held->cost)
                << directions << " directions, side " << side << ", change " << change;
          }
        const int at = (7 + 31 * change) % side;
        for (int r = at / 2; r < side; r += 1 + at % 5) cells.at(at, r).slowness = kInf;
        cells.at((at + 2) % side, at).slowness = 1.5F;
        cells.at(side / 2, at).on_path = true;
        cells.at(at, side / 2).ground_m += 2;
        graph = make_walk_graph(cells, options);
        out.follow(graph);
        back.follow(graph);
      }
    }
  }
}

// Walls drawn and taken away, paths, ground that rises, hazard here and there; once over a start.
TEST(CheapestWaysAgain, AreThoseOfANewSearchToTheLastBit) {
  constexpr int kSide = 120;
  const GridSpec spec{0, 5.0 * kSide, 5, kSide, kSide};
  for (const int directions : {8, 16}) {
    WalkOptions options;
    options.directions = directions;
    for (const double weight_s : {0.0, 900.0}) {
      for (const bool toward : {false, true}) {
        Raster<WalkCell> cells = mixed_land(spec);
        const Raster<WalkCell> land = cells;
        std::vector<float> hazard(spec.size(), 0.01F);
        const std::vector<size_t> starts = {spec.index(30, 30), spec.size() - 5};
        WalkGraph graph = make_walk_graph(cells, options);
        CostQuery query{starts, &hazard, weight_s, toward, 1};
        CostField field = *cheapest_ways(graph, query);
        std::mt19937 random(7);
        const auto roll = [&](int below) {
          return static_cast<int>(random() % static_cast<unsigned>(below));
        };
        for (int change = 0; change < 40; ++change) {
          const WalkGraph graph_before = graph;
          const std::vector<float> hazard_before = hazard;
          const int c = change == 7 ? 29 : roll(kSide - 12),
                    r = change == 7 ? 30 : roll(kSide - 12);
          for (int k = 0; k < 10; ++k) {
            const size_t cell =
                spec.index(c + (change % 2 == 0 ? k : 1), r + (change % 2 == 0 ? 0 : k));
            switch (change % 5) {
              case 0:
                cells.cells[cell].slowness = kInf;
                break;
              case 1:
                cells.cells[cell] = land.cells[cell];
                break;
              case 2:
                cells.cells[cell].on_path = !cells.cells[cell].on_path;
                break;
              case 3:
                cells.cells[cell].ground_m += 1.5F;
                break;
              default:
                hazard[cell] = 0.3F * static_cast<float>(roll(4));
            }
          }
          graph = make_walk_graph(cells, options);
          query.shares = 1 + change % 2;
          const auto fresh = cheapest_ways(graph, query);
          const auto again =
              cheapest_ways_again(graph, query, {graph_before, &hazard_before, field});
          ASSERT_TRUE(fresh && again);
          ASSERT_EQ(fresh->cost, again->cost)
              << directions << " directions, weight " << weight_s << ", change " << change;
          field = *again;
        }
      }
    }
  }
}

TEST(CheapestWays, StopWhenAsked) {
  const WalkGraph g = make_walk_graph(Raster<WalkCell>(GridSpec{0, 1000, 5, 200, 200}));
  std::stop_source stop;
  stop.request_stop();
  for (const int shares : {1, 2}) {
    const auto field = cheapest_ways(g, {{0}, nullptr, 0, false, shares}, stop.get_token());
    ASSERT_FALSE(field);
    EXPECT_EQ(field.error().code, ErrorCode::cancelled);
  }
}

TEST(CheapestWays, BackwardFieldGivesTheCostOfTheForwardWalk) {
  const GridSpec spec{0, 300, 5, 60, 60};
  const WalkGraph g = make_walk_graph(cells_of(testing::seeded_ground(spec, 5)));
  const auto to_gate = cheapest_ways(g, {{spec.index(3, 4)}, nullptr, 0, true});
  ASSERT_TRUE(to_gate);
  const size_t stand = spec.index(50, 41);
  const auto way = trace_way(g, *to_gate, nullptr, stand);
  ASSERT_FALSE(way.empty());
  EXPECT_EQ(way.front(), stand);
  EXPECT_EQ(way.back(), spec.index(3, 4));
  double sum = 0;
  for (size_t i = 1; i < way.size(); ++i)
    sum += static_cast<double>(g.seconds_between(way[i - 1], way[i]));
  EXPECT_NEAR(sum, static_cast<double>(to_gate->cost[stand]), 0.01);
}

TEST(CheapestWays, GoesAroundABarrierRatherThanThroughIt) {
  Raster<WalkCell> cells(GridSpec{0, 35, 5, 7, 7});
  for (int r = 0; r < 6; ++r)
    cells.at(3, r).slowness = kInf;  // a wall with an opening in the south
  const WalkGraph g = make_walk_graph(cells);
  const auto field = cheapest_ways(g, {{cells.spec.index(0, 0)}, nullptr, 0, false});
  ASSERT_TRUE(field);
  const auto way = trace_way(g, *field, nullptr, cells.spec.index(6, 0));
  ASSERT_FALSE(way.empty());
  bool through_opening = false;
  for (const size_t i : way) {
    EXPECT_TRUE(g.open(i));
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
