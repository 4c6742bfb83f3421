#include "ui/tools/hit_test.h"

#include "tests/support/small_property.h"

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

using testing::at;

class HitTest : public ::testing::Test {
 protected:
  Document doc_ = testing::small_property();
  MapTransform t_{at(400, 400), 1, QRectF(0, 0, 800, 800)};
  KindSet all_ = KindSet().set();
  std::string hit(LocalXY p, QPointF aside = {}) {
    const auto f = featureAt(doc_, t_, all_, t_.toDevice(p) + aside);
    return f ? f->name : std::string("nothing");
  }
};

TEST_F(HitTest, PointsWinOverLinesAndLinesOverAreas) {
  EXPECT_EQ(hit(at(420, 600)), "Wall stand");
  EXPECT_EQ(hit(at(520, 560), {-20, 6.6}), "Bed to clover");
  EXPECT_EQ(hit(at(600, 560)), "East bed") << "a small area lies over the large woods";
  EXPECT_EQ(hit(at(450, 330)), "Big woods");
}

TEST_F(HitTest, ToleranceIsInPixels) {
  EXPECT_EQ(hit(at(360, 400), {-11, 0}), "Edge ladder");
  EXPECT_NE(hit(at(360, 400), {0, -13}), "Edge ladder");
  EXPECT_EQ(hit(at(330, 480), {6, 0}), "Wall");
  EXPECT_NE(hit(at(330, 480), {9, 0}), "Wall");
}

TEST_F(HitTest, TheBoundaryIsHitByItsEdgeOnly) {
  EXPECT_EQ(hit(at(90, 700)), "nothing");
  EXPECT_EQ(hit(at(0, 700)), "Line");
}

TEST_F(HitTest, HiddenKindsAreNotHit) {
  all_.reset(static_cast<std::size_t>(Kind::stand));
  EXPECT_EQ(hit(at(420, 600)), "Big woods");
}

TEST_F(HitTest, VertexAndEdge) {
  const Shape s = testing::box(150, 500, 150, 120);
  EXPECT_EQ(vertexAt(s, t_, t_.toDevice(at(303, 500))), (VertexRef{0, 1}));
  EXPECT_FALSE(vertexAt(s, t_, t_.toDevice(at(312, 500))));
  const auto edge = edgeAt(s, t_, t_.toDevice(at(152, 560)));
  ASSERT_TRUE(edge);
  EXPECT_EQ(edge->before, (VertexRef{0, 4})) << "the closing edge";
  EXPECT_NEAR(edge->point.x, at(150, 0).x, 1e-6);
}

TEST_F(HitTest, SnapsToAVertexBeforeAnEdgeAndSaysToWhat) {
  const auto snap = [&](LocalXY p, const Uid& except = {}) {
    const auto s = snapAt(doc_, t_, all_, t_.toDevice(p), except);
    return s ? snapWords(doc_, *s).toStdString() : std::string("nothing");
  };
  EXPECT_EQ(snap(at(154, 503)), "corner of Clover");
  EXPECT_EQ(snapAt(doc_, t_, all_, t_.toDevice(at(154, 503)))->at, at(150, 500));
  EXPECT_EQ(snap(at(225, 503)), "edge of Clover");
  EXPECT_EQ(snapAt(doc_, t_, all_, t_.toDevice(at(225, 503)))->at, at(225, 500));
  EXPECT_EQ(snap(at(225, 503), Uid::from_seed("Clover")), "nothing");
  EXPECT_EQ(snap(at(330, 703)), "end of Wall");
  EXPECT_EQ(snap(at(303, 558)), "end of Bed to clover") << "though an edge of Clover lies nearer";
  EXPECT_EQ(snap(at(12, 12)), "at South gate");
  EXPECT_EQ(snap(at(90, 700)), "nothing");
}

TEST_F(HitTest, AnEndThatMeetsAnotherLineIsANode) {
  doc_ = testing::edited(
      doc_,
      {put(testing::seeded(Kind::human_path,
                           Shape::line({at(300, 560), at(250, 640), at(100, 660)}), "Spur"))});
  const auto s = snapAt(doc_, t_, all_, t_.toDevice(at(302, 561)));
  ASSERT_TRUE(s);
  EXPECT_EQ(s->to, SnapTo::node);
  EXPECT_EQ(s->at, at(300, 560));
}

TEST_F(HitTest, WhatLiesStackedComesInOrder) {
  const auto all = featuresAt(doc_, t_, all_, t_.toDevice(at(600, 560)));
  ASSERT_EQ(all.size(), 2U);
  EXPECT_EQ(all[0]->name, "East bed");
  EXPECT_EQ(all[1]->name, "Big woods");
}

}  // namespace
}  // namespace leeward::ui
