#include "core/eval/engine.h"

#include "core/compute/scent_plume.h"
#include "core/eval/latest_wins.h"
#include "tests/support/small_property.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

namespace leeward {
namespace {

using namespace leeward::testing;

constexpr double kWarmTolerance = 1e-5;

void expect_same_way(const Ref<Way>& a, const Ref<Way>& b) {
  ASSERT_EQ(a == nullptr, b == nullptr);
  if (!a) return;
  // Cost, not geometry: two ways may tie.
  EXPECT_NEAR(a->time_s, b->time_s, kWarmTolerance * (1 + b->time_s));
  EXPECT_NEAR(a->hazard, b->hazard, kWarmTolerance * (1 + b->hazard));
}

void expect_same_raster(const Raster<float>& a, const Raster<float>& b) {
  ASSERT_EQ(a.spec, b.spec);
  for (size_t i = 0; i < a.cells.size(); ++i) {
    if (std::isnan(a.cells[i]) && std::isnan(b.cells[i])) continue;
    ASSERT_NEAR(a.cells[i], b.cells[i], kWarmTolerance * (1 + std::abs(b.cells[i])));
  }
}

void expect_same_fire(const std::vector<WeaponFire>& a, const std::vector<WeaponFire>& b) {
  ASSERT_EQ(a.size(), b.size());
  for (size_t i = 0; i < a.size(); ++i) {
    const WeaponFire &x = a[i], &y = b[i];
    EXPECT_EQ(x.entered(), y.entered());
    EXPECT_EQ(x.open_share, y.open_share);
    ASSERT_EQ(x.closed.size(), y.closed.size());
    for (size_t k = 0; k < x.closed.size(); ++k) {
      EXPECT_NEAR(turn_deg(x.closed[k].from, y.closed[k].from), 0, kWarmTolerance);
      EXPECT_NEAR(x.closed[k].width_deg(), y.closed[k].width_deg(), kWarmTolerance);
    }
    EXPECT_EQ(x.kept_from.size(), y.kept_from.size());
    ASSERT_EQ(x.lines.size(), y.lines.size());
    for (size_t k = 0; k < x.lines.size(); ++k) {
      EXPECT_EQ(x.lines[k].outcome, y.lines[k].outcome);
      EXPECT_EQ(x.lines[k].ends_at_m, y.lines[k].ends_at_m);
    }
    ASSERT_EQ(x.people.size(), y.people.size());
    for (size_t k = 0; k < x.people.size(); ++k) {
      EXPECT_EQ(x.people[k].name, y.people[k].name);
      EXPECT_EQ(x.people[k].doing, y.people[k].doing);
    }
  }
}

void expect_same_light(const StandLight& a, const StandLight& b) {
  EXPECT_EQ(a.known, b.known);
  ASSERT_EQ(a.sun.size(), b.sun.size());
  for (size_t i = 0; i < a.sun.size(); ++i)
    EXPECT_TRUE(a.sun[i].from == b.sun[i].from && a.sun[i].to == b.sun[i].to);
  for (const auto& [x, y] : {std::pair{&a.glare, &b.glare}, {&a.lit, &b.lit}}) {
    ASSERT_EQ(x->size(), y->size());
    for (size_t i = 0; i < x->size(); ++i) {
      EXPECT_EQ((*x)[i].feature, (*y)[i].feature);
      EXPECT_EQ((*x)[i].angle_deg, (*y)[i].angle_deg);
      EXPECT_TRUE((*x)[i].from == (*y)[i].from && (*x)[i].until == (*y)[i].until);
    }
  }
}

void expect_same_scent(const StandResult& a, const StandResult& b) {
  ASSERT_EQ(a.scent_on.size(), b.scent_on.size());
  for (size_t k = 0; k < a.scent_on.size(); ++k) {
    EXPECT_EQ(a.scent_on[k].area, b.scent_on[k].area);
    EXPECT_NEAR(a.scent_on[k].exposure, b.scent_on[k].exposure, kWarmTolerance);
    EXPECT_NEAR(a.scent_on[k].high, b.scent_on[k].high, kWarmTolerance);
  }
  EXPECT_EQ(a.margin.passed, b.margin.passed);
  EXPECT_NEAR(a.margin.veer_deg, b.margin.veer_deg, kWarmTolerance);
  EXPECT_NEAR(a.margin.back_deg, b.margin.back_deg, kWarmTolerance);
  EXPECT_EQ(a.margin.veer_area, b.margin.veer_area);
  EXPECT_EQ(a.margin.back_area, b.margin.back_area);
  ASSERT_EQ(a.meetings.size(), b.meetings.size());
  for (size_t k = 0; k < a.meetings.size(); ++k) {
    EXPECT_EQ(a.meetings[k].trail, b.meetings[k].trail);
    EXPECT_EQ(a.meetings[k].first, b.meetings[k].first);
    EXPECT_NEAR(a.meetings[k].before_m, b.meetings[k].before_m, kWarmTolerance);
  }
}

void expect_same(const Results& a, const Results& b) {
  ASSERT_EQ(a.stands.size(), b.stands.size());
  expect_same_raster(*a.hazard_in, *b.hazard_in);
  expect_same_raster(*a.hazard_out, *b.hazard_out);
  EXPECT_EQ(a.notes, b.notes);
  EXPECT_EQ(a.gaps, b.gaps);
  for (size_t i = 0; i < a.stands.size(); ++i) {
    const StandResult &x = a.stands[i], &y = b.stands[i];
    EXPECT_EQ(x.stand, y.stand);
    EXPECT_EQ(*x.sight, *y.sight);
    expect_same_raster(x.scent->field(a.hazard_in->spec), y.scent->field(a.hazard_in->spec));
    ASSERT_EQ(x.in_reach.size(), y.in_reach.size());
    for (size_t k = 0; k < x.in_reach.size(); ++k) {
      EXPECT_EQ(x.in_reach[k].feature, y.in_reach[k].feature);
      EXPECT_NEAR(x.in_reach[k].slant_m, y.in_reach[k].slant_m, kWarmTolerance);
      EXPECT_EQ(x.in_reach[k].skyline, y.in_reach[k].skyline);
      EXPECT_EQ(x.in_reach[k].seen_m, y.in_reach[k].seen_m);
      EXPECT_EQ(x.in_reach[k].line.outcome, y.in_reach[k].line.outcome);
    }
    expect_same_scent(x, y);
    expect_same_fire(x.fire, y.fire);
    expect_same_light(x.light, y.light);
    ASSERT_EQ(x.seen_from.size(), y.seen_from.size());
    for (size_t k = 0; k < x.seen_from.size(); ++k) {
      EXPECT_EQ(x.seen_from[k].area, y.seen_from[k].area);
      EXPECT_NEAR(x.seen_from[k].share, y.seen_from[k].share, kWarmTolerance);
    }
    EXPECT_EQ(x.rings.size(), y.rings.size());
    EXPECT_NEAR(x.sit_hazard_per_min, y.sit_hazard_per_min, kWarmTolerance);
    EXPECT_EQ(x.no_way, y.no_way);
    for (size_t t = 0; t < kTradeCount; ++t) {
      expect_same_way(x.way_in[t], y.way_in[t]);
      expect_same_way(x.way_out[t], y.way_out[t]);
    }
    expect_same_way(x.drawn_in, y.drawn_in);
    expect_same_way(x.drawn_out, y.drawn_out);
  }
}

Document move_stand(const Document& d, const char* name, double dx, double dy) {
  Feature f = *d.find(Uid::from_seed(name));
  f.shape = Shape::point(f.shape.position() + LocalXY{dx, dy});
  return edited(d, {put(f)});
}

// One random edit of any sort that a person makes.
Document random_edit(const Document& d, std::mt19937& random) {
  const auto roll = [&](int n) { return static_cast<int>(random() % static_cast<unsigned>(n)); };
  const auto coordinate = [&] { return static_cast<double>(roll(760)) + 20; };
  switch (roll(13)) {
    case 0:
      return move_stand(d, "Edge ladder", roll(41) - 20, roll(41) - 20);
    case 1:
      return move_stand(d, "Wall stand", roll(41) - 20, roll(41) - 20);
    case 2: {
      Settings s = *d.settings;
      s.use_hand_wind = true;
      s.hand_wind.from_deg = roll(360);
      s.hand_wind.speed_mps = 0.5 + roll(8);
      return edited(d, {put(s)});
    }
    case 3: {
      Feature f = *d.find(Uid::from_seed("Big woods"));
      f.as<CoverAttrs>().height_m = 2 + roll(20);
      f.as<CoverAttrs>().leaf_off_per_m = 0.01 * roll(20);
      return edited(d, {put(f)});
    }
    case 4: {
      const double x = coordinate() * 0.8, y = coordinate() * 0.8;
      return edited(d, {put(make_feature(Kind::bedding, box(x, y, 60, 50)))});
    }
    case 5: {
      Feature f = *d.find(Uid::from_seed("Wall"));
      f.as<BarrierAttrs>().gaps = {{10.0 + roll(230), 3.0 + roll(8)}};
      return edited(d, {put(f)});
    }
    case 6: {
      const Path p = {at(coordinate(), coordinate()), at(coordinate(), coordinate())};
      if (distance_m(p[0], p[1]) < 1) return d;
      return edited(d, {put(make_feature(Kind::deer_trail, Shape::line(p)))});
    }
    case 7:
      return edited(d,
                    {put(make_feature(Kind::stand, Shape::point(at(coordinate(), coordinate()))))});
    case 8: {
      Weapon w = *d.weapons->at(0);
      w.outer_m = 28 + roll(80);
      w.max_travel_m = w.outer_m + roll(400);
      for (auto& setback : w.setback_m) setback = roll(80);
      if (roll(4) == 0) w.setback_m[static_cast<size_t>(roll(kSetbackCount))].reset();
      return edited(d, {put(w)});
    }
    case 9: {
      Feature f = *d.of(Kind::stand)[static_cast<size_t>(roll(2))];
      f.as<StandAttrs>().sitter = roll(3) == 0 ? "" : "Ann";
      return edited(d, {put(f)});
    }
    case 10:
      return edited(
          d, {put(make_feature(Kind::dwelling, Shape::point(at(coordinate(), coordinate()))))});
    case 11: {
      Settings s = *d.settings;
      s.deer_pace_mps = 0.5 + 0.1 * roll(10);
      s.glare_within_deg = 10 + roll(40);
      s.sit_minutes = 60 + roll(240);
      return edited(d, {put(s)});
    }
    default: {
      const auto& beds = d.of(Kind::bedding);
      return beds.size() > 1 ? edited(d, {Remove{beds.back()->uid}})
                             : move_stand(d, "Edge ladder", 3, 3);
    }
  }
}

// The last of what was drawn goes again where there is much of a kind, so that the land stays
// small.
Document tidied(const Document& d) {
  for (const Kind k : {Kind::stand, Kind::deer_trail, Kind::bedding, Kind::dwelling})
    if (d.of(k).size() > 4) return tidied(edited(d, {Remove{d.of(k).back()->uid}}));
  return d;
}

// As a hand works: mostly quick answers, a full one where it rests; every fiftieth is compared.
TEST(Engine, WarmEqualsColdAfterFiveHundredRandomEdits) {
  const Ref<Terrain> terrain = small_terrain();
  std::mt19937 random(42);
  Engine warm;
  Document d = small_property();
  for (int i = 1; i <= 500; ++i) {
    d = tidied(random_edit(d, random));
    const Instant when = kEvening + std::chrono::minutes{30 * static_cast<int>(random() % 8)};
    const bool compared = i % 50 == 0;
    Snapshot question{make_ref<Document>(d), terrain, scene_at(d, when)};
    question.in_full = compared || random() % 40 == 0;
    auto got = warm.evaluate(question);
    ASSERT_TRUE(got);
    if (!compared) continue;
    expect_same(**got, *evaluate_cold(d, terrain, when));
    if (HasFatalFailure() || HasNonfatalFailure()) FAIL() << "after edit " << i;
  }
}

struct Deltas {
  Engine::Counts before, after;
};
Deltas run_edit(const std::function<Document(const Document&)>& change) {
  const Ref<Terrain> terrain = small_terrain();
  Engine engine;
  const Document d = small_property();
  EXPECT_TRUE(engine.evaluate({make_ref<Document>(d), terrain, scene_at(d, kEvening)}));
  Deltas out;
  out.before = engine.counts();
  const Document next = change(d);
  EXPECT_TRUE(engine.evaluate({make_ref<Document>(next), terrain, scene_at(next, kEvening)}));
  out.after = engine.counts();
  return out;
}

TEST(Engine, MovingAStandRerunsItsOwnSightAndScentOnly) {
  const Deltas d =
      run_edit([](const Document& doc) { return move_stand(doc, "Edge ladder", 7, 3); });
  EXPECT_EQ(d.after.sight - d.before.sight, 1);
  EXPECT_EQ(d.after.scent - d.before.scent, 1);
  EXPECT_EQ(d.after.hazard, d.before.hazard);
  EXPECT_EQ(d.after.access, d.before.access);
  EXPECT_EQ(d.after.area_sight, d.before.area_sight);
}

TEST(Engine, TurningTheWindRerunsScentHazardAndWaysOnly) {
  const Deltas d = run_edit([](const Document& doc) {
    Settings s = *doc.settings;
    s.use_hand_wind = true;
    s.hand_wind.from_deg = 90;
    return edited(doc, {put(s)});
  });
  EXPECT_EQ(d.after.scent - d.before.scent, 2);
  EXPECT_EQ(d.after.hazard - d.before.hazard, 2);
  EXPECT_EQ(d.after.access - d.before.access, 2 * (kTradeCount - 1));   // the quickest stays,
  EXPECT_EQ(3 * (d.after.lines - d.before.lines), 2 * d.before.lines);  // for each stand its line
  EXPECT_EQ(d.after.sight, d.before.sight);
  EXPECT_EQ(d.after.area_sight, d.before.area_sight);
  EXPECT_EQ(d.after.cover, d.before.cover);
}

TEST(Engine, RenamingNothingRerunsNothing) {
  const Deltas d = run_edit([](const Document& doc) {
    Settings s = *doc.settings;
    s.name = "Another name";
    return edited(doc, {put(s)});
  });
  EXPECT_EQ(d.after.sight + d.after.scent + d.after.hazard + d.after.access + d.after.cover,
            d.before.sight + d.before.scent + d.before.hazard + d.before.access + d.before.cover);
}

TEST(Engine, ScentOfAnEveningSitGoesDownwind) {
  const auto northwest = evaluate_cold(small_property(315), small_terrain());
  const auto southeast = evaluate_cold(small_property(135), small_terrain());
  const Uid stand = Uid::from_seed("Edge ladder");
  const auto exposure_on_bed = [&](const Results& r) {
    for (const ScentOn& s : r.find(stand)->scent_on)
      if (s.area == Uid::from_seed("East bed")) return s.exposure;
    return -1.0;
  };
  // The bed lies north-east of the stand: a south-west wind reaches it, a north-east wind does not.
  EXPECT_GT(exposure_on_bed(*evaluate_cold(small_property(225), small_terrain())),
            10 * exposure_on_bed(*evaluate_cold(small_property(45), small_terrain())));
  EXPECT_GE(exposure_on_bed(*northwest), 0);
  EXPECT_GE(exposure_on_bed(*southeast), 0);
}

TEST(Engine, WaysKeepOutOfSanctuaryAndInsideTheBoundary) {
  const Document d = small_property();
  const auto r = evaluate_cold(d, small_terrain());
  for (const StandResult& s : r->stands) {
    for (size_t t = 0; t < kTradeCount; ++t) {
      ASSERT_TRUE(s.way_in[t]);
      EXPECT_EQ(s.way_in[t]->gate, Uid::from_seed("South gate"));
      for (const LocalXY p : s.way_in[t]->points) {
        EXPECT_FALSE(contains(d.of(Kind::sanctuary)[0]->shape, p));
        EXPECT_LT(distance_m(d.of(Kind::boundary)[0]->shape, p), 10);
      }
    }
  }
}

TEST(Engine, ACarefulWayIsNeverMoreExposedNorQuickerThanTheQuickOne) {
  for (const double wind : {0.0, 90.0, 200.0, 315.0}) {
    const auto r = evaluate_cold(small_property(wind), small_terrain());
    for (const StandResult& s : r->stands) {
      EXPECT_LE(s.way_in[0]->time_s, s.way_in[1]->time_s + 1e-3);
      EXPECT_LE(s.way_in[1]->time_s, s.way_in[2]->time_s + 1e-3);
      EXPECT_GE(s.way_in[0]->hazard, s.way_in[1]->hazard - 1e-4);
      EXPECT_GE(s.way_in[1]->hazard, s.way_in[2]->hazard - 1e-4);
    }
  }
}

TEST(Engine, ClosingTheGapMakesTheWayLonger) {
  Document d = small_property();
  const Uid wall = Uid::from_seed("Wall");
  Feature ring = *d.find(wall);
  // A ring of felled trees around the second stand, with one gap; then none.
  ring.shape = Shape::line({at(380, 560), at(460, 560), at(460, 640), at(380, 640), at(380, 560)});
  ring.as<BarrierAttrs>().gaps = {{40, 6}};
  const auto open = evaluate_cold(edited(d, {put(ring)}), small_terrain());
  ring.as<BarrierAttrs>().gaps = {};
  const auto closed = evaluate_cold(edited(d, {put(ring)}), small_terrain());
  const Uid stand = Uid::from_seed("Wall stand");
  EXPECT_TRUE(open->find(stand)->way_in[0]);
  EXPECT_FALSE(closed->find(stand)->way_in[0]);
  EXPECT_NE(closed->find(stand)->no_way, "");
}

TEST(Engine, TheDrawnPathIsMeasuredAsDrawn) {
  const auto r = evaluate_cold(small_property(), small_terrain());
  const StandResult* s = r->find(Uid::from_seed("Edge ladder"));
  ASSERT_TRUE(s->drawn_in && s->drawn_out);
  EXPECT_NEAR(s->drawn_in->length_m, path_length_m({at(20, 20), at(200, 200), at(352, 398)}), 0.01);
  EXPECT_EQ(s->drawn_in->gate, Uid::from_seed("South gate"));
  EXPECT_TRUE(s->drawn_in->warnings.empty());
  // Stretch by stretch: the legs between the drawn corners, together the whole.
  ASSERT_EQ(s->drawn_in->legs.size(), 2U);
  EXPECT_NEAR(s->drawn_in->legs[0].length_m, distance_m(at(20, 20), at(200, 200)), 0.01);
  EXPECT_EQ(s->drawn_in->legs[0].to, at(200, 200));
  EXPECT_NEAR(s->drawn_in->legs[0].hazard + s->drawn_in->legs[1].hazard, s->drawn_in->hazard, 1e-9);
  EXPECT_NEAR(s->drawn_in->legs[0].time_s + s->drawn_in->legs[1].time_s, s->drawn_in->time_s, 1e-6);
  EXPECT_FALSE(r->find(Uid::from_seed("Wall stand"))->drawn_in);
}

TEST(Engine, AHedgeTakesTheStandOutOfSight) {
  Document d = small_property();
  const Uid stand = Uid::from_seed("Edge ladder"), clover = Uid::from_seed("Clover");
  const auto share = [&](const Document& doc) {
    const auto r = evaluate_cold(doc, make_ref<Terrain>());  // level ground
    for (const SeenFrom& s : r->find(stand)->seen_from)
      if (s.area == clover) return s.share;
    return 0.0;
  };
  const double open = share(d);
  EXPECT_GT(open, 0.1);
  Feature hedge =
      make_feature(Kind::cover, box(140, 440, 220, 40));  // between them, taller than the line
  hedge.as<CoverAttrs>() = {CoverType::conifer, 15, 0.3, 0.3};
  EXPECT_LT(share(edited(d, {put(hedge)})), 0.2 * open);
}

// A hand that drags a stand far away and back finds it as it is, not as it was when it left.
TEST(Engine, AHedgeThatGrewWhileTheStandWasAwayIsInItsWay) {
  const Document before =
      edited(small_property(), {put(make_feature(Kind::boundary, box(-200, -200, 2400, 2400)))});
  Feature hedge = make_feature(Kind::cover, box(140, 440, 220, 40));
  hedge.as<CoverAttrs>() = {CoverType::conifer, 15, 0.3, 0.3};
  const Document away = move_stand(before, "Edge ladder", 1500, 1500),
                 grown = edited(away, {put(hedge)}),
                 back = move_stand(grown, "Edge ladder", -1500, -1500);
  const auto ground = make_ref<Terrain>();
  Engine warm;
  Ref<Results> last;
  for (const Document* d : {&before, &away, &grown, &back}) {
    Snapshot question{make_ref<Document>(*d), ground, scene_at(*d, kEvening)};
    question.in_full = d == &before || d == &back;
    auto got = warm.evaluate(question);
    ASSERT_TRUE(got);
    last = *got;
  }
  expect_same(*last, *evaluate_cold(back, ground));
}

// While cover is dragged about two stands and one of them moves in between, a quick answer's sight
// is that of a fresh pass over the land as it is now, of one kind or the other.
TEST(Engine, SightInQuickAnswersIsThatOfAFreshPass) {
  std::mt19937 random(7);
  const auto ground = small_terrain();
  Document d = small_property();
  Feature hedge = make_feature(Kind::cover, box(340, 430, 60, 40));
  hedge.as<CoverAttrs>() = {CoverType::conifer, 15, 0.3, 0.3};
  Engine warm;
  ASSERT_TRUE(warm.evaluate({make_ref<Document>(d), ground, scene_at(d, kEvening)}));
  int quick = 0, exact = 0;
  for (int i = 0; i < 12; ++i) {
    const auto upto = [&](double m) { return m * static_cast<double>(random() % 1000) / 1000; };
    const bool far = i % 3 == 2;  // seen under a small angle
    hedge.shape = box((far ? 60 : 300) + upto(80), (far ? 100 : 400) + upto(60), 20 + upto(60), 30);
    d = edited(d, {put(hedge)});
    if (i % 5 == 4) d = move_stand(d, "Edge ladder", 3, -2);
    Snapshot question{make_ref<Document>(d), ground, scene_at(d, kEvening)};
    const auto whole = evaluate_cold(d, ground);
    question.in_full = false;
    const auto got = warm.evaluate(question), fresh = Engine().evaluate(question);
    ASSERT_TRUE(got && fresh);
    for (size_t n = 0; n < (*got)->stands.size(); ++n) {
      const auto& seen = (*got)->stands[n].sight->cells;
      const bool as_quick = seen == (*fresh)->stands[n].sight->cells,
                 as_exact = seen == whole->stands[n].sight->cells;
      ASSERT_TRUE(as_quick || as_exact) << i << ' ' << n;
      quick += !as_exact, exact += !as_quick;
    }
    EXPECT_TRUE((*got)->interim);
  }
  EXPECT_GT(quick, 4);
  EXPECT_GT(exact, 4);
}

TEST(Engine, UnknownWindIsSaidAndSpreadToAllSides) {
  Document d = small_property();
  d = edited(d, {Remove{Uid::from_seed("forecast")}});
  const auto r = evaluate_cold(d, small_terrain());
  EXPECT_FALSE(r->air.known);
  EXPECT_FALSE(r->notes.empty());
  const StandResult& s = r->stands[0];
  const LocalXY p = d.find(s.stand)->shape.position();
  float least = 1e9F, most = 0;
  for (int deg = 0; deg < 360; deg += 30) {
    const auto v = static_cast<float>(s.scent->at(moved(p, Bearing::degrees(deg), 80)));
    least = std::min(least, v);
    most = std::max(most, v);
  }
  EXPECT_LT(most, 2.5F * least);
}

TEST(Engine, AnEmptyPropertyAnswersWithNotes) {
  const auto r = evaluate_cold(Document{}, make_ref<Terrain>());
  EXPECT_TRUE(r->stands.empty());
  EXPECT_GE(r->notes.size(), 3U);
}

TEST(Engine, TheSunOfAnAerialAloneIsThatOfItsPlace) {
  Settings s;
  s.crs = "EPSG:32615";
  Terrain terrain;
  terrain.rasters = {kWest, kSouth, kWest + 500, kSouth + 500};
  const auto r = evaluate_cold(edited(Document{}, {put(s)}), make_ref<Terrain>(terrain));
  const auto drawn = evaluate_cold(small_property(), small_terrain());
  ASSERT_TRUE(r->sun_day.rise && drawn->sun_day.rise);
  EXPECT_LT(std::chrono::abs(*r->sun_day.rise - *drawn->sun_day.rise), std::chrono::minutes{1});
}

TEST(Engine, LegalLightIsTheUsersEntryRoundedInward) {
  Document d = small_property();
  auto r = evaluate_cold(d, small_terrain());
  ASSERT_TRUE(r->sun_day.legal_start && r->sun_day.rise && r->sun_day.legal_end && r->sun_day.set);
  EXPECT_GE(*r->sun_day.legal_start, *r->sun_day.rise - std::chrono::minutes{30});
  EXPECT_LE(*r->sun_day.legal_end, *r->sun_day.set + std::chrono::minutes{30});
  EXPECT_EQ(r->sun_day.legal_start->time_since_epoch().count() % 60, 0);
  Settings s = *d.settings;
  s.legal_before_sunrise_min.reset();
  r = evaluate_cold(edited(d, {put(s)}), small_terrain());
  EXPECT_FALSE(r->sun_day.legal_start);
}

TEST(Engine, ACancelledEvaluationSaysSoAndTheNextOneIsRight) {
  const Document d = small_property();
  const Ref<Terrain> terrain = small_terrain();
  Engine engine;
  std::stop_source stop;
  int stages = 0;
  auto r = engine.evaluate({make_ref<Document>(d), terrain, scene_at(d, kEvening)},
                           stop.get_token(), [&](double, const char*) {
                             if (++stages == 3) stop.request_stop();
                           });
  ASSERT_FALSE(r);
  EXPECT_EQ(r.error().code, ErrorCode::cancelled);
  r = engine.evaluate({make_ref<Document>(d), terrain, scene_at(d, kEvening)});
  ASSERT_TRUE(r);
  expect_same(**r, *evaluate_cold(d, terrain));
}

TEST(LatestWins, RunsTheNewestAndSkipsWhatWasReplaced) {
  std::mutex m;
  std::vector<int> ran;
  std::condition_variable done;
  {
    std::mutex gate;
    gate.lock();
    LatestWins<int> worker([&](const int& job, std::stop_token) {
      if (job == 0) gate.lock();
      const std::lock_guard lock(m);
      ran.push_back(job);
      done.notify_all();
    });
    worker.submit(0, WhenSuperseded::finish);
    std::this_thread::sleep_for(std::chrono::milliseconds(30));
    for (int i = 1; i <= 5; ++i) worker.submit(i, WhenSuperseded::finish);
    gate.unlock();
    std::unique_lock lock(m);
    done.wait(lock, [&] { return !ran.empty() && ran.back() == 5; });
  }
  EXPECT_EQ(ran, (std::vector<int>{0, 5}));
}

TEST(LatestWins, StopsTheRunningJobWhenAsked) {
  std::atomic<bool> stopped = false;
  {
    LatestWins<int> worker([&](const int& job, std::stop_token stop) {
      if (job != 0) return;
      while (!stop.stop_requested()) std::this_thread::yield();
      stopped = true;
    });
    worker.submit(0, WhenSuperseded::stop);
    std::this_thread::sleep_for(std::chrono::milliseconds(30));
    worker.submit(1, WhenSuperseded::stop);
  }
  EXPECT_TRUE(stopped);
}

}  // namespace
}  // namespace leeward
