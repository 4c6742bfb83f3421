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

// The Laplacian of the same net, factored by Eigen.
TEST(Circulation, EqualsSparseCholeskyOnRandomGround) {
  constexpr int kSide = 60;
  std::mt19937 random(5);
  CirculationQuery q = net(kSide, kSide, {});
  q.diagonal = true;
  for (float& r : q.resistance.cells) r = 1.0F + static_cast<float>(random() % 90) / 10;
  q.sources = {{61, 0.25}, {1830, 0.75}};
  q.sinks = {3500, 3501};
  const auto got = circulation(q);
  ASSERT_TRUE(got);
  const int n = kSide * kSide;
  std::vector<Eigen::Triplet<double>> entries;
  for (int r = 0; r < kSide; ++r)
    for (int c = 0; c < kSide; ++c)
      for (const auto& step : kNext) {
        const int c2 = c + step[0], r2 = r + step[1];
        if (c2 < 0 || c2 >= kSide || r2 >= kSide) continue;
        const double length = step[0] != 0 && step[1] != 0 ? std::sqrt(2.0) : 1;
        const double g =
            2 / length / static_cast<double>(q.resistance.at(c, r) + q.resistance.at(c2, r2));
        const int a = r * kSide + c, b = r2 * kSide + c2;
        for (const auto& [i, j] : {std::pair{a, b}, {b, a}}) {
          entries.emplace_back(i, i, g);
          entries.emplace_back(i, j, -g);
        }
      }
  Eigen::VectorXd in = Eigen::VectorXd::Zero(n);
  in[61] = 0.25, in[1830] = 0.75;
  for (const int sink : {3500, 3501}) entries.emplace_back(sink, sink, 1e9);
  Eigen::SparseMatrix<double> laplacian(n, n);
  laplacian.setFromTriplets(entries.begin(), entries.end());
  const Eigen::VectorXd v = Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>>(laplacian).solve(in);
  for (int i = 0; i < n; ++i) EXPECT_NEAR(got->potential[static_cast<size_t>(i)], v[i], 1e-6);
}

}  // namespace
}  // namespace leeward::compute
