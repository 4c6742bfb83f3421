#include "core/base/units.h"

#include "core/base/parallel.h"
#include "core/base/uid.h"

#include <gtest/gtest.h>

#include <atomic>

namespace leeward {
namespace {

TEST(Bearing, WrapsAndTurnsTheShortWay) {
  EXPECT_DOUBLE_EQ(Bearing::degrees(-10).degrees(), 350);
  EXPECT_DOUBLE_EQ(Bearing::degrees(720).degrees(), 0);
  EXPECT_DOUBLE_EQ(turn_deg(Bearing::degrees(350), Bearing::degrees(10)), 20);
  EXPECT_DOUBLE_EQ(turn_deg(Bearing::degrees(10), Bearing::degrees(350)), -20);
}

TEST(Bearing, OfAVectorIsClockwiseFromNorth) {
  EXPECT_DOUBLE_EQ(Bearing::of(0, 1).degrees(), 0);
  EXPECT_DOUBLE_EQ(Bearing::of(1, 0).degrees(), 90);
  EXPECT_DOUBLE_EQ(Bearing::of(0, -1).degrees(), 180);
  EXPECT_DOUBLE_EQ(Bearing::of(-1, 0).degrees(), 270);
}

TEST(WindFrom, NorthWindCarriesScentSouth) {
  EXPECT_DOUBLE_EQ(WindFrom(Bearing::degrees(0)).blows_toward().degrees(), 180);
}

TEST(Uid, SeededIsReproducibleAndWellFormed) {
  EXPECT_EQ(Uid::from_seed("a"), Uid::from_seed("a"));
  EXPECT_NE(Uid::from_seed("a"), Uid::from_seed("b"));
  EXPECT_TRUE(Uid::is_well_formed(Uid::from_seed("a").str()));
  EXPECT_TRUE(Uid::is_well_formed(Uid::random().str()));
  EXPECT_FALSE(Uid::is_well_formed("not-a-uid"));
}

TEST(ForEachIndex, VisitsEveryIndexOnceAndStops) {
  std::vector<std::atomic<int>> seen(1000);
  EXPECT_TRUE(for_each_index(1000, [&](int i) { ++seen[static_cast<size_t>(i)]; }));
  for (const auto& s : seen) EXPECT_EQ(s.load(), 1);
  std::stop_source stop;
  stop.request_stop();
  EXPECT_FALSE(for_each_index(
      1000, [](int) { FAIL(); }, stop.get_token()));
}

}  // namespace
}  // namespace leeward
