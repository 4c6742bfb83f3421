#include "core/eval/explain.h"
#include "core/eval/land.h"
#include "tests/support/small_property.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace leeward {
namespace {

using namespace leeward::testing;
using ::testing::HasSubstr;

TEST(Words, CarryTheirUnits) {
  EXPECT_EQ(distance_text(27.432, UnitSystem::us), "30 yd");
  EXPECT_EQ(distance_text(27.432, UnitSystem::metric), "27 m");
  EXPECT_EQ(speed_text(6 * kMpsPerMph, UnitSystem::us), "6 mph");
  EXPECT_EQ(area_text(4046.8564224, UnitSystem::us), "1.0 ac");
  EXPECT_EQ(compass_text(315), "NW (315°)");
  EXPECT_EQ(compass_point(11.25), "NNE");  // sectors are closed on their left edge
  EXPECT_EQ(compass_point(348.75), "N");
  EXPECT_EQ(chance_text(0.83, 0.62, 0.93), "about 85 % (60–95 %)");
}

TEST(Words, ExplainAStandWithReachScentWaysAndCautions) {
  const Document d = small_property();
  const auto r = evaluate_cold(d, small_terrain());
  const auto sentences = explain_stand(d, *r, *r->find(Uid::from_seed("Edge ladder")));
  std::string all;
  for (const Sentence& s : sentences) all += s.text + "\n";
  EXPECT_THAT(all, HasSubstr("Scrape one"));
  EXPECT_THAT(all, HasSubstr("Way in, arriving 14:30"));
  EXPECT_THAT(all, HasSubstr("South gate"));
  EXPECT_THAT(all, HasSubstr("Stability class"));
  EXPECT_THAT(all, HasSubstr("Not validated for deer"));
  EXPECT_THAT(all, HasSubstr("Full-body harness"));
  EXPECT_THAT(all, HasSubstr("Directions are taken away here, never cleared"));
}

TEST(BarrierPieces, LeaveTheGapsOpen) {
  const Path line = {{0, 0}, {100, 0}};
  const auto pieces = barrier_pieces(line, {{50, 10}, {80, 4}});
  ASSERT_EQ(pieces.size(), 3U);
  const double ends[3][2] = {{0, 45}, {55, 78}, {82, 100}};
  for (size_t i = 0; i < 3; ++i) {
    EXPECT_NEAR(pieces[i].front().x, ends[i][0], 1e-9);
    EXPECT_NEAR(pieces[i].back().x, ends[i][1], 1e-9);
  }
  EXPECT_EQ(barrier_pieces(line, {}).size(), 1U);
}

}  // namespace
}  // namespace leeward
