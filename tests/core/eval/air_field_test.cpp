#include "core/eval/air_field.h"

#include "core/eval/air.h"
#include "core/eval/stand_air.h"
#include "tests/support/land_turns.h"
#include "tests/support/small_property.h"
#include "tests/support/terrain_makers.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace leeward {
namespace {

using namespace leeward::testing;

// Airfield to forest floor, canopy 20 m (z0 a tenth, displacement 0.67 of it, blending height
// 100 m): 0.4424 at the top (tabulated shares of the log law); exponential below it (Inoue 1963;
// Cionco 1965), index 2.5 gives 0.0466 at 2 m and 0.0769 at 6 m.
TEST(SurfaceProfile, OpenGroundFollowsTheLogLawAndTimberTheExponential) {
  EXPECT_NEAR(surface_profile(2, 0, 0), 0.7229, 1e-4);  // z0 0.03 m
  EXPECT_NEAR(surface_profile(20, 20, 2.5), 0.4424, 1e-3);
  EXPECT_NEAR(surface_profile(2, 20, 2.5), 0.0466, 2e-4);
  EXPECT_NEAR(surface_profile(6, 20, 2.5), 0.0769, 2e-4);
  EXPECT_NEAR(surface_profile(2, 20, 1.5), 0.1147, 2e-4);
  EXPECT_GT(surface_profile(2, 20, 1.3), surface_profile(2, 20, 2.68));  // leaves off and on
}

// `open_from`: columns of the analysis grid from here on are field, the rest is timber of 18 m.
AnalysisLand half_timber(const GridSpec& g, int open_from) {
  AnalysisLand land;
  land.cells = compute::SightLand(g);
  land.timber = Raster<std::uint8_t>(g, 0);
  land.attenuation = Raster<float>(g, 0.0F);
  for (int r = 0; r < g.rows; ++r)
    for (int c = 0; c < open_from; ++c) {
      land.cells.at(c, r).top_m = 18;
      land.timber.at(c, r) = 1;
      land.attenuation.at(c, r) = 2.68F;
    }
  return land;
}

TEST(AirCover, AFieldBesideTimberHasFieldWindAndANarrowGapDoesNot) {
  const GridSpec g{0, 1000, 5, 200, 200};
  AnalysisLand land = half_timber(g, 100);  // edge at x = 500
  for (int r = 0; r < g.rows; ++r)          // a ride of 10 m at x = 200
    for (const int c : {40, 41})
      land.cells.at(c, r).top_m = 0, land.timber.at(c, r) = 0, land.attenuation.at(c, r) = 0;
  const AirCover cover = make_air_cover(land);
  const Raster<float>& p = cover.profile[0];
  const auto at = [&](double x) { return static_cast<double>(p.value_or({x, 500}, -1)); };
  EXPECT_NEAR(at(535), 0.7229, 0.001);  // 35 m into the field: all of it
  EXPECT_GT(at(525), 0.6);
  EXPECT_LT(at(475), 0.08);         // 25 m into the timber
  EXPECT_GT(at(505), 2 * at(475));  // the edge lies between
  EXPECT_LT(at(505), 0.7);
  EXPECT_LT(at(202), 0.2);
  EXPECT_EQ(cover.deep.value_or({100, 500}, 9), 0);  // ten tree heights from the ride
}

TEST(AirCover, DeepTimberIsTenTreeHeightsFromAnyOpening) {
  const GridSpec g{0, 1000, 5, 200, 200};
  const AirCover cover = make_air_cover(half_timber(g, 100));
  EXPECT_EQ(cover.deep.value_or({250, 500}, 9), 1);  // 250 m from the edge
  EXPECT_EQ(cover.deep.value_or({400, 500}, 9), 0);
  EXPECT_EQ(cover.deep.value_or({800, 500}, 9), 0);
}

// Over steep ground under timber in strips.
TEST(LandTurns, ToleranceCostsLessThanATenThousandthOfTheWind) {
  Terrain terrain;
  terrain.ground = seeded_ground(GridSpec{-400, 900, 5, 280, 260}, 7);
  for (float& z : terrain.ground.cells) z *= 2;
  const GridSpec g{0, 500, 5, 120, 100};
  Raster<float> cover(air_grid(g), 0.0F);
  for (int r = 0; r < cover.spec.rows; ++r)
    for (int c = 0; c < cover.spec.cols; ++c)
      if ((r / 7 + c / 10) % 2 == 0) cover.at(c, r) = 18;
  const Raster<float> ground = land_wind_ground(terrain, g);
  const auto near = land_wind_solver(ground, g, {0, 1, 2}),
             nearer = land_wind_solver(ground, g, {0, 1, 2}, 1e-8);
  ASSERT_TRUE(near && nearer);
  const auto fast = solve_land_turns(*near, cover, g, {}),
             exact = solve_land_turns(*nearer, cover, g, {});
  ASSERT_TRUE(fast && exact);
  double most = 0;
  for (size_t n = 0; n < kRatioCount; ++n)
    for (size_t h = 0; h < kCarryHeights_m.size(); ++h)
      for (size_t i = 0; i < cover.cells.size(); ++i) {
        const LandTurn::Turn &a = (*fast)[n].at[h][i], &b = (*exact)[n].at[h][i];
        for (size_t wind = 0; wind < 4; wind += 2)
          most = std::max(most, std::hypot(static_cast<double>(a[wind] - b[wind]),
                                           static_cast<double>(a[wind + 1] - b[wind + 1])));
      }
  EXPECT_LT(most, 1e-4);
}

AirNow west_wind(double speed) {
  AirNow air;
  air.known = true;
  air.from = WindFrom(Bearing::degrees(270));
  air.speed_10m_mps = speed;
  return air;
}

TEST(Flow, LevelGroundBendsNothingAndAHillDoes) {
  const GridSpec g{0, 1000, 5, 200, 200};
  Terrain level, hill;
  level.ground = hill.ground = Raster<float>(GridSpec{-500, 1500, 5, 400, 400}, 100.0F);
  for (int r = 0; r < 400; ++r)
    for (int c = 0; c < 400; ++c) {
      const LocalXY p = hill.ground.spec.centre(c, r);
      const double d = std::hypot(p.x - 500, p.y - 500);
      hill.ground.at(c, r) += static_cast<float>(40 * std::exp(-d * d / 40000));
    }
  const AnalysisLand land = half_timber(g, 0);
  const AirCover cover = make_air_cover(land);
  const Judgement j;
  const AirNow air = west_wind(4);
  const auto flow = [&](const Terrain& t) {
    const AirGround ground = *make_air_ground(t, g, {});
    const LandTurns turn = testing::all_land_turns(t, land);
    return wind_response({ground, cover, turn, nullptr, air, j}, 0).flow(upwind_mps(air, air.from));
  };
  const compute::Flow flat = flow(level), bent = flow(hill);
  const auto speed = [](const compute::Flow& f, double x, double y) {
    const auto c = f.at({x, y});
    return static_cast<double>(std::hypot(c.east, c.north));
  };
  for (const double x : {100.0, 500.0, 900.0}) {
    EXPECT_NEAR(flat.at({x, 500}).east, 4 * 0.7229, 0.01);
    EXPECT_NEAR(flat.at({x, 500}).north, 0, 0.01);
  }
  EXPECT_GT(speed(bent, 500, 500), 1.15 * speed(flat, 500, 500));  // faster over the top
  EXPECT_LT(speed(bent, 300, 500), speed(flat, 300, 500));         // slower at its windward foot
  // Round it: north of the middle on the way up the air turns north.
  EXPECT_GT(bent.at({380, 620}).north, 0.05);
  EXPECT_LT(bent.at({380, 380}).north, -0.05);
}

TEST(AirMap, MarksTheLeeTheCalmAndTheTransition) {
  const GridSpec g{0, 1000, 5, 200, 200};
  Terrain ridge;
  ridge.ground = Raster<float>(GridSpec{-500, 1500, 5, 400, 400});
  for (int r = 0; r < 400; ++r)
    for (int c = 0; c < 400; ++c) {
      const double x = ridge.ground.spec.centre(c, r).x - 500;
      ridge.ground.at(c, r) = static_cast<float>(60 * std::exp(-x * x / 10000));
    }
  const AnalysisLand land = half_timber(g, 0);
  const AirCover cover = make_air_cover(land);
  const AirGround ground = *make_air_ground(ridge, g, {});
  const Judgement j;
  SunNow day, low;
  day.altitude_deg = 30, low.altitude_deg = 3;
  const auto doubt = [&](const AirNow& air, const SunNow& sun, double x) {
    const LandTurns level;
    const AirInputs in{ground, cover, level, nullptr, air, j};
    return make_air_map(in, wind_response(in, 0).flow(upwind_mps(air, air.from)), sun)
        .doubt.value_or({x, 500}, 99);
  };
  EXPECT_EQ(doubt(west_wind(5), day, 600), kDoubtLee);  // east of the ridge
  EXPECT_EQ(doubt(west_wind(5), day, 300), 0);          // windward
  EXPECT_EQ(doubt(west_wind(5), low, 300), 0);          // strong wind has no transition
  EXPECT_EQ(doubt(west_wind(1.6), low, 300), kDoubtTransition);
  EXPECT_EQ(doubt(west_wind(0.8), day, 300), kDoubtCalm);
}

// West wind; a bed straight downwind, and one 45 degrees to the left of it seen from the stand.
struct Sit {
  GridSpec grid{0, 1000, 5, 200, 200};
  AirGround ground;
  AirCover cover = make_air_cover(half_timber(grid, 0));
  Judgement j;
  AirNow air = west_wind(4);
  LocalXY at{300, 500};
  std::vector<DeerArea> areas;

