// Each check of a mock scrape both ways, on drawn ground. Distances follow from the drawings: a
// letter is a square of the stated size, points stand in its middle. Limits (1 m, 15 m, 30 m, 50 m,
// 14 days, 0.9 to 1.1 m ...): common practice, no source.
#include "core/eval/scrape_checks.h"

#include "core/eval/explain_checks.h"
#include "tests/support/ascii_map.h"

#include <gtest/gtest.h>

namespace leeward::testing {
namespace {

const Ref<Terrain> kFlat = make_ref<Terrain>();
const Instant kJuly = *parse_iso8601("2026-07-14T20:30:00Z");

Ref<Results> answer(const Document& d, Instant when = kEvening) {
  return evaluate_cold(d, kFlat, when);
}
Check check_of(const Results& r, CheckId id, size_t scrape = 0) {
  const Check* c = find_check(r.scrapes.at(scrape).checks, id);
  if (!c) throw std::runtime_error("the check is missing");
  return *c;
}
Check check_of(const Document& d, CheckId id, Instant when = kEvening) {
  return check_of(*answer(d, when), id);
}

TEST(ScrapeOnTrail, IsGoodOverTheTrailAndAsksToMoveFromBesideIt) {
  const Check over = check_of(document_from_ascii("ttttsttttt", 2), CheckId::on_trail);
  EXPECT_EQ(over.state, CheckState::good);
  EXPECT_NEAR(over.value, 0, 1e-9);
  EXPECT_TRUE(over.mend.empty());
  // Two rows of 2 m north of the trail: 4 m.
  const Check beside =
      check_of(document_from_ascii("    s\n.\ntttttttttt\n", 2), CheckId::on_trail);
  EXPECT_EQ(beside.state, CheckState::mend);
  EXPECT_NEAR(beside.value, 4, 1e-9);
  EXPECT_EQ(beside.says, "4.0 m from deer trail 1");
  EXPECT_EQ(beside.mend, "Hang it over the trail, not beside it: 4.0 m to the S.");
  EXPECT_EQ(check_of(document_from_ascii("s B", 2), CheckId::on_trail).state, CheckState::unknown);
}

TEST(ScrapeTrailsMeet, CountsTrailsAndWaysWithin15Metres) {
  const char* crossing =
      "    u     \n"
      "    u     \n"
      "ttttsttttt\n"
      "    u     \n"
      "    u     \n";
  // Cells of 10 m: the upright trail runs 20 m to each side, the other 40 and 50 m: four ways.
  const Check four = check_of(document_from_ascii(crossing, 10), CheckId::trails_meet);
  EXPECT_EQ(four.state, CheckState::good);
  EXPECT_EQ(four.value, 2);
  EXPECT_EQ(four.says, "2 trails within 15 m, 4 ways to walk on");
  // The same crossing, the scrape 30 m east of it on one trail.
  const char* away =
      "    u     \n"
      "    u     \n"
      "tttttttstt\n"
      "    u     \n"
      "    u     \n";
  const Check one = check_of(document_from_ascii(away, 10), CheckId::trails_meet);
  EXPECT_EQ(one.state, CheckState::note);
  EXPECT_EQ(one.value, 1);
  EXPECT_EQ(one.says, "1 trail within 15 m, 2 ways to walk on");
  EXPECT_EQ(one.mend, "Trails meet 30 m to the W; more deer pass there.");
}

TEST(ScrapeInReach, NeedsAStandThatReachesItAndSeesIt) {
  // 10 cells of 2 m: 20 m, within the bow's 27.432 m.
  const Check good = check_of(document_from_ascii("S.........s", 2), CheckId::in_reach);
  EXPECT_EQ(good.state, CheckState::good);
  EXPECT_NEAR(good.value, 20, 1e-9);
  EXPECT_EQ(good.says, "20 m from stand 1, 100 % in sight");
  // 10 cells of 4 m: 40 m, 12.568 m too far.
  const Check far = check_of(document_from_ascii("S.........s", 4), CheckId::in_reach);
  EXPECT_EQ(far.state, CheckState::mend);
  EXPECT_EQ(far.mend, "13 m beyond the reach of stand 1 (27 m): hang it nearer or move the stand.");
  // 8 m of cover at 0.5 a metre between them: exp(-4) = 2 % of the sight.
  const Document wood =
      with<CoverAttrs>(document_from_ascii("...WWWW....\n...WWWW....\nS..WWWW...s\n...WWWW....\n"
                                           "...WWWW....\n",
                                           2),
                       "cover 1", [](CoverAttrs& c) { c.leaf_off_per_m = 0.5; });
  const Check hidden = check_of(wood, CheckId::in_reach);
  EXPECT_EQ(hidden.state, CheckState::mend);
  EXPECT_EQ(hidden.mend, "Hidden from stand 1: cut a lane to it or hang it where it is seen.");
  EXPECT_EQ(check_of(document_from_ascii("s....", 2), CheckId::in_reach).state,
            CheckState::unknown);
}

TEST(ScrapeInReach, LooksFirstAtTheStandsThatItServes) {
  // Stand 1 at 10 m and stand 2 at 40 m; it is meant for the farther one.
  const Document d = document_from_ascii("S.s.......S", 5);
  EXPECT_EQ(answer(d)->scrapes[0].stand, Uid::from_seed("stand 1"));
  const Document served = with<MockScrapeAttrs>(
      d, "mock scrape 1", [](MockScrapeAttrs& a) { a.stands = {Uid::from_seed("stand 2")}; });
  const auto r = answer(served);
  EXPECT_EQ(r->scrapes[0].stand, Uid::from_seed("stand 2"));
  EXPECT_EQ(check_of(*r, CheckId::in_reach).state, CheckState::mend);
}

TEST(ScrapeBetween, WantsAnEdgeOrAWayFromBeddingToFood) {
  // 10 m cells. The food's edge lies 1.5 cells = 15 m minus half a cell: 10 m from the middle.
  const Check edge = check_of(document_from_ascii("ttts.FF\ntttt.FF\n", 10), CheckId::between);
  EXPECT_EQ(edge.state, CheckState::good);
  EXPECT_NEAR(edge.value, 15, 1e-9);  // from the middle of s: half a cell and a whole one
  // Bedding 8 cells to the west, food 8 to the east, the trail between them.
  const Check way = check_of(document_from_ascii("BB.tttttttsttttttt.FF", 10), CheckId::between);
  EXPECT_EQ(way.state, CheckState::good);
  EXPECT_EQ(way.says.find("on the way from bedding 1 to food 1"), 0U) << way.says;
  // Without the bedding nothing is linked, and the nearest edge is 85 m off.
  const Check none = check_of(document_from_ascii("...tttttttsttttttt.FF", 10), CheckId::between);
  EXPECT_EQ(none.state, CheckState::mend);
  EXPECT_NEAR(none.value, 85, 1e-9);
  EXPECT_EQ(check_of(document_from_ascii("tttst", 10), CheckId::between).state,
            CheckState::unknown);
}

TEST(ScrapePinch, IsGoodNearAGapAndInANarrowPassage) {
  // A wall across the trail; the gap lies two cells of 5 m east.
  const char* wall =
      "......#....\n"
      "......#....\n"
      "tttts.:tttt\n"
      "......#....\n"
      "......#....\n";
  const Check gap = check_of(document_from_ascii(wall, 5), CheckId::pinch);
  EXPECT_EQ(gap.state, CheckState::good);
  EXPECT_NEAR(gap.value, 10, 1e-6);
  EXPECT_EQ(gap.says, "gap of 5.0 m in barrier 1, 10 m away");
  // The same at 20 m a letter: 40 m to the gap, and open ground on both sides of the trail.
  const Check far = check_of(document_from_ascii(wall, 20), CheckId::pinch);
  EXPECT_EQ(far.state, CheckState::note);
  EXPECT_NE(far.mend.find("40 m away"), std::string::npos) << far.mend;
  // A strip of three cells of 10 m between a pond and a field: 30 m.
  const char* strip =
      "~~~~~~~~~~\n"
      "..........\n"
      "tttttstttt\n"
      "..........\n"
      "FFFFFFFFFF\n";
  const Check narrow = check_of(document_from_ascii(strip, 10), CheckId::pinch);
  EXPECT_EQ(narrow.state, CheckState::good);
  EXPECT_NEAR(narrow.value, 30, 1e-9);
  EXPECT_EQ(narrow.says, "passage of 30 m between water 1 and food 1");
  // At 20 m a letter it is 60 m wide: no pinch.
  const Check wide = check_of(document_from_ascii(strip, 20), CheckId::pinch);
  EXPECT_EQ(wide.state, CheckState::note);
  EXPECT_NEAR(wide.value, 60, 1e-9);
}

TEST(ScrapeWatched, NeedsACameraThatFacesItAndSeesIt) {
  // 12 m to the east of the camera, within its 20 m.
  const auto facing = [](const Document& d, double deg) {
    return with<CameraAttrs>(d, "camera 1", [&](CameraAttrs& a) { a.facing_deg = deg; });
  };
  const Document d = document_from_ascii("C.....s", 2);
  const auto seen = answer(facing(d, 90));
  EXPECT_EQ(check_of(*seen, CheckId::watched).state, CheckState::good);
  EXPECT_NEAR(check_of(*seen, CheckId::watched).value, 12, 1e-9);
  EXPECT_EQ(seen->scrapes[0].camera, Uid::from_seed("camera 1"));
  // Half of 45 degrees is 22.5: 20 degrees off is inside, 30 is not.
  EXPECT_EQ(check_of(facing(d, 70), CheckId::watched).state, CheckState::good);
  const Check off = check_of(facing(d, 60), CheckId::watched);
  EXPECT_EQ(off.state, CheckState::mend);
  EXPECT_EQ(off.mend, "Turn camera 1 30° to the right.");
  // 24 m is 4 m beyond its reach.
  const Check far = check_of(facing(document_from_ascii("C.....s", 4), 90), CheckId::watched);
  EXPECT_EQ(far.state, CheckState::mend);
  EXPECT_EQ(far.mend, "Beyond the reach of camera 1 by 4.0 m: move the camera nearer.");
  const Document wood =
      with<CoverAttrs>(facing(document_from_ascii("..WW...\nC.WW..s\n..WW...\n", 2), 90), "cover 1",
                       [](CoverAttrs& c) { c.leaf_off_per_m = 0.5; });  // 4 m: exp(-2) = 14 %
  const Check hidden = check_of(wood, CheckId::watched);
  EXPECT_EQ(hidden.state, CheckState::mend);
  EXPECT_NE(hidden.mend.find("clear branches"), std::string::npos) << hidden.mend;
  EXPECT_EQ(check_of(document_from_ascii("s....", 2), CheckId::watched).mend,
            "Hang a camera near it.");
}

TEST(ScrapeWind, MendsWhereThisWindTakesTheScentOverIt) {
  // Stand 20 m to the west. From the west the scent goes over the scrape; from the east away.
  const Check over = check_of(document_from_ascii("S.........s", 2, 270), CheckId::wind);
  EXPECT_EQ(over.state, CheckState::mend) << over.says;
  EXPECT_EQ(over.mend, "This wind takes your scent over it: do not sit stand 1 in it.");
  // A wind from the north passes the stand by on the west: at 40 m down the strip the scent's line
  // is 20 m off.
  const Check clear = check_of(document_from_ascii("S...............s", 4, 0), CheckId::wind);
  EXPECT_EQ(clear.state, CheckState::good) << clear.says;
}

TEST(ScrapeWind, CountsTheWindsThatCarryItByGeometry) {
  // Without forecast hours 36 directions count. Scrape 20 m east of the stand, t the angle between
  // the wind's way and east. Over the scrape: |t| <= 20. Over the strip's middle, 40 m on:
  // sin t / (cos t + 2) <= tan 20 = 0.364: holds at 60 (0.346), not at 70 (0.401), and again from
  // 160 on (0.322), not at 150 (0.441). So |t| = 0..60 (13 directions) and 160..200 (5): 18.
  const Check c = check_of(document_from_ascii("S.........s", 2, 90), CheckId::wind);
  EXPECT_NEAR(c.value, 18.0 / 36, 1e-9) << c.says;
  EXPECT_NE(c.says.find("from 18 of 36 wind directions"), std::string::npos) << c.says;
}

TEST(ScrapeWind, CountsTheForecastsOwnHours) {
  // 48 hours from the north-west (315): scent goes south-east. Edge ladder (360, 400), scrape
  // (375, 410): 56 degrees from north, the wind's way 135: 79 degrees off; 40 m on along 135 the
  // place is (43.3, -18.3) from the stand, 113 degrees: 22 off. None carries it.
  const Check none = check_of(small_property(315), CheckId::wind);
  EXPECT_NEAR(none.value, 0, 1e-9) << none.says;
  EXPECT_NE(none.says.find("in 0 of 48 forecast hours"), std::string::npos) << none.says;
  // From 236 degrees the wind blows along the line from stand to scrape.
  const Check all = check_of(small_property(236), CheckId::wind);
  EXPECT_NEAR(all.value, 1, 1e-9) << all.says;
  EXPECT_EQ(all.state, CheckState::mend);
}

Document dated(const std::string& hung, const std::string& refreshed) {
  return with<MockScrapeAttrs>(document_from_ascii("s....", 2), "mock scrape 1",
                               [&](MockScrapeAttrs& a) { a.hung = hung, a.refreshed = refreshed; });
}

TEST(ScrapeFresh, CountsLocalDaysAndSaysWhatIsWrongWithADate) {
  // The evening of 14 November 2026 in Chicago.
  const Check good = check_of(dated("", "2026-11-01"), CheckId::fresh);
  EXPECT_EQ(good.state, CheckState::good);
  EXPECT_EQ(good.value, 13);
  const Check old = check_of(dated("", "2026-10-18"), CheckId::fresh);  // 13 + 14 days
  EXPECT_EQ(old.state, CheckState::mend);
  EXPECT_EQ(old.says, "27 days ago");
  const Check hung = check_of(dated("2026-11-13", ""), CheckId::fresh);
  EXPECT_EQ(hung.state, CheckState::good);
  EXPECT_EQ(hung.says, "hung 1 day ago, not refreshed yet");
  const Check ahead = check_of(dated("", "2026-11-17"), CheckId::fresh);
  EXPECT_EQ(ahead.state, CheckState::unknown);
  EXPECT_EQ(ahead.says, "3 days after the day shown");
  for (const char* bad : {"18 Oct", "2026-02-30", "2026-13-01", "2026-10-18x"})
    EXPECT_EQ(check_of(dated("", bad), CheckId::fresh).says,
              "“" + std::string(bad) + "” is not a date");
  EXPECT_EQ(check_of(dated("", ""), CheckId::fresh).state, CheckState::unknown);
}

TEST(ScrapeFresh, TheDayIsThatOfThePropertysOwnClock) {
  // 04:00 UTC on the 15th is 22:00 on the 14th in Chicago.
  const Instant late = *parse_iso8601("2026-11-15T04:00:00Z");
  EXPECT_EQ(days_since("2026-11-14", late, "America/Chicago"), 0);
  EXPECT_EQ(days_since("2026-11-14", late, "UTC"), 1);
}

Check hung(const std::function<void(MockScrapeAttrs&)>& change, CheckId id,
           Instant when = kEvening) {
  return check_of(with<MockScrapeAttrs>(document_from_ascii("s....", 2), "mock scrape 1", change),
                  id, when);
}

TEST(ScrapeHang, WantsTheLowerEndWaistToNavelHigh) {
  const auto end = [](double m) { return [m](MockScrapeAttrs& a) { a.lower_end_m = m; }; };
  EXPECT_EQ(hung(end(0.9), CheckId::hang).state, CheckState::good);
  EXPECT_EQ(hung(end(1.1), CheckId::hang).state, CheckState::good);
  const Check low = hung(end(0.7), CheckId::hang);
  EXPECT_EQ(low.state, CheckState::mend);
  EXPECT_EQ(low.mend, "Raise it by 0.20 m or more.");
  EXPECT_EQ(hung(end(1.3), CheckId::hang).mend, "Lower it by 0.20 m or more.");
  // In leaf 2.5 to 5 cm lower: 0.85 to 1.075 m.
  EXPECT_EQ(hung(end(0.86), CheckId::hang).state, CheckState::mend);
  EXPECT_EQ(hung(end(0.86), CheckId::hang, kJuly).state, CheckState::good);
  EXPECT_EQ(hung(end(1.09), CheckId::hang, kJuly).state, CheckState::mend);
}

TEST(ScrapeHang, ShowsThePublishedLimbsBesideAndFindsNumbersThatDoNotFit) {
  // Kile and Marchinton 1977: limbs 0.76 to 1.78 m above natural scrapes.
  const Check limb = hung([](MockScrapeAttrs&) {}, CheckId::limb);
  EXPECT_EQ(limb.state, CheckState::note);
  EXPECT_EQ(limb.says,
            "2.30 m; limbs over natural scrapes hung 0.76 m to 1.78 m (Kile and Marchinton 1977)");
  const Check odd = hung([](MockScrapeAttrs& a) { a.limb_m = 3.2; }, CheckId::limb);
  EXPECT_EQ(odd.state, CheckState::mend);
  EXPECT_EQ(odd.mend, "1.35 m from that limb end at 1.85 m, not at 1.00 m: measure again.");
}

TEST(ScrapeHang, WantsBareGroundAndAGreenVineOfTheTradesSize) {
  EXPECT_EQ(hung([](MockScrapeAttrs&) {}, CheckId::ground).state, CheckState::good);
  EXPECT_EQ(hung([](MockScrapeAttrs& a) { a.cleared_m = 0; }, CheckId::ground).state,
            CheckState::mend);
  EXPECT_EQ(hung([](MockScrapeAttrs&) {}, CheckId::hanger).state, CheckState::good);
  EXPECT_EQ(hung([](MockScrapeAttrs& a) { a.length_m = 1.1; }, CheckId::hanger).state,
            CheckState::mend);
  EXPECT_EQ(hung([](MockScrapeAttrs& a) { a.diameter_mm = 8; }, CheckId::hanger).state,
            CheckState::mend);
  EXPECT_EQ(hung([](MockScrapeAttrs& a) { a.hanger = Hanger::branch; }, CheckId::hanger).state,
            CheckState::note);
}

TEST(ScrapeHang, RemindsOfLocalRulesWhereScentIsUsed) {
  EXPECT_TRUE(hung([](MockScrapeAttrs&) {}, CheckId::lure).mend.empty());
  EXPECT_EQ(hung([](MockScrapeAttrs& a) { a.scent = ScrapeScent::preorbital; }, CheckId::lure).mend,
            "Some places regulate deer scents: check local rules.");
}

TEST(ScrapeLines, ThreeAlongOneTrailAreALineWithItsSpacing) {
  // Cells of 10 m: at 20, 60 and 120 m along the trail.
  const Document d = document_from_ascii("ttsttsttttts.ttt", 10);
  const auto r = answer(d);
  ASSERT_EQ(r->scrape_lines.size(), 1U);
  const ScrapeLine& line = r->scrape_lines[0];
  EXPECT_EQ(line.trail, Uid::from_seed("deer trail 1"));
  ASSERT_EQ(line.scrapes.size(), 3U);
  EXPECT_EQ(line.scrapes[2], Uid::from_seed("mock scrape 3"));
  EXPECT_NEAR(line.spacings_m[0], 30, 1e-6);
  EXPECT_NEAR(line.spacings_m[1], 60, 1e-6);
  EXPECT_NEAR(line.mean_m, 45, 1e-6);
  EXPECT_NEAR(path_length_m(line.along), 90, 1e-6);
  bool told = false;
  for (const Sentence& s : explain_checks(d, *r, Uid::from_seed("mock scrape 2")))
    told = told || s.text ==
                       "One of a line of 3 scrapes along deer trail 1, 30 m, 60 m apart "
                       "(mean 45 m).";
  EXPECT_TRUE(told);
  // Two are no line, nor are three of which one hangs 20 m beside.
  EXPECT_TRUE(scrape_lines(document_from_ascii("ttsttstttt", 10)).empty());
  EXPECT_TRUE(scrape_lines(document_from_ascii("......s...\n.\nttsttstttt\n", 10)).empty());
}

TEST(ScrapeWords, TellTheStateByWordAndSign) {
  const Document d = document_from_ascii("ttttsttttt", 2);
  const auto r = answer(d);
  const auto lines = explain_checks(d, *r, Uid::from_seed("mock scrape 1"));
  ASSERT_EQ(lines.size(), 2 + r->scrapes[0].checks.size());
  EXPECT_TRUE(lines[0].heading);
  // What asks for work stands first.
  EXPECT_EQ(lines[2].text.find("▲ mend  "), 0U) << lines[2].text;
  bool good = false;
  for (const Sentence& s : lines)
    good = good || s.text == "✓ good  On a trail: 0.0 m from deer trail 1.";
  EXPECT_TRUE(good);
  const auto work = work_to_do(d, *r);
  EXPECT_EQ(static_cast<int>(work.size()), to_mend(r->scrapes[0].checks));
  EXPECT_EQ(work[0].find("mock scrape 1: "), 0U);
}

}  // namespace
}  // namespace leeward::testing
