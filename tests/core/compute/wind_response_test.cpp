#include "core/compute/wind_response.h"

#include <gtest/gtest.h>

#include <cmath>

namespace leeward::compute {
namespace {

// Waves of speed and turning, slope air, and timber in patches.
WindResponse waves() {
  WindResponse out{{-900, 900, 12.5, 144, 144}, {}};
  out.cells.resize(out.spec.size());
  for (int r = 0; r < out.spec.rows; ++r)
    for (int c = 0; c < out.spec.cols; ++c) {
      const auto wave = [&](double x, double y) {
        return static_cast<float>(std::sin(x * c) * std::cos(y * r));
      };
      out.cells[out.spec.index(c, r)] = {0.8F + 0.2F * wave(0.11, 0.07),
                                         0.1F * wave(0.05, 0.09),
                                         0.1F * wave(0.08, 0.06),
                                         0.8F + 0.2F * wave(0.09, 0.12),
                                         0.3F * wave(0.03, 0.02),
                                         0.2F * wave(0.02, 0.04),
                                         wave(0.06, 0.05) > 0.3F ? 1.0F : 0.0F,
                                         0};
    }
  return out;
}

TEST(WindResponse, ItsFlowIsTheSumOfItsParts) {
  const WindResponse land = waves();
  const Flow flow = land.flow({3, -2});
  for (const size_t i : {size_t{0}, size_t{777}, flow.cells.size() - 1}) {
    const WindResponse::Cell& c = land.cells[i];
    EXPECT_NEAR(flow.cells[i].east, 3 * c.east_of_east - 2 * c.east_of_north + c.east, 1e-5);
    EXPECT_NEAR(flow.cells[i].north, 3 * c.north_of_east - 2 * c.north_of_north + c.north, 1e-5);
    EXPECT_EQ(flow.cells[i].timber, c.timber);
    EXPECT_NEAR(flow.cells[i].speed, std::hypot(flow.cells[i].east, flow.cells[i].north), 1e-5);
  }
}

TEST(TurnedLines, GiveWhatTheFlowOfEachWindGives) {
  const WindResponse land = waves();
  const PlumeTable table{PlumeAir{}};
  const LocalXY source{13, -21};
  std::vector<LocalXY> places = {source};
  for (int n = 1; n < 80; ++n)
    places.push_back({11.0 * n * std::cos(n * 0.7), 11.0 * n * std::sin(n * 0.7)});
  const TurnedLines lines(land, table, source, places);
  for (const LocalXY wind : {LocalXY{2, 0}, LocalXY{-1, 1.5}, LocalXY{0.2, -0.6}}) {
    const auto turned = lines.exposures(wind);
    const auto exact = exposures(land.flow(wind), table, source, places);
    for (size_t n = 0; n < places.size(); ++n)
      EXPECT_NEAR(turned[n], exact[n], 0.01 * exact[n] + 1e-6) << n;
    EXPECT_EQ(turned.back(), 0) << "beyond the reach";
  }
}

}  // namespace
}  // namespace leeward::compute
