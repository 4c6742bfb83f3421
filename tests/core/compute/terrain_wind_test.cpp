#include "core/compute/terrain_wind.h"

#include "core/base/parallel.h"
#include "tests/support/terrain_makers.h"

#include <Eigen/IterativeLinearSolvers>
#include <Eigen/Sparse>
#include <gtest/gtest.h>

#include <cmath>
#include <functional>

namespace leeward::compute {
namespace {

using Vec = std::vector<double>;
using Wind = std::function<std::array<double, 3>(double x, double y, double above_ground)>;

/// The equation assembled corner by corner from its definition, as plain as can be: what the
/// solver's products of column and level values must agree with.
struct Corner {
  size_t node, along_x, along_y, along_z;  // the corner and the far ends of its three edges
  double dx, dy, dz, zx, zy;               // signed run and rise of the edges
  double volume;
  int i, j, layer;
};

template <class Fn>
void each_corner(const ColumnGrid& g, Fn&& fn) {
  const auto z = [&](int i, int j, int k) {
    return g.ground(i, j) + g.level[static_cast<size_t>(k)] * g.depth(i, j);
  };
  for (int j = 0; j + 1 < g.ny; ++j)
    for (int k = 0; k + 1 < g.nz(); ++k)
      for (int i = 0; i + 1 < g.nx; ++i)
        for (int corner = 0; corner < 8; ++corner) {
          const int a = corner & 1, b = (corner >> 1) & 1, c = corner >> 2;
          const int ci = i + a, cj = j + b, ck = k + c;
          const int oi = i + 1 - a, oj = j + 1 - b, ok = k + 1 - c;
          Corner out;
          out.node = g.node(ci, cj, ck);
          out.along_x = g.node(oi, cj, ck);
          out.along_y = g.node(ci, oj, ck);
          out.along_z = g.node(ci, cj, ok);
          out.dx = (oi - ci) * g.spacing_m;
          out.dy = (oj - cj) * g.spacing_m;
          out.zx = z(oi, cj, ck) - z(ci, cj, ck);
          out.zy = z(ci, oj, ck) - z(ci, cj, ck);
          out.dz = z(ci, cj, ok) - z(ci, cj, ck);
          out.volume = std::abs(out.dx * out.dy * out.dz) / 8;
          out.i = ci, out.j = cj, out.layer = k;
          fn(out);
        }
}

/// Gradient at a corner as weights of the four nodes (corner, x, y, z).
std::array<std::array<double, 4>, 3> gradient_weights(const Corner& c) {
  std::array<std::array<double, 4>, 3> w{};
  w[2] = {-1 / c.dz, 0, 0, 1 / c.dz};
  w[0] = {-1 / c.dx - c.zx / c.dx * w[2][0], 1 / c.dx, 0, -c.zx / c.dx * w[2][3]};
  w[1] = {-1 / c.dy - c.zy / c.dy * w[2][0], 0, 1 / c.dy, -c.zy / c.dy * w[2][3]};
  return w;
}

bool is_open(const ColumnGrid& g, int i, int j, int k) {
  return (g.open_x && (i == 0 || i + 1 == g.nx)) || (g.open_y && (j == 0 || j + 1 == g.ny)) ||
         (g.open_top && k + 1 == g.nz());
}

struct Assembled {
  Eigen::SparseMatrix<double> matrix;
  Eigen::VectorXd rhs;
};

/// Upwind wind of a corner: that of its column at the middle of its layer.
std::array<double, 3> upwind(const ColumnGrid& g, const Corner& c, const Wind& wind) {
  const size_t n = static_cast<size_t>(c.layer);
  const double above = g.depth(c.i, c.j) * (g.level[n] + g.level[n + 1]) / 2;
  return wind(c.i * g.spacing_m, c.j * g.spacing_m, above);
}

Assembled assemble(const ColumnGrid& g, const Wind& wind, bool matrix_too = true) {
  Assembled out;
  const auto n = static_cast<Eigen::Index>(g.node_count());
  out.rhs = Eigen::VectorXd::Zero(n);
  std::vector<char> open(g.node_count());
  for (int j = 0; j < g.ny; ++j)
    for (int k = 0; k < g.nz(); ++k)
      for (int i = 0; i < g.nx; ++i) open[g.node(i, j, k)] = is_open(g, i, j, k);
  std::vector<Eigen::Triplet<double>> entries;
  each_corner(g, [&](const Corner& c) {
    const auto w = gradient_weights(c);
    const size_t at[4] = {c.node, c.along_x, c.along_y, c.along_z};
    const double k[3] = {1, 1, g.ratio * g.ratio};
    const auto u = upwind(g, c, wind);
    for (size_t a = 0; a < 4; ++a) {
      if (open[at[a]]) continue;
      for (size_t d = 0; d < 3; ++d)
        out.rhs[static_cast<Eigen::Index>(at[a])] -= c.volume * u[d] * w[d][a];
      for (size_t b = 0; b < 4 && matrix_too; ++b) {
        double sum = 0;
        for (size_t d = 0; d < 3; ++d) sum += k[d] * w[d][a] * w[d][b];
        if (!open[at[b]] && sum != 0)
          entries.emplace_back(static_cast<int>(at[a]), static_cast<int>(at[b]), c.volume * sum);
      }
    }
  });
  if (!matrix_too) return out;
  for (size_t i = 0; i < g.node_count(); ++i)
    if (open[i]) entries.emplace_back(static_cast<int>(i), static_cast<int>(i), 1.0);
  out.matrix.resize(n, n);
  out.matrix.setFromTriplets(entries.begin(), entries.end());
  return out;
}

Vec to_vec(const Eigen::VectorXd& v) { return {v.data(), v.data() + v.size()}; }

Vec solve_ours(const ColumnGrid& g, const Vec& rhs, double tolerance) {
  const ColumnSolver solver(g);
  auto out = solver.solve({rhs, Vec(rhs.size(), 0.0)}, tolerance);
  EXPECT_TRUE(out) << (out ? "" : out.error().message);
  return out ? out->l[0] : Vec(rhs.size(), 0.0);
}

/// Correction (L_x, L_y, r^2 L_z) at the middle of a column's layer: the mean of its corners.
std::vector<std::array<double, 3>> corrections(const ColumnGrid& g, const Vec& l) {
  const size_t layers = static_cast<size_t>(g.nx * g.ny * (g.nz() - 1));
  std::vector<std::array<double, 3>> sum(layers);
  std::vector<int> count(layers);
  each_corner(g, [&](const Corner& c) {
    const auto w = gradient_weights(c);
    const size_t at[4] = {c.node, c.along_x, c.along_y, c.along_z};
    const size_t n = g.layer(c.i, c.j, c.layer);
    const double k[3] = {1, 1, g.ratio * g.ratio};
    for (size_t d = 0; d < 3; ++d)
      for (size_t a = 0; a < 4; ++a) sum[n][d] += k[d] * w[d][a] * l[at[a]];
    ++count[n];
  });
  for (size_t n = 0; n < layers; ++n)
    for (double& v : sum[n]) v /= count[n];
  return sum;
}

/// Largest |weak divergence| over nodes that are not open, per second: the flux of U out of a
/// node's share of the cells, by its volume.
double largest_divergence(const ColumnGrid& g, const Vec& l, const Wind& wind) {
  Vec flux(g.node_count(), 0.0);
  each_corner(g, [&](const Corner& c) {
    const auto w = gradient_weights(c);
    const size_t at[4] = {c.node, c.along_x, c.along_y, c.along_z};
    auto u = upwind(g, c, wind);
    const double k[3] = {1, 1, g.ratio * g.ratio};
    for (size_t d = 0; d < 3; ++d)
      for (size_t a = 0; a < 4; ++a) u[d] += k[d] * w[d][a] * l[at[a]];
    for (size_t d = 0; d < 3; ++d)
      for (size_t a = 0; a < 4; ++a) flux[at[a]] -= c.volume * u[d] * w[d][a];
  });
  double worst = 0;
  for (int j = 0; j < g.ny; ++j)
    for (int k = 0; k < g.nz(); ++k)
      for (int i = 0; i < g.nx; ++i)
        if (!is_open(g, i, j, k))
          worst = std::max(worst, std::abs(flux[g.node(i, j, k)]) / g.node_volume(i, j, k));
  return worst;
}

Vec even_levels(int layers) {
  Vec s;
  for (int k = 0; k <= layers; ++k) s.push_back(static_cast<double>(k) / layers);
  return s;
}

ColumnGrid hill_grid(int intervals, int layers, double height_m) {
  ColumnGrid g;
  g.nx = g.ny = intervals + 1;
  g.spacing_m = 1600.0 / intervals;
  g.level = even_levels(layers);
  g.top_m = 800;
  g.ground_m.resize(static_cast<size_t>(g.nx * g.ny));
  for (int j = 0; j < g.ny; ++j)
    for (int i = 0; i < g.nx; ++i) {
      const double x = i * g.spacing_m - 800, y = j * g.spacing_m - 800;
      g.ground_m[g.column(i, j)] =
          height_m * std::exp(-(x * x + 1.3 * y * y) / (2 * 240.0 * 240.0));
    }
  return g;
}

// u0 = A sin kx cos mz, w0 = 0 has the exact answer u/A = m^2 / (k^2/r^2 + m^2) sin kx cos mz,
// w/A = -k m / (k^2/r^2 + m^2) cos kx sin mz (the Euler-Lagrange equations by hand).
TEST(ColumnSolver, AgreesWithTheExactAnswerForAWave) {
  struct Case {
    double k, m, r, u, w;
  };
  for (const Case& c : {Case{1, 1, 1, .5000, -.5000}, Case{1, 2, 1, .8000, -.4000},
                        Case{2, 1, .5, .0588, -.1176}, Case{1, 1, .1, .0099, -.0099}}) {
    ColumnGrid g;
    g.nx = 289, g.ny = 17;
    const double wide = kPi / c.k, high = kPi / (2 * c.m);  // L = 0 where cos kx or cos mz is 0
    g.spacing_m = wide / (g.nx - 1);
    g.level = even_levels(112);
    g.top_m = high;
    g.ground_m.assign(static_cast<size_t>(g.nx * g.ny), 0.0);
    g.ratio = c.r;
    g.open_y = false;
    const auto x_of = [&](double x) { return x - wide / 2; };
    const Wind wind = [&](double x, double, double z) {
      return std::array{std::sin(c.k * x_of(x)) * std::cos(c.m * z), 0.0, 0.0};
    };
    const Vec l = solve_ours(g, to_vec(assemble(g, wind, false).rhs), 1e-7);
    const auto correction = corrections(g, l);
    double u_up = 0, u_down = 0, w_up = 0, w_down = 0, v = 0;  // amplitudes by projection
    for (int i = 1; i + 1 < g.nx; ++i)
      for (int k = 0; k + 1 < g.nz(); ++k) {
        const double x = i * g.spacing_m, z = high * (k + 0.5) / 112;
        const auto& d = correction[g.layer(i, 4, k)];
        const double su = std::sin(c.k * x_of(x)) * std::cos(c.m * z);
        const double sw = std::cos(c.k * x_of(x)) * std::sin(c.m * z);
        u_up += (wind(x, 0, z)[0] + d[0]) * su, u_down += su * su;
        w_up += d[2] * sw, w_down += sw * sw;
        v = std::max(v, std::abs(d[1]));
      }
    EXPECT_NEAR(u_up / u_down, c.u, std::max(0.01 * c.u, 1e-4)) << c.k << c.m << c.r;
    EXPECT_NEAR(w_up / w_down, c.w, std::max(0.01 * std::abs(c.w), 1e-4)) << c.k << c.m << c.r;
    EXPECT_LT(v, 1e-8);
  }
}

// Air over a ridge whose outline is a streamline of a uniform flow past a doublet (potential flow,
// textbook): u = U (1 + a^2 (z^2 - x^2) / (x^2 + z^2)^2) is exact, and the neutral answer.
TEST(ColumnSolver, AgreesWithPotentialFlowOverARidge) {
  const double a2 = 100 * 100,
               base = 200;  // the streamline that is 200 m above the doublet far off
  ColumnGrid g;
  g.nx = 385, g.ny = 33;
  g.spacing_m = 20;
  g.open_y = false;
  g.level = even_levels(64);
  g.top_m = 2600;
  g.ground_m.resize(static_cast<size_t>(g.nx * g.ny));
  for (int i = 0; i < g.nx; ++i) {
    const double x = (i - 192) * g.spacing_m;
    double z = base;
    for (int n = 0; n < 100; ++n) z = base + a2 * z / (x * x + z * z);
    for (int j = 0; j < g.ny; ++j) g.ground_m[g.column(i, j)] = z;
  }
  const Wind steady = [](double, double, double) { return std::array{1.0, 0.0, 0.0}; };
  const Vec l = solve_ours(g, to_vec(assemble(g, steady, false).rhs), 1e-7);
  const auto correction = corrections(g, l);
  for (const int i : {192, 182, 202, 172}) {
    const double x = (i - 192) * g.spacing_m;
    const double z = g.ground(i, 4) + g.depth(i, 4) * 0.5 / 64;
    const double r2 = x * x + z * z;
    const double u = 1 + a2 * (z * z - x * x) / (r2 * r2), w = -2 * a2 * x * z / (r2 * r2);
    EXPECT_NEAR(1 + correction[g.layer(i, 4, 0)][0], u, 0.01) << x;
    EXPECT_NEAR(correction[g.layer(i, 4, 0)][2], w, 0.01) << x;
  }
}

TEST(ColumnSolver, ConvergesToSecondOrderOnASmoothHill) {
  const Wind steady = [](double, double, double) { return std::array{1.0, 0.5, 0.0}; };
  Vec answer[3];
  ColumnGrid grid[3];
  for (size_t n = 0; n < 3; ++n) {
    const int f = 1 << n;
    grid[n] = hill_grid(16 * f, 8 * f, 100);
    answer[n] = solve_ours(grid[n], to_vec(assemble(grid[n], steady, false).rhs), 1e-10);
  }
  double change[2] = {0, 0};  // mean square change of L at the coarsest grid's nodes
  for (int j = 0; j < grid[0].ny; ++j)
    for (int k = 0; k < grid[0].nz(); ++k)
      for (int i = 0; i < grid[0].nx; ++i) {
        const double a = answer[0][grid[0].node(i, j, k)];
        const double b = answer[1][grid[1].node(2 * i, 2 * j, 2 * k)];
        const double c = answer[2][grid[2].node(4 * i, 4 * j, 4 * k)];
        change[0] += (a - b) * (a - b), change[1] += (b - c) * (b - c);
      }
  EXPECT_GT(std::log2(std::sqrt(change[0] / change[1])), 1.8);
}

// The peer: Eigen's conjugate gradients on the matrix assembled from the definition.
TEST(ColumnSolver, AgreesWithAnotherSolverOnTheAssembledMatrix) {
  for (const double ratio : {1.0, 0.4, 1.4}) {
    ColumnGrid g = hill_grid(32, 12, 120);
    g.level.clear();
    for (int k = 0; k <= 12; ++k) g.level.push_back(std::pow(k / 12.0, 2.2));
    g.ratio = ratio;
    const Wind sheared = [](double, double, double z) {
      return std::array{std::log1p(z), 0.3 * z / (z + 50), 0.0};
    };
    const Assembled peer = assemble(g, sheared);
    Eigen::ConjugateGradient<Eigen::SparseMatrix<double>, Eigen::Lower | Eigen::Upper> cg;
    cg.setTolerance(1e-12);
    cg.compute(peer.matrix);
    const Eigen::VectorXd theirs = cg.solve(peer.rhs);
    ASSERT_EQ(cg.info(), Eigen::Success);
    const Vec ours = solve_ours(g, to_vec(peer.rhs), 1e-11);
    const double largest = theirs.cwiseAbs().maxCoeff();
    double worst = 0;
    for (Eigen::Index n = 0; n < theirs.size(); ++n)
      worst = std::max(worst, std::abs(theirs[n] - ours[static_cast<size_t>(n)]));
    EXPECT_LT(worst / largest, 1e-7) << ratio;
  }
}

TEST(ColumnSolver, LeavesNoDivergence) {
  const ColumnGrid g = hill_grid(64, 16, 150);
  const Wind steady = [](double, double, double) { return std::array{1.0, 0.0, 0.0}; };
  const Vec l = solve_ours(g, to_vec(assemble(g, steady, false).rhs), 2e-7 / g.spacing_m);
  EXPECT_GT(largest_divergence(g, Vec(l.size(), 0.0), steady), 1e-3 / g.spacing_m);
  EXPECT_LT(largest_divergence(g, l, steady), 1e-6 / g.spacing_m);
}

TEST(ColumnSolver, StopsWhenAsked) {
  const ColumnGrid g = hill_grid(16, 8, 100);
  const Wind steady = [](double, double, double) { return std::array{1.0, 0.0, 0.0}; };
  const Vec rhs = to_vec(assemble(g, steady, false).rhs);
  std::stop_source stop;
  stop.request_stop();
  const auto out = ColumnSolver(g).solve({rhs, rhs}, 1e-9, stop.get_token());
  ASSERT_FALSE(out);
  EXPECT_EQ(out.error().code, ErrorCode::cancelled);
}

// A fixed order of sums: the same bits from inside a job (one thread) as from the whole pool.
TEST(ColumnSolver, GivesTheSameBitsOnAnyNumberOfThreads) {
  const ColumnGrid g = hill_grid(64, 16, 100);
  const Wind steady = [](double, double, double) { return std::array{1.0, 0.0, 0.0}; };
  const Vec rhs = to_vec(assemble(g, steady, false).rhs);
  const Vec pool = solve_ours(g, rhs, 1e-8);
  Vec single;
  for_each_index(2, [&](int n) {
    if (n == 0) single = solve_ours(g, rhs, 1e-8);  // nested: stays on this thread
  });
  EXPECT_EQ(pool, single);
}

TEST(PaddedIntervals, HalveDownToFourOrMore) {
  EXPECT_EQ(halvings_for(192), 5);
  EXPECT_EQ(padded_intervals(192, 5), 192);
  EXPECT_EQ(padded_intervals(193, 5), 224);
  EXPECT_EQ(padded_intervals(9, halvings_for(9)), 10);
}

// Published profile ratios recomputed: airfield (0.03 m) to rougher ground through 60 m at 10 m
// height 0.9419, 0.8807, 0.8187; to the top of a 20 m canopy through 100 m 0.4424.
TEST(WindProfile, AgreesWithTabulatedRatios) {
  EXPECT_NEAR(WindProfile(0.03, 0.03, 0).speed(10), 1, 1e-12);
  EXPECT_NEAR(WindProfile(0.03, 0.03, 0).speed(2), 0.7229, 1e-4);
  EXPECT_NEAR(WindProfile(0.03, 0.10, 0).speed(10), 0.9419, 1e-4);
  EXPECT_NEAR(WindProfile(0.03, 0.25, 0).speed(10), 0.8807, 1e-4);
  EXPECT_NEAR(WindProfile(0.03, 0.50, 0).speed(10), 0.8187, 1e-4);
  EXPECT_NEAR(WindProfile(0.03, 2.0, 13.4).speed(20), 0.4424, 5e-4);
}

TEST(WindProfile, MeanIsTheIntegralOfTheSpeed) {
  for (const WindProfile& p : {WindProfile(0.03, 0.03, 0), WindProfile(0.03, 1.0, 10)}) {
    for (const auto& [low, high] : {std::pair{0.0, 3.0}, {8.0, 20.0}, {50.0, 120.0}}) {
      double sum = 0;
      const int n = 200000;
      for (int i = 0; i < n; ++i) sum += p.speed(low + (i + 0.5) * (high - low) / n);
      EXPECT_NEAR(p.mean(low, high), sum / n, 1e-4) << low;
    }
  }
}

GridSpec square(double side_m, double cell_m) {
  return GridSpec::covering({0, 0, side_m, side_m}, cell_m);
}

TEST(TerrainWind, LeavesAUniformWindOverFlatGroundUnchanged) {
  const Raster<float> flat(square(1000, 10), 231.7F);
  for (const double ratio : {1.0, 0.4}) {
    TerrainWindOptions o;
    o.stability_ratio = ratio;
    const auto field = solve_terrain_wind(flat, flat.spec.box(), {}, o);
    ASSERT_TRUE(field);
    const WindProfile profile(0.03, 0.03, 0);
    for (const double h : {1.0, 2.0, 10.0, 60.0}) {
      const WindVector v = field->at({421, 333}, h, {3, -2});
      EXPECT_NEAR(v.east, 3 * profile.speed(h), 1e-6 * 3);
      EXPECT_NEAR(v.north, -2 * profile.speed(h), 1e-6 * 3);
      EXPECT_NEAR(v.up, 0, 1e-6);
    }
  }
}

TEST(TerrainWind, LeavesNoMoreDivergenceThanAsked) {
  const Raster<float> ground = testing::seeded_ground(square(1500, 10), 7);
  const auto field = solve_terrain_wind(ground, ground.spec.box(), {});
  ASSERT_TRUE(field);
  EXPECT_LT(field->divergence(), 1e-6);
  EXPECT_LE(field->iterations(), 20);
  EXPECT_GE(field->layers(), 12);
  EXPECT_LE(field->spec().cell_m, 25);
}

class OverAHill : public ::testing::Test {
 protected:
  static Raster<float> hill() {
    Raster<float> r(square(2000, 10));
    for (int row = 0; row < r.spec.rows; ++row)
      for (int col = 0; col < r.spec.cols; ++col) {
        const LocalXY p = r.spec.centre(col, row) - LocalXY{1000, 1000};
        r.at(col, row) = static_cast<float>(100 + 80 * std::exp(-dot(p, p) / (2 * 200.0 * 200.0)));
      }
    return r;
  }
  static TerrainWind solved(double ratio) {
    TerrainWindOptions o;
    o.stability_ratio = ratio;
    const Raster<float> ground = hill();
    auto f = solve_terrain_wind(ground, ground.spec.box(), {}, o);
    EXPECT_TRUE(f);
    return *std::move(f);
  }
};

TEST_F(OverAHill, TheTopIsFasterAndTheFootSlower) {
  const TerrainWind f = solved(1);
  const LocalXY north_wind{0, -4};
  const double far = -f.at({100, 1000}, 10, north_wind).north;
  EXPECT_GT(-f.at({1000, 1000}, 10, north_wind).north, 1.2 * far);
  EXPECT_LT(-f.at({1000, 1420}, 10, north_wind).north, far);
  EXPECT_GT(f.at({1000, 1200}, 10, north_wind).up, 0.1);  // climbing on the windward side
  EXPECT_LT(f.at({1000, 800}, 10, north_wind).up, -0.1);
}

TEST_F(OverAHill, StableAirGoesRoundRatherThanOver) {
  const TerrainWind neutral = solved(1), stable = solved(0.4);
  const LocalXY east_wind{-4, 0};
  const auto climb = [&](const TerrainWind& f) { return f.at({1200, 1000}, 10, east_wind).up; };
  const auto aside = [&](const TerrainWind& f) { return f.at({1150, 1150}, 10, east_wind).north; };
  EXPECT_LT(climb(stable), 0.9 * climb(neutral));
  EXPECT_GT(aside(stable), 1.2 * aside(neutral));
}

TEST_F(OverAHill, TurningHillAndWindTurnsTheAnswer) {
  const TerrainWind f = solved(1);
  const WindVector a = f.at({1000 + 150, 1000 + 60}, 5, {2, 1});
  const WindVector b = f.at({1000 - 60, 1000 + 150}, 5, {-1, 2});  // a quarter turn to the left
  EXPECT_NEAR(b.east, -a.north, 2e-4);
  EXPECT_NEAR(b.north, a.east, 2e-4);
  EXPECT_NEAR(b.up, a.up, 2e-4);
}

TEST_F(OverAHill, ASliceIsTheFieldAtItsHeight) {
  const TerrainWind f = solved(1);
  const WindSlice s = f.slice(2);
  const LocalXY wind{-1.5, 2.5};
  Raster<float> east, north;
  s.combine(wind, east, north);
  for (const LocalXY p : {LocalXY{812, 1003}, LocalXY{1000, 1444}, LocalXY{333, 777}}) {
    const WindVector v = f.at(p, 2, wind);
    EXPECT_NEAR(s.at(p, wind).x, v.east, 1e-5);
    EXPECT_NEAR(s.at(p, wind).y, v.north, 1e-5);
    const int c = s.spec.cell_col(p.x), r = s.spec.cell_row(p.y);
    const WindVector centre = f.at(s.spec.centre(c, r), 2, wind);
    EXPECT_NEAR(east.at(c, r), centre.east, 1e-5);
    EXPECT_NEAR(north.at(c, r), centre.north, 1e-5);
  }
}

TEST(TerrainWind, RoughGroundSlowsTheLowestAir) {
  const Raster<float> flat(square(1000, 10), 50.0F);
  WindSurface surface;
  surface.roughness_m = Raster<float>(flat.spec, kUnknown);
  for (int r = 0; r < 100; ++r)
    for (int c = 50; c < 100; ++c) surface.roughness_m.at(c, r) = 0.5F;
  const auto f = solve_terrain_wind(flat, flat.spec.box(), surface);
  ASSERT_TRUE(f);
  const double open = f->at({200, 500}, 5, {0, 3}).north;
  EXPECT_LT(f->at({800, 500}, 5, {0, 3}).north, 0.85 * open);
}

TEST(TerrainWind, CarriesTheEdgeOfKnownGroundOutward) {
  Raster<float> ground = testing::seeded_ground(square(600, 10), 3);
  ground.at(30, 30) = kUnknown;
  const auto f = solve_terrain_wind(ground, ground.spec.box(), {});
  ASSERT_TRUE(f);
  EXPECT_TRUE(std::isfinite(f->at({-400, 900}, 2, {1, 1}).east));
}

TEST(TerrainWind, SaysWhatIsWrongWithItsInput) {
  const Raster<float> unknown(square(600, 10), kUnknown), flat(square(600, 10), 1.0F);
  const auto code = [](const auto& r) { return r ? ErrorCode::internal : r.error().code; };
  EXPECT_EQ(code(solve_terrain_wind(unknown, flat.spec.box(), {})), ErrorCode::invalid_argument);
  EXPECT_EQ(code(solve_terrain_wind(flat, Box{}, {})), ErrorCode::invalid_argument);
  TerrainWindOptions few;
  few.layers = 8;
  EXPECT_EQ(code(solve_terrain_wind(flat, flat.spec.box(), {}, few)), ErrorCode::invalid_argument);
}

TEST(LeeFlags, MarkTheFallingSideAndItsShelterOnly) {
  GridSpec g = square(1000, 10);
  Raster<float> ridge(g);  // a ridge 40 m high at x = 500, 100 m to each foot
  for (int r = 0; r < g.rows; ++r)
    for (int c = 0; c < g.cols; ++c)
      ridge.at(c, r) =
          static_cast<float>(std::max(0.0, 40 - 0.4 * std::abs(g.centre(c, r).x - 500)));
  const auto flags = lee_flags(ridge, Bearing::degrees(90));
  const auto at = [&](double x) { return static_cast<int>(flags.value_or({x, 505}, 9)); };
  EXPECT_EQ(at(105), 0);
  EXPECT_EQ(at(455), 0);  // the windward slope
  EXPECT_EQ(at(545), 1);  // the lee slope
  EXPECT_EQ(at(805), 1);  // in its shelter: 40 m high, 300 m behind
  EXPECT_EQ(at(985), 0);  // 485 m behind: more than ten heights
}

}  // namespace
}  // namespace leeward::compute
