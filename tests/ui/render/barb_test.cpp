// WMO-No. 485, Manual on the Global Data-processing and Forecasting System, appendix II-4,
// graphical representation of data: half barb 5 kt, full barb 10 kt, pennant 50 kt, on the left of
// the shaft as the air moves in the northern hemisphere; from memory of the published table.
#include "ui/render/barb.h"

#include "core/base/units.h"

#include <QImage>
#include <QPainter>

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

struct Count {
  double kt;
  std::size_t pennants, full, half;
};

TEST(WindBarb, CountsFiveTenFifty) {
  for (const Count& c :
       {Count{5, 0, 0, 1}, Count{10, 0, 1, 0}, Count{15, 0, 1, 1}, Count{25, 0, 2, 1},
        Count{50, 1, 0, 0}, Count{65, 1, 1, 1}, Count{100, 2, 0, 0}, Count{115, 2, 1, 1}}) {
    const BarbShape s = barbShape(c.kt);
    EXPECT_FALSE(s.calm);
    EXPECT_EQ(s.pennants.size(), c.pennants) << c.kt;
    EXPECT_EQ(s.full.size(), c.full) << c.kt;
    EXPECT_EQ(s.half.size(), c.half) << c.kt;
  }
}

TEST(WindBarb, RoundsToTheNearestFiveKnots) {
  EXPECT_EQ(barbShape(7.4).half.size(), 1U);
  EXPECT_EQ(barbShape(7.6).full.size(), 1U);
  EXPECT_EQ(barbShape(2).half.size(), 0U);  // a bare shaft
  EXPECT_FALSE(barbShape(2).calm);
  EXPECT_TRUE(barbShape(0.4).calm);
}

TEST(WindBarb, BarbsStandOnTheClockwiseSideInTheNorth) {
  for (const QLineF& l : barbShape(25, true).full) EXPECT_GT(l.x2(), 0);
  for (const QLineF& l : barbShape(25, false).full) EXPECT_LT(l.x2(), 0);
}

TEST(WindBarb, ALoneHalfBarbStandsInFromTheTip) {
  EXPECT_GT(barbShape(5).half.front().y1(), -1);
  EXPECT_EQ(barbShape(10).full.front().y1(), -1);
}

TEST(WindBarb, HalfIsHalfAsLongAsFull) {
  const BarbShape s = barbShape(15);
  EXPECT_NEAR(s.half.front().length() * 2, s.full.front().length(), 1e-9);
}

/// Sum of dark pixels in a quadrant of the picture of a barb.
int inkIn(const QImage& image, const QRect& part) {
  int dark = 0;
  for (int y = part.top(); y <= part.bottom(); ++y)
    for (int x = part.left(); x <= part.right(); ++x) dark += qGray(image.pixel(x, y)) < 128;
  return dark;
}

TEST(WindBarb, StaffPointsToWhereTheWindComesFrom) {
  QImage image(200, 200, QImage::Format_RGB32);
  image.fill(Qt::white);
  QPainter p(&image);
  drawBarb(p, {100, 100}, 270.0, 10 * kMpsPerKnot, 80, 2, Qt::black);  // from the west
  p.end();
  EXPECT_GT(inkIn(image, QRect(15, 95, 80, 10)), 100);
  EXPECT_LT(inkIn(image, QRect(105, 0, 95, 200)), 20);
  // the barb lies clockwise of the staff: to the north of one that points west
  EXPECT_GT(inkIn(image, QRect(0, 60, 60, 34)), 10);
  EXPECT_EQ(inkIn(image, QRect(0, 106, 60, 60)), 0);
}

}  // namespace
}  // namespace leeward::ui
