// Hand cases: unit currents in nets of 3 x 3 unit resistors (worked by Kirchhoff's laws; the
// series, parallel and pinch cases are those of any text on resistor networks, and of McRae et al.
// 2008, Ecology 89:2712, for maps). Larger nets against Eigen's sparse Cholesky.
#include "core/compute/circulation.h"

#include <Eigen/Sparse>
#include <Eigen/SparseCholesky>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <limits>
#include <random>

namespace leeward::compute {
namespace {

constexpr float kNo = std::numeric_limits<float>::infinity();

CirculationQuery net(int cols, int rows, std::vector<float> resistance) {
  CirculationQuery q;
  q.resistance = Raster<float>(GridSpec{0, rows * 1.0, 1, cols, rows}, 1.0F);
  if (!resistance.empty()) q.resistance.cells = std::move(resistance);
  q.diagonal = false;
  return q;
}
CirculationQuery across(std::vector<float> resistance = {}) {
  CirculationQuery q = net(3, 3, std::move(resistance));
  q.sources = {{3, 1.0}};
  q.sinks = {5};
  return q;
}

void expect_currents(const CirculationQuery& q, const std::vector<float>& want, double source_v) {
  const auto got = circulation(q);
  ASSERT_TRUE(got);
  EXPECT_NEAR(got->potential[q.sources[0].first], source_v, 1e-4);
  for (size_t i = 0; i < want.size(); ++i)
    EXPECT_NEAR(got->current.cells[i], want[i], 1e-4) << "cell " << i;
}

TEST(Circulation, FromSideToSideOfNineCells) {
  expect_currents(across(), {.25F, .25F, .25F, 1, .5F, 1, .25F, .25F, .25F}, 1);
}

TEST(Circulation, GoesAroundABlockedMiddle) {
  expect_currents(across({1, 1, 1, 1, kNo, 1, 1, 1, 1}), {.5F, .5F, .5F, 1, 0, 1, .5F, .5F, .5F},
                  2);
}

TEST(Circulation, AllGoesThroughAPinch) {
  expect_currents(across({1, kNo, 1, 1, 1, 1, 1, kNo, 1}), {0, 0, 0, 1, 1, 1, 0, 0, 0}, 2);
}

TEST(Circulation, MostGoesBetweenTwoPoorPlaces) {
  expect_currents(across({1, 5, 1, 1, 1, 1, 1, 5, 1}),
                  {.1667F, .1667F, .1667F, 1, .6667F, 1, .1667F, .1667F, .1667F}, 1.3333);
}

TEST(Circulation, FromCornerToCorner) {
  CirculationQuery q = net(3, 3, {});
  q.sources = {{0, 1.0}};
  q.sinks = {8};
  expect_currents(q, {1, .5F, .25F, .5F, .5F, .5F, .25F, .5F, 1}, 1.5);
  q.diagonal = true;
  expect_currents(q, {1, .3431F, .1005F, .3431F, .5147F, .3431F, .1005F, .3431F, 1}, 0.8873);
}

TEST(Circulation, AddsResistorsInARow) {
  CirculationQuery q = net(4, 1, {1, 2, 1, 3});
  q.sources = {{0, 1.0}};
  q.sinks = {3};
  expect_currents(q, {1, 1, 1, 1}, 1.5 + 1.5 + 2);
}

TEST(Circulation, AWallBetweenCellsLetsNothingThrough) {
  CirculationQuery q = across();
  q.open.assign(9, {1, 1, 1, 1});
  q.open[3][0] = 0;  // between the source and the middle
  const auto got = circulation(q);
  ASSERT_TRUE(got);
  EXPECT_EQ(got->to_next(q, 3, 0), 0);
  EXPECT_GT(got->potential[3], 1.2) << "a wall never lowers the resistance (Rayleigh)";
}

TEST(Circulation, LeavesOutWhatCannotReachASink) {
  CirculationQuery q = net(3, 1, {1, kNo, 1});
  q.sources = {{0, 1.0}};
  q.sinks = {2};
  const auto got = circulation(q);
  ASSERT_TRUE(got);
  EXPECT_EQ(got->entered, 0);
  EXPECT_THAT(got->current.cells, ::testing::Each(0.0F));
}

// Voltages by the Laplacian of the same net, factored by Eigen; the ground is `sinks` of 1e9.
// Cells that are joined to nothing get a ground of their own.
Eigen::VectorXd by_cholesky(const CirculationQuery& q) {
  const GridSpec& g = q.resistance.spec;
  const int n = static_cast<int>(g.size());
  std::vector<Eigen::Triplet<double>> entries;
  for (int r = 0; r < g.rows; ++r)
    for (int c = 0; c < g.cols; ++c)
      for (size_t k = 0; k < 4; ++k) {
        const auto& step = kNext[k];
        if (!g.has(c + step[0], r + step[1])) continue;
        const int a = static_cast<int>(g.index(c, r)),
                  b = static_cast<int>(g.index(c + step[0], r + step[1]));
        const double length = step[0] != 0 && step[1] != 0 ? std::sqrt(2.0) : 1;
        const double open = q.open.empty() ? 1 : static_cast<double>(q.open[g.index(c, r)][k]);
        const double conductance =
            2 * open / length /
            static_cast<double>(q.resistance.at(c, r) + q.resistance.at(c + step[0], r + step[1]));
        for (const auto& [i, j] : {std::pair{a, b}, {b, a}}) {
          entries.emplace_back(i, i, conductance);
          entries.emplace_back(i, j, -conductance);
        }
      }
  for (int i = 0; i < n; ++i)
    if (!std::isfinite(q.resistance.cells[static_cast<size_t>(i)])) entries.emplace_back(i, i, 1);
  for (const size_t sink : q.sinks)
    entries.emplace_back(static_cast<int>(sink), static_cast<int>(sink), 1e9);
  Eigen::VectorXd in = Eigen::VectorXd::Zero(n);
  for (const auto& [cell, current] : q.sources) in[static_cast<int>(cell)] += current;
  Eigen::SparseMatrix<double> laplacian(n, n);
  laplacian.setFromTriplets(entries.begin(), entries.end());
  return Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>>(laplacian).solve(in);
}

CirculationQuery random_ground(int cols, int rows, unsigned seed) {
  std::mt19937 random(seed);
  CirculationQuery q = net(cols, rows, {});
  q.diagonal = true;
  for (float& r : q.resistance.cells) r = 1.0F + static_cast<float>(random() % 90) / 10;
  return q;
}

TEST(Circulation, EqualsSparseCholeskyOnRandomGround) {
  CirculationQuery q = random_ground(60, 60, 5);
  q.sources = {{61, 0.25}, {1830, 0.75}};
  q.sinks = {3500, 3501};
  const auto got = circulation(q);
  ASSERT_TRUE(got);
  const Eigen::VectorXd v = by_cholesky(q);
  for (int i = 0; i < v.size(); ++i)
    EXPECT_NEAR(got->potential[static_cast<size_t>(i)], v[i], 1e-6);
}

// Longer than wide, in both directions; neither side a number of whole blocks.
TEST(Circulation, EqualsSparseCholeskyBehindWalls) {
  for (const auto& [cols, rows] : {std::pair{71, 30}, {30, 71}}) {
    CirculationQuery q = random_ground(cols, rows, 8);
    const GridSpec& g = q.resistance.spec;
    q.open.assign(g.size(), {1, 1, 1, 1});
    for (int c = 1; c < cols - 1; ++c)  // a wall through the middle of blocks, with a narrow gap
      if (c != 14)
        for (size_t k = 1; k < 4; ++k) q.open[g.index(c, 13)][k] = c == 15 ? 0.05F : 0;
    q.open[g.index(0, 13)][3] = q.open[g.index(cols - 1, 13)][1] = 0;
    for (int r = 0; r < 12; ++r)  // water that fills whole blocks and parts of others
      for (int c = 2; c < 11; ++c) q.resistance.at(c, r) = kNo;
    q.sources = {{g.index(20, 2), 0.5}, {g.index(25, 3), 0.5}};
    for (int c = 3; c < 9; ++c) q.sinks.push_back(g.index(c, 25));
    const auto got = circulation(q);
    ASSERT_TRUE(got);
    EXPECT_EQ(got->entered, 1);
    const Eigen::VectorXd v = by_cholesky(q);
    double leaves = 0;
    for (int i = 0; i < v.size(); ++i) {
      const size_t cell = static_cast<size_t>(i);
      EXPECT_NEAR(got->potential[cell], v[i], 1e-6) << cols << " columns, cell " << i;
    }
    for (const size_t sink : q.sinks) leaves += static_cast<double>(got->current.cells[sink]);
    EXPECT_NEAR(leaves, 1, 1e-6) << "what enters leaves at the sinks";
    EXPECT_LT(got->iterations, 120) << "the diagonal alone takes about 240";
  }
}

}  // namespace
}  // namespace leeward::compute
