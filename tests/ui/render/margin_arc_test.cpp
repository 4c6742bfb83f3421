#include "ui/render/margin_arc.h"

#include "tests/ui/render/air_pictures.h"

#include <gtest/gtest.h>

#include <cmath>

namespace leeward::ui {
namespace {

using testing::pictureOf;

StandResult standWith(double back_deg, double veer_deg, bool passed = false, double ring_m = 60) {
  StandResult s;
  s.margin = {passed, veer_deg, back_deg, {}, {}};
  Ring ring;
  ring.range_m = ring_m;
  s.rings.push_back(ring);
  return s;
}

MapTransform view(double metres_per_px = 1) {
  return {{0, 0}, metres_per_px, QRectF(0, 0, 400, 400)};
}

MarginArc arcOf(const StandResult& s, double from_deg) {
  return marginArc(view(), {0, 0}, WindFrom(Bearing::degrees(from_deg)), s);
}

/// Whether the arc itself is dark on the ray of a bearing, within 2 pixels of its radius.
bool darkAt(const QImage& image, const MarginArc& arc, double bearing_deg) {
  const Bearing b = Bearing::degrees(bearing_deg);
  for (double off = -0.8; off <= 0.8; off += 0.4) {
    const QPointF at = arc.middle + QPointF(b.east(), -b.north()) * (arc.radius + off);
    if (qGray(image.pixel(at.toPoint())) < 90) return true;
  }
  return false;
}

QImage drawn(const MarginArc& arc) {
  return pictureOf({0, 0}, 1, QColor(0x98, 0xA0, 0x90),
                   [&](QPainter& p, const MapTransform& t) { drawMarginArc(p, t, arc, false); });
}

TEST(MarginArc, SpansFromTheBackingToTheVeeringLimitOnTheUpwindSide) {
  for (const double from : {300.0, 10.0, 180.0}) {
    const MarginArc arc = arcOf(standWith(18, 42), from);
    const QImage image = drawn(arc);
    for (double turn = -180; turn < 180; turn += 2) {
      const bool inside = turn > -16 && turn < 40, outside = turn < -21 || turn > 45;
      if ((!inside && !outside) || std::abs(turn) < 7) continue;  // 0: the point of the wind now
      EXPECT_EQ(darkAt(image, arc, from + turn), inside) << from << ' ' << turn;
    }
  }
}

TEST(MarginArc, StandsJustOutsideTheLargestRingWithinLimits) {
  EXPECT_NEAR(arcOf(standWith(10, 10, false, 60), 0).radius, 73, 1e-9);
  EXPECT_NEAR(arcOf(standWith(10, 10, false, 5), 0).radius, 50, 1e-9);
  EXPECT_NEAR(arcOf(standWith(10, 10, false, 900), 0).radius, 170, 1e-9);
}

TEST(MarginArc, SaysTheDegreesBesideItsEnds) {
  const MarginArc arc = arcOf(standWith(30, 90), 0);
  EXPECT_FALSE(arc.open_from);
  EXPECT_TRUE(arc.open_to) << "90 means 90 or more";
  std::vector<QRectF> boxes;
  pictureOf({0, 0}, 1, Qt::white,
            [&](QPainter& p, const MapTransform& t) { boxes = drawMarginArc(p, t, arc); });
  ASSERT_EQ(boxes.size(), 2U);
  EXPECT_LT(boxes[0].center().x(), 200 - 25) << "the backing end lies west of a north wind";
  EXPECT_LT(boxes[0].center().y(), 200 - 50);
  EXPECT_GT(boxes[1].center().x(), 200 + arc.radius);
  EXPECT_NEAR(boxes[1].center().y(), 200, 6);
}

TEST(MarginArc, WordsOfNarrowMarginsDoNotOverlap) {
  for (const double from : {0.0, 90.0, 225.0}) {
    const MarginArc arc = arcOf(standWith(1, 2), from);
    std::vector<QRectF> boxes;
    pictureOf({0, 0}, 1, Qt::white,
              [&](QPainter& p, const MapTransform& t) { boxes = drawMarginArc(p, t, arc); });
    EXPECT_FALSE(boxes[0].intersects(boxes[1])) << from;
  }
}

TEST(MarginArc, APassedLimitLooksDifferentInGrey) {
  const MarginArc passed = arcOf(standWith(0, 0, true), 270), room = arcOf(standWith(20, 20), 270);
  const QImage crossed = drawn(passed), plain = drawn(room);
  const auto reach = [](const QImage& image, const MarginArc& arc) {
    // Dark pixels well off the arc's line between its ends: strokes that cross it.
    int n = 0;
    for (double turn = -17; turn <= 17; turn += 0.5) {
      if (std::abs(turn) < 6) continue;  // the point of the wind now
      const Bearing b = Bearing::degrees(270 + turn);
      for (const double off : {-4.0, 4.0}) {
        const QPointF at = arc.middle + QPointF(b.east(), -b.north()) * (arc.radius + off);
        n += qGray(image.pixel(at.toPoint())) < 110;
      }
    }
    return n;
  };
  EXPECT_GE(reach(crossed, passed), 4);
  EXPECT_EQ(reach(plain, room), 0);
  std::vector<QRectF> boxes;
  pictureOf({0, 0}, 1, Qt::white,
            [&](QPainter& p, const MapTransform& t) { boxes = drawMarginArc(p, t, passed); });
  EXPECT_EQ(boxes.size(), 1U);
}

}  // namespace
}  // namespace leeward::ui
