#include "core/compute/line_of_fire.h"

#include "core/compute/ground_walk.h"
#include "tests/support/ascii_grid.h"
#include "tests/support/terrain_makers.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace leeward::compute {
namespace {

const Bearing kEast = Bearing::degrees(90);

Raster<float> flat(double size_m, double cell_m = 1, float height = 100) {
  const int n = static_cast<int>(size_m / cell_m);
  return Raster<float>(GridSpec{0, size_m, cell_m, n, n}, height);
}
double tan_deg(double d) { return std::tan(d * kRadPerDeg); }

// On level ground the line through a point 0.8 m up ends 0.8 / tan(depression) beyond it: plain
// geometry, worked by hand.
TEST(LineOfFire, MeetsLevelGroundBehindTheTarget) {
  const auto ground = flat(200);
  struct Row {
    double depression_deg, beyond_m;
  };
  for (const Row& r : {Row{10, 4.537}, Row{20, 2.198}, Row{30, 1.386}}) {
    const FireSetup setup{{100, 100}, 0.8 + 20 * tan_deg(r.depression_deg), 20, 400};
    for (const double bearing : {0.0, 37.0, 90.0, 225.5}) {
      const LineOfFire line = line_of_fire(ground, setup, Bearing::degrees(bearing));
      EXPECT_EQ(line.outcome, FireOutcome::meets_ground);
      EXPECT_NEAR(line.depression_deg, r.depression_deg, 1e-9);
      EXPECT_NEAR(line.backstop_beyond_m, r.beyond_m, 5e-4);
      EXPECT_NEAR(line.ends_at_m, 20 + r.beyond_m, 5e-4);
      EXPECT_NEAR(line.meeting_angle_deg, r.depression_deg, 1e-6);
    }
  }
}

// Height alone is no backstop: level from 6 m over level ground the straight line meets nothing.
TEST(LineOfFire, LevelLineFromAPlatformNeverMeetsLevelGround) {
  FireSetup setup{{100, 100}, 6, 20, 90};
  setup.aim_m = 6;
  const LineOfFire inside = line_of_fire(flat(200), setup, kEast);
  EXPECT_EQ(inside.outcome, FireOutcome::clears_ground);
  EXPECT_NEAR(inside.depression_deg, 0, 1e-12);
  EXPECT_DOUBLE_EQ(inside.ends_at_m, 90);
  EXPECT_TRUE(std::isnan(inside.backstop_beyond_m));

  setup.max_travel_m = 500;  // the map ends 100 m out
  const LineOfFire outside = line_of_fire(flat(200), setup, kEast);
  EXPECT_EQ(outside.outcome, FireOutcome::unknown);
  EXPECT_NEAR(outside.ends_at_m, 100, 1e-9);
}

// Eye 2 m, target level with it 3 m out: what stands beyond decides.
TEST(LineOfFire, BankBehindTheTargetStopsTheLineAndADropDoesNot) {
  FireSetup setup{{0.5, 1.5}, 2, 3, 9};
  setup.aim_m = 2;
  const auto bank = testing::grid_from_ascii(R"(
      0 0 0 0 0 0 4 4 4 4
      0 0 0 0 0 0 4 4 4 4
      0 0 0 0 0 0 4 4 4 4
  )");
  const LineOfFire stopped = line_of_fire(bank, setup, kEast);
  EXPECT_EQ(stopped.outcome, FireOutcome::meets_ground);
  EXPECT_NEAR(stopped.ends_at_m, 5.5, 1e-9);  // half way up the bank between cells 5 and 6
  EXPECT_NEAR(stopped.backstop_beyond_m, 2.5, 1e-9);
  EXPECT_NEAR(stopped.meeting_angle_deg, std::atan(4.0) * kDegPerRad, 1e-9);

  const auto drop = testing::grid_from_ascii(R"(
      0 0 0 0 -9 -9 -9 -9 -9 -9
      0 0 0 0 -9 -9 -9 -9 -9 -9
      0 0 0 0 -9 -9 -9 -9 -9 -9
  )");
  EXPECT_EQ(line_of_fire(drop, setup, kEast).outcome, FireOutcome::clears_ground);
}

// Along the diagonal of a saddle the ground is 16 s (1 - s), 4 m high in the middle and 0 at both
// ends of the stretch: a level line at 3 m meets it at s = 1/4 and nowhere else.
TEST(LineOfFire, PeakInsideOneStretchOfGroundIsMet) {
  const auto ground = testing::grid_from_ascii(R"(
      0 0 0 0 0
      0 0 0 0 0
      0 0 0 8 0
      0 0 8 0 0
      0 0 0 0 0
  )");
  FireSetup setup{{0.5, 4.5}, 3, 1, 6};
  setup.aim_m = 3;
  const LineOfFire line = line_of_fire(ground, setup, Bearing::degrees(135));
  EXPECT_EQ(line.outcome, FireOutcome::meets_ground);
  EXPECT_NEAR(line.ends_at_m, 2.25 * std::sqrt(2.0), 1e-6);
}

TEST(LineOfFire, RiseBeforeTheTargetBlocks) {
  const auto ground = testing::grid_from_ascii(R"(
      0 0 0 6 0 0 0 0
      0 0 0 6 0 0 0 0
      0 0 0 6 0 0 0 0
  )");
  FireSetup setup{{0.5, 1.5}, 3, 6, 7};
  setup.aim_m = 3;
  const LineOfFire line = line_of_fire(ground, setup, kEast);
  EXPECT_EQ(line.outcome, FireOutcome::blocked);
  EXPECT_NEAR(line.ends_at_m, 2.5, 1e-9);
  EXPECT_TRUE(std::isnan(line.backstop_beyond_m));
  EXPECT_NEAR(line.meeting_angle_deg, std::atan(6.0) * kDegPerRad, 1e-9);
}

TEST(LineOfFire, MissingGroundIsUnknownWhereverItLies) {
  const auto ground = testing::grid_from_ascii(R"(
      0 0 0 0 0 0 0 0 0 9
      0 0 0 0 0 0 0 0 0 9
      0 0 0 0 0 0 0 0 0 9
  )");
  FireSetup setup{{0.5, 1.5}, 2, 3, 9};
  setup.aim_m = 2;
  EXPECT_EQ(line_of_fire(ground, setup, kEast).outcome, FireOutcome::meets_ground);
  struct Row {
    int hole;
    double ends_at_m;
  };
  for (const Row& r : {Row{0, 0}, Row{2, 1}, Row{3, 2}, Row{6, 5}}) {
    Raster<float> holed = ground;
    holed.at(r.hole, 1) = kUnknown;
    const LineOfFire line = line_of_fire(holed, setup, kEast);
    EXPECT_EQ(line.outcome, FireOutcome::unknown) << r.hole;
    EXPECT_NEAR(line.ends_at_m, r.ends_at_m, 1e-9) << r.hole;
  }
  setup.shooter = {-5, 1.5};
  EXPECT_EQ(line_of_fire(ground, setup, kEast).outcome, FireOutcome::unknown);
  EXPECT_EQ(line_of_fire({}, setup, kEast).outcome, FireOutcome::unknown);
}

// The line is followed exactly; a walk in steps of 5 mm over the same ground is the oracle.
TEST(LineOfFire, AgreesWithAFineWalkOverSeededGround) {
  std::mt19937 random(20);
  std::uniform_real_distribution<double> place(150, 450), bearing(0, 360), range(15, 60),
      eye(1.6, 8);
  int met = 0, blocked = 0;
  for (int trial = 0; trial < 120; ++trial) {
    const auto ground = testing::seeded_ground(GridSpec{0, 600, 3, 200, 200},
                                               static_cast<std::uint32_t>(trial % 6 + 1));
    const FireSetup setup{{place(random), place(random)}, eye(random), range(random), 140};
    const Bearing toward = Bearing::degrees(bearing(random));
    const LineOfFire line = line_of_fire(ground, setup, toward);
    const auto height = [&](double d) {
      return static_cast<double>(sample(ground, moved(setup.shooter, toward, d)));
    };
    const double z0 = height(0) + setup.eye_m;
    const double slope = (height(setup.range_m) + setup.aim_m - z0) / setup.range_m;
    double first = 140;
    for (int i = 0; i <= 28000 && first == 140; ++i)
      if (z0 + slope * i * 0.005 <= height(i * 0.005)) first = i * 0.005;
    // Where a line grazes, rounding of the float oracle moves the place along it.
    const double give = 0.006 + 1e-3 / std::sin(std::max(0.2, line.meeting_angle_deg) * kRadPerDeg);
    ASSERT_NE(line.outcome, FireOutcome::unknown);
    EXPECT_NEAR(line.ends_at_m, first, std::isnan(line.meeting_angle_deg) ? 0.006 : give);
    EXPECT_EQ(line.outcome, first < setup.range_m ? FireOutcome::blocked
                            : first < 140         ? FireOutcome::meets_ground
                                                  : FireOutcome::clears_ground);
    met += line.outcome == FireOutcome::meets_ground;
    blocked += line.outcome == FireOutcome::blocked;
  }
  EXPECT_GT(met, 30);
  EXPECT_GT(blocked, 0);
}

TEST(LineOfFire, EveryDirectionIsTheSameAsAlone) {
  const auto ground = testing::seeded_ground(GridSpec{0, 600, 2, 300, 300}, 3);
  const FireSetup setup{{300, 300}, 6, 25, 800};
  const auto lines = lines_of_fire(ground, setup);
  ASSERT_TRUE(lines);
  ASSERT_EQ(lines->size(), 180U);
  for (size_t i = 0; i < lines->size(); ++i) {
    const LineOfFire alone = line_of_fire(ground, setup, Bearing::degrees(2.0 * double(i)));
    EXPECT_EQ((*lines)[i].toward, alone.toward);
    EXPECT_EQ((*lines)[i].outcome, alone.outcome);
    EXPECT_EQ((*lines)[i].ends_at_m, alone.ends_at_m);
  }
}

TEST(LineOfFire, RefusesEntriesThatAreNoNumbersAndStopsWhenAsked) {
  const auto ground = flat(50);
  const FireSetup good{{25, 25}, 6, 10, 100};
  for (const auto spoil :
       {+[](FireSetup& s) { s.range_m = 0; }, +[](FireSetup& s) { s.max_travel_m = std::nan(""); },
        +[](FireSetup& s) { s.eye_m = -1; }, +[](FireSetup& s) { s.directions = 0; }}) {
    FireSetup bad = good;
    spoil(bad);
    const auto r = lines_of_fire(ground, bad);
    ASSERT_FALSE(r);
    EXPECT_EQ(r.error().code, ErrorCode::invalid_argument);
  }
  std::stop_source stop;
  stop.request_stop();
  const auto r = lines_of_fire(ground, good, stop.get_token());
  ASSERT_FALSE(r);
  EXPECT_EQ(r.error().code, ErrorCode::cancelled);
}

TEST(GroundWalk, PiecesJoinAndCoverTheWalk) {
  const auto ground = testing::seeded_ground(GridSpec{0, 60, 2, 30, 30}, 4);
  GroundWalk walk(ground, {31, 29}, Bearing::degrees(200), 0, 100);
  double at = 0, height = ground_height(ground, {31, 29});
  for (GroundPiece p; walk.next(p);) {
    EXPECT_DOUBLE_EQ(p.from_m, at);
    EXPECT_NEAR(p.start, height, 1e-9);
    at = p.to_m, height = p.end;
  }
  EXPECT_FALSE(walk.complete());
  EXPECT_NEAR(at, 29 / std::cos(20 * kRadPerDeg), 1e-9);  // the south edge
}

Instant at(const char* iso) { return *parse_iso8601(iso); }

// Another sitter 300 m east; a walker who passes from south to north 200 m east between 07:00 and
// 07:10.
TEST(PeopleInLine, SitterAndWalkerAreFoundWithPlaceAndTime) {
  const Instant dawn = at("2026-11-14T12:00:00Z"), noon = at("2026-11-14T18:00:00Z");
  const PersonLeg legs[] = {
      {7, {300, 10}, {300, 10}, dawn, noon},
      {8, {200, -300}, {200, 300}, at("2026-11-14T13:00:00Z"), at("2026-11-14T13:10:00Z")}};
  const auto all = people_in_line({0, 0}, kEast, 3, 400, dawn, noon, legs);
  ASSERT_EQ(all.size(), 2U);
  EXPECT_EQ(all[0].person, 7);
  EXPECT_NEAR(all[0].distance_m, std::hypot(300, 10), 1e-9);
  EXPECT_NEAR(all[0].off_deg, std::atan(10.0 / 300) * kDegPerRad, 1e-9);
  EXPECT_EQ(all[1].person, 8);
  EXPECT_NEAR(all[1].distance_m, 200, 1e-9);
  EXPECT_NEAR(all[1].toward.degrees(), 90, 1e-9);
  EXPECT_EQ(all[1].at, at("2026-11-14T13:05:00Z"));

  // Too far, the other way, and at another time.
  EXPECT_EQ(people_in_line({0, 0}, kEast, 3, 250, dawn, noon, legs).size(), 1U);
  EXPECT_TRUE(people_in_line({0, 0}, kEast.reversed(), 3, 400, dawn, noon, legs).empty());
  const auto early = people_in_line({0, 0}, kEast, 3, 400, dawn, at("2026-11-14T13:01:00Z"), legs);
  ASSERT_EQ(early.size(), 1U);
  EXPECT_EQ(early[0].person, 7);
  // One minute into the walk the walker is 240 m south, 50 degrees off the line.
  const auto wide = people_in_line({0, 0}, kEast, 51, 400, dawn, at("2026-11-14T13:01:00Z"), legs);
  ASSERT_EQ(wide.size(), 2U);
  EXPECT_NEAR(wide[1].off_deg, std::atan2(240, 200) * kDegPerRad, 1e-9);
}

TEST(PeopleInLine, WhoWalksAlongTheLineOrThroughTheShooterIsFound) {
  const Instant t = at("2026-11-14T12:00:00Z"), u = at("2026-11-14T12:20:00Z");
  const PersonLeg along[] = {{1, {-100, 0}, {100, 0}, t, u}, {2, {0, -50}, {0, 50}, t, u}};
  const auto found = people_in_line({0, 0}, kEast, 1, 60, t, u, along);
  ASSERT_EQ(found.size(), 2U);
  EXPECT_NEAR(found[1].distance_m, 0, 1e-9);
}

// A person is never missed: every second of every leg looked at one by one.
TEST(PeopleInLine, NoSecondOfALegIsMissed) {
  std::mt19937 random(5);
  std::uniform_real_distribution<double> xy(-400, 400), any(0, 360), margin(0.5, 12);
  const Instant t = at("2026-11-14T12:00:00Z");
  int hits = 0;
  for (int trial = 0; trial < 400; ++trial) {
    const PersonLeg leg{
        0, {xy(random), xy(random)}, {xy(random), xy(random)}, t, t + std::chrono::seconds{300}};
    const Instant from = t + std::chrono::seconds{60}, to = t + std::chrono::seconds{250};
    const Bearing toward = Bearing::degrees(any(random));
    const double most = margin(random), travel = 350;
    const auto found = people_in_line({20, -30}, toward, most, travel, from, to, {&leg, 1});
    double least = 1000;
    for (int s = 60; s <= 250; ++s) {
      const LocalXY p = leg.from + (leg.to - leg.from) * (s / 300.0);
      if (distance_m({20, -30}, p) <= travel)
        least = std::min(least, std::abs(turn_deg(toward, bearing({20, -30}, p))));
    }
    if (least <= most) {
      ASSERT_EQ(found.size(), 1U);
      EXPECT_LE(found[0].off_deg, least + 1e-9);
      EXPECT_LE(found[0].distance_m, travel + 1e-9);
      ++hits;
    }
    for (const PersonInLine& f : found) {
      EXPECT_LE(f.off_deg, most + 1e-6);
      EXPECT_GE(f.at, from);
      EXPECT_LE(f.at, to);
    }
  }
  EXPECT_GT(hits, 30);
}

}  // namespace
}  // namespace leeward::compute
