#include "core/eval/season.h"

#include "tests/support/small_property.h"

#include <gtest/gtest.h>

namespace leeward {
namespace {

using namespace leeward::testing;

TEST(Season, DaysMayRunOverTheNewYear) {
  const SeasonDays winter{11, 20, 1, 10};
  EXPECT_TRUE(winter.has(11, 20));
  EXPECT_TRUE(winter.has(1, 10));
  EXPECT_FALSE(winter.has(1, 11));
  EXPECT_FALSE(winter.has(11, 19));
  EXPECT_FALSE((SeasonDays{10, 1, 12, 31}.has(1, 1)));
}

TEST(Season, SectorsAreCentredOnTheirPoints) {
  EXPECT_EQ(sector_of(0), 0);
  EXPECT_EQ(sector_of(349), 0);
  EXPECT_EQ(sector_of(11), 0);
  EXPECT_EQ(sector_of(12), 1);
  EXPECT_EQ(sector_of(90), 4);
  EXPECT_EQ(sector_of(360), 0);
}

/// Four days with wind from the north, then four from the south; one calm morning.
std::vector<StationHour> eight_days() {
  std::vector<StationHour> out;
  const Instant start = *parse_iso8601("2026-11-01T06:00:00Z");
  for (int i = 0; i < 8 * 24; ++i)
    out.push_back({start + std::chrono::hours(i), i < 4 * 24 ? 0.0 : 180.0, 4.0});
  for (int i = 0; i < 24; ++i)
    if (i < 12) out[static_cast<size_t>(i)].speed_mps = 0;
  return out;
}

// A stand south of its bed can be taken in a north wind alone, one north of it in a south wind
// alone (common practice, no source).
TEST(Season, CountsTheSitsWhoseWindAStandCanTake) {
  Settings s;
  s.crs = "EPSG:32615";
  const Document d =
      edited(Document{}, {put(s), put(seeded(Kind::boundary, box(0, 0, 600, 600), "Line")),
                          put(seeded(Kind::bedding, box(270, 270, 60, 60), "Bed")),
                          put(seeded(Kind::stand, Shape::point(at(300, 220)), "South")),
                          put(seeded(Kind::stand, Shape::point(at(300, 380)), "North"))});
  Engine engine;
  const auto season = season_of(engine, {make_ref<Document>(d), make_ref<Terrain>(), {}},
                                eight_days(), {11, 1, 11, 30});
  ASSERT_TRUE(season.has_value());
  EXPECT_EQ(season->mornings, 8);
  EXPECT_EQ(season->evenings, 8);
  EXPECT_EQ(season->calm, 1);
  EXPECT_EQ(season->unknown, 0);
  EXPECT_EQ(season->from[0], 7);
  EXPECT_EQ(season->from[8], 8);
  const SeasonStand &south = season->stands[0], &north = season->stands[1];
  EXPECT_EQ(south.mornings, 3);
  EXPECT_EQ(south.evenings, 4);
  EXPECT_EQ(north.mornings, 4);
  EXPECT_EQ(north.evenings, 4);
  EXPECT_EQ(south.share[0], 1);
  EXPECT_EQ(south.share[8], 0);
  EXPECT_TRUE(std::isnan(south.share[4]));
}

}  // namespace
}  // namespace leeward
