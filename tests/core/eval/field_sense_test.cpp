// What a person who knows deer would expect, on drawn ground of 600 x 600 m, flat unless said; x
// east, y north. All of it is common practice, no source.
#include "core/eval/engine.h"
#include "core/eval/explain.h"
#include "core/eval/plan.h"
#include "core/eval/ways.h"
#include "tests/support/small_property.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace leeward {
namespace {

using namespace leeward::testing;
using ::testing::HasSubstr;
using ::testing::Not;

const Instant kAfternoon = *parse_iso8601("2026-11-14T20:00:00Z");   // 14:00, sunset 16:58
const Instant kBeforeDawn = *parse_iso8601("2026-11-14T12:00:00Z");  // 06:00, sunrise 06:53

/// Flat ground with a wind of all hours; grid and true north agree.
class Ground {
 public:
  Ground(double from_deg, double speed_mps) {
    Settings s;
    s.name = "Drawn ground";
    s.crs = "EPSG:32615";
    s.legal_before_sunrise_min = 30;
    s.legal_after_sunset_min = 30;
    s.use_hand_wind = true;
    s.hand_wind = {from_deg, speed_mps, 0.6};
    Weapon bow;
    bow.uid = Uid::from_seed("bow");
    bow.name = "Bow";
    document_ = edited(Document{}, {put(s), put(bow)});
    put_in(Kind::boundary, box(0, 0, 600, 600), "Line");
  }
  Feature& last() { return last_; }
  Ground& put_in(Kind kind, Shape shape, const std::string& name) {
    last_ = seeded(kind, std::move(shape), name);
    return store();
  }
  Ground& store() {
    document_ = edited(document_, {put(last_)});
    return *this;
  }
  Ground& point(Kind kind, double x, double y, const std::string& name) {
    return put_in(kind, Shape::point(at(x, y)), name);
  }
  Ground& settings(const std::function<void(Settings&)>& change) {
    Settings s = *document_.settings;
    change(s);
    document_ = edited(document_, {put(s)});
    return *this;
  }
  Ground& on(Terrain terrain) {
    terrain_ = make_ref<Terrain>(std::move(terrain));
    return *this;
  }
  /// A forecast instead of the wind by hand: of each hour from `first` the direction.
  Ground& forecast(Instant first, const std::vector<double>& from_deg) {
    for (size_t i = 0; i < from_deg.size(); ++i) {
      WindHour h;
      h.uid = Uid::from_seed("hour" + std::to_string(i));
      h.at = first + std::chrono::hours(static_cast<long>(i));
      h.from_deg = from_deg[i];
      h.speed_mps = document_.settings->hand_wind.speed_mps;
      h.cloud = document_.settings->hand_wind.cloud;
      document_ = edited(document_, {put(h)});
    }
    return settings([](Settings& s) { s.use_hand_wind = false; });
  }
  const Document& document() const { return document_; }
  Ref<Results> evaluate(Instant arrive,
                        std::chrono::minutes sit = std::chrono::minutes(180)) const {
    Engine engine;
    Snapshot in{make_ref<Document>(document_), terrain_, {arrive, arrive + sit, Trade::balanced}};
    return *engine.evaluate(in);
  }
  Plan plan(Instant first, int days) const {
    Engine engine;
    return *make_plan(engine, {make_ref<Document>(document_), terrain_, scene_at(document_, first)},
                      days);
  }

