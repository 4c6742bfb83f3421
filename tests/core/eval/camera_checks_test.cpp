// Each check of a camera both ways, on drawn ground. Limits (20 m, 10 minutes a day, 60 and 30 days
// ...): common practice, no source.
#include "core/eval/camera_checks.h"

#include "tests/support/ascii_map.h"

#include <gtest/gtest.h>

namespace leeward::testing {
namespace {

const Ref<Terrain> kFlat = make_ref<Terrain>();

Document facing(
    const std::string& drawing, double cell_m, double deg,
    const std::function<void(CameraAttrs&)>& change = [](CameraAttrs&) {}) {
  return with<CameraAttrs>(document_from_ascii(drawing, cell_m), "camera 1", [&](CameraAttrs& a) {
    a.facing_deg = deg;
    change(a);
  });
}
CameraResult result_of(const Document& d, Instant when = kEvening,
                       const Ref<Terrain>& terrain = kFlat) {
  return evaluate_cold(d, terrain, when)->cameras.at(0);
}
Check check_of(const Document& d, CheckId id, Instant when = kEvening) {
  const CameraResult r = result_of(d, when);
  const Check* c = find_check(r.checks, id);
  if (!c) throw std::runtime_error("the check is missing");
  return *c;
}
bool has(const Document& d, CheckId id) {
  const CameraResult r = result_of(d);
  return find_check(r.checks, id) != nullptr;
}

TEST(CameraView, IsTheWholeWedgeOnOpenGround) {
  const CameraResult r = result_of(facing("..C..", 10, 90));
  // 45 degrees in steps of at most 2: 23 steps, 24 lines of sight, and the camera itself.
  ASSERT_EQ(r.view.size(), 25U);
  EXPECT_NEAR(r.view_share, 1, 1e-9);
  const LocalXY at = r.view[0];
  for (size_t i = 1; i < r.view.size(); ++i) EXPECT_NEAR(distance_m(at, r.view[i]), 20, 1e-9);
  EXPECT_NEAR(bearing(at, r.view[1]).degrees(), 67.5, 1e-9);
  EXPECT_NEAR(bearing(at, r.view.back()).degrees(), 112.5, 1e-9);
}

TEST(CameraView, EndsWhereCoverHasTakenHalfOfTheSight) {
  // Cover from 10 m east on, 0.1 a metre: half of the sight is lost after ln 2 / 0.1 = 6.9 m in it,
  // at 16.9 m. Sight is followed in steps of 1 m over cells of 2.5 m.
  const Document d =
      with<CoverAttrs>(facing("....WWWWWW\n....WWWWWW\n.C..WWWWWW\n....WWWWWW\n....WWWWWW\n", 4, 90,
                              [](CameraAttrs& a) { a.field_of_view_deg = 2; }),
                       "cover 1", [](CoverAttrs& c) { c.leaf_off_per_m = 0.1; });
  const CameraResult r = result_of(d);
  const double end = distance_m(r.view[0], r.view[1]);
  EXPECT_NEAR(end, 16.9, 2.5);
  EXPECT_NEAR(r.view_share, end * end / 400, 0.1);
}

TEST(CameraView, EndsAtARise) {
  // Flat, but from 11 m east of the camera the ground is 3 m higher: the lens at 1 m sees no place
  // behind the edge.
  const Document d = facing("C", 2, 90, [](CameraAttrs& a) { a.field_of_view_deg = 2; });
  const LocalXY at = d.find(Uid::from_seed("camera 1"))->shape.position();
  Terrain t;
  t.ground = Raster<float>(GridSpec{at.x - 200.5, at.y + 200.5, 1, 401, 401}, 100.0F);
  for (int r = 0; r < 401; ++r)
    for (int c = 211; c < 401; ++c) t.ground.at(c, r) = 103;
  const CameraResult r = result_of(d, kEvening, make_ref<Terrain>(std::move(t)));
  // At 11 m the foot of the target stands on the edge and is seen; at 12 m it is hidden: to 3.8 m
  // above the lens's ground at 12 m the line passes the edge at 1 + 2.8 * 11 / 12 = 3.57 m, over
  // the edge's 3 m; it sinks below it where 1 + 2.8 * 11 / m < 3, from m = 15.4 on.
  EXPECT_NEAR(distance_m(r.view[0], r.view[1]), 15, 1.01);
}

TEST(CameraFaces, AScrapeOrATrailInItsWedge) {
  const CameraResult scrape = result_of(facing("C.....s", 2, 90));
  EXPECT_EQ(scrape.sees, std::vector<Uid>{Uid::from_seed("mock scrape 1")});
  EXPECT_EQ(find_check(scrape.checks, CheckId::faces)->says, "mock scrape 1 12 m away");
  // Trail 10 m east, running north and south: within 22.5 degrees it is 2 * 10 * tan 22.5 = 8.3 m.
  std::string trail;
  for (int i = 0; i < 11; ++i) trail += i == 5 ? "C....t\n" : ".....t\n";
  const Check seen = check_of(facing(trail, 2, 90), CheckId::faces);
  EXPECT_EQ(seen.state, CheckState::good);
  EXPECT_EQ(seen.says, "8.0 m of deer trail 1");  // counted metre by metre
  const Check away = check_of(facing(trail, 2, 270), CheckId::faces);
  EXPECT_EQ(away.state, CheckState::mend);
  EXPECT_NE(away.mend.find("Turn it 180°"), std::string::npos) << away.mend;
  const Check far = check_of(facing("C.....s", 5, 90), CheckId::faces);
  EXPECT_EQ(far.mend, "mock scrape 1 is 30 m off, beyond its reach of 20 m: hang it nearer.");
  EXPECT_EQ(check_of(facing("C....", 2, 90), CheckId::faces).state, CheckState::unknown);
}

// Hours between the horizon and 20 degrees on one side of noon, from the altitude formula sin h =
// sin lat sin dec + cos lat cos dec cos H with Cooper's declination (1969, from memory) 23.45 sin(
// 360 (284 + n) / 365).
double low_minutes(double lat_deg, int day_of_year) {
  const double dec = 23.45 * std::sin(2 * kPi * (284 + day_of_year) / 365) * kRadPerDeg,
               lat = lat_deg * kRadPerDeg;
  const auto hour_angle = [&](double h_deg) {
    return std::acos((std::sin(h_deg * kRadPerDeg) - std::sin(lat) * std::sin(dec)) /
                     (std::cos(lat) * std::cos(dec))) *
           kDegPerRad;
  };
  return (hour_angle(0) - hour_angle(20)) * 4;  // the Earth turns a degree in 4 minutes
}

TEST(CameraLowSun, TheSeasonsSunStandsLowAsLongAsTheFormulaSays) {
  const auto sun = season_low_sun({-90, 40}, 2026);
  double morning = 0, evening = 0, northmost = 180;
  for (const LowSun& s : sun) {
    (s.morning ? morning : evening) += s.minutes_a_day;
    northmost = std::min(northmost, s.azimuth_true_deg);
  }
  double sum = 0;
  for (int day = 244; day <= 244 + 152; ++day) sum += low_minutes(40, day > 365 ? day - 365 : day);
  EXPECT_NEAR(morning, sum / 153, 2);
  EXPECT_NEAR(evening, sum / 153, 2);
  // On 1 September it rises where cos Az = sin dec / cos lat; dec 8.2 degrees: Az 79.3.
  EXPECT_NEAR(northmost, 79.3, 1);
  EXPECT_EQ(season_of(*parse_iso8601("2027-01-20T12:00:00Z"), "UTC"), 2026);
  EXPECT_EQ(season_of(kEvening, "UTC"), 2026);
}

TEST(CameraLowSun, NorthIsNeverInTheSunAndEastAndWestAre) {
  const auto sun = [](double deg) { return check_of(facing("C....", 2, deg), CheckId::low_sun); };
  // Half of the view and 10 degrees: 32.5. North of 79 - 32.5 no low sun stands in it.
  EXPECT_EQ(sun(0).state, CheckState::good);
  EXPECT_EQ(sun(0).value, 0);
  EXPECT_NE(sun(0).says.find("never from Sep to Jan"), std::string::npos) << sun(0).says;
  const Check south_east = sun(125), south_west = sun(235);
  EXPECT_EQ(south_east.state, CheckState::mend);
  EXPECT_GT(south_east.value, 60);
  EXPECT_NE(south_east.says.find(" 0 before sunset"), std::string::npos) << south_east.says;
  EXPECT_NE(south_east.mend.find("out of the low sun"), std::string::npos) << south_east.mend;
  EXPECT_NE(south_west.says.find("it 0 min a day after sunrise"), std::string::npos)
      << south_west.says;
  // Mirror images about the noon line. Both see the same sun but for the days' drift.
  EXPECT_NEAR(south_east.value, south_west.value, 6);
}

TEST(CameraReach, NeedsAWayThatEntersNoBedding) {
  // Cells of 10 m; a bed across the whole boundary-less width leaves a way round at its ends.
  const char* round =
      "....C....\n"
      ".........\n"
      "..BBBBB..\n"
      ".........\n"
      "....G....\n";
  EXPECT_EQ(check_of(facing(round, 10, 0), CheckId::reachable).state, CheckState::good);
  // Fences from the ends of the bed to beyond the boundary: every way crosses the bed.
  Document d =
      edited(facing(round, 10, 0), {put(seeded(Kind::boundary, box(-100, -50, 300, 150), "Line"))});
  EXPECT_EQ(check_of(d, CheckId::reachable).state, CheckState::good);
  for (const double sign : {-1.0, 1.0}) {
    const double from = 45 + sign * 20, to = 45 + sign * 900;
    Feature fence = seeded(Kind::barrier, Shape::line({at(from, 25), at(to, 25)}),
                           sign > 0 ? "East fence" : "West fence");
    d = edited(d, {put(fence)});
  }
  const Check crosses = check_of(d, CheckId::reachable);
  EXPECT_EQ(crosses.state, CheckState::mend);
  EXPECT_EQ(crosses.says, "every way from a gate crosses bedding");
  const Check no_gate = check_of(facing("..C..", 10, 0), CheckId::reachable);
  EXPECT_EQ(no_gate.state, CheckState::unknown);
  EXPECT_FALSE(has(d, CheckId::service));
}

TEST(CameraService, InsideBeddingAWindowTakesThePlaceOfTheWay) {
  const char* inside =
      ".BBB.\n"
      ".BCB.\n"
      ".BBB.\n"
      "..G..\n";
  // The drawing's hole is the camera's letter; the bed is the box about the letters.
  const Check none = check_of(facing(inside, 10, 0), CheckId::service);
  EXPECT_EQ(none.state, CheckState::mend);
  EXPECT_EQ(none.says, "inside bedding 1, no service window");
  EXPECT_FALSE(has(facing(inside, 10, 0), CheckId::reachable));
  const auto window = [&](int month, int from_h, int to_h) {
    return facing(inside, 10, 0, [=](CameraAttrs& a) {
      a.service_months.set(month);
      a.service_from_h = from_h, a.service_to_h = to_h;
    });
  };
  // The scene is 14:30 on 14 November.
  const Check outside = check_of(window(7, 11, 14), CheckId::service);
  EXPECT_EQ(outside.state, CheckState::good);
  EXPECT_EQ(outside.value, 0);
  EXPECT_EQ(outside.says,
            "inside bedding 1, serviced in Jul, 11:00 to 14:00; the hour shown lies outside");
  EXPECT_EQ(check_of(window(11, 11, 14), CheckId::service).value, 0);  // 14:00 is the end
  const Check open = check_of(window(11, 11, 15), CheckId::service);
  EXPECT_EQ(open.value, 1);
  EXPECT_TRUE(open.mend.empty());
  EXPECT_EQ(check_of(window(7, 14, 11), CheckId::service).state, CheckState::mend);
}

TEST(CameraService, BatteryAndCardAreCountedInDays) {
  const auto dates = [](const char* battery, const char* card) {
    return facing("C....", 2, 0, [=](CameraAttrs& a) { a.battery_on = battery, a.card_on = card; });
  };
  // To 14 November: 1 October is 44 days back, 1 September 74.
  const Document fresh = dates("2026-10-01", "2026-11-01");
  EXPECT_EQ(check_of(fresh, CheckId::battery).state, CheckState::good);
  EXPECT_EQ(check_of(fresh, CheckId::battery).value, 44);
  EXPECT_EQ(check_of(fresh, CheckId::card).state, CheckState::good);
  const Document old = dates("2026-09-01", "2026-10-01");
  EXPECT_EQ(check_of(old, CheckId::battery).state, CheckState::mend);
  EXPECT_EQ(check_of(old, CheckId::battery).says, "74 days ago");
  EXPECT_EQ(check_of(old, CheckId::card).state, CheckState::mend);
  EXPECT_EQ(check_of(dates("", "soon"), CheckId::battery).state, CheckState::unknown);
  EXPECT_EQ(check_of(dates("", "soon"), CheckId::card).says, "“soon” is not a date");
}

}  // namespace
}  // namespace leeward::testing
