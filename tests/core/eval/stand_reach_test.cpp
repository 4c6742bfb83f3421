// What a stand reaches, how much of it is seen, and from where deer have the sitter against the
// sky. Distances follow from the drawings and formulas. The trunk's 25 degrees, the deer's eye at
// 1 m, a deer's pace of 0.9 m/s and 10 yd for a steep shot: common practice, no source.
#include "core/eval/explain.h"
#include "tests/support/ascii_map.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace leeward::testing {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

const Ref<Terrain> kFlat = make_ref<Terrain>();
const Uid kStand = Uid::from_seed("stand 1"), kTrail = Uid::from_seed("deer trail 1");

struct Answer {
  Document d;
  Ref<Results> r;
  explicit Answer(Document document, const Ref<Terrain>& terrain = kFlat)
      : d(std::move(document)), r(evaluate_cold(d, terrain)) {}

  InReach found(const Uid& what) const {
    for (const InReach& in : r->find(kStand)->in_reach)
      if (in.feature == what) return in;
    throw std::runtime_error("it is not in reach");
  }
  std::string words() const {
    std::string out;
    for (const Sentence& s : explain_stand(d, *r, *r->find(kStand))) out += s.text + "\n";
    return out;
  }
};
InReach found(const Document& d, const Uid& what, const Ref<Terrain>& terrain = kFlat) {
  return Answer(d, terrain).found(what);
}
Document stand_changed(const Document& d, const std::function<void(StandAttrs&)>& change) {
  return with<StandAttrs>(d, "stand 1", change);
}
Document reaching(const Document& d, double outer_m) {
  return with_bow(d, [&](Weapon& w) { w.outer_m = outer_m, w.rings_m = {outer_m}; });
}
// Ground in cells of 1 m for 250 m around the stand, by height(east of it, north of it).
template <class Height>
Ref<Terrain> ground_about(const Document& d, Height height) {
  const LocalXY at = d.find(kStand)->shape.position();
  Terrain t;
  t.ground = ground_by(GridSpec{at.x - 250.5, at.y + 250.5, 1, 501, 501},
                       [&](LocalXY p) { return height(p.x - at.x, p.y - at.y); });
  return make_ref<Terrain>(std::move(t));
}

// A platform at 5 m, the eye at 6.2; the trail 30 m south, from 40 m west to 40 m east. The sitter
// faces north unless he is turned.
const char* const kTrailBehind =
    "....S....\n"
    ".........\n"
    ".........\n"
    "ttttttttt\n";

TEST(Skyline, AManUpATreeOnBareFlatGroundIsAgainstTheSky) {
  const Document d = reaching(document_from_ascii(kTrailBehind, 10), 60);
  const Answer bare(d);
  EXPECT_NEAR(bare.found(kTrail).nearest_m, 30, 0.01);
  EXPECT_EQ(bare.found(kTrail).skyline, 1);
  EXPECT_THAT(bare.words(), HasSubstr("your head is against the sky from 100 % of it"));
}

TEST(Skyline, TheTrunkStandsBehindTheHeadForWhoLooksFromAhead) {
  // Within 25 degrees of south, 30 tan 25 = 14.0 m to each side of 80 m of trail: 52.0 m are left.
  const Document d = stand_changed(reaching(document_from_ascii(kTrailBehind, 10), 60),
                                   [](StandAttrs& s) { s.facing_deg = 180; });
  EXPECT_NEAR(found(d, kTrail).skyline, 52.0 / 80, 0.04);
  // A scrape in the middle of the trail: covered; 25 m off (39.8 degrees): not.
  const Answer scrapes(
      stand_changed(reaching(document_from_ascii("......S\n.\n.\n.\n.\n.\n.s....s\n", 5), 60),
                    [](StandAttrs& s) { s.facing_deg = 180; }));
  EXPECT_EQ(scrapes.found(Uid::from_seed("mock scrape 2")).skyline, 0);
  EXPECT_EQ(scrapes.found(Uid::from_seed("mock scrape 1")).skyline, 1);
  EXPECT_THAT(scrapes.words(), HasSubstr("your head is against the sky from there"));
}

