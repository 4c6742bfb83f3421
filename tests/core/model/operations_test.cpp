#include "core/model/operations.h"

#include "core/model/history.h"

#include <gtest/gtest.h>

#include <cmath>

namespace leeward {
namespace {

Feature seeded(Kind kind, Shape shape, const std::string& name) {
  Feature f = make_feature(kind, std::move(shape), name);
  f.uid = Uid::from_seed(name);
  return f;
}
Document with(std::vector<Feature> features) {
  EditStep step;
  for (Feature& f : features) step.edits.push_back(put(std::move(f)));
  return *apply({}, step);
}
Document after(const Document& d, const Result<EditStep>& step) {
  EXPECT_TRUE(step) << (step ? "" : step.error().message);
  return step ? *apply(d, *step) : d;
}
Document after(const Document& d, std::vector<Edit> edits) {
  return *apply(d, {"", std::move(edits), {}});
}
Shape square(double x, double y, double side) {
  return Shape::area({{x, y}, {x + side, y}, {x + side, y + side}, {x, y + side}});
}
bool all(const Feature&) { return true; }
const Uid kA = Uid::from_seed("a"), kB = Uid::from_seed("b"), kC = Uid::from_seed("c");

TEST(Operations, SplittingABarrierLeavesItsGapsOnTheGround) {
  Feature wall = seeded(Kind::barrier, Shape::line({{0, 0}, {100, 0}}), "a");
  wall.as<BarrierAttrs>().gaps = {{20, 4}, {70, 6}};
  const Document d = after(with({wall}), split_step(with({wall}), kA, {{50, -5}, {50, 5}}));
  ASSERT_EQ(d.of(Kind::barrier).size(), 2U);
  const Feature &west = *d.find(kA), &east = *d.of(Kind::barrier)[1];
  EXPECT_EQ(east.name, "a 2");
  EXPECT_EQ(west.as<BarrierAttrs>().gaps, (std::vector<Gap>{{20, 4}}));
  EXPECT_EQ(east.as<BarrierAttrs>().gaps, (std::vector<Gap>{{20, 6}}));
  const Document one = after(d, join_step(d, kA, east.uid));
  ASSERT_EQ(one.of(Kind::barrier).size(), 1U);
  EXPECT_EQ(one.find(kA)->as<BarrierAttrs>().gaps, wall.as<BarrierAttrs>().gaps);
}

TEST(Operations, JoiningABackwardBarrierTurnsItsGapsRound) {
  Feature a = seeded(Kind::barrier, Shape::line({{0, 0}, {10, 0}}), "a");
  Feature b = seeded(Kind::barrier, Shape::line({{0, 0}, {-20, 0}}), "b");
  a.as<BarrierAttrs>().gaps = {{8, 1}};
  b.as<BarrierAttrs>().gaps = {{5, 2}};
  const Document d = with({a, b});
  const Feature one = *after(d, join_step(d, kA, kB)).find(kA);
  for (const Gap& g : one.as<BarrierAttrs>().gaps) {
    const double x = point_along(one.shape.path(), g.at_m).x;
    EXPECT_DOUBLE_EQ(x, g.width_m == 1 ? 8 : -5);
  }
  EXPECT_FALSE(join_step(d, kA, kA));
}

TEST(Operations, MergeKeepsTheFirstAndRemovesTheRest) {
  const Document d =
      with({seeded(Kind::food, square(0, 0, 10), "a"), seeded(Kind::food, square(10, 0, 10), "b"),
            seeded(Kind::cover, square(20, 0, 10), "c")});
  const Document m = after(d, merge_step(d, {kB, kA}));
  EXPECT_EQ(m.of(Kind::food).size(), 1U);
  EXPECT_NEAR(area_m2(m.find(kB)->shape), 200, 1e-9);
  EXPECT_FALSE(merge_step(d, {kA, kC})) << "of two kinds";
  EXPECT_FALSE(merge_step(d, {kA}));
}

TEST(Operations, HolesReshapesAndStrips) {
  const Document d = with({seeded(Kind::food, square(0, 0, 10), "a"),
                           seeded(Kind::deer_trail, Shape::line({{0, 20}, {50, 20}}), "b")});
  EXPECT_NEAR(area_m2(after(d, hole_step(d, kA, {{2, 2}, {4, 2}, {4, 4}})).find(kA)->shape), 98,
              1e-9);
  EXPECT_FALSE(hole_step(d, kB, {{2, 2}, {4, 2}, {4, 4}}));
  const auto grown = reshape_step(d, kA, {{2, 9}, {2, 12}, {6, 12}, {6, 9}});
  EXPECT_NEAR(area_m2(after(d, grown).find(kA)->shape), 108, 1e-9);
  const Document s = after(d, strip_step(d, kB, Kind::food, 4));
  ASSERT_EQ(s.of(Kind::food).size(), 2U);
  EXPECT_NEAR(area_m2(s.of(Kind::food)[1]->shape), 200, 1e-6);
  EXPECT_FALSE(strip_step(d, kB, Kind::deer_trail, 4));
  EXPECT_FALSE(strip_step(d, Uid::from_seed("nobody"), Kind::food, 4));
}

TEST(Operations, ANodeMovesAllTrailsThatMeetThere) {
  const Document d = with({seeded(Kind::deer_trail, Shape::line({{0, 0}, {10, 0}}), "a"),
                           seeded(Kind::human_path, Shape::line({{10, 0}, {20, 0}}), "b"),
                           seeded(Kind::deer_trail, Shape::line({{5, 5}, {10, 0}, {5, -5}}), "c"),
                           seeded(Kind::barrier, Shape::line({{10, 0}, {10, 9}}), "fence")});
  const Document m = after(d, moved_vertex(d, *d.find(kA), 0, 1, {12, 3}, all));
  EXPECT_EQ(m.find(kA)->shape.path()[1], (LocalXY{12, 3}));
  EXPECT_EQ(m.find(kB)->shape.path()[0], (LocalXY{12, 3}));
  EXPECT_EQ(m.find(kC)->shape.path()[1], (LocalXY{12, 3})) << "a through trail's own node";
  EXPECT_EQ(m.find(Uid::from_seed("fence"))->shape.path()[0], (LocalXY{10, 0}));
  const auto only = [](const Feature& f) { return f.kind() != Kind::human_path; };
  EXPECT_EQ(after(d, moved_vertex(d, *d.find(kA), 0, 1, {12, 3}, only)).find(kB)->shape.path()[0],
            (LocalXY{10, 0}))
      << "locked";
}

TEST(Operations, TwoThroughTrailsThatCrossAtVerticesAreNotOneNode) {
  const Document d =
      with({seeded(Kind::deer_trail, Shape::line({{0, 0}, {10, 0}, {20, 0}}), "a"),
            seeded(Kind::deer_trail, Shape::line({{10, 9}, {10, 0}, {10, -9}}), "b")});
  const Document m = after(d, moved_vertex(d, *d.find(kA), 0, 1, {12, 3}, all));
  EXPECT_EQ(m.find(kB)->shape.path()[1], (LocalXY{10, 0}));
}

TEST(Operations, MovingATrailTakesTheEndsThatAreJoinedToIt) {
  const Document d = with({seeded(Kind::deer_trail, Shape::line({{0, 0}, {10, 0}}), "a"),
                           seeded(Kind::deer_trail, Shape::line({{10, 0}, {20, 0}}), "b"),
                           seeded(Kind::stand, Shape::point({10, 0}), "c")});
  const Document m = after(d, moved(d, {kA}, {0, 5}, all));
  EXPECT_EQ(m.find(kB)->shape.path(), (Path{{10, 5}, {20, 0}}));
  EXPECT_EQ(m.find(kC)->shape.position(), (LocalXY{10, 0}));
  const Document both = after(d, moved(d, {kA, kB, kC}, {0, 5}, all));
  EXPECT_EQ(both.find(kB)->shape.path(), (Path{{10, 5}, {20, 5}}));
  EXPECT_EQ(both.find(kC)->shape.position(), (LocalXY{10, 5}));
}

TEST(Operations, ATrailDrawnOntoAnotherGivesItANode) {
  const Document d = with({seeded(Kind::deer_trail, Shape::line({{0, 0}, {20, 0}}), "a")});
  const Feature spur = seeded(Kind::human_path, Shape::line({{7, 9}, {7, 0}}), "b");
  const auto drawn = draw_step(d, spur, "Draw");
  ASSERT_TRUE(drawn);
  const Document m = *apply(d, drawn->step);
  EXPECT_EQ(m.find(kA)->shape.path(), (Path{{0, 0}, {7, 0}, {20, 0}}));
  EXPECT_TRUE(drawn->note.empty());
}

TEST(Operations, ABowTieIsRepairedWithAWord) {
  const Feature bow = seeded(Kind::food, Shape::area({{0, 0}, {9, 9}, {9, 0}, {0, 9}}), "a");
  const auto drawn = draw_step({}, bow, "Draw");
  ASSERT_TRUE(drawn);
  EXPECT_NE(drawn->note.find("2 pieces"), std::string::npos);
  EXPECT_EQ(apply({}, drawn->step)->of(Kind::food).size(), 2U);
  EXPECT_FALSE(draw_step({}, seeded(Kind::food, Shape::area({{0, 0}, {1, 1}}), "b"), "Draw"));
}

TEST(Operations, CopiesKeepAttributesAndLoseStrangers) {
  Feature s = seeded(Kind::stand, Shape::point({1, 1}), "a");
  s.as<StandAttrs>().platform_m = 7;
  s.as<StandAttrs>().weapons = {Uid::from_seed("bow")};
  Weapon bow;
  bow.uid = Uid::from_seed("bow");
  Document home = with({s});
  home = after(home, {put(bow)});
  const Document here = after(home, paste_step(home, {s, s}, {5, 0}, "Paste"));
  ASSERT_EQ(here.of(Kind::stand).size(), 3U);
  EXPECT_EQ(here.of(Kind::stand)[1]->name, "a 2");
  EXPECT_EQ(here.of(Kind::stand)[2]->name, "a 3");
  EXPECT_EQ(here.of(Kind::stand)[1]->shape.position(), (LocalXY{6, 1}));
  EXPECT_EQ(here.of(Kind::stand)[1]->as<StandAttrs>().platform_m, 7);
  EXPECT_EQ(here.of(Kind::stand)[1]->as<StandAttrs>().weapons.size(), 1U);
  const Document there = after(Document{}, paste_step({}, {s}, {}, "Paste"));
  EXPECT_TRUE(there.of(Kind::stand)[0]->as<StandAttrs>().weapons.empty());
  EXPECT_EQ(after(here, remove_step(here, {kA, kB})).of(Kind::stand).size(), 2U);
}

TEST(Operations, CoverTakesItsHeightFromTheTreeTops) {
  Raster<float> canopy(GridSpec{0, 20, 1, 20, 20}, std::nanf(""));
  for (int r = 0; r < 20; ++r)  // half open ground, the other half crowns of 10 to 19 m
    for (int c = 0; c < 20; ++c) canopy.at(c, r) = c < 10 ? 0.2F : static_cast<float>(10 + c - 10);
  const Feature wood = seeded(Kind::cover, square(0, 0, 20), "a");
  const Document d = with({wood});
  const Document m = after(d, cover_from_canopy_step(d, kA, canopy));
  EXPECT_DOUBLE_EQ(m.find(kA)->as<CoverAttrs>().height_m, 17);
  EXPECT_DOUBLE_EQ(m.find(kA)->as<CoverAttrs>().leaf_on_per_m,
                   typical_cover(wood.as<CoverAttrs>().type).leaf_on_per_m / 2);
  EXPECT_FALSE(cover_from_canopy_step(d, kA, Raster<float>(GridSpec{90, 99, 1, 5, 5}, 3)));
}

TEST(History, GoesToAnyStepByItsPlace) {
  const Document d = with({seeded(Kind::stand, Shape::point({0, 0}), "a")});
  History h(make_ref<Document>(Document{}));
  h.push("Draw", make_ref<Document>(d));
  h.push("Delete", make_ref<Document>(after(d, remove_step(d, {kA}))));
  ASSERT_EQ(h.size(), 3U);
  EXPECT_EQ(h.label(1), "Draw");
  EXPECT_EQ(h.go_to(1)->of(Kind::stand).size(), 1U);
  EXPECT_EQ(h.at(), 1U);
  EXPECT_TRUE(h.go_to(0)->of(Kind::stand).empty());
  EXPECT_TRUE(h.go_to(2)->of(Kind::stand).empty());
  EXPECT_GT(h.now()->revision, 2U);
}

}  // namespace
}  // namespace leeward
