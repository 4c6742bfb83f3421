// Directions that are taken away at a stand, by hand-computed arcs; what lies behind; who is where.
// Setbacks and travels here are numbers for the test, no law. 20 m kept clear of people: common
// practice, no source.
#include "core/eval/fire.h"

#include "core/eval/explain.h"
#include "core/eval/explain_safety.h"
#include "tests/support/ascii_map.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cctype>

namespace leeward::testing {
namespace {

using compute::SetbackArc;
using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::Not;

const Ref<Terrain> kFlat = make_ref<Terrain>();
const Uid kStand = Uid::from_seed("stand 1");
constexpr double kEdge_deg = compute::kArcEdgeDeg;

// The bow reaches 40 m and flies 183; a setback from one kind of thing only, from the rest 0 unless
// it is left open.
Document with_setback(const Document& d, SetbackFrom from, double setback_m) {
  return with_bow(d, [&](Weapon& w) {
    w.outer_m = 40;
    w.max_travel_m = 183;
    w.setback_m.fill(0);
    w.setback_m[static_cast<size_t>(from)] = setback_m;
  });
}

// Everything is seen, or only what lies east of the stand.
Raster<std::uint8_t> seen_around(const Document& d, bool west_too = true) {
  const LocalXY at = d.find(kStand)->shape.position();
  Raster<std::uint8_t> out(GridSpec{at.x - 100, at.y + 100, 1, 200, 200}, 255);
  if (!west_too)
    for (int r = 0; r < 200; ++r) std::fill_n(out.row(r), 100, std::uint8_t{0});
  return out;
}
WeaponFire fire_of(const Document& d, const Uid& own_path = {}, bool west_too = true) {
  const FireLines none(d.weapons->size());
  return stand_fire(d, *d.find(kStand), *d.weapons, own_path, none, seen_around(d, west_too)).at(0);
}
void expect_arc(const SetbackArc& arc, double middle_deg, double half_deg) {
  EXPECT_FALSE(arc.whole_circle);
  EXPECT_NEAR(turn_deg(Bearing::degrees(middle_deg - half_deg), arc.from), 0, kEdge_deg);
  EXPECT_NEAR(turn_deg(Bearing::degrees(middle_deg + half_deg), arc.to), 0, kEdge_deg);
  EXPECT_GE(arc.width_deg(), 2 * half_deg - 1e-6);  // never too narrow
}

TEST(ClosedArc, OfADwellingWithinReachIsTheAngleOfItsTangents) {
  // 25 m east, 20 m kept: asin(20 / 25) = 53.13 degrees to each side.
  const Document d = with_setback(document_from_ascii("S....D", 5), SetbackFrom::dwelling, 20);
  const WeaponFire fire = fire_of(d);
  ASSERT_EQ(fire.kept_from.size(), 1U);
  EXPECT_EQ(fire.kept_from[0].feature, Uid::from_seed("dwelling 1"));
  EXPECT_EQ(fire.kept_from[0].from, SetbackFrom::dwelling);
  EXPECT_EQ(fire.kept_from[0].setback_m, 20);
  EXPECT_NEAR(fire.kept_from[0].nearest_m, 25, 1e-9);
  ASSERT_EQ(fire.closed.size(), 1U);
  expect_arc(fire.closed[0], 90, 53.130);
}

TEST(ClosedArc, OfADwellingBeyondReachIsWhereTheShotEndsWithinItsSetback) {
  // 100 m east, 80 m kept, a shot of 40 m: cos = (100^2 + 40^2 - 80^2) / (2 100 40) = 0.65.
  const Document drawn = document_from_ascii("S....D", 20);
  const WeaponFire fire = fire_of(with_setback(drawn, SetbackFrom::dwelling, 80));
  ASSERT_EQ(fire.closed.size(), 1U);
  expect_arc(fire.closed[0], 90, 49.458);
  // With 59 m kept it ends a metre short, with 101 m the stand itself lies inside.
  EXPECT_TRUE(fire_of(with_setback(drawn, SetbackFrom::dwelling, 59)).kept_from.empty());
  const WeaponFire inside = fire_of(with_setback(drawn, SetbackFrom::dwelling, 101));
  ASSERT_EQ(inside.closed.size(), 1U);
  EXPECT_TRUE(inside.closed[0].whole_circle);
  EXPECT_EQ(inside.open_share, 0);
}

TEST(ClosedArc, IsMadeByEachKindThatHasASetbackAndByNoOther) {
  const std::string across = ".x\n.x\n.x\n.x\nSx\n.x\n.x\n.x\n.x\n";  // 25 m east, 100 m each way
  const std::string box = "+....+\n.\n.\n.\n....S\n.\n.\n.\n+....+\n";
  const auto drawn = [](std::string map, char letter, double cell_m) {
    std::replace(map.begin(), map.end(), 'x', letter);
    return document_from_ascii(map, cell_m);
  };
  // A point 25 m east as above. A line there: a shot of 40 m comes within 20 m of it where
  // 40 cos >= 5, to 82.82 degrees on each side.
  const struct {
    SetbackFrom from;
    Document d;
    double half_deg;
  } rows[] = {{SetbackFrom::dwelling, drawn("S....x", 'D', 5), 53.130},
              {SetbackFrom::stand, drawn("S....x", 'S', 5), 53.130},
              {SetbackFrom::gate, drawn("S....x", 'G', 5), 53.130},
              {SetbackFrom::road, drawn(across, 'r', 25), 82.819},
              {SetbackFrom::human_path, drawn(across, 'p', 25), 82.819},
              {SetbackFrom::boundary, drawn(box, '+', 25), 82.819}};
  for (const auto& row : rows) {
    const WeaponFire fire = fire_of(with_setback(row.d, row.from, 20));
    ASSERT_EQ(fire.kept_from.size(), 1U) << word(row.from);
    EXPECT_EQ(fire.kept_from[0].from, row.from);
    ASSERT_EQ(fire.closed.size(), 1U);
    expect_arc(fire.closed[0], 90, row.half_deg);
    // The same land with a setback from something else that is not there.
    const auto other = row.from == SetbackFrom::gate ? SetbackFrom::dwelling : SetbackFrom::gate;
    Document open = with_setback(row.d, other, 20);
    open = with_bow(open, [&](Weapon& w) { w.setback_m[static_cast<size_t>(row.from)].reset(); });
    EXPECT_TRUE(fire_of(open).kept_from.empty()) << word(row.from);
  }
  // A setback of 0 is an entry: a shot may not cross the line, acos(25 / 40) to each side.
  const WeaponFire crossing = fire_of(with_setback(rows[5].d, SetbackFrom::boundary, 0));
  ASSERT_EQ(crossing.closed.size(), 1U);
  expect_arc(crossing.closed[0], 90, 51.318);
}

TEST(ClosedArc, OfTwoDwellingsAcrossNorthIsOne) {
  // Due north at 25 m: asin(8 / 25) = 18.66 to each side; 10 m east of it, at 21.80 degrees and
  // 26.93 m: 17.28. Together from 341.34 to 39.08.
  const WeaponFire fire = fire_of(
      with_setback(document_from_ascii("D.D\n.\n.\n.\n.\nS\n", 5), SetbackFrom::dwelling, 8));
  EXPECT_EQ(fire.kept_from.size(), 2U);
  ASSERT_EQ(fire.closed.size(), 1U);
  expect_arc(fire.closed[0], (341.34 - 360 + 39.08) / 2, (360 - 341.34 + 39.08) / 2);
}

TEST(ClosedArc, TheOwnPathDoesNotCloseItsStandButAnotherDoes) {
  Document d = document_from_ascii("ppppppS", 10);
  const LocalXY at = d.find(kStand)->shape.position();
  d = edited(d, {put(seeded(Kind::human_path,
                            Shape::line({at + LocalXY{-90, 25}, at + LocalXY{90, 25}}), "Other"))});
  d = with_setback(d, SetbackFrom::human_path, 20);
  const auto r = evaluate_cold(d, kFlat);
  const StandResult& stand = *r->find(kStand);
  EXPECT_EQ(stand.drawn_path, Uid::from_seed("path 1"));
  ASSERT_EQ(stand.fire.size(), 1U);
  ASSERT_EQ(stand.fire[0].kept_from.size(), 1U);
  EXPECT_EQ(stand.fire[0].kept_from[0].feature, Uid::from_seed("Other"));
  expect_arc(stand.fire[0].closed[0], 0, 82.819);
  // Were it counted, its end 10 m from the stand would close the whole ring.
  EXPECT_TRUE(fire_of(d).closed[0].whole_circle);
}

TEST(OpenShare, IsOfTheReachWhatIsSeenAndNotClosed) {
  // 106.26 of 360 degrees are closed; judged every 2 degrees.
  const Document d = with_setback(document_from_ascii("S....D", 5), SetbackFrom::dwelling, 20);
  EXPECT_NEAR(fire_of(d).open_share, 1 - 106.26 / 360, 2.0 / 180);
  // Of the eastern half alone, when the west is out of sight.
  EXPECT_NEAR(fire_of(d, {}, false).open_share, 0.5 - 106.26 / 360, 2.0 / 180);
}

TEST(Entries, NothingCountsUntilAllAreMade) {
  const Document drawn = document_from_ascii("S....D", 5);
  const WeaponFire none = fire_of(drawn);
  EXPECT_FALSE(none.entered());
  EXPECT_EQ(none.open_share, 0);
  EXPECT_EQ(fire_gap_text(none),
            "no setback is entered; farthest travel not entered. Check local law; until then no "
            "direction counts as looked at.");
  const Document all = with_setback(drawn, SetbackFrom::dwelling, 20);
  EXPECT_TRUE(fire_of(all).entered());
  EXPECT_GT(fire_of(all).open_share, 0.5);
  for (int k = 0; k < kSetbackCount; ++k) {
    const WeaponFire fire =
        fire_of(with_bow(all, [&](Weapon& w) { w.setback_m[static_cast<size_t>(k)].reset(); }));
    EXPECT_THAT(fire.not_entered, ElementsAre(static_cast<SetbackFrom>(k)));
    EXPECT_FALSE(fire.entered());
    EXPECT_EQ(fire.open_share, 0);
    EXPECT_THAT(fire_gap_text(fire), HasSubstr(std::string("setback not entered for ") +
                                               word(static_cast<SetbackFrom>(k)) + "."));
  }
  const WeaponFire no_travel = fire_of(with_bow(all, [](Weapon& w) { w.max_travel_m.reset(); }));
  EXPECT_FALSE(no_travel.entered());
  EXPECT_EQ(no_travel.open_share, 0);
  EXPECT_EQ(fire_gap_text(no_travel).find("farthest travel not entered."), 0U);
  ASSERT_EQ(no_travel.closed.size(), 1U);  // what is entered closes all the same
}

// --- people

Document sitting(const Document& d, const std::string& stand, const std::string& name) {
  return with<StandAttrs>(d, stand, [&](StandAttrs& s) { s.sitter = name; });
}
std::vector<PersonInReach> people_of(const Results& r, const Uid& stand = kStand) {
  return r.find(stand)->fire.at(0).people;
}
std::vector<std::string> words(const Document& d, const Results& r, const Uid& stand = kStand) {
  std::vector<std::string> out;
  for (const Sentence& s : explain_stand(d, r, *r.find(stand))) {
    out.push_back(s.text);
    out.push_back(s.detail);
  }
  for (const std::string& s : fire_cautions(d, r)) out.push_back(s);
  return out;
}
// The first sentence that begins so, or an empty one.
std::string beginning(const std::vector<std::string>& sentences, const std::string& with) {
  const auto it = std::find_if(sentences.begin(), sentences.end(),
                               [&](const std::string& s) { return s.starts_with(with); });
  return it == sentences.end() ? std::string() : *it;
}

TEST(People, WhoSitsInTheLineOfFireIsNamed) {
  // 100 m apart, 20 m kept clear: asin(20 / 100) = 11.54 degrees to each side.
  Document d = sitting(document_from_ascii("S.........S", 10), "stand 2", "Ann");
  d = with_setback(d, SetbackFrom::gate, 0);
  const auto r = evaluate_cold(d, kFlat);
  const auto people = people_of(*r);
  ASSERT_EQ(people.size(), 1U);
  EXPECT_EQ(people[0].name, "Ann");
  EXPECT_EQ(people[0].stand, Uid::from_seed("stand 2"));
  EXPECT_EQ(people[0].doing, PersonInReach::Doing::sitting);
  EXPECT_EQ(people[0].at, r->scene.arrive);
  EXPECT_NEAR(people[0].nearest_m, 100, 1e-9);
  EXPECT_NEAR(people[0].toward.degrees(), 90, 1e-9);
  ASSERT_EQ(people[0].arcs.size(), 1U);
  expect_arc(people[0].arcs[0], 90, 11.537);
  expect_arc(r->find(kStand)->fire[0].closed.at(0), 90, 11.537);
  EXPECT_EQ(beginning(words(d, *r), "Bow: no shot"),
            "Bow: no shot 078° to 102°, Ann sits at stand 2, nearest 100 m to the E for the whole "
            "sit.");
  EXPECT_TRUE(people_of(*r, Uid::from_seed("stand 2")).empty());  // herself
}

TEST(People, CountOutToTheFarthestTravelAndNoFarther) {
  const Document d = sitting(document_from_ascii("S.........S", 10), "stand 2", "Ann");
  const auto found = [&](std::optional<double> travel_m) {
    const Document far = with_bow(with_setback(d, SetbackFrom::gate, 0),
                                  [&](Weapon& w) { w.max_travel_m = travel_m; });
    return people_of(*evaluate_cold(far, kFlat)).size();
  };
  EXPECT_EQ(found(183), 1U);
  EXPECT_EQ(found(81), 1U);            // it ends 19 m from her
  EXPECT_EQ(found(79), 0U);            // 21 m
  EXPECT_EQ(found(std::nullopt), 0U);  // all is closed anyway
  EXPECT_TRUE(people_of(*evaluate_cold(with_setback(document_from_ascii("S.........S", 10),
                                                    SetbackFrom::gate, 0),
                                       kFlat))
                  .empty());  // nobody has taken stand 2
}

TEST(People, WhoWalksPastIsNamedWithTheTime) {
  // A drawn path from the gate, 60 m west of the stand and 40 m north of it, past it to stand 2.
  Document d = sitting(document_from_ascii("G..pppppppppppS\n"
                                           ".\n"
                                           ".\n"
                                           ".\n"
                                           "......S\n",
                                           10),
                       "stand 1", "Ann");
  d = with_setback(d, SetbackFrom::gate, 0);
  const Uid watched = Uid::from_seed("stand 2");
  ASSERT_NEAR(distance_m(d.find(watched)->shape.position(),
                         d.find(kStand)->shape.position() + LocalXY{-80, -40}),
              0, 1e-9);
  const auto r = evaluate_cold(d, kFlat);
  const Way& path = *r->find(kStand)->drawn_in;
  for (const bool in : {true, false}) {
    const auto all = people_of(*r, watched);
    const auto it = std::find_if(all.begin(), all.end(), [&](const PersonInReach& p) {
      return p.as_drawn && (p.doing == PersonInReach::Doing::walking_in) == in;
    });
    ASSERT_NE(it, all.end());
    EXPECT_EQ(it->name, "Ann");
    EXPECT_NEAR(it->nearest_m, 40, 1e-6);
    EXPECT_NEAR(turn_deg(Bearing::degrees(0), it->toward), 0, 1e-6);
    // She is there 30 m of 100 m after the start, on level ground at an even pace.
    const double into_s = (in ? 0.3 : 0.7) * path.time_s;
    const Instant begins =
        in ? r->scene.arrive - std::chrono::seconds(std::lround(path.time_s)) : r->scene.leave;
    EXPECT_NEAR(static_cast<double>((it->at - begins).count()), into_s, 2);
    // From the tangent to 20 m about the path's western end, 50 m off at -36.87 degrees
    // (asin(20 / 50) = 23.58), to that about its eastern end, 80.62 m off at 60.26 (14.36).
    ASSERT_EQ(it->arcs.size(), 1U);
    expect_arc(it->arcs[0], (74.62 - 60.45) / 2, (74.62 + 60.45) / 2);
  }
}

// --- what lies behind

TEST(Behind, WithoutElevationNothingIsKnownAndThatIsSaid) {
  const Document d = with_setback(document_from_ascii("S....D", 5), SetbackFrom::dwelling, 20);
  const auto r = evaluate_cold(d, kFlat);
  EXPECT_TRUE(r->find(kStand)->fire.at(0).lines.empty());
  EXPECT_EQ(beginning(words(d, *r), "Bow: there"),
            "Bow: there is no elevation, so nothing is known of what lies behind.");
}

// 600 x 600 m about a stand on a knoll, by the place east of it alone: to the west the ground rises
// by a tenth, to the east it is level for 29 m and then falls by 35 in 100, to a road 200 m east
// that the brink hides; both begin at cell centres. A guest's drawn path runs 160 m north, from a
// gate in the east to a stand 250 m west. Trails run north to south, 26 m to each side.
class Knoll : public ::testing::Test {
 protected:
  static double height(double x) { return x < -1 ? -0.1 * (x + 1) : x < 29 ? 0 : -0.35 * (x - 29); }