  void bed(LocalXY p) {
    DeerArea a;
    a.uid = Uid::from_seed("bed" + std::to_string(areas.size()));
    a.feature = make_ref<Feature>(make_feature(
        Kind::bedding, Shape::area({p, {p.x + 20, p.y}, {p.x + 20, p.y + 20}, {p.x, p.y + 20}})));
    a.samples = {{p.x + 10, p.y + 10}};
    a.occupancy = 0.8;
    areas.push_back(a);
  }
  compute::PlumeTable table() const { return compute::PlumeTable(plume_air(air, 1, j)); }
  compute::WindResponse response() const {
    const LandTurns level;
    return wind_response({ground, cover, level, nullptr, air, j}, 0);
  }
  compute::Flow flow(double swing) const {
    return response().flow(upwind_mps(air, WindFrom(air.from.source().turned_deg(swing))));
  }
  SwingMargin margin(double limit) const {
    const AreaCells cells = area_cells(areas, grid);
    const auto scent = scent_on_areas(compute::ScentPlume(flow(0), table(), at), areas, cells,
                                      compute::PolarPlaces(centres_of(cells, grid), at));
    return swing_margin(scent, response(), table(), air, at, areas, limit);
  }
};

TEST(SwingMargin, IsTheAngleAtWhichTheScentReachesTheBed) {
  Sit sit;
  sit.bed({440, 630});  // north-east of the stand: reached when the wind comes from the south-west
  const double limit = 0.005;
  const SwingMargin m = sit.margin(limit);
  EXPECT_FALSE(m.passed);
  EXPECT_EQ(m.veer_deg, SwingMargin::kMost_deg);  // veering carries it away
  EXPECT_TRUE(m.veer_area.empty());
  EXPECT_EQ(m.back_area, sit.areas[0].uid);
  // Found again by small steps of a straight wind.
  double swing = 0;
  const auto felt = [&](double back) {
    return 0.8 *
           compute::ScentPlume(sit.flow(-back), sit.table(), sit.at).at(sit.areas[0].samples[0]);
  };
  while (felt(swing) <= limit && swing < 90) swing += 0.5;
  EXPECT_NEAR(m.back_deg, swing, 2.5);
  EXPECT_GT(m.back_deg, 5);
  EXPECT_GT(sit.margin(0.01).back_deg, m.back_deg);  // an absolute level of the user's
}

TEST(SwingMargin, IsPassedWhereTheScentLiesOnTheBedNow) {
  Sit sit;
  sit.bed({420, 490});
  const SwingMargin m = sit.margin(0.005);
  EXPECT_TRUE(m.passed);
  EXPECT_EQ(m.veer_deg, 0);
  EXPECT_EQ(m.back_deg, 0);
}

TEST(TrailMeetings, ADeerFromDownwindSmellsBeforeItIsInReach) {
  Sit sit;
  const compute::ScentPlume scent(sit.flow(0), sit.table(), sit.at);
  Raster<std::uint8_t> sight(sit.grid, 255);
  Feature trail = make_feature(Kind::deer_trail, Shape::line({{100, 515}, {300, 515}, {600, 515}}));
  trail.uid = Uid::from_seed("trail");
  const auto meetings = [&] {
    const TrailPlaces places = trail_places({make_ref<Feature>(trail)});
    return trail_meetings(places, scent.at(compute::PolarPlaces(places.at, sit.at)), sight, sit.at,
                          30, 0.05);
  };
  const auto both = meetings();
  ASSERT_EQ(both.size(), 2U);
  EXPECT_TRUE(both[0].from_start);  // from the west, upwind of the stand
  EXPECT_EQ(both[0].first, TrailMeeting::First::reach);
  EXPECT_EQ(both[1].first, TrailMeeting::First::scent);  // from the east
  EXPECT_GT(both[1].before_m, 50);
  trail.as<DeerTrailAttrs>().direction = TrailDirection::toward_start;
  EXPECT_EQ(meetings().size(), 1U);
}

// A slope that falls to the east: in the evening the sun leaves it first, and air drains east.
TEST(DrainsFrom, TheShadedSlopeDrainsBeforeTheSunlitOne) {
  const GridSpec g{0, 2000, 5, 400, 400};
  Terrain t;
  t.ground = Raster<float>(GridSpec{0, 2000, 5, 400, 400});
  for (int r = 0; r < 400; ++r)
    for (int c = 0; c < 400; ++c) {
      const double x = t.ground.spec.centre(c, r).x;  // a ridge along x = 1000
      t.ground.at(c, r) = static_cast<float>(200 - 0.15 * std::abs(x - 1000));
    }
  const AirGround ground = *make_air_ground(t, g, {});
  const LonLat place{-92.3, 38.95};
  const Instant noon = *parse_iso8601("2026-11-15T19:00:00Z");
  const auto sky = [&](double speed_mps) {
    SkyAhead out;
    for (int step = 0; step <= kSkySteps; ++step) {
      const Instant when = noon + step * kSkyStep;
      const SunNow s = sun_now(when, place);
      out.moments.push_back({when, {s.altitude_deg, Bearing::degrees(s.azimuth_deg)}, speed_mps});
    }
    return out;
  };
  const SkyAhead calm = sky(0.5);
  const LocalXY east{1500, 1000}, west{500, 1000};
  const auto east_drains = drains_from(ground, east, calm),
             west_drains = drains_from(ground, west, calm);
  ASSERT_TRUE(east_drains);
  ASSERT_TRUE(west_drains);
  EXPECT_LT(*east_drains + std::chrono::minutes{15}, *west_drains);
  EXPECT_NEAR(downhill(ground, east)->degrees(), 90, 2);
  // A wind of 4 m/s leaves no slope air; level ground has none.
  EXPECT_FALSE(drains_from(ground, east, sky(4)));
  Terrain level;
  level.ground = Raster<float>(t.ground.spec, 100.0F);
  EXPECT_FALSE(drains_from(*make_air_ground(level, g, {}), east, calm));
}

TEST(Engine, AnswersWithoutTheLandsWindFirstAndSaysSo) {
  const auto d = make_ref<Document>(small_property());
  const Ref<Terrain> terrain = small_terrain();
  Engine engine;
  Snapshot quick{d, terrain, scene_at(*d, kEvening), false}, full = quick;
  full.in_full = true;
  const auto first = *engine.evaluate(quick);
  EXPECT_TRUE(first->wind_pending);
  EXPECT_FALSE(first->air_map->bent);
  const auto second = *engine.evaluate(full);
  EXPECT_FALSE(second->wind_pending);
  EXPECT_TRUE(second->air_map->bent);
  const GridSpec grid = first->hazard_in->spec;
  EXPECT_NE(first->stands[0].scent->field(grid).cells, second->stands[0].scent->field(grid).cells);
  const int solved = engine.counts().wind;  // one for each ratio of the two hours
  EXPECT_GE(solved, 1);
  // A stand that moves asks for no new wind.
  Feature stand = *d->of(Kind::stand)[0];
  stand.shape = Shape::point(stand.shape.position() + LocalXY{4, 4});
  const auto moved_on = make_ref<Document>(edited(*d, {put(stand)}));
  EXPECT_FALSE(
      (*engine.evaluate({moved_on, terrain, scene_at(*d, kEvening), false}))->wind_pending);
  // With an edit of the cover the last wind serves while the new one is pending.
  Feature woods = *d->of(Kind::cover)[0];
  woods.as<CoverAttrs>().height_m = 9;
  const auto changed = make_ref<Document>(edited(*d, {put(woods)}));
  const auto third = *engine.evaluate({changed, terrain, scene_at(*changed, kEvening), false});
  EXPECT_TRUE(third->wind_pending);
  EXPECT_TRUE(third->air_map->bent);
  EXPECT_EQ(engine.counts().wind, solved);
}

TEST(Engine, AQuickAnswerHasTheChosenTradeAloneWhenTheWindTurns) {
  const Ref<Terrain> terrain = small_terrain();
  Document d = small_property();
  Settings s = *d.settings;
  s.use_hand_wind = true;
  d = edited(d, {put(s)});
  Engine engine;
  const auto ask = [&](const Document& document, bool in_full) {
    return *engine.evaluate({make_ref<Document>(document), terrain,
                             scene_at(document, kEvening, Trade::balanced), in_full});
  };
  EXPECT_FALSE(ask(d, true)->interim);
  const int before = engine.counts().access;
  s.hand_wind.from_deg = 200;
  d = edited(d, {put(s)});
  const auto quick = ask(d, false);
  EXPECT_TRUE(quick->interim);
  EXPECT_FALSE(quick->wind_pending);
  EXPECT_EQ(engine.counts().access - before, 2);  // in and out
  EXPECT_TRUE(quick->stands[0].way_in[static_cast<size_t>(Trade::balanced)]);
  EXPECT_FALSE(quick->stands[0].way_in[static_cast<size_t>(Trade::careful)]);
  EXPECT_FALSE(quick->stands[0].way_in[static_cast<size_t>(Trade::quick)]);
  const auto full = ask(d, true);
  EXPECT_FALSE(full->interim);
  EXPECT_TRUE(full->stands[0].way_in[static_cast<size_t>(Trade::careful)]);
  EXPECT_EQ(full->stands[0].way_in[1]->hazard, quick->stands[0].way_in[1]->hazard);
  EXPECT_EQ(full->stands[0].way_in[0]->hazard,
            evaluate_cold(d, terrain)->stands[0].way_in[0]->hazard);
}

}  // namespace
}  // namespace leeward
