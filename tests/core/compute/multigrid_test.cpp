#include "core/compute/multigrid.h"

#include "core/base/parallel.h"
#include "core/base/units.h"

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

// A window of a grid, at whose edge stands what the whole has there, has the answer of the whole.
TEST(ColumnSolver, WithinAKnownEdgeIsWhatTheWholeIs) {
  ColumnGrid whole = hill_grid(48, 12, 120), part = whole;
  whole.ratio = part.ratio = 0.6;
  const int from_x = 11, from_y = 6;
  part.nx = 25, part.ny = 33;
  part.ground_m.clear();
  for (int j = 0; j < part.ny; ++j)
    for (int i = 0; i < part.nx; ++i) part.ground_m.push_back(whole.ground(from_x + i, from_y + j));
  const Wind sheared = [](double, double, double z) {
    return std::array{std::log1p(z), 0.3 * z / (z + 50), 0.0};
  };
  const Vec rhs = to_vec(assemble(whole, sheared, false).rhs), all = solve_ours(whole, rhs, 1e-10);
  const auto each_node = [&](const auto& fn) {
    for (int j = 0; j < part.ny; ++j)
      for (int k = 0; k < part.nz(); ++k)
        for (int i = 0; i < part.nx; ++i)
          fn(i, j, k, part.node(i, j, k), whole.node(from_x + i, from_y + j, k));
  };
  Vec inside(part.node_count());
  EdgeValues edge(part);
  each_node([&](int i, int j, int k, size_t n, size_t in_whole) {
    inside[n] = rhs[in_whole];
    const auto along = static_cast<size_t>(k * part.nx + i),
               up = static_cast<size_t>(j * part.nz() + k);
    if (j == 0) edge.south[along] = all[in_whole];
    if (j + 1 == part.ny) edge.north[along] = all[in_whole];
    if (i == 0) edge.west[up] = all[in_whole];
    if (i + 1 == part.nx) edge.east[up] = all[in_whole];
  });
  const int lowest = 5;
  std::vector<ColumnSolution> few, full;
  const ColumnSolver solver(part);
  ASSERT_TRUE(solver.solve_into({inside, inside}, {{edge, edge}}, 1e-10, lowest, few));
  ASSERT_TRUE(solver.solve_into({inside, inside}, {{edge, edge}}, 1e-10, part.nz(), full));
  double worst = 0, largest = 0;
  each_node([&](int, int, int k, size_t n, size_t in_whole) {
    largest = std::max(largest, std::abs(all[in_whole]));
    worst = std::max(worst, std::abs(full[0].l[1][n] - all[in_whole]));
    if (k < lowest) {
      EXPECT_EQ(few[0].l[1][n], full[0].l[1][n]);
    }
  });
  EXPECT_LT(worst / largest, 1e-7);
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

}  // namespace
}  // namespace leeward::compute
