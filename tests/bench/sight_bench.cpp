// One eye on 1 m ground, beside GDAL's in-process viewshed on the same cells in the same run. GDAL
// knows no cover: its figure is for bare ground. Data: seeded ridges (seed 7), the eye 6 m up; with
// cover a chequer of timber 15 m and brush 1.5 m high, or what real land has where LEEWARD_SHARED
// holds it.
#include "core/compute/sight.h"
#include "tests/support/sight_lands.h"
#include "tests/support/terrain_makers.h"

#include <benchmark/benchmark.h>
#include <gdal.h>
#include <gdal_alg.h>
#include <gdal_frmts.h>

namespace leeward::compute {
namespace {

enum Cover { bare, brush, timber };

const SightLand& land(int side, Cover cover) {
  static std::map<std::pair<int, int>, SightLand> made;
  auto& out = made[{side, cover}];
  if (out.empty()) {
    const GridSpec g{500000, 4300000.0 + side, 1, side, side};
    out = testing::sight_land(testing::seeded_ground(g, 7));
    if (cover != bare) testing::chequer_cover(out, cover == timber);
  }
  return out;
}

SightOptions options(int reach) { return {6.2, 0.8, static_cast<double>(reach), 2}; }

void BM_Quick(benchmark::State& state) {
  const auto& cells = land(static_cast<int>(state.range(0)), static_cast<Cover>(state.range(2)));
  const LocalXY middle = cells.spec.centre(cells.spec.cols / 2, cells.spec.rows / 2);
  const auto o = options(static_cast<int>(state.range(1)));
  for (auto _ : state) benchmark::DoNotOptimize(sight_from(cells, middle, o));
}
BENCHMARK(BM_Quick)
    ->Args({1000, 400, bare})
    ->Args({1000, 400, brush})
    ->Args({1000, 400, timber})
    ->Args({4000, 2829, bare})
    ->Args({4000, 2829, brush})
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

void BM_Exact(benchmark::State& state) {
  const auto& cells = land(static_cast<int>(state.range(0)), static_cast<Cover>(state.range(2)));
  const LocalXY middle = cells.spec.centre(cells.spec.cols / 2, cells.spec.rows / 2);
  const auto o = options(static_cast<int>(state.range(1)));
  for (auto _ : state) benchmark::DoNotOptimize(sight_exact(cells, middle, o));
}
BENCHMARK(BM_Exact)
    ->Args({1000, 400, bare})
    ->Args({1000, 400, brush})
    ->Args({1000, 400, timber})
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

void BM_Gdal(benchmark::State& state) {
  GDALRegister_MEM();
  const int side = static_cast<int>(state.range(0));
  Raster<float> ground = land(side, bare).ground_m;
  GDALDatasetH mem =
      GDALCreate(GDALGetDriverByName("MEM"), "", side, side, 1, GDT_Float32, nullptr);
  double transform[6] = {ground.spec.west, 1, 0, ground.spec.north, 0, -1};
  GDALSetGeoTransform(mem, transform);
  const CPLErr copied = GDALRasterIO(GDALGetRasterBand(mem, 1), GF_Write, 0, 0, side, side,
                                     ground.cells.data(), side, side, GDT_Float32, 0, 0);
  if (copied != CE_None) state.SkipWithError("GDAL took no cells");
  const LocalXY p = ground.spec.centre(side / 2, side / 2);
  for (auto _ : state) {
    GDALDatasetH seen = GDALViewshedGenerate(
        GDALGetRasterBand(mem, 1), "MEM", "", nullptr, p.x, p.y, 6.2, 0.8, 255, 0, 0, -1, 0,
        GVM_Edge, static_cast<double>(state.range(1)), nullptr, nullptr, GVOT_NORMAL, nullptr);
    GDALClose(seen);
  }
  GDALClose(mem);
}
BENCHMARK(BM_Gdal)
    ->Args({1000, 400})
    ->Args({4000, 2829})
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

}  // namespace
}  // namespace leeward::compute

BENCHMARK_MAIN();
