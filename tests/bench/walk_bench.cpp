// Cheapest ways from the middle of a square of seeded ground, to be read beside GRASS and
// scikit-image on the same cells: tests/bench/walk_peers.py, run in the same sitting. Data: 1 m
// cells; "patches" squares of cover, "noise" every cell by itself 1 to 10 (walk_lands.h), "hills"
// open ground with slopes to 50 %.
#include "core/compute/walk_times.h"
#include "tests/support/walk_lands.h"

#include <benchmark/benchmark.h>

namespace leeward::compute {
namespace {

enum Land { patches, noise, hills };

Raster<WalkCell> land(int side, Land kind) {
  Raster<WalkCell> out(GridSpec{0, static_cast<double>(side), 1, side, side});
  for (int r = 0; r < side; ++r) {
    for (int c = 0; c < side; ++c) {
      WalkCell& cell = out.at(c, r);
      if (kind == hills) cell.ground_m = testing::hill_m(c, r, 1);
      if (kind == patches) cell.slowness = testing::patch_cost(c, r);
      if (kind == noise) cell.slowness = testing::noise_cost(c, r);
    }
  }
  return out;
}

WalkGraph graph_of(int side, Land kind, int directions) {
  WalkOptions options;
  options.directions = directions;
  if (kind != hills) options.pace_s_per_m = [](double) { return 1.0; };
  return make_walk_graph(land(side, kind), options);
}

void BM_Graph(benchmark::State& state) {
  const auto cells = land(static_cast<int>(state.range(0)), hills);
  for (auto _ : state) benchmark::DoNotOptimize(make_walk_graph(cells));
}
BENCHMARK(BM_Graph)->Arg(2000)->Unit(benchmark::kMillisecond)->UseRealTime();

void BM_Solve(benchmark::State& state) {
  const int side = static_cast<int>(state.range(0));
  const auto graph =
      graph_of(side, static_cast<Land>(state.range(1)), static_cast<int>(state.range(2)));
  const CostQuery query{{graph.spec.index(side / 2, side / 2 - 1)},
                        nullptr,
                        0,
                        false,
                        static_cast<int>(state.range(3))};
  for (auto _ : state) benchmark::DoNotOptimize(cheapest_ways(graph, query));
}
BENCHMARK(BM_Solve)
    ->ArgNames({"side", "land", "directions", "threads"})
    ->ArgsProduct({{400, 2000}, {patches, noise, hills}, {8, 16}, {1, 2}})
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

// The field made right after a wall of 20 m was drawn, at eight places in turn, on one thread.
void BM_Repair(benchmark::State& state) {
  const int side = static_cast<int>(state.range(0));
  const Raster<WalkCell> ground = land(side, hills);
  const WalkGraph before = make_walk_graph(ground);
  const CostQuery query{{before.spec.index(side / 2, side / 2 - 1)}, nullptr, 0, false, 1};
  const CostField field = *cheapest_ways(before, query);
  std::vector<WalkGraph> walled;
  for (int n = 0; n < 8; ++n) {
    Raster<WalkCell> cells = ground;
    const int c = (37 + 211 * n) % (side - 40) + 20, r = (91 + 157 * n) % (side - 40) + 20;
    for (int k = 0; k < 20; ++k)
      cells.at(n % 2 == 0 ? c + k : c, n % 2 == 0 ? r : r + k).slowness =
          std::numeric_limits<float>::infinity();
    walled.push_back(make_walk_graph(cells));
  }
  size_t n = 0;
  for (auto _ : state)
    benchmark::DoNotOptimize(
        cheapest_ways_again(walled[n++ % walled.size()], query, {before, nullptr, field}));
}
BENCHMARK(BM_Repair)->Arg(400)->Arg(2000)->Unit(benchmark::kMillisecond)->UseRealTime();

// A search with the times of the steps held, on one thread; and what they take to make.
void BM_SolveHeld(benchmark::State& state) {
  const int side = static_cast<int>(state.range(0));
  const auto graph = graph_of(side, hills, 16);
  const StepTimes times(graph, false);
  const CostQuery query{{graph.spec.index(side / 2, side / 2 - 1)}, nullptr, 0, false, 1, &times};
  for (auto _ : state) benchmark::DoNotOptimize(cheapest_ways(graph, query));
}
BENCHMARK(BM_SolveHeld)->Arg(400)->Arg(2000)->Unit(benchmark::kMillisecond)->UseRealTime();

void BM_StepTimes(benchmark::State& state) {
  const auto graph = graph_of(static_cast<int>(state.range(0)), hills, 16);
  for (auto _ : state) benchmark::DoNotOptimize(StepTimes(graph, false));
}
BENCHMARK(BM_StepTimes)->Arg(400)->Arg(2000)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
}  // namespace leeward::compute

BENCHMARK_MAIN();