TEST(Skyline, AWoodBehindHimTakesHimOutOfTheSky) {
  // From the trail's middle the line rises 5.2 m in 30: 12 m up it is 33 m behind him, from the
  // trail's ends (50 m) 56 m. The wood begins 15 m behind him: 18 m and more of it at 0.2 a metre.
  const char* drawing =
      "WWWWWWWWWWWWWWWWWWWWW\n"
      "WWWWWWWWWWWWWWWWWWWWW\n"
      "WWWWWWWWWWWWWWWWWWWWW\n"
      "WWWWWWWWWWWWWWWWWWWWW\n"
      ".....................\n"
      "..........S..........\n"
      ".....................\n"
      ".....................\n"
      "......ttttttttt......\n";
  const auto wood = [&](double height_m) {
    return with<CoverAttrs>(reaching(document_from_ascii(drawing, 10), 60), "cover 1",
                            [&](CoverAttrs& c) {
                              c.height_m = height_m;
                              c.leaf_off_per_m = 0.2;
                            });
  };
  const Answer high(wood(12));
  EXPECT_EQ(high.found(kTrail).skyline, 0);
  EXPECT_THAT(high.words(), Not(HasSubstr("against the sky")));
  // The line from the middle is 8 m up 10.4 m behind him, from the ends 17.3 m behind: over a wood
  // of 8 m, but for its first two metres.
  EXPECT_GT(found(wood(8), kTrail).skyline, 0.9);
}

TEST(Skyline, AHillBehindHimTakesHimOutOfTheSky) {
  const Document d = reaching(document_from_ascii(kTrailBehind, 10), 60);
  // From 20 m behind him the ground rises by half; the lines rise by a sixth or less.
  const auto hill = ground_about(d, [](double, double y) { return std::max(0.0, y - 20) / 2; });
  EXPECT_EQ(found(d, kTrail, hill).skyline, 0);
  // A rise by a tenth stays below the lines to 250 m from most of the trail (5.2 / 50 = 0.104).
  const auto slope = ground_about(d, [](double, double y) { return std::max(0.0, y - 20) / 10; });
  EXPECT_EQ(found(d, kTrail, slope).skyline, 1);
}

TEST(Skyline, WallsStandBehindWhoSitsInABlindOrTower) {
  const Document d = reaching(document_from_ascii(kTrailBehind, 10), 60);
  for (const StandType type : {StandType::ground_blind, StandType::tower})
    EXPECT_EQ(found(stand_changed(d, [&](StandAttrs& s) { s.type = type; }), kTrail).skyline, 0);
  for (const StandType type : {StandType::hang_on, StandType::saddle})
    EXPECT_EQ(found(stand_changed(d, [&](StandAttrs& s) { s.type = type; }), kTrail).skyline, 1);
}

// A trail 20 m south, 80 m long. Within 27.432 m: 2 sqrt(27.432^2 - 20^2) = 37.55 m of it. The walk
// along it goes metre by metre.
const char* const kTrailNear =
    "....S....\n"
    ".........\n"
    "ttttttttt\n";
constexpr double kStep_m = 1;

TEST(TrailInReach, IsTheChordOfTheReach) {
  const InReach t = found(document_from_ascii(kTrailNear, 10), kTrail);
  EXPECT_NEAR(t.reach_m, 37.55, 2 * kStep_m);
  EXPECT_NEAR(t.seen_m, t.reach_m, 1e-9);
  EXPECT_NEAR(t.longest_m, t.reach_m, 1e-9);
  EXPECT_NEAR(t.seen, 1, 1e-9);
  EXPECT_NEAR(t.shot_from_m, 20, 0.01);
  EXPECT_LE(t.shot_to_m, 27.432);
  EXPECT_GT(t.shot_to_m, 27.432 - kStep_m);
  EXPECT_NEAR(t.walk_s, t.seen_m / 0.9, 1e-9);
}

