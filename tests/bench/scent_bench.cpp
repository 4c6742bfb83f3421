// Scent over the land: one stand and hour, forty stands and forty-eight hours, the backward fields
// of ten areas; 2000 x 2000 m of seeded ridges (seed 7), 400 x 400 analysis cells of 5 m, wind bent
// by the land on 10 m cells. The argument is the number of analysis cells a side.
//
// Peers in the same run: a straight Gaussian plume (Briggs) in every cell, and a bent one that
// looks for the nearest point of one traced line. Budgets on two cores: 1 ms, 400 ms, 5 ms.
#include "core/base/parallel.h"
#include "core/compute/near_field.h"
#include "core/eval/air_field.h"
#include "core/eval/hazard.h"
#include "core/eval/stand_air.h"
#include "tests/support/land_turns.h"
#include "tests/support/terrain_makers.h"

#include <benchmark/benchmark.h>

#include <cmath>
#include <map>
#include <memory>

namespace leeward {
namespace {

constexpr int kStands = 40, kHours = 48;

AirNow hour_air(int hour) {
  AirNow air;
  air.known = true;
  air.from = WindFrom(Bearing::degrees(200 + 7.5 * hour));
  air.speed_10m_mps = 1.5 + 0.05 * hour;
  air.stability_index = 2 + 0.05 * hour;
  air.extra_sd_deg = 5;
  return air;
}

struct Ground {
  GridSpec grid;
  Terrain terrain;
  AirGround ground;
  AirCover cover;
  LandTurns turn;
  Judgement j;

