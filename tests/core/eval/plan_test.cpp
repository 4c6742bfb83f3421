#include "core/eval/plan.h"

#include "core/eval/air.h"
#include "core/eval/deer.h"
#include "tests/support/small_property.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace leeward {
namespace {

using namespace leeward::testing;
using std::chrono::hours;
using std::chrono::minutes;
using ::testing::HasSubstr;

const LonLat kPlace{-93, 38.85};

Instant utc(const char* iso) { return *parse_iso8601(iso); }

Document with_settings(Document d, const std::function<void(Settings&)>& change) {
  Settings s = *d.settings;
  change(s);
  return edited(d, {put(s)});
}

// The windows stand about whatever our sun gives, which is tested on its own.
TEST(ComingSits, AreMorningsAndEveningsByLegalLightRoundedInward) {
  Document d = with_settings(small_property(), [](Settings& s) {
    s.legal_before_sunrise_min = 30;
    s.legal_after_sunset_min = 20;
    s.sit_minutes = 150;
    s.settle_min = 25;
  });
  const auto sits = coming_sits(d, kPlace, utc("2026-11-14T06:00:00Z"), 2);
  ASSERT_EQ(sits.size(), 4U);
  for (size_t i = 0; i < 4; ++i) {
    const SunDay sun = sun_day_of(sits[i].arrive + hours(1), kPlace, *d.settings);
    EXPECT_EQ(sits[i].morning, i % 2 == 0);
    if (sits[i].morning) {
      EXPECT_EQ(sits[i].arrive, *sun.legal_start - minutes(25));
      EXPECT_EQ(sits[i].leave, *sun.legal_start + minutes(150));
    } else {
      EXPECT_EQ(sits[i].leave, *sun.legal_end);
      EXPECT_EQ(sits[i].arrive, *sun.legal_end - minutes(150));
    }
  }
  EXPECT_EQ(sits[0].date, "2026-11-14");
  EXPECT_EQ(sits[2].date, "2026-11-15");
}

TEST(ComingSits, ThatAreOverAreNotPlanned) {
  const Document d = small_property();
  EXPECT_EQ(coming_sits(d, kPlace, utc("2026-11-14T21:00:00Z"), 1).size(), 1U);
}

// The day of a clock change has its sits at the sun's hours, not an hour off.
TEST(ComingSits, KeepToTheSunOverAClockChange) {
  const Document d = small_property();
  const auto sits = coming_sits(d, kPlace, utc("2026-10-31T06:00:00Z"), 3);
  ASSERT_EQ(sits.size(), 6U);
  for (size_t i = 2; i < 6; ++i) {
    const auto apart = sits[i].arrive - sits[i - 2].arrive;
    EXPECT_NEAR(std::chrono::duration<double>(apart).count(), 86400, 180) << i;
  }
}

// common practice, no source: a bedding crossed yesterday weighs more than a sit of days ago.
TEST(Rest, BeddingWalkedThroughYesterdayOutweighsAnOlderSitElsewhere) {
  Document d = small_property();
  Feature a = seeded(Kind::stand, Shape::point(at(200, 400)), "A"),
          b = seeded(Kind::stand, Shape::point(at(700, 400)), "B"),
          bed = seeded(Kind::bedding, box(220, 380, 60, 60), "Bed by A");
  const Instant now = utc("2026-11-14T20:30:00Z");
  Visit six{Uid::from_seed("v1"), VisitType::sit, now - hours(6 * 24), a.uid},
      three{Uid::from_seed("v2"), VisitType::sit, now - hours(3 * 24), b.uid},
      crossed{Uid::from_seed("v3"), VisitType::walk, now - hours(24), Uid()};
  crossed.entered = {bed.uid};
  d = edited(d, {put(a), put(b), put(bed), put(six), put(three), put(crossed)});
  const Rest rest_a = rest_of(d, a, now), rest_b = rest_of(d, b, now);
  EXPECT_LT(rest_a.share, rest_b.share);
  EXPECT_EQ(rest_a.why, "Bed by A was walked through yesterday.");
  EXPECT_EQ(rest_b.why, "B was sat 3 days ago.");
  EXPECT_EQ(rest_of(d, b, now - hours(4 * 24)).share, 1) << "an entry to come rests nothing";
}

TEST(Rest, FadesAndEveryKindOfEntryCounts) {
  Document d = small_property();
  const Feature stand = seeded(Kind::stand, Shape::point(at(200, 400)), "A");
  const Instant now = utc("2026-11-14T20:30:00Z");
  for (const auto& [type, words] : EnumWords<VisitType>::words) {
    double last = 0;
    for (const int days : {0, 1, 4, 30}) {
      const Visit v{Uid::from_seed("v"), type, now - hours(24 * days) - minutes(1), stand.uid};
      const double share = rest_of(edited(d, {put(stand), put(v)}), stand, now).share;
      EXPECT_GT(share, last) << words << days;
      EXPECT_LT(share, 1);
      last = share;
    }
    EXPECT_GT(last, 0.99);
  }
}

TEST(Withheld, ByTheTimeItIsMeantForAndByAnOverdueSafetyCheck) {
  Document d = small_property();
  Feature stand = seeded(Kind::stand, Shape::point(at(200, 400)), "A");
  const Instant now = utc("2026-11-14T20:30:00Z");
  EXPECT_EQ(withheld_because(d, stand, true, now), "");
  stand.as<StandAttrs>().meant_for = SitTime::evenings;
  EXPECT_THAT(withheld_because(d, stand, true, now), HasSubstr("meant for evenings"));
  EXPECT_EQ(withheld_because(d, stand, false, now), "");
  d = with_settings(d, [](Settings& s) { s.safety_check_months = 12; });
  EXPECT_THAT(withheld_because(d, stand, false, now), HasSubstr("no date of a safety check"));
  stand.as<StandAttrs>().checked = "2025-11-15";
  EXPECT_EQ(withheld_because(d, stand, false, now), "") << "11 months and 30 days";
  stand.as<StandAttrs>().checked = "2025-11-14";
  EXPECT_THAT(withheld_because(d, stand, false, now), HasSubstr("2025-11-14 is older"));
}

PlanCell cell(const char* stand, double unnoticed, double others) {
  PlanCell c;
  c.stand = Uid::from_seed(stand);
  c.score = unnoticed * others;
  c.low = others * std::pow(unnoticed, 2.5);
  c.high = others * std::pow(unnoticed, 0.4);
  return c;
}
std::vector<int> ranks(std::vector<PlanCell>& cells) {
  std::vector<PlanCell*> refs;
  for (PlanCell& c : cells) refs.push_back(&c);
  rank_cells(refs);
  std::vector<int> out;
  for (const PlanCell& c : cells) out.push_back(c.rank);
  return out;
}

TEST(Ranks, HoldOnlyWhereTheOrderHoldsOverTheWholeBand) {
  // b leads in the middle, a at the low end: a tie. c lies below both throughout.
  std::vector<PlanCell> cells = {cell("a", 0.9, 0.30), cell("b", 0.5, 0.60), cell("c", 0.4, 0.1)};
  EXPECT_EQ(ranks(cells), (std::vector<int>{1, 1, 3}));
  EXPECT_EQ(cells[0].verdict, Verdict::better);
  EXPECT_EQ(cells[1].verdict, Verdict::better);
  EXPECT_EQ(cells[2].verdict, Verdict::even);
}

TEST(Ranks, StandsThatAllTieAreEven) {
  std::vector<PlanCell> cells = {cell("a", 0.9, 0.30), cell("b", 0.9, 0.29), cell("c", 0.9, 0.28)};
  EXPECT_EQ(ranks(cells), (std::vector<int>{1, 1, 1}));
  for (const PlanCell& c : cells) EXPECT_EQ(c.verdict, Verdict::even);
}

TEST(Ranks, LeaveOutWhatIsLeftAloneAndRankWatchesApart) {
  std::vector<PlanCell> cells = {cell("a", 0.9, 0.9), cell("b", 0.9, 0.5), cell("c", 0.9, 0.1)};
  cells[0].verdict = Verdict::leave_alone;
  cells[2].watch_only = true;
  EXPECT_EQ(ranks(cells), (std::vector<int>{0, 1, 1}));
}

// --- deer by the date ------------------------------------------------------------------------

TEST(DeerDates, FoodDrawsBetweenItsDates) {
  Feature oak = seeded(Kind::food, box(0, 0, 10, 10), "Oaks");
  oak.as<FoodAttrs>().from = "2026-10-05";
  oak.as<FoodAttrs>().until = "2026-11-20";
  const Settings s;
  const auto chance = [&](const char* at) {
    const SunDay day = sun_day_of(utc(at), kPlace, s);
    return occupancy(oak, deer_time(utc(at), day, s), s);
  };
  EXPECT_LT(chance("2026-10-04T23:30:00Z"), 0.06);
  EXPECT_GT(chance("2026-10-05T23:30:00Z"), 0.4);
  EXPECT_GT(chance("2026-11-20T23:30:00Z"), 0.4);
  EXPECT_LT(chance("2026-11-21T23:30:00Z"), 0.06);
}

// common practice, no source.
TEST(DeerDates, TheRutPutsBucksOnTrailsByDayAndLeavesDoesInBed) {
  Settings s;
  s.rut = {{"peak", "2026-11-10", "2026-11-16", 2}};
  const Feature trail = seeded(Kind::deer_trail, Shape::line({{0, 0}, {10, 0}}), "Trail");
  Feature bucks = seeded(Kind::bedding, box(0, 0, 10, 10), "Bucks"), does = bucks;
  bucks.as<BeddingAttrs>().group = DeerGroup::bucks;
  does.as<BeddingAttrs>().group = DeerGroup::does;
  const auto ratio = [&](const Feature& f, const char* in, const char* out) {
    const auto chance = [&](const char* at) {
      const SunDay day = sun_day_of(utc(at), kPlace, s);
      return occupancy(f, deer_time(utc(at), day, s), s);
    };
    return chance(in) / chance(out);
  };
  EXPECT_NEAR(ratio(trail, "2026-11-14T18:00:00Z", "2026-11-17T18:00:00Z"), 2, 0.1);
  EXPECT_NEAR(ratio(bucks, "2026-11-14T18:00:00Z", "2026-11-17T18:00:00Z"), 0.5, 0.05);
  EXPECT_NEAR(ratio(does, "2026-11-14T18:00:00Z", "2026-11-17T18:00:00Z"), 1, 0.05);
  EXPECT_NEAR(ratio(trail, "2026-11-14T06:00:00Z", "2026-11-17T06:00:00Z"), 1, 0.05) << "by night";
}

TEST(DeerDates, TheUsersOwnCurveStandsInForTheUsual) {
  Settings s;
  s.curves = {{"bedding evening", {{-3, 0.2}, {0, 0.6}}}};
  const SunDay day = sun_day_of(kEvening, kPlace, s);
  const Feature bed = seeded(Kind::bedding, box(0, 0, 10, 10), "Bed");
  const Instant t = *day.set - minutes(90);
  EXPECT_NEAR(occupancy(bed, deer_time(t, day, s), s), 0.4, 1e-6);
  EXPECT_EQ(deer_curves(s).size(), 6U);
}

// --- on the test property --------------------------------------------------------------------

TEST(Plan, AnswersEveryStandAtEverySitTheSameWarmAndCold) {
  const Document d = with_settings(small_property(), [](Settings& s) { s.sit_minutes = 120; });
  const Ref<Terrain> terrain = small_terrain();
  const Snapshot ask{make_ref<Document>(d), terrain, scene_at(d, utc("2026-11-14T06:00:00Z"))};
  Engine engine;
  const auto plan = make_plan(engine, ask, 1);
  ASSERT_TRUE(plan.has_value());
  ASSERT_EQ(plan->sits.size(), 2U);
  ASSERT_EQ(plan->cells.size(), 2 * d.of(Kind::stand).size());
  for (const PlanCell& c : plan->cells) {
    const PlanParts& p = c.parts;
    for (const double v : {p.in, p.sit, p.out, p.traffic, p.steady, p.light, p.rest, c.score})
      EXPECT_TRUE(v >= 0 && v <= 1) << v;
    EXPECT_LE(c.low, c.score);
    EXPECT_GE(c.high, c.score);
  }
  const auto again = make_plan(engine, ask, 1);
  for (size_t i = 0; i < plan->cells.size(); ++i)
    EXPECT_NEAR(again->cells[i].score, plan->cells[i].score, 1e-5);
}

TEST(Plan, NothingIsBetterByAWindThatIsNotKnown) {
  const Document d = small_property();
  Engine engine;
  const auto plan = make_plan(
      engine, {make_ref<Document>(d), small_terrain(), scene_at(d, utc("2026-12-14T06:00:00Z"))},
      1);
  ASSERT_TRUE(plan.has_value());
  ASSERT_FALSE(plan->cells.empty());
  for (const PlanCell& c : plan->cells) {
    EXPECT_NE(c.verdict, Verdict::better);
    ASSERT_FALSE(c.reasons.empty());
    EXPECT_THAT(c.reasons[0], HasSubstr("wind of this sit is not known"));
  }
}

TEST(Plan, CanBeCancelled) {
  const Document d = small_property();
  Engine engine;
  std::stop_source stop;
  stop.request_stop();
  const auto plan = make_plan(
      engine, {make_ref<Document>(d), small_terrain(), scene_at(d, kEvening)}, 3, stop.get_token());
  ASSERT_FALSE(plan.has_value());
  EXPECT_EQ(plan.error().code, ErrorCode::cancelled);
}

}  // namespace
}  // namespace leeward