TEST(TrailInReach, IsWalkedAtTheStatedPace) {
  const Document d = with_settings(document_from_ascii(kTrailNear, 10),
                                   [](Settings& s) { s.deer_pace_mps = 1.8; });
  const Answer answer(d);
  const InReach t = answer.found(kTrail);
  EXPECT_NEAR(t.walk_s, t.seen_m / 1.8, 1e-9);
  EXPECT_THAT(answer.words(), HasSubstr("a deer walks it all in 21 s"));  // 37.6 m
}

TEST(TrailInReach, IsCutInTwoByARidgeOrOpaqueCover) {
  // A block 4 m wide, 8 to 12 m south of him: its near corners hide the trail 20 m south from 5 m
  // west to 5 m east. A wall of 10 m, or cover as high.
  const Document bare = document_from_ascii(kTrailNear, 10);
  const LocalXY at = bare.find(kStand)->shape.position();
  Feature wood = seeded(Kind::cover,
                        Shape::area({at + LocalXY{-2, -12}, at + LocalXY{2, -12},
                                     at + LocalXY{2, -8}, at + LocalXY{-2, -8}}),
                        "Thicket");
  wood.as<CoverAttrs>().height_m = 10;
  wood.as<CoverAttrs>().leaf_off_per_m = 2;
  const auto level = ground_about(bare, [](double, double) { return 0.0; });
  const auto ridge = ground_about(
      bare, [](double x, double y) { return std::abs(x) < 2 && y > -12 && y < -8 ? 10.0 : 0.0; });
  for (const auto& [d, terrain] : {std::pair{edited(bare, {put(wood)}), level}, {bare, ridge}}) {
    const InReach t = found(d, kTrail, terrain);
    EXPECT_NEAR(t.reach_m, 37.55, 2 * kStep_m);
    EXPECT_NEAR(t.seen_m, 37.55 - 10, 4 * kStep_m);
    EXPECT_NEAR(t.longest_m, t.seen_m / 2, kStep_m);
    EXPECT_NEAR(t.shot_from_m, std::hypot(20, 5), kStep_m);
    EXPECT_NEAR(t.walk_s, t.seen_m / 0.9, 1e-9);
  }
}

TEST(TrailInReach, ThatLeavesAndComesBackIsTwoStretches) {
  // 15 m to the west and to the east of him, north to south, joined 40 m south: two chords of
  // 2 sqrt(27.432^2 - 15^2) = 45.94 m, each ending 5 m north of him at the drawing's edge: 22.97 +
  // 5 m a side.
  const char* drawing =
      "t.....t\n"
      "t..S..t\n"
      "t.....t\n"
      "t.....t\n"
      "t.....t\n"
      "t.....t\n"
      "t.....t\n"
      "t.....t\n"
      "t.....t\n"
      "ttttttt\n";
  const InReach t = found(document_from_ascii(drawing, 5), kTrail);
  EXPECT_NEAR(t.reach_m, 2 * 27.97, 2 * kStep_m);
  EXPECT_NEAR(t.seen_m, t.reach_m, 1e-9);
  EXPECT_NEAR(t.longest_m, 27.97, kStep_m);
}

TEST(TrailInReach, ThatIsHiddenHasNoShot) {
  const char* drawing =
      ".....S.....\n"
      "WWWWWWWWWWW\n"
      "ttttttttttt\n";
  const Document d = with<CoverAttrs>(document_from_ascii(drawing, 10), "cover 1",
                                      [](CoverAttrs& c) { c.leaf_off_per_m = 1; });
  const InReach t = found(d, kTrail);
  EXPECT_NEAR(t.reach_m, 37.55, 2 * kStep_m);
  EXPECT_EQ(t.seen_m, 0);
  EXPECT_EQ(t.longest_m, 0);
  EXPECT_EQ(t.walk_s, 0);
  EXPECT_EQ(t.shot_to_m, 0);
  EXPECT_EQ(t.skyline, 0);
  EXPECT_NEAR(t.nearest_m, 20, 0.01);
}

