#include "ui/render/air.h"

#include "tests/ui/render/air_pictures.h"
#include "ui/style/palette.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <ctime>
#include <iostream>

namespace leeward::ui {
namespace {

using testing::darkIn;
using testing::evenAir;
using testing::inkIn;
using testing::pictureOf;

const LocalXY kMiddle{300, -300};

MapTransform view(double metres_per_px = 1, LocalXY centre = kMiddle) {
  return {centre, metres_per_px, QRectF(0, 0, 400, 400)};
}

TEST(WindStrokes, LieAlongTheFlowTailFirst) {
  for (const double toward : {0.0, 50.0, 135.0, 250.0}) {
    const Bearing b = Bearing::degrees(toward);
    const AirMap air = evenAir({2 * b.east(), 2 * b.north()}, {});
    const auto strokes = windStrokes(air, view());
    ASSERT_GT(strokes.size(), 40U);
    for (const AirStroke& s : strokes) {
      const LocalXY d = s.line.back() - s.line.front();
      EXPECT_NEAR(turn_deg(b, Bearing::of(d.x, d.y)), 0, 0.01);
      EXPECT_NEAR(s.speed_mps, 2, 1e-5);
    }
  }
}

TEST(WindStrokes, StayOnTheGroundWhileTheMapIsPanned) {
  const AirMap air = evenAir({1, 1}, {});
  const auto before = windStrokes(air, view());
  const auto after = windStrokes(air, view(1, kMiddle + LocalXY{13.7, -5.2}));
  std::size_t same = 0;
  for (const AirStroke& a : after)
    same += std::any_of(before.begin(), before.end(), [&](const AirStroke& b) {
      return distance_m(a.line.front(), b.line.front()) < 1e-6;
    });
  EXPECT_GT(same, after.size() * 8 / 10);
}

TEST(WindStrokes, AreThinnedByTwoSoThatEverySecondStays) {
  EXPECT_DOUBLE_EQ(strokeSpacing_m(2), 2 * strokeSpacing_m(1));
  for (double scale = 0.05; scale < 50; scale *= 1.13) {
    EXPECT_GE(strokeSpacing_m(scale) / scale, 28 - 1e-9);
    EXPECT_LE(strokeSpacing_m(scale) / scale, 56 + 1e-9);
  }
  // Air that stands is a dot at the grid's place.
  const AirMap still = evenAir({}, {});
  const auto fine = windStrokes(still, view(0.5)), coarse = windStrokes(still, view(1));
  std::size_t checked = 0;
  for (const AirStroke& c : coarse) {
    ASSERT_EQ(c.line.size(), 1U);
    if (!Box{210, -390, 390, -210}.contains(c.line[0])) continue;
    ++checked;
    EXPECT_TRUE(std::any_of(fine.begin(), fine.end(), [&](const AirStroke& f) {
      return distance_m(f.line[0], c.line[0]) < 1e-9;
    }));
  }
  EXPECT_GT(checked, 10U);
}

TEST(WindStrokes, GrowWithTheRootOfTheSpeedUpToTheirSpacing) {
  const auto length = [&](double v) {
    return path_length_m(windStrokes(evenAir({v, 0}, {}), view()).front().line);
  };
  EXPECT_NEAR(length(1) / length(0.25), 2, 0.01);
  EXPECT_LT(length(30), strokeSpacing_m(1));
  EXPECT_NEAR(length(30), length(60), 1e-6);
}

// A solid rotation: streamlines are circles, and a stroke keeps its distance from the middle.
TEST(WindStrokes, BendWithTheField) {
  AirMap air = evenAir({}, {});
  const GridSpec& g = air.east.spec;
  for (int r = 0; r < g.rows; ++r) {
    for (int c = 0; c < g.cols; ++c) {
      const LocalXY d = g.centre(c, r) - kMiddle;
      air.east.at(c, r) = static_cast<float>(-d.y * 0.05);
      air.north.at(c, r) = static_cast<float>(d.x * 0.05);
    }
  }
  int bent = 0;
  for (const AirStroke& s : windStrokes(air, view())) {
    const double radius = distance_m(s.line[s.line.size() / 2], kMiddle);
    if (radius < 60 || radius > 180) continue;
    for (const LocalXY p : s.line) EXPECT_NEAR(distance_m(p, kMiddle), radius, 0.2);
    EXPECT_LT(distance_m(s.line.front(), s.line.back()), path_length_m(s.line) - 0.02);
    ++bent;
  }
  EXPECT_GT(bent, 20);
}

TEST(WindStrokes, AreAbsentWhereTheWindIsUnknown) {
  AirMap air = evenAir({2, 0}, {});
  for (int r = 0; r < 60; ++r)
    for (int c = 0; c < 30; ++c) air.east.at(c, r) = air.north.at(c, r) = kUnknown;
  for (const AirStroke& s : windStrokes(air, view())) EXPECT_GT(s.line.front().x, 280);
  EXPECT_TRUE(windStrokes(AirMap{}, view()).empty());
}

// The head is the heavy end: of each stroke's ink more lies in its forward half.
TEST(WindStrokes, ShowTheirDirectionInGrey) {
  for (const double toward : {90.0, 270.0}) {
    const Bearing b = Bearing::degrees(toward);
    const AirMap air = evenAir({4 * b.east(), 0}, {});
    const QImage image =
        pictureOf(kMiddle, 1, QColor(0x80, 0x80, 0x80),
                  [&](QPainter& p, const MapTransform& t) { drawWindStrokes(p, t, air); });
    int ahead = 0, behind = 0;
    for (const AirStroke& s : windStrokes(air, view())) {
      const QPoint at = view().toDevice(s.line[s.line.size() / 2]).toPoint();
      const int east = darkIn(image, QRect(at.x() + 1, at.y() - 5, 14, 11), 120);
      const int west = darkIn(image, QRect(at.x() - 14, at.y() - 5, 14, 11), 120);
      ahead += toward < 180 ? east : west;
      behind += toward < 180 ? west : east;
    }
    EXPECT_GT(behind, 100);
    EXPECT_GT(ahead, behind * 3 / 2);
  }
}

// W3C, Web Content Accessibility Guidelines 2.2: graphics 3 : 1 against what lies beside them. Ink
// stands on its opaque casing, so that it reads on any ground.
TEST(WindStrokes, InkContrastsWithItsCasing) {
  EXPECT_EQ(airCasing().alpha(), 255);
  EXPECT_GE(contrastRatio(airInk(), airCasing()), 3);
}

TEST(SlopeAir, PointsToWhereItGoesAndGrows) {
  const auto marks = slopeMarks(evenAir({}, {-0.4, -0.3}), view());
  ASSERT_GT(marks.size(), 40U);
  for (const SlopeMark& m : marks) {
    EXPECT_NEAR(turn_deg(Bearing::of(-4, -3), m.toward), 0, 0.01);
    EXPECT_NEAR(m.speed_mps, 0.5, 1e-5);
  }
  const auto ink = [](double v) {
    const AirMap air = evenAir({}, {v, 0});
    const QColor ground(Qt::white);
    return inkIn(pictureOf(kMiddle, 1, ground,
                           [&](QPainter& p, const MapTransform& t) { drawSlopeAir(p, t, air); }),
                 QRect(0, 0, 400, 400), ground);
  };
  EXPECT_GT(ink(0.9), ink(0.2) * 5 / 4);
  EXPECT_EQ(ink(0.09), 0) << "too weak to be shown";
}

// An open chevron closes toward where the air goes: its foremost column of ink is narrow.
TEST(SlopeAir, ChevronsCloseInTheDirectionOfTheFlow) {
  const AirMap air = evenAir({}, {0.8, 0});
  const QImage image = pictureOf(
      kMiddle, 1, Qt::white, [&](QPainter& p, const MapTransform& t) { drawSlopeAir(p, t, air); });
  const auto marks = slopeMarks(air, view());
  const auto inner = std::min_element(marks.begin(), marks.end(), [](const auto& a, const auto& b) {
    return distance_m(a.at, kMiddle) < distance_m(b.at, kMiddle);
  });
  const QPoint at = view().toDevice(inner->at).toPoint();
  const auto spread = [&](int x) {
    int top = 400, bottom = 0;
    for (int y = at.y() - 12; y <= at.y() + 12; ++y) {
      if (qGray(image.pixel(x, y)) > 110) continue;
      top = std::min(top, y), bottom = std::max(bottom, y);
    }
    return bottom - top;
  };
  int first = at.x() + 14, last = at.x() - 14;
  for (int x = at.x() - 14; x <= at.x() + 14; ++x)
    if (spread(x) >= 0) first = std::min(first, x), last = std::max(last, x);
  EXPECT_GT(spread(first), 6);
  EXPECT_LE(spread(last), 4);
}

TEST(WindStrokes, AreDrawnFastEnoughToFollowTheMouse) {
  AirMap air = evenAir({2, 1}, {}, 300);
  QImage image(1280, 800, QImage::Format_ARGB32_Premultiplied);
  image.fill(Qt::transparent);
  const MapTransform t({1500, -1500}, 1.2, QRectF(0, 0, 1280, 800));
  double best = 1e9;
  for (int i = 0; i < 5; ++i) {
    QPainter p(&image);
    const std::clock_t start = std::clock();
    drawWindStrokes(p, t, air);
    best = std::min(best, 1000.0 * static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC);
  }
  std::cout << windStrokes(air, t).size() << " strokes on 1280x800 in " << best
            << " ms of processor time\n";
  EXPECT_LT(best, 40) << "3 ms on the machine it was made on";
}

}  // namespace
}  // namespace leeward::ui