  explicit Ground(int side) : grid{0, side * 5.0, 5, side, side} {
    terrain.ground = testing::seeded_ground(GridSpec{0, side * 5.0, 5, side, side}, 7);
    AnalysisLand land;
    land.cells = compute::SightLand(grid);
    land.timber = Raster<std::uint8_t>(grid, 0);
    land.attenuation = Raster<float>(grid, 0.0F);
    for (int r = 0; r < side; ++r)
      for (int c = 0; c < side; ++c) {
        land.cells.at(c, r).ground_m = terrain.ground.at(c, r);
        if ((c / 60 + r / 60) % 2 == 0) continue;
        land.cells.at(c, r).top_m = 18;
        land.timber.at(c, r) = 1;
        land.attenuation.at(c, r) = 1.3F;
      }
    ground = *make_air_ground(terrain, grid, {});
    cover = make_air_cover(land);
    turn = testing::all_land_turns(terrain, land);
  }
  static const Ground& of(int side) {
    static std::map<int, std::unique_ptr<Ground>> all;
    auto& g = all[side];
    if (!g) g = std::make_unique<Ground>(side);
    return *g;
  }
  compute::Flow flow(int hour, size_t height) const {
    const AirNow air = hour_air(hour);
    return wind_response({ground, cover, turn, nullptr, air, j}, height)
        .flow(upwind_mps(air, air.from));
  }
  LocalXY stand(int n) const {
    const double side = grid.cols * grid.cell_m;
    return {side * (0.2 + 0.6 * (n % 8) / 7.0), side * (0.2 + 0.6 * (n / 8) / 5.0)};
  }
};

void BM_HourFlow(benchmark::State& state) {
  const Ground& g = Ground::of(static_cast<int>(state.range(0)));
  for (auto _ : state) benchmark::DoNotOptimize(g.flow(3, 2));
}
BENCHMARK(BM_HourFlow)->Arg(200)->Arg(400)->Arg(1600)->Unit(benchmark::kMillisecond)->UseRealTime();

void BM_OneStandOneHour(benchmark::State& state) {
  const Ground& g = Ground::of(static_cast<int>(state.range(0)));
  const compute::Flow flow = g.flow(3, 2);
  const compute::PlumeTable table(plume_air(hour_air(3), 6, g.j));
  Raster<float> field(g.grid, 0.0F);
  for (auto _ : state) {
    compute::ScentPlume(flow, table, g.stand(17))
        .add_to(field, compute::PolarCells(g.grid, g.stand(17)));
    benchmark::DoNotOptimize(field.cells.data());
  }
}
BENCHMARK(BM_OneStandOneHour)
    ->Arg(200)
    ->Arg(400)
    ->Arg(800)
    ->Arg(1600)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

void BM_FortyStandsTwoDays(benchmark::State& state) {
  const Ground& g = Ground::of(static_cast<int>(state.range(0)));
  for (auto _ : state) {
    std::vector<compute::Flow> flows(kHours);
    std::vector<std::unique_ptr<compute::PlumeTable>> tables(kHours);
    for_each_index(kHours, [&](int h) {
      flows[static_cast<size_t>(h)] = g.flow(h, 2);
      tables[static_cast<size_t>(h)] =
          std::make_unique<compute::PlumeTable>(plume_air(hour_air(h), 6, g.j));
    });
    for_each_index(kStands, [&](int n) {
      Raster<float> field(g.grid, 0.0F);
      const compute::PolarCells where(g.grid, g.stand(n));
      for (size_t h = 0; h < kHours; ++h) {
        std::fill(field.cells.begin(), field.cells.end(), 0.0F);
        compute::ScentPlume(flows[h], *tables[h], g.stand(n)).add_to(field, where);
      }
      benchmark::DoNotOptimize(field.cells.data());
    });
  }
}
BENCHMARK(BM_FortyStandsTwoDays)->Arg(400)->Unit(benchmark::kMillisecond)->UseRealTime();

void BM_TenAreasBackward(benchmark::State& state) {
  const Ground& g = Ground::of(static_cast<int>(state.range(0)));
  const compute::Flow flow = g.flow(3, 0);
  const compute::PlumeTable table(plume_air(hour_air(3), 1, g.j), kWalkerScentReach_m);
  Document d;
  Rows<Feature> rows;
  for (int n = 0; n < 10; ++n) {
    const LocalXY p = g.stand(4 * n);
    rows.push_back(make_ref<Feature>(
        make_feature(Kind::bedding,
                     Shape::area({p, {p.x + 110, p.y}, {p.x + 110, p.y + 90}, {p.x, p.y + 90}}))));
  }
  d.features[static_cast<size_t>(Kind::bedding)] = make_ref<Rows<Feature>>(std::move(rows));
  const std::vector<DeerArea> areas = deer_areas(d);
  const GridSpec coarse = coarse_grid(g.grid);
  size_t samples = 0;
  std::vector<AreaPlaces> places;  // the same for every hour
  for (const DeerArea& a : areas) {
    samples += a.samples.size();
    places.push_back(area_places(coarse, a, kWalkerScentReach_m));
  }
  for (auto _ : state) {
    std::vector<AreaScent> fields(areas.size());
    for_each_index(static_cast<int>(areas.size()), [&](int n) {
      const size_t i = static_cast<size_t>(n);
      fields[i] = make_area_scent(flow, table, places[i], 3);
    });
    benchmark::DoNotOptimize(fields.data());
  }
  state.counters["samples"] = static_cast<double>(samples);
}
BENCHMARK(BM_TenAreasBackward)
    ->Arg(200)
    ->Arg(400)
    ->Arg(800)
    ->Arg(1600)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

void straight_plume(Raster<float>& field, LocalXY at, Bearing toward, int stability, double speed) {
  for (int r = 0; r < field.spec.rows; ++r)
    for (int c = 0; c < field.spec.cols; ++c) {
      const LocalXY p = field.spec.centre(c, r) - at;
      const double along = p.x * toward.east() + p.y * toward.north();
      float& out = field.at(c, r);
      out = 0;
      if (along < 1) continue;
      const compute::Sigmas s = compute::briggs(stability, along);
      out = static_cast<float>(
          compute::plume_concentration(s, speed, p.y * toward.east() - p.x * toward.north(), 1, 6));
    }
}

void BM_PeerStraightPlume(benchmark::State& state) {
  const Ground& g = Ground::of(static_cast<int>(state.range(0)));
  Raster<float> field(g.grid, 0.0F);
  for (auto _ : state) {
    straight_plume(field, g.stand(17), Bearing::degrees(40), 3, 2);
    benchmark::DoNotOptimize(field.cells.data());
  }
}
BENCHMARK(BM_PeerStraightPlume)->Arg(400)->Unit(benchmark::kMillisecond)->UseRealTime();

void BM_PeerStraightPlumeFortyStandsTwoDays(benchmark::State& state) {
  const Ground& g = Ground::of(400);
  for (auto _ : state)
    for_each_index(kStands, [&](int n) {
      Raster<float> field(g.grid, 0.0F);
      for (int h = 0; h < kHours; ++h)
        straight_plume(field, g.stand(n), Bearing::degrees(7.5 * h), 3, 2);
      benchmark::DoNotOptimize(field.cells.data());
    });
}
BENCHMARK(BM_PeerStraightPlumeFortyStandsTwoDays)->Unit(benchmark::kMillisecond)->UseRealTime();

void BM_PeerTracedLinePlume(benchmark::State& state) {
  const Ground& g = Ground::of(static_cast<int>(state.range(0)));
  const compute::Flow flow = g.flow(3, 2);
  Raster<float> field(g.grid, 0.0F);
  for (auto _ : state) {
    std::vector<LocalXY> line = {g.stand(17)};
    for (int n = 0; n < 80; ++n) {
      const compute::Flow::Cell w = flow.at(line.back());
      const double v = std::hypot(static_cast<double>(w.east), static_cast<double>(w.north)) + 1e-6;
      line.push_back(line.back() + LocalXY{10 * static_cast<double>(w.east) / v,
                                           10 * static_cast<double>(w.north) / v});
    }
    for (int r = 0; r < field.spec.rows; ++r)
      for (int c = 0; c < field.spec.cols; ++c) {
        const LocalXY p = field.spec.centre(c, r);
        double best = 1e18;
        size_t near = 0;
        for (size_t n = 0; n < line.size(); n += 4) {
          const LocalXY q = p - line[n];
          const double d = q.x * q.x + q.y * q.y;
          if (d < best) best = d, near = n;
        }
        const compute::Sigmas s = compute::briggs(3, 10.0 * static_cast<double>(near) + 1);
        field.at(c, r) =
            static_cast<float>(compute::plume_concentration(s, 2, std::sqrt(best), 1, 6));
      }
    benchmark::DoNotOptimize(field.cells.data());
  }
}
BENCHMARK(BM_PeerTracedLinePlume)->Arg(400)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
}  // namespace leeward

BENCHMARK_MAIN();