TEST(SteepShot, IsNearerThanTenYardsFromAPlatform) {
  // 8 and 10 m west and east of him; 10 yd are 9.144 m.
  const Document d = document_from_ascii("s...S....s", 2);
  const Uid near = Uid::from_seed("mock scrape 1"), far = Uid::from_seed("mock scrape 2");
  const Answer platform(d);
  EXPECT_TRUE(platform.found(near).steep);
  EXPECT_FALSE(platform.found(far).steep);
  EXPECT_NEAR(platform.found(near).depression_deg, std::atan((6.2 - 0.8) / 8) * kDegPerRad, 0.01);
  const Answer blind(stand_changed(d, [](StandAttrs& s) {
    s.type = StandType::ground_blind;
    s.platform_m = 0;
  }));
  EXPECT_FALSE(blind.found(near).steep);
  EXPECT_THAT(platform.words(), HasSubstr("a steep shot, down from the platform"));
  EXPECT_THAT(blind.words(), Not(HasSubstr("steep")));
  // A trail that passes 8 m from him.
  EXPECT_TRUE(found(document_from_ascii("....S\n.\n.\n.\nttttttttt\n", 2), kTrail).steep);
}

TEST(LinePastATarget, MeetsTheGroundWhereTheTrianglesSay) {
  // Flat ground, 20 m: from 6.2 m to 0.8 m, on the ground 20 * 0.8 / 5.4 = 2.96 m beyond.
  const Document bare = document_from_ascii("S.........s", 2);
  const Uid scrape = Uid::from_seed("mock scrape 1");
  const auto flat = ground_about(bare, [](double, double) { return 0.0; });
  EXPECT_EQ(found(bare, scrape, flat).line.outcome, compute::FireOutcome::unknown);
  const Document d = with_bow(bare, [](Weapon& w) { w.max_travel_m = 183; });
  const Answer level(d, flat);
  EXPECT_EQ(level.found(scrape).line.outcome, compute::FireOutcome::meets_ground);
  EXPECT_NEAR(level.found(scrape).line.backstop_beyond_m, 2.96, 0.01);
  EXPECT_THAT(level.words(), HasSubstr("the line meets ground 3 m beyond"));
  // On the brink of a drop that is steeper than the line nothing is behind.
  const Answer brink(d,
                     ground_about(d, [](double x, double) { return -std::max(0.0, x - 21) / 2; }));
  EXPECT_EQ(brink.found(scrape).line.outcome, compute::FireOutcome::clears_ground);
  EXPECT_THAT(brink.words(), HasSubstr("; no ground behind it"));
  // Without elevation nothing is known.
  EXPECT_EQ(found(d, scrape).line.outcome, compute::FireOutcome::unknown);
}

TEST(LinePastATarget, IsThatOfTheWeaponOfTheShortestReachThatGetsThere) {
  Document d = with_bow(document_from_ascii("S.........s", 2), [](Weapon& w) {
    w.outer_m = 25;
    w.max_travel_m = 30;
  });
  Weapon rifle;
  rifle.uid = Uid::from_seed("rifle");
  rifle.name = "Rifle";
  rifle.outer_m = 100;
  rifle.max_travel_m = 200;
  d = edited(d, {put(rifle)});
  // The ground falls by a half from 21 m east to the bow's 30 m and rises again before 200 m.
  const auto dip = ground_about(d, [](double x, double) {
    return x < 21 ? 0 : x < 50 ? -(x - 21) / 2 : -14.5 + (x - 50);
  });
  const Uid scrape = Uid::from_seed("mock scrape 1");
  EXPECT_EQ(found(d, scrape, dip).line.outcome, compute::FireOutcome::clears_ground);
  const Document out_of_bow = with_bow(d, [](Weapon& w) { w.outer_m = 15, w.rings_m = {15}; });
  EXPECT_EQ(found(out_of_bow, scrape, dip).line.outcome, compute::FireOutcome::meets_ground);
}

}  // namespace
}  // namespace leeward::testing
