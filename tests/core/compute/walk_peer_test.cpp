// Costs and walking times beside those of GRASS 8.2.1 and scikit-image 0.19.3. The numbers were
// printed once by
//     python3 tests/bench/walk_peers.py numbers
// which makes the grids of tests/support/walk_lands.h (150 x 150 cells) and runs, from the cell in
// column 75, row 74,
//     r.cost [-k] input=COSTS output=out start_coordinates=75.5,75.5 memory=4000
//     MCP_Geometric(costs, fully_connected=True).find_costs([(74, 75)])
//     r.walk [-k] elevation=GROUND friction=ZERO output=out start_coordinates=377.5,377.5 lambda=0
// Cells are 1 m for the costs and 5 m for the walks.
#include "core/compute/walk_graph.h"
#include "tests/support/walk_lands.h"

#include <gtest/gtest.h>

namespace leeward::compute {
namespace {

constexpr int kSide = 150;
using Numbers = std::array<double, 20>;

// The cells that the numbers belong to.
size_t target(const GridSpec& g, int k) {
  return g.index((13 + 29 * k) % kSide, (7 + 43 * k) % kSide);
}

void expect_near(const CostField& field, const Numbers& peer, double share) {
  for (int k = 0; k < 20; ++k) {
    const double ours = static_cast<double>(field.cost[target(field.spec, k)]);
    const double theirs = peer[static_cast<size_t>(k)];
    EXPECT_NEAR(ours, theirs, share * theirs) << k;
  }
}

CostField solved(const Raster<WalkCell>& cells, const WalkOptions& options, bool backward) {
  const CostQuery query{{cells.spec.index(75, 74)}, nullptr, 0, backward};
  auto field = cheapest_ways(make_walk_graph(cells, options), query);
  EXPECT_TRUE(field);
  return std::move(*field);
}

CostField solved_costs(float (*cost)(int, int), int directions) {
  Raster<WalkCell> cells(GridSpec{0, kSide, 1, kSide, kSide});
  for (int r = 0; r < kSide; ++r)
    for (int c = 0; c < kSide; ++c) cells.at(c, r).slowness = cost(c, r);
  return solved(cells, {directions, [](double) { return 1.0; }, 1}, false);
}

// Naismith's rule with Langmuir's corrections as r.walk has it: its default walk_coeff and
// slope_factor (GRASS manual, r.walk).
double langmuir_s_per_m(double slope) {
  if (slope >= 0) return 0.72 + 6.0 * slope;
  return 0.72 + (slope < -0.2125 ? -1.9998 : 1.9998) * slope;
}

CostField solved_walk(int directions, bool backward) {
  Raster<WalkCell> cells(GridSpec{0, 5 * kSide, 5, kSide, kSide});
  for (int r = 0; r < kSide; ++r)
    for (int c = 0; c < kSide; ++c) cells.at(c, r).ground_m = testing::hill_m(c, r, 5);
  return solved(cells, {directions, langmuir_s_per_m, 1}, backward);
}

TEST(PlainCosts, OverEightNeighboursEqualRCostAndMcp) {
  // r.cost and MCP_Geometric agree in every digit.
  expect_near(solved_costs(testing::patch_cost, 8),
              {199.6146, 138.9187, 38.9982, 111.8173, 151.1461, 117.1992, 86.9097,
               160.3320, 129.1975, 80.8337, 146.5707, 168.3449, 48.0616,  67.5110,
               176.9434, 123.9929, 85.8564, 121.6427, 134.9031, 88.0742},
              1e-3);
  expect_near(solved_costs(testing::noise_cost, 8),
              {294.7925, 131.5498, 78.2318,  246.5238, 246.3072, 210.0071, 180.5832,
               227.6558, 112.7556, 163.6596, 324.9184, 195.6500, 51.2006,  165.3756,
               266.9403, 266.0188, 177.7796, 232.5979, 159.9207, 142.9703},
              1e-3);
}

TEST(PlainCosts, OverSixteenDirectionsEqualRCostWithKnightsMoves) {
  expect_near(solved_costs(testing::patch_cost, 16),
              {193.1761, 135.2777, 38.1293, 108.5397, 148.7305, 115.2363, 84.7559,
               158.1992, 126.3132, 78.2600, 142.1201, 162.3754, 47.8355,  65.2004,
               175.8008, 122.1669, 82.6391, 117.8115, 133.4155, 86.5668},
              1e-3);
  expect_near(solved_costs(testing::noise_cost, 16),
              {293.2450, 130.9977, 76.3298,  244.5912, 245.3735, 209.2993, 180.0837,
               226.6657, 111.7617, 163.6491, 322.5899, 194.8420, 50.7163,  164.9632,
               266.0025, 262.2310, 177.6669, 229.4361, 158.7999, 142.8305},
              1e-3);
}

TEST(WalkingTimes, EqualRWalk) {
  expect_near(solved_walk(8, false),
              {477.2689, 182.9140, 48.7550,  297.1876, 331.0285, 331.8908, 256.2560,
               284.1216, 111.1720, 252.6237, 431.0621, 284.7440, 41.2866,  157.3293,
               353.8882, 331.2003, 230.7402, 322.9525, 131.0948, 196.8944},
              1e-2);
  expect_near(solved_walk(16, false),
              {454.3958, 174.5388, 46.1897,  285.5128, 319.4890, 325.4860, 244.9263,
               272.1169, 105.9904, 244.7666, 406.9608, 267.0347, 40.6453,  154.4619,
               340.0609, 318.1801, 217.8911, 308.0927, 125.8320, 196.2134},
              1e-2);
}

// Walking home takes what walking out takes on the same ground turned upside down.
TEST(WalkingTimes, TowardTheStartEqualRWalkOnGroundTurnedUpsideDown) {
  expect_near(solved_walk(8, true),
              {381.3703, 191.2069, 151.2015, 341.5098, 298.0635, 287.7747, 240.5874,
               352.6641, 163.3927, 221.3512, 407.8431, 294.8323, 83.7079,  276.0789,
               347.3513, 340.1530, 240.7532, 335.7711, 294.4446, 146.2488},
              1e-2);
  expect_near(solved_walk(16, true),
              {357.8417, 182.8316, 148.6362, 329.2631, 286.5240, 281.3699, 229.2577,
               340.6594, 158.2111, 213.4940, 383.7418, 276.3475, 83.0666,  273.2115,
               333.5240, 327.1328, 227.9041, 320.9113, 287.1581, 145.5679},
              1e-2);
}

}  // namespace
}  // namespace leeward::compute
