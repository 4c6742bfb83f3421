// The map turned: what is seen, picked, drawn and snapped; and panned by strips.
#include "canvas_fixture.h"
#include "ui/render/fields.h"
#include "ui/style/type.h"

#include <QApplication>
#include <QNativeGestureEvent>
#include <QPainter>
#include <QPointingDevice>
#include <QWheelEvent>

#include <cmath>

namespace leeward::ui {
namespace {

class Turning : public Canvas {
 protected:
  void turn(double up_deg) {
    canvas_.setTurn(up_deg);
    still();
  }
  void still() {
    ASSERT_TRUE(QTest::qWaitFor([this] { return canvas_.repaint(), canvas_.settled(); }, 5000));
  }
  /// Share of pixels by which two pictures differ visibly.
  static double difference(const QImage& a, const QImage& b) {
    if (a.size() != b.size()) return 1;
    int differ = 0;
    for (int y = 0; y < a.height(); ++y)
      for (int x = 0; x < a.width(); ++x) {
        const QRgb p = a.pixel(x, y), q = b.pixel(x, y);
        differ += std::abs(qRed(p) - qRed(q)) + std::abs(qGreen(p) - qGreen(q)) +
                      std::abs(qBlue(p) - qBlue(q)) >
                  36;
      }
    return static_cast<double>(differ) / (a.width() * a.height());
  }
  void gesture(Qt::NativeGestureType type, double value) {
    const QPointF at = canvas_.middle();
    QNativeGestureEvent event(type, QPointingDevice::primaryPointingDevice(), 2, at, at,
                              canvas_.mapToGlobal(at), value, {});
    QApplication::sendEvent(&canvas_, &event);
  }
  void wheel(int notches, Qt::KeyboardModifiers modifiers) {
    const QPointF at = canvas_.middle();
    QWheelEvent event(at, canvas_.mapToGlobal(at), {}, {0, 120 * notches}, Qt::NoButton, modifiers,
                      Qt::NoScrollPhase, false);
    QApplication::sendEvent(&canvas_, &event);
    still();
  }
};

TEST(TurnedTransform, BearingAtTheTopIsUpAndPlacesComeBack) {
  const MapTransform t = MapTransform({500, 200}, 2, QRectF(0, 0, 400, 300)).turned(90);
  const QPointF east = t.toDevice(LocalXY{600, 200});  // bearing 90 is up
  EXPECT_NEAR(east.x(), 200, 1e-9);
  EXPECT_NEAR(east.y(), 100, 1e-9);
  EXPECT_NEAR(t.ahead(Bearing::degrees(0)).x(), -1, 1e-9) << "north points left";
  const MapTransform on = t.zoomedAbout({50, 60}, 0.7).pannedBy({13, -8}).turnedAbout({9, 9}, 33);
  const LocalXY p{431.5, 77.25};
  EXPECT_NEAR(distance_m(on.toLocal(on.toDevice(p)), p), 0, 1e-9);
  EXPECT_EQ(on.up_deg(), 33);
}

TEST(TurnedTransform, KeepsTheGroundUnderTheFixedPoint) {
  const MapTransform t = MapTransform({0, 0}, 1.5, QRectF(0, 0, 400, 300)).turned(40);
  const QPointF fixed(77, 240);
  const LocalXY ground = t.toLocal(fixed);
  for (const MapTransform& m :
       {t.zoomedAbout(fixed, 0.4), t.turnedAbout(fixed, 200), t.turnedAbout(fixed, 0)}) {
    EXPECT_NEAR(m.toDevice(ground).x(), fixed.x(), 1e-9);
    EXPECT_NEAR(m.toDevice(ground).y(), fixed.y(), 1e-9);
  }
}

TEST(TurnedTransform, LevelAndTurningMakeTheTurnedPlace) {
  const MapTransform t = MapTransform({10, 20}, 0.8, QRectF(0, 0, 500, 300)).turned(250);
  const LocalXY p{60, -40};
  const QPointF a = t.toDevice(p), b = t.turning().map(t.level().toDevice(p));
  EXPECT_NEAR(a.x(), b.x(), 1e-9);
  EXPECT_NEAR(a.y(), b.y(), 1e-9);
  for (const QPointF corner : {t.viewport().topLeft(), t.viewport().bottomRight()})
    EXPECT_TRUE(t.level()
                    .viewport()
                    .adjusted(-1e-6, -1e-6, 1e-6, 1e-6)
                    .contains(t.turning().inverted().map(corner)));
}

TEST(TurnedTransform, FitsATurnedBox) {
  const Box box{0, 0, 1000, 300};
  for (const double up : {0.0, 30.0, 90.0, 217.0}) {
    const MapTransform t = MapTransform({}, 1, QRectF(0, 0, 640, 480)).turned(up).fitted(box, 20);
    EXPECT_TRUE(QRectF(19.9, 19.9, 600.2, 440.2).contains(t.enclosing(box))) << up;
  }
}

TEST(TurnedTransform, APictureOfTheGroundTurnsWithIt) {
  GroundImage ground;
  ground.box = {0, 0, 100, 100};
  ground.image = QImage(100, 100, QImage::Format_ARGB32_Premultiplied);
  ground.image.fill(Qt::white);
  for (int y = 0; y < 50; ++y)
    for (int x = 50; x < 100; ++x) ground.image.setPixelColor(x, y, Qt::red);  // the north east
  QImage image(200, 200, QImage::Format_RGB32);
  image.fill(Qt::black);
  const MapTransform t = MapTransform({50, 50}, 0.5, QRectF(0, 0, 200, 200)).turned(120);
  {
    QPainter painter(&image);
    drawGroundImage(painter, t, ground, 1);
  }
  for (const LocalXY p : {LocalXY{75, 75}, {25, 75}, {75, 25}, {25, 25}}) {
    const bool red = p.x > 50 && p.y > 50;
    EXPECT_EQ(image.pixelColor(t.toDevice(p).toPoint()), QColor(red ? Qt::red : Qt::white))
        << p.x << ' ' << p.y;
  }
}

TEST_F(Turning, AClickPicksWhatIsSeenThere) {
  const Ref<Feature> stand = session_.document()->of(Kind::stand).front();
  for (const double up : {37.0, 180.0, 281.0}) {
    turn(up);
    session_.select({});
    click(stand->shape.position());
    EXPECT_EQ(session_.selection(), stand->uid) << up;
  }
}

TEST_F(Turning, DrawnPointsAndSnapsStandWhereTheyWerePut) {
  turn(125);
  DrawTool tool(session_, canvas_, Kind::deer_trail);
  canvas_.setTool(&tool);
  const std::size_t before = count(Kind::deer_trail);
  const LocalXY corner = session_.document()->of(Kind::boundary).front()->shape.path().front();
  const LocalXY inside = corner + (canvas_.transform().centre() - corner) * 0.4;
  click(inside);
  const QPointF near = canvas_.transform().toDevice(corner) + QPointF(4, -3);
  QTest::mouseMove(&canvas_, near.toPoint());
  QTest::mouseClick(&canvas_, Qt::LeftButton, {}, near.toPoint());
  QTest::keyClick(&canvas_, Qt::Key_Return);
  canvas_.setTool(&select_);
  ASSERT_EQ(count(Kind::deer_trail), before + 1);
  const Path drawn = session_.document()->of(Kind::deer_trail).back()->shape.path();
  EXPECT_LT(distance_m(drawn.front(), inside), metresPerPx());
  EXPECT_EQ(drawn.back(), corner);
}

TEST_F(Turning, ABoxTakesWhatLiesInItOnTheScreen) {
  turn(45);
  const QPointF at =
      canvas_.transform().toDevice(session_.document()->of(Kind::stand).front()->shape.position());
  const QPoint a = (at - QPointF(30, 30)).toPoint(), b = (at + QPointF(30, 30)).toPoint();
  QTest::mousePress(&canvas_, Qt::LeftButton, Qt::ShiftModifier, a);
  QTest::mouseMove(&canvas_, (a + b) / 2);
  QTest::mouseMove(&canvas_, b);
  QTest::mouseRelease(&canvas_, Qt::LeftButton, Qt::ShiftModifier, b);
  EXPECT_TRUE(session_.isSelected(session_.document()->of(Kind::stand).front()->uid));
}

TEST_F(Turning, ArrowKeysMoveAsItLooks) {
  turn(90);  // east is up
  const Ref<Feature> stand = session_.document()->of(Kind::stand).front();
  session_.select(stand->uid);
  QTest::keyClick(&canvas_, Qt::Key_Up, Qt::ControlModifier | Qt::ShiftModifier);
  const LocalXY by = session_.selected()->shape.position() - stand->shape.position();
  EXPECT_NEAR(by.x, 10 * metresPerPx(), 1e-6);
  EXPECT_NEAR(by.y, 0, 1e-6);
}

TEST_F(Turning, KeysWheelAndHandTurnAndEndPutsNorthUp) {
  wheel(2, Qt::ShiftModifier);
  EXPECT_NEAR(canvas_.transform().up_deg(), 10, 1e-6);
  QTest::keyClick(&canvas_, Qt::Key_End);
  EXPECT_EQ(canvas_.transform().up_deg(), 0);
  const QPoint m = canvas_.middle().toPoint();
  QTest::mousePress(&canvas_, Qt::RightButton, {}, m + QPoint(0, -200));
  QTest::mouseMove(&canvas_, m + QPoint(100, -150));
  QTest::mouseMove(&canvas_, m + QPoint(200, 0));  // a quarter clockwise
  QTest::mouseRelease(&canvas_, Qt::RightButton, {}, m + QPoint(200, 0));
  EXPECT_NEAR(canvas_.transform().up_deg(), 270, 0.5) << "west is up";
}

TEST_F(Turning, FingersZoomAndTurnButNotUnmeant) {
  const double scale = metresPerPx();
  gesture(Qt::BeginNativeGesture, 0);
  gesture(Qt::ZoomNativeGesture, 0.25);
  gesture(Qt::RotateNativeGesture, 5);
  EXPECT_NEAR(metresPerPx(), scale / 1.25, 1e-9);
  EXPECT_EQ(canvas_.transform().up_deg(), 0) << "pinching fingers turn a little unmeant";
  gesture(Qt::RotateNativeGesture, 20);
  gesture(Qt::EndNativeGesture, 0);
  EXPECT_NEAR(canvas_.transform().up_deg(), 340, 1e-6) << "the map follows the fingers clockwise";
}

TEST_F(Turning, TwoFingersOnAScreenZoomAndTurn) {
  static QPointingDevice* screen = QTest::createTouchDevice();
  const QPoint m = canvas_.middle().toPoint();
  const double scale = metresPerPx();
  const auto fingers = [&](double apart, double deg) {
    const QPoint off(static_cast<int>(apart / 2 * std::cos(deg * kRadPerDeg)),
                     static_cast<int>(apart / 2 * std::sin(deg * kRadPerDeg)));
    return std::pair(m - off, m + off);
  };
  auto [a, b] = fingers(160, 0);
  QTest::touchEvent(&canvas_, screen).press(0, a).press(1, b);
  for (int i = 1; i <= 10; ++i) {
    std::tie(a, b) = fingers(160 + 16 * i, 4.5 * i);
    QTest::touchEvent(&canvas_, screen).move(0, a).move(1, b);
  }
  QTest::touchEvent(&canvas_, screen).release(0, a).release(1, b);
  EXPECT_NEAR(metresPerPx(), scale / 2, scale * 0.06);
  EXPECT_NEAR(canvas_.transform().up_deg(), 360 - (45 - 8), 3)
      << "clockwise as the fingers, without the first degrees";
}

TEST_F(Turning, WheelStepsGlideAndAddUp) {
  const double scale = metresPerPx();
  const QPointF at(120, 300);
  const LocalXY ground = canvas_.transform().toLocal(at);
  for (int i = 0; i < 3; ++i) {
    QWheelEvent event(at, canvas_.mapToGlobal(at), {}, {0, 120}, Qt::NoButton, {},
                      Qt::NoScrollPhase, false);
    QApplication::sendEvent(&canvas_, &event);
  }
  still();
  EXPECT_NEAR(metresPerPx(), scale / std::exp2(3 / 2.5), scale * 1e-6);
  EXPECT_LT(distance_m(canvas_.transform().toLocal(at), ground), 0.01 * scale);
}

TEST_F(Turning, TheDialTurnsWithTheMap) {
  double turned_deg = -1;
  QObject::connect(&canvas_, &MapCanvas::windTurned,
                   [&](double from_deg, bool) { turned_deg = from_deg; });
  turn(90);
  const QPointF top = canvas_.dial().middle() - QPointF(0, 30);
  QTest::mouseClick(&canvas_, Qt::LeftButton, {}, top.toPoint());
  EXPECT_NEAR(turned_deg, 90, 1e-6) << "what is up on the map is up on the dial";
}

TEST_F(Turning, WhatPansInLooksAsIfDrawnAtOnce) {
  ViewState view = canvas_.view();
  view.labels = false;  // names are placed by what is seen
  canvas_.setView(view);
  for (const double up : {0.0, 30.0}) {
    turn(up);
    canvas_.zoomBy(2.5, canvas_.middle());
    still();
    for (int i = 0; i < 50; ++i) {  // further than the margin, without a rest
      QTest::keyClick(&canvas_, i % 3 ? Qt::Key_Right : Qt::Key_Down);
      canvas_.repaint();
    }
    still();
    const QImage panned = canvas_.grab().toImage();
    canvas_.setView(view);  // all anew
    still();
    EXPECT_LT(difference(panned, canvas_.grab().toImage()), 0.002) << up;
    canvas_.fitAll();
  }
}

}  // namespace
}  // namespace leeward::ui