  Knoll() {
    const auto feature = [&](Kind kind, Shape shape, const char* name) {
      edits.push_back(put(seeded(kind, std::move(shape), name)));
    };
    const auto north_to_south = [](double x) {
      return Shape::line({at(300 + x, 30), at(300 + x, 570)});
    };
    feature(Kind::boundary, box(0, 0, 600, 600), "Line");
    feature(Kind::stand, Shape::point(at(300, 300)), "Knoll");
    Feature guest = seeded(Kind::stand, Shape::point(at(50, 460)), "Guest stand");
    guest.as<StandAttrs>().sitter = "Ben";
    edits.push_back(put(guest));
    feature(Kind::gate, Shape::point(at(550, 460)), "East gate");
    feature(Kind::human_path, Shape::line({at(550, 460), at(50, 460)}), "Guest path");
    feature(Kind::road, north_to_south(200), "Hidden road");
    feature(Kind::deer_trail, north_to_south(-26), "West trail");
    feature(Kind::deer_trail, north_to_south(26), "East trail");
    drawn = edited(document_from_ascii("", 10), std::move(edits));
    Terrain t;
    t.ground = ground_by(GridSpec{kWest, kSouth + 600, 2, 300, 300},
                         [](LocalXY p) { return 100 + height(p.x - kWest - 300); });
    terrain = make_ref<Terrain>(std::move(t));
  }
  Document entered(double travel_m) const {
    return with_bow(drawn, [&](Weapon& w) {
      w.max_travel_m = travel_m;
      w.setback_m = {50, 30, 0, 30, 20, 10};
    });
  }
  static const compute::LineOfFire& line(const WeaponFire& fire, int deg) {
    return fire.lines.at(static_cast<size_t>(deg / 2));
  }
  static void expect_no_direction_called_safe(const std::vector<std::string>& sentences) {
    bool never_cleared = false;
    for (std::string s : sentences) {
      std::transform(s.begin(), s.end(), s.begin(),
                     [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
      for (const char* word : {"safe", "may shoot", "can shoot", "free to shoot", "all clear"})
        EXPECT_THAT(s, Not(HasSubstr(word)));
      never_cleared = never_cleared || s.find("never cleared") != std::string::npos;
    }
    EXPECT_TRUE(never_cleared);
  }

  std::vector<Edit> edits;
  Document drawn;
  Ref<Terrain> terrain;
  const Uid knoll = Uid::from_seed("Knoll");
};

TEST_F(Knoll, WithoutASetbackAllIsClosed) {
  const auto r = evaluate_cold(drawn, terrain);
  const WeaponFire& fire = r->find(knoll)->fire.at(0);
  EXPECT_FALSE(fire.entered());
  EXPECT_EQ(fire.open_share, 0);
  EXPECT_TRUE(fire.lines.empty());
  EXPECT_TRUE(fire.people.empty());
  const auto text = words(drawn, *r, knoll);
  EXPECT_EQ(beginning(text, "Bow: "),
            "Bow: no setback is entered; farthest travel not entered. Check local law; until then "
            "no direction counts as looked at.");
  expect_no_direction_called_safe(text);
}

TEST_F(Knoll, EastHasNoGroundBehindAndTheWestIsNeverCalledMoreThanGround) {
  const Document d = entered(250);
  const auto r = evaluate_cold(d, terrain);
  const WeaponFire& fire = r->find(knoll)->fire.at(0);
  EXPECT_TRUE(fire.entered());
  ASSERT_EQ(fire.lines.size(), 180U);
  // West: from 6.2 m to 0.8 m over ground 2.643 m higher at 27.432 m: the line falls 0.1005 a metre
  // and the ground rises 0.1: together after 0.8 / 0.2005 m.
  EXPECT_EQ(line(fire, 270).outcome, compute::FireOutcome::meets_ground);
  EXPECT_NEAR(line(fire, 270).backstop_beyond_m, 0.8 / 0.2005, 0.01);
  EXPECT_NEAR(line(fire, 270).meeting_angle_deg, (std::atan(0.1) + std::atan(0.1005)) * kDegPerRad,
              0.01);
  // North: level, the line falls 5.4 / 27.432 = 0.1969 a metre.
  EXPECT_NEAR(line(fire, 0).backstop_beyond_m, 0.8 / 0.1969, 0.01);
  // East: the ground beyond the brink falls faster, to the end of the travel. On level ground the
  // line would end 31.50 m out; it passes the brink before where 29 / sin < 31.50, from 67.0 to
  // 113.0 degrees: 23 lines.
  EXPECT_NEAR(line(fire, 90).ends_at_m, 250, 1e-9);
  for (int deg = 68; deg <= 112; deg += 2)
    EXPECT_EQ(line(fire, deg).outcome, compute::FireOutcome::clears_ground) << deg;
  for (int deg = 114; deg <= 426; deg += 2)
    EXPECT_EQ(line(fire, deg % 360).outcome, compute::FireOutcome::meets_ground) << deg;

  // Each line stands for a degree to both sides; told outward in whole degrees, true.
  const auto text = words(d, *r, knoll);
  EXPECT_EQ(beginning(text, "Bow: past"),
            "Bow: past 27 m the line of fire meets no ground in 23 of 180 directions (067° to "
            "114°); in 157 it meets ground 4 m beyond.");
  EXPECT_THAT(beginning(text, "West trail (deer trail)"),
              HasSubstr("; the line meets ground 4 m beyond."));
  EXPECT_THAT(beginning(text, "East trail (deer trail)"), HasSubstr("; no ground behind it."));
  expect_no_direction_called_safe(text);
}

TEST_F(Knoll, TheGuestOnHisWayIsNamedWithTheTime) {
  const Document d = entered(250);
  const auto r = evaluate_cold(d, terrain);
  const auto text = words(d, *r, knoll);
  const Way& way = *r->find(Uid::from_seed("Guest stand"))->drawn_in;
  int walks = 0;
  for (const PersonInReach& p : people_of(*r, knoll)) {
    EXPECT_EQ(p.name, "Ben");
    ASSERT_NE(p.doing, PersonInReach::Doing::sitting);  // his stand is 297 m off
    if (!p.as_drawn) continue;
    EXPECT_NEAR(p.nearest_m, 160, 1e-6);
    EXPECT_NEAR(turn_deg(Bearing::degrees(0), p.toward), 0, 1e-6);
    const bool in = p.doing == PersonInReach::Doing::walking_in;
    // North of the knoll he has half of his 500 m behind him.
    const Instant begins =
        in ? r->scene.arrive - std::chrono::seconds(std::lround(way.time_s)) : r->scene.leave;
    const Way& walk = in ? way : *r->find(Uid::from_seed("Guest stand"))->drawn_out;
    EXPECT_NEAR(static_cast<double>((p.at - begins).count()) / walk.time_s, 0.5, 0.01);
    // Within 250 m, 20 m kept clear: where a shot ends 140 m north, acos(140 / 250) to each side.
    ASSERT_EQ(p.arcs.size(), 1U);
    expect_arc(p.arcs[0], 0, 55.944);
    const std::string tells = std::string("Ben walks ") + (in ? "in" : "out") +
                              " as drawn for Guest stand, nearest 160 m to the N about " +
                              clock_text(p.at, d.settings->time_zone) + ".";
    EXPECT_TRUE(std::any_of(text.begin(), text.end(), [&](const std::string& sentence) {
      return sentence.starts_with("Bow: no shot 304° to 05") && sentence.ends_with(tells);
    })) << tells;
    ++walks;
  }
  EXPECT_EQ(walks, 2);
  const auto& closed = r->find(knoll)->fire[0].closed;
  EXPECT_TRUE(std::any_of(closed.begin(), closed.end(),
                          [](const SetbackArc& arc) { return arc.contains(Bearing::degrees(0)); }));
}

TEST_F(Knoll, WhereTheGroundEndsNothingIsKnown) {
  // The land ends 300 m to the east, before 400 m of travel.
  const Document d = entered(400);
  const auto r = evaluate_cold(d, terrain);
  const WeaponFire& fire = r->find(knoll)->fire.at(0);
  EXPECT_EQ(line(fire, 90).outcome, compute::FireOutcome::unknown);
  EXPECT_NEAR(line(fire, 90).ends_at_m, 300, 3);
  EXPECT_EQ(line(fire, 270).outcome, compute::FireOutcome::meets_ground);
  // All that passed the brink with 250 m of travel is unknown now.
  EXPECT_EQ(beginning(words(d, *r, knoll), "Bow: past"),
            "Bow: past 27 m the line of fire meets no ground in 0 of 180 directions; in 23 the "
            "ground is not known (067° to 114°); in 157 it meets ground 4 m beyond.");
}

}  // namespace
}  // namespace leeward::testing
