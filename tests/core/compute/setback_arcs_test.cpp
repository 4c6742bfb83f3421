#include "core/compute/setback_arcs.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <sstream>

namespace leeward::compute {
namespace {

using ::testing::ElementsAre;

/// Places drawn with letters, cells of 10 m, south-west corner at the origin; a letter that occurs
/// more than once makes a line in reading order.
std::vector<LocalXY> drawn(const std::string& map, char letter) {
  std::vector<std::string> rows;
  std::istringstream in(map);
  for (std::string row; in >> row;) rows.push_back(row);
  std::vector<LocalXY> out;
  for (size_t r = 0; r < rows.size(); ++r)
    for (size_t c = 0; c < rows[r].size(); ++c)
      if (rows[r][c] == letter)
        out.push_back({10 * double(c) + 5, 10 * double(rows.size() - r) - 5});
  return out;
}

// S shooter, d dwelling, r road (a line from the west end to the east end).
const char* const kMap = R"(
  rrrrrrrrrrrrrrrrrrrrr
  .....................
  .....................
  .....................
  ..........S.........d
  .....................
)";

std::vector<Setback> on_map(double dwelling_m, double road_m) {
  const auto road = drawn(kMap, 'r');
  return {{Shape::point(drawn(kMap, 'd')[0]), dwelling_m},
          {Shape::line({road.front(), road.back()}), road_m}};
}
const LocalXY kShooter = drawn(kMap, 'S')[0];  // dwelling 100 m east, road 40 m north

TEST(SetbackArcs, DwellingGivesTheTangentArc) {
  const Setback dwelling = on_map(50, 0)[0];
  const auto arcs = setback_arcs(kShooter, 500, {&dwelling, 1});
  ASSERT_EQ(arcs.size(), 1U);
  // Half angle asin(50 / 100) = 30 degrees, widened by less than a tenth.
  EXPECT_THAT(arcs[0].setbacks, ElementsAre(0));
  EXPECT_LE(arcs[0].from.degrees(), 60);
  EXPECT_GT(arcs[0].from.degrees(), 60 - kArcEdgeDeg);
  EXPECT_GE(arcs[0].to.degrees(), 120);
  EXPECT_LT(arcs[0].to.degrees(), 120 + kArcEdgeDeg);
  EXPECT_NEAR(covered_deg(arcs), 60, 2 * kArcEdgeDeg);
}

// Within reach of 60 m only the round of the setback counts: cos = (100^2 + 60^2 - 50^2) / (2 100
// 60), 22.33 degrees to each side; at 40 m the path ends 60 m short and nothing is near.
TEST(SetbackArcs, ShortTravelNarrowsTheArc) {
  const Setback dwelling = on_map(50, 0)[0];
  const auto arcs = setback_arcs(kShooter, 60, {&dwelling, 1});
  ASSERT_EQ(arcs.size(), 1U);
  EXPECT_NEAR(arcs[0].width_deg(), 2 * std::acos(11100.0 / 12000) * kDegPerRad, 2 * kArcEdgeDeg);
  EXPECT_TRUE(setback_arcs(kShooter, 40, {&dwelling, 1}).empty());
  EXPECT_TRUE(setbacks_met(kShooter, Bearing::degrees(90), 40, {&dwelling, 1}).empty());
  EXPECT_THAT(setbacks_met(kShooter, Bearing::degrees(90), 50.1, {&dwelling, 1}), ElementsAre(0));
}

TEST(SetbackArcs, RoadAcrossNorthIsOneArc) {
  const Setback road = on_map(0, 0)[1];  // 100 m to each side, 40 m off
  const auto arcs = setback_arcs(kShooter, 500, {&road, 1});
  ASSERT_EQ(arcs.size(), 1U);
  const double half = std::atan(100.0 / 40) * kDegPerRad;
  EXPECT_NEAR(arcs[0].from.degrees(), 360 - half, kArcEdgeDeg);
  EXPECT_NEAR(arcs[0].to.degrees(), half, kArcEdgeDeg);
  EXPECT_TRUE(arcs[0].contains(Bearing::degrees(0)));
  EXPECT_TRUE(arcs[0].contains(Bearing::degrees(300)));
  EXPECT_FALSE(arcs[0].contains(Bearing::degrees(180)));
}

TEST(SetbackArcs, OverlappingArcsJoinAndNameBoth) {
  const auto both = on_map(50, 10);
  const auto arcs = setback_arcs(kShooter, 500, both);
  ASSERT_EQ(arcs.size(), 1U);
  EXPECT_THAT(arcs[0].setbacks, ElementsAre(0, 1));
  EXPECT_NEAR(arcs[0].to.degrees(), 120, kArcEdgeDeg);
  EXPECT_THAT(setbacks_met(kShooter, Bearing::degrees(0), 500, both), ElementsAre(1));
  EXPECT_THAT(setbacks_met(kShooter, Bearing::degrees(110), 500, both), ElementsAre(0));
  EXPECT_TRUE(setbacks_met(kShooter, Bearing::degrees(180), 500, both).empty());

  const auto apart = setback_arcs(kShooter, 500, on_map(20, 0));
  ASSERT_EQ(apart.size(), 2U);
  EXPECT_THAT(apart[0].setbacks, ElementsAre(0));
  EXPECT_THAT(apart[1].setbacks, ElementsAre(1));  // across north: last
}

// Several lists as one: a direction is closed if any of them closes it, and only then.
TEST(SetbackArcs, OfSeveralOriginsCloseWhatAnyOfThemCloses) {
  const auto arc = [](double from, double to) {
    SetbackArc a;
    a.from = Bearing::degrees(from), a.to = Bearing::degrees(to);
    return a;
  };
  // One across north and one that begins inside it: both are one arc from 350 to 20.
  const std::vector<SetbackArc> at_north = {arc(350, 10), arc(5, 20)};
  const auto joined = together(at_north);
  ASSERT_EQ(joined.size(), 1U);
  EXPECT_NEAR(joined[0].from.degrees(), 350, 1e-9);
  EXPECT_NEAR(joined[0].to.degrees(), 20, 1e-9);
  EXPECT_TRUE(together({}).empty());
  const std::vector<SetbackArc> halves = {arc(0, 180), arc(170, 10)};
  ASSERT_EQ(together(halves).size(), 1U);
  EXPECT_TRUE(together(halves)[0].whole_circle);

  std::mt19937 random(5);
  for (int n = 0; n < 200; ++n) {
    std::vector<SetbackArc> arcs;
    for (unsigned k = 0; k < 1 + random() % 5; ++k) {
      const double from = static_cast<double>(random() % 360);
      arcs.push_back(arc(from, from + 1 + static_cast<double>(random() % 120)));
    }
    const auto all = together(arcs);
    for (int i = 0; i < 720; ++i) {
      const Bearing b = Bearing::degrees(i / 2.0 + 0.25);  // off every end
      const auto closes = [&](const SetbackArc& a) { return a.contains(b); };
      EXPECT_EQ(std::any_of(all.begin(), all.end(), closes),
                std::any_of(arcs.begin(), arcs.end(), closes))
          << b.degrees();
    }
    for (size_t k = 1; k < all.size(); ++k)
      EXPECT_GT(all[k].from.degrees(), all[k - 1].from.degrees());
  }
}

TEST(SetbackArcs, ShooterInsideASetbackOrAnAreaLosesTheWholeCircle) {
  const auto near_road = on_map(0, 40);
  const auto arcs = setback_arcs(kShooter, 10, near_road);
  ASSERT_EQ(arcs.size(), 1U);
  EXPECT_TRUE(arcs[0].whole_circle);
  EXPECT_DOUBLE_EQ(covered_deg(arcs), 360);
  EXPECT_TRUE(arcs[0].contains(Bearing::degrees(200)));

  const Setback yard{Shape::area({{0, 0}, {1000, 0}, {1000, 1000}, {0, 1000}}), 0};
  const auto inside = setback_arcs({500, 500}, 10, {&yard, 1});
  ASSERT_EQ(inside.size(), 1U);
  EXPECT_TRUE(inside[0].whole_circle);
  EXPECT_THAT(setbacks_met({500, 500}, Bearing(), 10, {&yard, 1}), ElementsAre(0));
}

TEST(SetbackArcs, HoleOfAnAreaIsOutsideIt) {
  const Setback ring{{ShapeType::area,
                      {{{0, 0}, {300, 0}, {300, 300}, {0, 300}},
                       {{100, 100}, {200, 100}, {200, 200}, {100, 200}}}},
                     0};
  EXPECT_TRUE(setback_arcs({150, 150}, 49, {&ring, 1}).empty());
  const auto arcs = setback_arcs({150, 150}, 80, {&ring, 1});
  ASSERT_EQ(arcs.size(), 1U);  // reaches all round: the corners are 70.7 m off
  EXPECT_TRUE(arcs[0].whole_circle);
}

/// A scan of points along the path, by another way of measuring distance (geo/shape).
bool scan_meets(LocalXY shooter, Bearing toward, double travel_m, const Setback& s) {
  for (int i = 0; i <= 100; ++i)
    if (distance_m(s.shape, moved(shooter, toward, travel_m * i / 100)) <= s.distance_m)
      return true;
  return false;
}

Shape random_shape(std::mt19937& random) {
  std::uniform_real_distribution<double> xy(-400, 400), size(5, 120);
  const LocalXY p{xy(random), xy(random)};
  switch (random() % 3) {
    case 0:
      return Shape::point(p);
    case 1:
      return Shape::line({p, {xy(random), xy(random)}, {xy(random), xy(random)}});
    default: {
      Path star;  // simple: about its middle
      for (int i = 0; i < 7; ++i) star.push_back(moved(p, Bearing::degrees(i * 51), size(random)));
      return Shape::area(star);
    }
  }
}

TEST(SetbackArcs, HoldEveryDirectionThatAScanFindsAndLittleElse) {
  std::mt19937 random(9);
  std::uniform_real_distribution<double> xy(-150, 150), setback(0, 120), travel(20, 600);
  int met = 0, clear = 0;
  for (int trial = 0; trial < 150; ++trial) {
    std::vector<Setback> setbacks;
    for (int i = 0; i < 1 + trial % 4; ++i)
      setbacks.push_back({random_shape(random), setback(random)});
    const LocalXY shooter{xy(random), xy(random)};
    const double far_m = travel(random);
    const auto arcs = setback_arcs(shooter, far_m, setbacks);
    for (int i = 0; i < 360; i += 3) {
      const Bearing b = Bearing::degrees(i + 0.37 * (trial % 3));
      const SetbackArc* arc = nullptr;
      for (const SetbackArc& a : arcs)
        if (a.contains(b)) arc = &a;
      for (size_t k = 0; k < setbacks.size(); ++k) {
        if (!scan_meets(shooter, b, far_m, setbacks[k])) continue;
        ASSERT_NE(arc, nullptr) << "trial " << trial << " bearing " << b.degrees();
        EXPECT_THAT(arc->setbacks, ::testing::Contains(static_cast<int>(k)));
        EXPECT_THAT(setbacks_met(shooter, b, far_m, setbacks),
                    ::testing::Contains(static_cast<int>(k)));
        ++met;
      }
      // Inside an arc, a direction less than the widening away does meet something.
      const auto meets = [&](double turn) {
        return !setbacks_met(shooter, b.turned_deg(turn), far_m, setbacks).empty();
      };
      if (arc) {
        EXPECT_TRUE(meets(0) || meets(kArcEdgeDeg) || meets(-kArcEdgeDeg));
      } else {
        EXPECT_FALSE(meets(0));
        ++clear;
      }
    }
  }
  EXPECT_GT(met, 1000);
  EXPECT_GT(clear, 1000);
}

TEST(SetbackArcs, FarFromTheOriginNothingChanges) {
  const auto near = on_map(50, 10);
  std::vector<Setback> far = near;
  const LocalXY off{500000, 4300000};
  for (Setback& s : far)
    for (Path& part : s.shape.parts)
      for (LocalXY& p : part) p = p + off;
  const auto a = setback_arcs(kShooter, 300, near), b = setback_arcs(kShooter + off, 300, far);
  ASSERT_EQ(a.size(), b.size());
  for (size_t i = 0; i < a.size(); ++i) {
    EXPECT_NEAR(turn_deg(a[i].from, b[i].from), 0, 1e-9);
    EXPECT_NEAR(turn_deg(a[i].to, b[i].to), 0, 1e-9);
  }
}

}  // namespace
}  // namespace leeward::compute
