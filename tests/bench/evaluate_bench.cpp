// Data: bench_property.h at 2000 m. Budgets: one dragged stand 16 ms, cold
// evaluation 3 s. The peer is GDAL's in-process viewshed on the same cells (400 m), bare ground (it
// knows no cover).
#include "core/compute/sight.h"
#include "core/eval/stand_eval.h"
#include "tests/bench/bench_property.h"

#include <benchmark/benchmark.h>
#include <gdal.h>
#include <gdal_alg.h>

namespace leeward {
namespace {

using bench::kSouth, bench::kWest;

const bench::Property kProperty(2000);
Ref<Terrain> bench_terrain() { return kProperty.terrain(); }
Document bench_document() { return kProperty.document(); }
Snapshot snapshot(const Document& d) { return kProperty.snapshot(d); }

Document moved_stand(const Document& d, int step) {
  Feature f = *d.of(Kind::stand)[7];
  f.shape = Shape::point(f.shape.position() + LocalXY{3.0 * (step % 5), 2.0 * (step % 3)});
  return *apply(d, {"Move stand", {put(std::move(f))}, {}});
}

void BM_ColdEvaluation(benchmark::State& state) {
  const Snapshot s = snapshot(bench_document());
  for (auto _ : state) {
    Engine engine;
    benchmark::DoNotOptimize(engine.evaluate(s));
  }
}
BENCHMARK(BM_ColdEvaluation)->Unit(benchmark::kMillisecond)->UseRealTime()->Iterations(5);

// The argument: 1 the full answer, as on release; 0 the quick one, as while dragging: without the
// exact pass of sight and the sun's horizon.
void BM_DraggedStand(benchmark::State& state) {
  Document d = bench_document();
  Engine engine;
  benchmark::DoNotOptimize(engine.evaluate(snapshot(d)));
  int step = 0;
  for (auto _ : state) {
    d = moved_stand(d, ++step);
    Snapshot question = snapshot(d);
    question.in_full = state.range(0) != 0;
    benchmark::DoNotOptimize(engine.evaluate(question));
  }
}
BENCHMARK(BM_DraggedStand)->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond)->UseRealTime();

// The argument: 1 all three trades; 0 the quick answer, the chosen trade both ways.
void BM_TurnedWind(benchmark::State& state) {
  Document d = bench_document();
  Engine engine;
  benchmark::DoNotOptimize(engine.evaluate(snapshot(d)));
  int step = 0;
  for (auto _ : state) {
    Settings s = *d.settings;
    s.hand_wind.from_deg = (7 * ++step) % 360;
    d = *apply(d, {"Turn wind", {put(s)}, {}});
    Snapshot question = snapshot(d);
    question.in_full = state.range(0) != 0;
    benchmark::DoNotOptimize(engine.evaluate(question));
  }
}
BENCHMARK(BM_TurnedWind)->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond)->UseRealTime();

void BM_AccessSolve(benchmark::State& state) {
  const Document d = bench_document();
  const GridSpec g = analysis_grid(d, *bench_terrain());
  const Judgement j;
  const CoverGrid cover = make_cover_grid(d, *bench_terrain(), g, {}, j);
  const AnalysisLand land = make_analysis_land(d, cover, g, {}, j);
  const compute::WalkGraph graph = make_property_graph(d, land, {});
  std::vector<float> hazard(g.size());
  for (size_t i = 0; i < hazard.size(); ++i) hazard[i] = static_cast<float>(i % 97) * 1e-3F;
  compute::CostQuery q;
  q.starts = {compute::nearest_open(graph, {kWest + 5, kSouth + 5}, 20)};
  q.hazard_per_min = &hazard;
  q.weight_s = 900;
  for (auto _ : state) benchmark::DoNotOptimize(compute::cheapest_ways(graph, q));
  state.counters["cells"] = static_cast<double>(g.size());
}
BENCHMARK(BM_AccessSolve)->Unit(benchmark::kMillisecond);

void BM_StandSight(benchmark::State& state) {
  const Document d = bench_document();
  const Judgement j;
  const CoverGrid cover =
      make_cover_grid(d, *bench_terrain(), analysis_grid(d, *bench_terrain()), {}, j);
  CoverGrid bare;
  bare.fine = cover.fine;
  bare.fine.density_per_m = Raster<float>(bare.fine.spec, 0.0F);
  const CoverGrid& used = state.range(0) ? cover : bare;
  for (auto _ : state)
    benchmark::DoNotOptimize(
        compute::sight_from(used.fine, {kWest + 1000, kSouth + 1000}, stand_sight_options({}, j)));
}
BENCHMARK(BM_StandSight)->ArgName("cover")->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond);

void BM_GdalViewshedInProcess(benchmark::State& state) {
  GDALAllRegister();
  const Raster<float>& ground = bench_terrain()->ground;
  GDALDatasetH data = GDALCreate(GDALGetDriverByName("MEM"), "", ground.spec.cols, ground.spec.rows,
                                 1, GDT_Float32, nullptr);
  double transform[6] = {ground.spec.west, 1, 0, ground.spec.north, 0, -1};
  GDALSetGeoTransform(data, transform);
  if (GDALRasterIO(GDALGetRasterBand(data, 1), GF_Write, 0, 0, ground.spec.cols, ground.spec.rows,
                   const_cast<float*>(ground.cells.data()), ground.spec.cols, ground.spec.rows,
                   GDT_Float32, 0, 0) != CE_None) {
    state.SkipWithError("GDAL");
  }
  for (auto _ : state) {
    GDALDatasetH seen = GDALViewshedGenerate(
        GDALGetRasterBand(data, 1), "MEM", "", nullptr, kWest + 1000, kSouth + 1000, 6.2, 0.8, 255,
        0, 0, -1, 0, GVM_Edge, 400, nullptr, nullptr, GVOT_NORMAL, nullptr);
    benchmark::DoNotOptimize(seen);
    GDALClose(seen);
  }
  GDALClose(data);
}
BENCHMARK(BM_GdalViewshedInProcess)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace leeward

BENCHMARK_MAIN();
