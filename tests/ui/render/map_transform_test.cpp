#include "ui/render/map_transform.h"

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

const LocalXY kPlace{684900.25, 5018000.75};

TEST(MapTransform, GoesThereAndBackWithinAMillimetre) {
  for (const double scale : {0.05, 1.0, 37.0}) {
    for (const double device : {1.0, 2.0, 1200.0 / 96}) {
      const MapTransform t(kPlace, scale, QRectF(10, 20, 800, 600), device);
      for (const QPointF d : {QPointF(10, 20), QPointF(411.5, 3), QPointF(-90, 777)}) {
        const QPointF back = t.toDevice(t.toLocal(d));
        EXPECT_NEAR(back.x(), d.x(), 0.001 * t.devicePerMetre() + 1e-4);
        EXPECT_NEAR(back.y(), d.y(), 0.001 * t.devicePerMetre() + 1e-4);
      }
    }
  }
}

TEST(MapTransform, NorthIsUpAndEastIsRight) {
  const MapTransform t(kPlace, 2, QRectF(0, 0, 100, 100));
  EXPECT_EQ(t.toDevice(kPlace), QPointF(50, 50));
  EXPECT_NEAR(t.toDevice(kPlace + LocalXY{0, 20}).y(), 40, 1e-6);
  EXPECT_NEAR(t.toDevice(kPlace + LocalXY{20, 0}).x(), 60, 1e-6);
}

TEST(MapTransform, ZoomingKeepsTheGroundUnderTheCursor) {
  const MapTransform t(kPlace, 2, QRectF(0, 0, 640, 480));
  const QPointF cursor(500, 77);
  const LocalXY under = t.toLocal(cursor);
  const MapTransform closer = t.zoomedAbout(cursor, 0.37);
  EXPECT_NEAR(distance_m(closer.toLocal(cursor), under), 0, 1e-5);
  EXPECT_EQ(closer.metresPerPx(), 0.37);
}

TEST(MapTransform, PanningMovesTheGroundWithTheHand) {
  const MapTransform t(kPlace, 0.5, QRectF(0, 0, 640, 480));
  const MapTransform moved = t.pannedBy({30, -12});
  EXPECT_NEAR(moved.toDevice(kPlace).x(), t.toDevice(kPlace).x() + 30, 1e-6);
  EXPECT_NEAR(moved.toDevice(kPlace).y(), t.toDevice(kPlace).y() - 12, 1e-6);
}

TEST(MapTransform, APrintedMillimetreIsTheStatedGround) {
  // 1 : 5000 on a 1200 dpi printer: a millimetre of paper is 5 m of ground.
  const double dpi = 1200;
  const MapTransform t(kPlace, MapTransform::metresPerPxAtScale(5000), QRectF(0, 0, 4000, 4000),
                       dpi / 96);
  EXPECT_NEAR(5 * t.devicePerMetre(), dpi / 25.4, 1e-6);
  EXPECT_NEAR(t.mm(1), dpi / 25.4, 1e-6);
}

TEST(MapTransform, FittingShowsTheWholeBoxInside) {
  Box box;
  box.add(kPlace), box.add(kPlace + LocalXY{1500, 400});
  const QRectF view(0, 0, 500, 500);
  const MapTransform t = MapTransform::fitting(box, view, 20);
  EXPECT_TRUE(view.adjusted(19, 19, -19, -19).contains(t.toDevice(box)));
}

}  // namespace
}  // namespace leeward::ui