 private:
  Document document_;
  Ref<Terrain> terrain_ = make_ref<Terrain>();
  Feature last_;
};

const StandResult& only(const Results& r) { return r.stands.front(); }
const Way& in(const Results& r, Trade t = Trade::balanced) {
  return *only(r).way_in[static_cast<size_t>(t)];
}
const Way& out(const Results& r, Trade t = Trade::balanced) {
  return *only(r).way_out[static_cast<size_t>(t)];
}
std::string all_words(const Document& d, const Results& r) {
  std::string all;
  for (const Sentence& s : explain_stand(d, r, only(r))) all += s.text + "\n";
  return all;
}

Ground bed_in_the_middle() {
  Ground g(0, 4);
  g.put_in(Kind::bedding, box(250, 270, 100, 60), "Middle bed");
  g.point(Kind::stand, 300, 250, "South edge");
  g.point(Kind::gate, 300, 598, "North gate");
  return g;
}

TEST(FieldSense, AnEveningSouthOfABedInANorthWindIsEnteredFromTheSouth) {
  Ground g = bed_in_the_middle();
  g.point(Kind::gate, 300, 2, "South gate");
  const auto r = g.evaluate(kAfternoon);
  EXPECT_EQ(in(*r).gate, Uid::from_seed("South gate"));
  EXPECT_GT(in(*r).unnoticed, in(*bed_in_the_middle().evaluate(kAfternoon)).unnoticed + 0.1);
  EXPECT_THAT(all_words(g.document(), *r), HasSubstr("by South gate"));
}

TEST(FieldSense, FromTheNorthAloneTheQuietWayLeavesTheStripUpwindOfTheBedEarly) {
  const Ground g = bed_in_the_middle();
  const auto r = g.evaluate(kAfternoon);
  const Way &quick = in(*r, Trade::quick), &quiet = in(*r, Trade::careful);
  EXPECT_GT(quiet.length_m, 1.15 * quick.length_m);
  EXPECT_GT(quiet.unnoticed, quick.unnoticed + 0.1);
  // The strip upwind: 60 m to each side of the bed's middle, from its edge to 200 m north of it.
  for (const LocalXY p : quiet.points)
    EXPECT_FALSE(std::abs(p.x - at(300, 0).x) < 60 && p.y > at(0, 330).y && p.y < at(0, 500).y)
        << p.x - kWest << ", " << p.y - kSouth;
}

Ground food_before_the_only_gate() {
  Ground g(0, 4);
  g.put_in(Kind::food, box(200, 200, 200, 200), "Field");
  g.point(Kind::stand, 300, 195, "Field stand");
  g.point(Kind::gate, 300, 598, "North gate");
  return g;
}

TEST(FieldSense, InTheDarkNoWayPastFeedingDeerIsQuietButOneAwayFromThemIs) {
  Ground g = food_before_the_only_gate();
  const std::chrono::minutes into_the_dark{240};
  const auto shut = g.evaluate(kAfternoon, into_the_dark);
  for (const Trade t : {Trade::quick, Trade::balanced, Trade::careful}) {
    EXPECT_LT(out(*shut, t).unnoticed, 0.9) << word(t);
    const std::vector<Reason> why = reasons_of(out(*shut, t));
    ASSERT_FALSE(why.empty());
    EXPECT_EQ(why[0].area, Uid::from_seed("Field"));
  }
  const PlanCell cell = g.plan(kAfternoon, 1).cells.front();
  std::string why;
  for (const std::string& s : cell.reasons) why += s + "\n";
  EXPECT_TRUE(cell.deer_at_dark) << why;
  EXPECT_THAT(why, HasSubstr("wait until they have left, or be picked up"));
  g.settings([](Settings& s) { s.pick_up = true; });
  EXPECT_TRUE(g.plan(kAfternoon, 1).cells.front().by_ride);
  Ground on_foot = g;
  on_foot.last() = *on_foot.document().of(Kind::gate).front();
  on_foot.last().as<GateAttrs>().parking = false;
  EXPECT_FALSE(on_foot.store().plan(kAfternoon, 1).cells.front().by_ride)
      << "no vehicle gets there";
  g.point(Kind::gate, 300, 2, "South gate");
  const auto open = g.evaluate(kAfternoon, into_the_dark);
  EXPECT_EQ(out(*open).gate, Uid::from_seed("South gate"));
  EXPECT_LT(out(*open).length_m, 1.05 * 193);
  EXPECT_GT(out(*open).unnoticed, out(*shut).unnoticed + 0.1);
}

TEST(FieldSense, AMorningBetweenBedAndDawnFoodIsWorseThanTheEvening) {
  Ground g(0, 4);
  g.put_in(Kind::bedding, box(250, 320, 100, 60), "Bed");
  g.put_in(Kind::food, box(200, 20, 200, 80), "Dawn food");
  g.put_in(Kind::deer_trail, Shape::line({at(300, 320), at(290, 240), at(300, 100)}), "Trail");
  g.point(Kind::stand, 300, 235, "Between");
  g.point(Kind::gate, 300, 598, "North gate");
  g.point(Kind::gate, 300, 2, "South gate");
  const Plan plan = g.plan(*parse_iso8601("2026-11-14T06:00:00Z"), 1);
  ASSERT_EQ(plan.cells.size(), 2U);
  EXPECT_TRUE(plan.sits[0].morning);
  EXPECT_LT(plan.cells[0].score, 0.5 * plan.cells[1].score);
  const auto why = [&](size_t n) { return ::testing::PrintToString(plan.cells[n].reasons); };
  EXPECT_THAT(why(0), HasSubstr("Most deer on Trail come through your scent"));
  EXPECT_THAT(why(1), Not(HasSubstr("come through your scent")));
}

Ground bed_by_a_creek(bool confirmed) {
  Ground g(270, 4);
  g.put_in(Kind::bedding, box(200, 260, 100, 80), "Bed");
  g.put_in(Kind::water, Shape::line({at(400, 2), at(400, 598)}), "Creek");
  auto& water = g.last().as<WaterAttrs>();
  water.type = WaterType::creek;
  water.walkable = confirmed;
  water.banks_m = 2;
  water.width_m = 6;
  g.store();
  g.point(Kind::stand, 408, 400, "Creek stand");
  g.point(Kind::gate, 200, 2, "Gate");
  return g;
}

TEST(FieldSense, NoQuietWayPassesUpwindOfTheBed) {
  const auto r = bed_by_a_creek(true).evaluate(kAfternoon);
  for (const LocalXY p : in(*r, Trade::careful).points)
    EXPECT_FALSE(p.x < at(200, 0).x - 10 && p.y > at(0, 200).y) << p.x - kWest;
}

TEST(FieldSense, AConfirmedCreekIsAWayAndHides) {
  const auto r = bed_by_a_creek(true).evaluate(kAfternoon);
  const Way& quiet = in(*r, Trade::careful);
  int wading = 0;
  for (const LocalXY p : quiet.points) wading += std::abs(p.x - at(400, 0).x) < 6 ? 1 : 0;
  EXPECT_GT(wading, 3);
}

TEST(FieldSense, ACreekThatIsNotConfirmedIsNoWayAndCannotBeCrossed) {
  const auto r = bed_by_a_creek(false).evaluate(kAfternoon);
  EXPECT_EQ(only(*r).way_in[1], nullptr);
  EXPECT_THAT(only(*r).no_way, HasSubstr("water"));
}

TEST(FieldSense, AWayInTheDarkKeepsClearOfACliffEdge) {
  Ground g(270, 4);
  g.put_in(Kind::barrier, Shape::line({at(300, 200), at(300, 400)}), "Ledge");
  g.last().as<BarrierAttrs>().type = BarrierType::cliff;
  g.store();
  g.point(Kind::stand, 304, 500, "Beyond").point(Kind::gate, 304, 100, "Gate");
  const auto r = g.evaluate(*parse_iso8601("2026-11-14T11:00:00Z"));  // two hours before sunrise
  for (const Trade t : {Trade::quick, Trade::balanced, Trade::careful})
    for (const LocalXY p : in(*r, t).points)
      EXPECT_GT(distance_m(g.document().of(Kind::barrier)[0]->shape, p), 7) << word(t);
}

TEST(FieldSense, InACalmAllStandsTieForScent) {
  Ground g(0, 0.4);
  g.put_in(Kind::bedding, box(270, 270, 60, 60), "Bed");
  for (const auto& [x, y, name] : {std::tuple{300.0, 220.0, "South"},
                                   {300.0, 380.0, "North"},
                                   {220.0, 300.0, "West"},
                                   {380.0, 300.0, "East"}})
    g.point(Kind::stand, x, y, name);
  g.point(Kind::gate, 300, 2, "Gate");
  const auto r = g.evaluate(kAfternoon);
  double least = 1e9, most = 0;
  for (const StandResult& s : r->stands) {
    ASSERT_FALSE(s.scent_on.empty());
    least = std::min(least, s.scent_on[0].exposure);
    most = std::max(most, s.scent_on[0].exposure);
  }
  EXPECT_GT(least, 0);
  EXPECT_LT(most, 1.25 * least);
}

TEST(FieldSense, InTimberTheStandDownwindOfTheBedIsClearlyBetterThoughItsAirIsSlow) {
  Ground g(0, 4.5);
  g.put_in(Kind::cover, box(5, 5, 590, 590), "Woods");
  g.put_in(Kind::bedding, box(270, 270, 60, 60), "Bed");
  g.point(Kind::stand, 300, 190, "South").point(Kind::stand, 300, 410, "North");
  g.point(Kind::gate, 300, 2, "Gate");
  const auto r = g.evaluate(kAfternoon);
  const auto on = [&](const char* name) {
    const StandResult& s = *r->find(Uid::from_seed(name));
    EXPECT_LT(s.air.speed_mps, 2) << name;
    return s.scent_on.empty() ? 0.0 : s.scent_on[0].exposure;
  };
  EXPECT_GT(on("North"), 4 * on("South"));
}

// The trail runs along x = 300 and the stand is 20 m east of it. In a wind from NNE (22.5 degrees)
// the line of scent crosses the trail 20 / tan(22.5) = 48 m south of the stand.
TEST(FieldSense, JustOffTheTrailADeerIsWindedAfterTheShotOrBeforeByTheWayItWalks) {
  const auto stand = [](double from_deg) {
    Ground g(from_deg, 4);
    g.put_in(Kind::deer_trail, Shape::line({at(300, 590), at(300, 10)}), "Trail");
    g.point(Kind::stand, 320, 300, "Off trail");
    g.point(Kind::gate, 595, 300, "Gate");
    return g.evaluate(kAfternoon);
  };
  const auto nne = stand(22.5), west = stand(270);
  ASSERT_EQ(only(*nne).meetings.size(), 2U);
  for (const TrailMeeting& m : only(*nne).meetings)
    EXPECT_EQ(m.first, m.from_start ? TrailMeeting::First::reach : TrailMeeting::First::scent);
  for (const TrailMeeting& m : only(*west).meetings)
    EXPECT_EQ(m.first, TrailMeeting::First::reach) << "straight off the trail";
}

// A felled wall with gaps between bed and food, from side to side of what is looked at, so that
// nothing walks around its ends; the only gate lies beyond.
Ground walled_land(std::vector<Gap> gaps) {
  Ground g(270, 4);
  g.put_in(Kind::bedding, box(270, 390, 80, 80), "North bed");
  g.put_in(Kind::food, box(250, 60, 100, 80), "South field");
  g.put_in(Kind::barrier, Shape::line({at(-400, 300), at(1000, 300)}), "Felled wall");
  g.last().as<BarrierAttrs>().gaps = std::move(gaps);
  g.store();
  g.point(Kind::stand, 480, 340, "Wall stand").point(Kind::gate, 480, 2, "South gate");
  return g;
}

TEST(FieldSense, DeerConcentrateInTheGapOfAFelledWallAndAWayThroughItIsACrossing) {
  const Ground g = walled_land({{700, 8}});
  const auto r = g.evaluate(kAfternoon);
  ASSERT_EQ(r->gaps.size(), 1U);
  EXPECT_GT(r->gaps[0].share, 0.99);
  bool charged = false;
  for (const Reason& why : reasons_of(in(*r, Trade::quick)))
    charged |= why.sense == Sense::ground_scent && why.area == Uid::from_seed("Felled wall");
  EXPECT_TRUE(charged);
  EXPECT_THAT(all_words(g.document(), *r), HasSubstr("a gap of its own for people"));
}

TEST(FieldSense, ASecondGapForPeopleIsTakenAndDeerKeepToTheNearOne) {
  const Ground g = walled_land({{700, 8}, {960, 2}});
  const auto r = g.evaluate(kAfternoon);
  ASSERT_EQ(r->gaps.size(), 2U);
  EXPECT_GT(r->gaps[0].share, 2 * r->gaps[1].share);
  const auto shared = walled_land({{700, 8}}).evaluate(kAfternoon);
  EXPECT_LT(in(*r, Trade::careful).hazard, in(*shared, Trade::careful).hazard);
  double nearest = 1e9;
  for (const LocalXY p : in(*r, Trade::careful).points)
    nearest = std::min(nearest, distance_m(p, at(562, 300)));
  EXPECT_LT(nearest, 12) << "the way leads through the second gap";
}

// The bed lies down the slope north of the stand, and a light wind blows up it.
Ground above_a_draw(LocalXY gate) {
  Ground g(0, 1.2);
  g.settings([](Settings& s) { s.hand_wind.cloud = 0; });
  Terrain slope;
  slope.ground = Raster<float>(GridSpec{at(-300, 0).x, at(0, 900).y, 5, 240, 240});
  for (int r = 0; r < 240; ++r)
    for (int c = 0; c < 240; ++c) {
      const double north = slope.ground.spec.centre(c, r).y - at(0, 0).y,
                   east = slope.ground.spec.centre(c, r).x - at(300, 0).x;
      slope.ground.at(c, r) =
          static_cast<float>(400 - 0.22 * north + 0.0006 * east * east);  // a draw toward the bed
    }
  g.on(slope);
  g.put_in(Kind::bedding, box(260, 330, 80, 60), "Draw bed");
  g.put_in(Kind::deer_trail, Shape::line({at(200, 230), at(400, 230)}), "Bench trail");
  g.point(Kind::stand, 300, 215, "Above the draw").point(Kind::gate, gate.x, gate.y, "Gate");
  return g;
}

TEST(FieldSense, AfterTheSlopeAirTurnsTheScentGoesDownToTheBed) {
  const Ground g = above_a_draw({300, 2});
  const auto on_bed = [&](const Results& r) {
    for (const ScentOn& s : only(r).scent_on)
      if (s.area == Uid::from_seed("Draw bed")) return s.exposure;
    return 0.0;
  };
  const auto early = g.evaluate(*parse_iso8601("2026-11-14T19:00:00Z")),  // 13:00
      late = g.evaluate(*parse_iso8601("2026-11-14T22:45:00Z"));          // 16:45, sunset 16:58
  EXPECT_GT(on_bed(*late), 4 * on_bed(*early));
  ASSERT_TRUE(only(*early).air.drains_from) << "said beforehand";
  EXPECT_LT(*only(*early).air.drains_from, *parse_iso8601("2026-11-14T23:30:00Z"));
  EXPECT_EQ(only(*early).air.drains_on, Uid::from_seed("Draw bed"));
  EXPECT_THAT(all_words(g.document(), *early), HasSubstr("Draw bed"));
}

TEST(FieldSense, ThePlanOffersToBeOutBeforeTheSlopeAirTurnsOnlyByACleanWay) {
  const auto ground = [](LocalXY gate) {
    Ground g = above_a_draw(gate);
    g.put_in(Kind::cover, box(150, 270, 300, 40), "Screen");
    return g;
  };
  const auto evening = [](const Ground& g) { return g.plan(kAfternoon, 1).cells.back(); };
  const auto why = [](const PlanCell& c) {
    std::string all;
    for (const std::string& s : c.reasons) all += s + "\n";
    return all;
  };
  const Ground uphill = ground({300, 2});
  const PlanCell up = evening(uphill), past_the_bed = evening(ground({300, 598}));
  ASSERT_TRUE(up.scent_from && up.out_by);
  EXPECT_EQ(*up.scent_from - *up.out_by, std::chrono::minutes(15));
  EXPECT_FALSE(only(*uphill.evaluate(*up.out_by)).margin.passed);
  EXPECT_TRUE(only(*uphill.evaluate(*up.scent_from)).margin.passed);
  EXPECT_THAT(why(up), HasSubstr("your scent lies on Draw bed: out by "));
  ASSERT_TRUE(past_the_bed.scent_from);
  EXPECT_FALSE(past_the_bed.out_by);
  EXPECT_EQ(past_the_bed.verdict, Verdict::leave_alone);
  EXPECT_THAT(why(past_the_bed), HasSubstr("no way out before it is clean: better not to go"));
}

// Bedding south of a field where the deer feed at night; the stand on the bed's south edge.
Ground bed_stand() {
  Ground g(0, 4);
  g.put_in(Kind::bedding, box(250, 300, 100, 60), "Bed");
  g.put_in(Kind::food, box(20, 480, 120, 100), "Night field");
  g.point(Kind::stand, 300, 285, "Bed stand").point(Kind::gate, 300, 2, "South gate");
  return g;
}

TEST(FieldSense, ABeddingStandIsEnteredWellBeforeLightOrNotAtAllButInTheRut) {
  const Ground g = bed_stand();
  const Instant sunrise = *parse_iso8601("2026-11-14T12:53:00Z");
  const auto dark = g.evaluate(sunrise - std::chrono::minutes(105)),
             late = g.evaluate(sunrise + std::chrono::minutes(60));
  EXPECT_GT(in(*dark).unnoticed, 0.75);
  EXPECT_LT(in(*late).unnoticed, in(*dark).unnoticed - 0.2);
  EXPECT_EQ(reasons_of(in(*late)).at(0).area, Uid::from_seed("Bed"));
  const auto says = [](const Ground& on, const Results& r, const char* words) {
    return all_words(on.document(), r).find(words) != std::string::npos;
  };
  EXPECT_TRUE(says(g, *late, "be in well before light"));
  EXPECT_FALSE(says(g, *dark, "be in well before light"));
  Ground rut = bed_stand();
  rut.settings([](Settings& s) { s.rut = {{"Rut", "2026-11-05", "2026-11-20", 1.5}}; });
  EXPECT_TRUE(says(rut, *rut.evaluate(sunrise + std::chrono::minutes(60)), "usual in the rut"));
}

// The wind turns by 40 degrees from arrival to the end of light. One stand has the better trail and
// a narrow margin, the other a wide one.
TEST(FieldSense, AWindThatSwingsPutsAWideMarginBeforeANarrowOne) {
  const auto ground = [](double turn_deg) {
    Ground g(180, 4);
    g.put_in(Kind::bedding, box(270, 390, 80, 80), "North bed");
    g.put_in(Kind::deer_trail, Shape::line({at(180, 150), at(180, 240)}), "Good trail");
    g.last().as<DeerTrailAttrs>().use = TrailUse::heavy;
    g.store();
    g.put_in(Kind::deer_trail, Shape::line({at(545, 150), at(545, 240)}), "Fair trail");
    g.last().as<DeerTrailAttrs>().use = TrailUse::moderate;
    g.store();
    g.point(Kind::stand, 190, 255, "Narrow").point(Kind::stand, 555, 255, "Wide");
    g.point(Kind::gate, 2, 255, "West gate").point(Kind::gate, 598, 255, "East gate");
    std::vector<double> from(12);
    for (size_t i = 0; i < from.size(); ++i)
      from[i] = 180 + std::clamp(turn_deg * (static_cast<double>(i) - 2) / 3, 0.0, turn_deg);
    g.forecast(*parse_iso8601("2026-11-14T18:00:00Z"), from);
    return g;
  };
  const auto scores = [](const Ground& g) {
    const Plan plan = g.plan(kAfternoon, 1);
    std::pair<PlanCell, PlanCell> out;
    for (const PlanCell& c : plan.cells)
      (c.stand == Uid::from_seed("Narrow") ? out.first : out.second) = c;
    return out;
  };
  const auto [narrow_steady, wide_steady] = scores(ground(0));
  const auto [narrow, wide] = scores(ground(40));
  EXPECT_GT(narrow_steady.score, wide_steady.score);
  EXPECT_GT(wide.score, narrow.score);
  EXPECT_LT(narrow.score, 0.95 * narrow_steady.score);
  EXPECT_NEAR(wide.score, wide_steady.score, 0.02);
  std::string why;
  for (const std::string& s : narrow.reasons) why += s + "\n";
  EXPECT_THAT(why, HasSubstr("(then North bed)"));
  EXPECT_THAT(why, HasSubstr("The wind turns by 40°"));
}

}  // namespace
}  // namespace leeward
