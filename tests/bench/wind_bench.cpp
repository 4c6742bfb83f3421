// The mass-consistent wind: two unit winds solved cold, and their sum for an hour; slope air. The
// peer is Eigen's conjugate gradients (diagonal preconditioner) on the same equation, in the same
// run; its matrix is assembled outside the timed part.
//
// Budgets on two cores: the two unit solves on 193 x 193 x 16 under 0.1 s; an hour's sum well under
// 1 ms for 10 000 cells. Ground: seeded ridges (tests/support/terrain_makers.h), seed 7.
#include "core/compute/slope_air.h"
#include "core/compute/terrain_wind.h"
#include "tests/support/terrain_makers.h"

#include <Eigen/IterativeLinearSolvers>
#include <Eigen/Sparse>
#include <benchmark/benchmark.h>

#include <algorithm>
#include <cmath>

namespace leeward::compute {
namespace {

Raster<float> ground_of(int nodes) {
  const double side = nodes * 25.0;
  return testing::seeded_ground(GridSpec::covering({0, 0, side, side}, 25), 7);
}

TerrainWindOptions options_of() {
  TerrainWindOptions o;
  o.cell_m = 25;
  o.margin_m = 0;
  return o;
}

void BM_UnitWinds(benchmark::State& state) {
  const int intervals = static_cast<int>(state.range(0));
  const Raster<float> ground = ground_of(intervals);
  for (auto _ : state) {
    auto field = solve_terrain_wind(ground, ground.spec.box(), {}, options_of());
    if (!field) state.SkipWithError(field.error().message.c_str());
    benchmark::DoNotOptimize(field);
    state.counters["iterations"] = field->iterations();
    state.counters["divergence"] = field->divergence();
    state.counters["MB"] = static_cast<double>(field->bytes()) / 1e6;
    state.counters["side"] = field->spec().cols;
  }
}
BENCHMARK(BM_UnitWinds)
    ->Arg(48)
    ->Arg(96)
    ->Arg(192)
    ->Arg(384)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

/// What an edit of cover asks for on 2000 m a side, with the engine's options (land_wind_solver):
/// by ratios, what the land does to the wind at the heights that carry scent, over timber in
/// patches.
void BM_WindsOfRatios(benchmark::State& state) {
  const Raster<float> ground = ground_of(240);
  const Box area{2000, 2000, 4000, 4000};
  WindSurface surface;
  surface.displacement_m = Raster<float>(GridSpec::covering(area, 12.5), 0.0F);
  const GridSpec grid = surface.displacement_m.spec;
  for (int r = 0; r < grid.rows; ++r)
    for (int c = 0; c < grid.cols; ++c)
      if ((r / 18 + c / 24) % 3 == 0) surface.displacement_m.at(c, r) = 13;
  surface.roughness_m = surface.displacement_m;
  for (float& z0 : surface.roughness_m.cells) z0 = std::max(0.03F, 0.15F * z0);
  const std::vector<double> all = {1.0, 0.5, 1.2};
  TerrainWindOptions options;
  options.margin_m = 125, options.beyond_m = 1500, options.layers = 12, options.tolerance = 3e-4;
  const auto solver =
      TerrainWindSolver::over(ground, area, options, {all.begin(), all.begin() + state.range(0)});
  if (!solver) return state.SkipWithError(solver.error().message.c_str());
  for (auto _ : state) {
    auto shapes = solver->shapes(surface, grid, std::array{2.0, 4.0, 6.0, 8.0});
    if (!shapes) state.SkipWithError(shapes.error().message.c_str());
    benchmark::DoNotOptimize(shapes);
  }
}
BENCHMARK(BM_WindsOfRatios)->DenseRange(1, 3)->Unit(benchmark::kMillisecond)->UseRealTime();

/// The same ground and layers as columns, for the two solvers alone.
ColumnGrid columns_of(int intervals) {
  ColumnGrid g;
  g.nx = g.ny = intervals + 1;
  g.spacing_m = 25;
  for (int k = 0; k <= 16; ++k) g.level.push_back(std::pow(k / 16.0, 2.0));
  const Raster<float> ground = ground_of(intervals + 1);
  for (int j = 0; j < g.ny; ++j)
    for (int i = 0; i < g.nx; ++i)
      g.ground_m.push_back(static_cast<double>(ground.at(i, g.ny - 1 - j)));
  g.top_m = 900;
  return g;
}

using Matrix = Eigen::SparseMatrix<double, Eigen::RowMajor>;

/// The matrix by its definition: corners of cells, each with three edges (multigrid.h).
Matrix assembled(const ColumnGrid& g) {
  std::vector<Eigen::Triplet<double>> entries;
  const auto open = [&](int i, int j, int k) {
    return i == 0 || j == 0 || i + 1 == g.nx || j + 1 == g.ny || k + 1 == g.nz();
  };
  const auto z = [&](int i, int j, int k) {
    return g.ground(i, j) + g.level[static_cast<size_t>(k)] * g.depth(i, j);
  };
  for (int n = 0; n < (g.nx - 1) * (g.ny - 1) * (g.nz() - 1) * 8; ++n) {
    const int corner = n % 8, a = corner & 1, b = (corner >> 1) & 1, c = corner >> 2;
    const int i = n / 8 % (g.nx - 1), j = n / 8 / (g.nx - 1) % (g.ny - 1);
    const int k = n / 8 / (g.nx - 1) / (g.ny - 1);
    const int at[4][3] = {{i + a, j + b, k + c},
                          {i + 1 - a, j + b, k + c},
                          {i + a, j + 1 - b, k + c},
                          {i + a, j + b, k + 1 - c}};
    double h[4], w[3][4] = {};
    for (int m = 0; m < 4; ++m) h[m] = z(at[m][0], at[m][1], at[m][2]);
    const double run[2] = {(1 - 2 * a) * g.spacing_m, (1 - 2 * b) * g.spacing_m};
    const double dz = h[3] - h[0];
    w[2][0] = -1 / dz, w[2][3] = 1 / dz;
    for (int d = 0; d < 2; ++d) {
      const double slope = (h[d + 1] - h[0]) / run[d];
      w[d][0] = -1 / run[d] - slope * w[2][0];
      w[d][d + 1] = 1 / run[d];
      w[d][3] = -slope * w[2][3];
    }
    const double volume = g.spacing_m * g.spacing_m * std::abs(dz) / 8;
    for (int p = 0; p < 4; ++p)
      for (int q = 0; q < 4; ++q) {
        double sum = 0;
        for (int d = 0; d < 3; ++d) sum += w[d][p] * w[d][q];
        const bool fixed = open(at[p][0], at[p][1], at[p][2]) || open(at[q][0], at[q][1], at[q][2]);
        const auto row = static_cast<int>(g.node(at[p][0], at[p][1], at[p][2]));
        const auto col = static_cast<int>(g.node(at[q][0], at[q][1], at[q][2]));
        if (!fixed) entries.emplace_back(row, col, volume * sum);
        if (fixed && row == col) entries.emplace_back(row, col, volume);
      }
  }
  const auto size = static_cast<Eigen::Index>(g.node_count());
  Matrix out(size, size);
  out.setFromTriplets(entries.begin(), entries.end());
  return out;
}

/// A source near the ground, of both signs.
std::vector<double> source(const ColumnGrid& g, double phase) {
  std::vector<double> rhs(g.node_count(), 0.0);
  for (int j = 1; j + 1 < g.ny; ++j)
    for (int k = 0; k + 1 < g.nz(); ++k)
      for (int i = 1; i + 1 < g.nx; ++i)
        rhs[g.node(i, j, k)] = std::sin(0.13 * i + phase) * std::cos(0.07 * j) * std::exp(-k / 3.0);
  return rhs;
}

void BM_OurSolver(benchmark::State& state) {
  const ColumnGrid g = columns_of(static_cast<int>(state.range(0)));
  const std::array rhs = {source(g, 0), source(g, 1)};
  const double largest = 1 / g.node_volume(1, 1, 1);
  for (auto _ : state) {
    const ColumnSolver solver(g);
    auto out = solver.solve(rhs, 1e-5 * largest);
    if (!out) state.SkipWithError(out.error().message.c_str());
    benchmark::DoNotOptimize(out);
    state.counters["iterations"] = out->iterations;
  }
}
BENCHMARK(BM_OurSolver)->Arg(192)->Unit(benchmark::kMillisecond)->UseRealTime();

void BM_PeerSolver(benchmark::State& state) {
  const ColumnGrid g = columns_of(static_cast<int>(state.range(0)));
  const Matrix matrix = assembled(g);
  Eigen::ConjugateGradient<Matrix, Eigen::Lower | Eigen::Upper> cg;
  cg.setTolerance(1e-5);
  for (auto _ : state) {
    cg.compute(matrix);
    for (const double phase : {0.0, 1.0}) {
      const std::vector<double> rhs = source(g, phase);
      const Eigen::VectorXd x =
          cg.solve(Eigen::Map<const Eigen::VectorXd>(rhs.data(), matrix.rows()));
      benchmark::DoNotOptimize(x.data());
    }
    state.counters["iterations"] = static_cast<double>(cg.iterations());
  }
}
BENCHMARK(BM_PeerSolver)->Arg(192)->Unit(benchmark::kMillisecond)->UseRealTime()->Iterations(1);

void BM_HourOverTheLand(benchmark::State& state) {
  const Raster<float> ground = ground_of(192);
  const auto field = solve_terrain_wind(ground, ground.spec.box(), {}, options_of());
  if (!field) return state.SkipWithError(field.error().message.c_str());
  const WindSlice slice = field->slice(2);
  Raster<float> east, north;
  double turn = 0;
  for (auto _ : state) {
    turn += 0.1;
    slice.combine({3 * std::sin(turn), 3 * std::cos(turn)}, east, north);
    benchmark::DoNotOptimize(east.cells.data());
    benchmark::DoNotOptimize(north.cells.data());
  }
  state.counters["cells"] = static_cast<double>(slice.spec.size());
}
BENCHMARK(BM_HourOverTheLand)->Unit(benchmark::kMicrosecond);

void BM_SliceAtAHeight(benchmark::State& state) {
  const Raster<float> ground = ground_of(192);
  const auto field = solve_terrain_wind(ground, ground.spec.box(), {}, options_of());
  if (!field) return state.SkipWithError(field.error().message.c_str());
  for (auto _ : state) {
    auto slice = field->slice(2);
    benchmark::DoNotOptimize(slice);
  }
}
BENCHMARK(BM_SliceAtAHeight)->Unit(benchmark::kMillisecond)->UseRealTime();

void BM_SlopePlaces(benchmark::State& state) {
  const Raster<float> ground = ground_of(static_cast<int>(state.range(0)));
  for (auto _ : state) {
    auto places = slope_places(ground);
    benchmark::DoNotOptimize(places);
  }
}
BENCHMARK(BM_SlopePlaces)->Arg(192)->Arg(384)->Unit(benchmark::kMillisecond)->UseRealTime();

void BM_SlopeAirOfAnHour(benchmark::State& state) {
  const Raster<float> ground = ground_of(static_cast<int>(state.range(0)));
  const auto places = slope_places(ground);
  if (!places) return state.SkipWithError(places.error().message.c_str());
  SlopeAirHour hour;
  hour.sun = {4, Bearing::degrees(250)};  // low: the longest rays
  hour.hour_before = Sun{13, Bearing::degrees(240)};
  for (auto _ : state) {
    auto air = slope_air(ground, *places, hour);
    benchmark::DoNotOptimize(air);
  }
}
BENCHMARK(BM_SlopeAirOfAnHour)->Arg(192)->Arg(384)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
}  // namespace leeward::compute

BENCHMARK_MAIN();
