// Printing from the window: the frame on the map, by pointer and keys; the preview; the file.
#include "tests/support/small_property.h"
#include "ui/window/main_window.h"
#include "ui/window/print_desk.h"

#include <QApplication>
#include <QCheckBox>
#include <QClipboard>
#include <QDir>
#include <QImage>
#include <QPainter>
#include <QProgressBar>
#include <QPushButton>
#include <QTemporaryDir>
#include <QTest>

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <sstream>

namespace leeward::ui {
namespace {

class PrintWindow : public ::testing::Test {
 protected:
  PrintWindow() : window_({}) {
    window_.adopt(std::make_unique<EditSession>(make_ref<Document>(testing::small_property())));
    window_.setArrive(testing::kEvening);
    window_.resize(1280, 800);
    window_.show();
    static_cast<void>(QTest::qWaitForWindowActive(&window_));
    QTest::keyClick(&window_, Qt::Key_P, Qt::ControlModifier);
    EXPECT_TRUE(QTest::qWaitFor([&] { return desk() && window_.settled(); }, 20000));
  }
  PrintDesk* desk() { return window_.printing(); }
  PrintLayout layout() { return desk()->panel()->layout(); }
  QPoint px(LocalXY p) { return window_.canvas()->transform().toDevice(p).toPoint(); }
  void drag(QPoint from, QPoint to, Qt::KeyboardModifiers m = {}) {
    QWidget* map = window_.canvas();
    QTest::mousePress(map, Qt::LeftButton, m, from);
    QMouseEvent move(QEvent::MouseMove, to, map->mapToGlobal(to), Qt::NoButton, Qt::LeftButton, m);
    QApplication::sendEvent(map, &move);
    QTest::mouseRelease(map, Qt::LeftButton, m, to);
  }
  void key(int k, Qt::KeyboardModifiers m = {}) {
    QTest::keyClick(window_.canvas(), Qt::Key(k), m);
  }
  void settle() {
    ASSERT_TRUE(QTest::qWaitFor([&] { return window_.settled(); }, 20000));
  }
  MainWindow window_;
};

TEST_F(PrintWindow, TheFrameIsDraggedPulledAndTurned) {
  const PrintFrame was = desk()->frame();
  ASSERT_GT(was.denominator, 0);
  const LocalXY to = was.centre + LocalXY{60, -40};
  drag(px(was.centre), px(to));
  EXPECT_LT(distance_m(*layout().centre, to), 2 * window_.canvas()->transform().metresPerPx());
  EXPECT_EQ(layout().scale_denominator, 0) << "moved, not scaled";
  // A corner nearer to the middle: less ground.
  const LocalXY corner = desk()->frame().corners()[0], middle = desk()->frame().centre;
  drag(px(corner), px(middle + (corner - middle) * 0.8));
  EXPECT_NEAR(layout().scale_denominator, 0.8 * was.denominator, 0.02 * was.denominator);
  EXPECT_LT(distance_m(*layout().centre, middle), 0.5);
  // The knob to the right of the middle, Shift for whole steps: east is up.
  const QPointF knob = desk()->tool().knob();
  const QPoint c = px(desk()->frame().centre);
  drag(knob.toPoint(), c + QPoint(150, 8), Qt::ShiftModifier);
  EXPECT_EQ(layout().turned_deg, 90);
  settle();
  EXPECT_FALSE(desk()->panel()->preview()->picture().isNull());
}

TEST_F(PrintWindow, TheFrameMovesTurnsAndScalesByKeys) {
  window_.canvas()->setFocus();
  const PrintFrame was = desk()->frame();
  key(Qt::Key_Right);
  key(Qt::Key_Up, Qt::ShiftModifier);
  EXPECT_NEAR(layout().centre->x - was.centre.x, 0.002 * was.denominator, 1);
  EXPECT_NEAR(layout().centre->y - was.centre.y, 0.020 * was.denominator, 1);
  key(Qt::Key_Left, Qt::ControlModifier);
  EXPECT_EQ(layout().turned_deg, -1);
  key(Qt::Key_Up, Qt::ControlModifier);
  EXPECT_GT(layout().scale_denominator, was.denominator);
  const double larger = layout().scale_denominator;
  key(Qt::Key_Down, Qt::ControlModifier);
  EXPECT_LT(layout().scale_denominator, larger);
}

TEST_F(PrintWindow, SeveralPagesLieOverTheGroundAndTurnTogether) {
  for (QCheckBox* box : desk()->panel()->findChildren<QCheckBox*>())
    if (box->text().startsWith(QStringLiteral("Several"))) box->click();
  desk()->panel()->place(std::nullopt, 2000, 0);
  const PrintFrame frame = desk()->frame();
  ASSERT_GT(frame.sheets.size(), 3U);
  Box all;
  for (const LocalXY c : frame.corners()) all.add(c);
  for (const double x : {0.0, 800.0})
    for (const double y : {0.0, 800.0}) EXPECT_TRUE(all.contains(testing::at(x, y)));
  window_.canvas()->setFocus();
  key(Qt::Key_Right);
  EXPECT_FALSE(layout().centre) << "they have no place of their own";
  key(Qt::Key_Right, Qt::ControlModifier | Qt::ShiftModifier);
  EXPECT_EQ(layout().turned_deg, 15);
  EXPECT_FALSE(layout().centre);
  settle();
  EXPECT_GT(desk()->panel()->preview()->pages(), 4);
}

TEST_F(PrintWindow, TheFrameStaysWhileAnotherToolIsInHand) {
  key(Qt::Key_V);  // the select tool
  const PrintFrame was = desk()->frame();
  EXPECT_GT(was.denominator, 0);
  drag(px(was.centre), px(was.centre + LocalXY{50, 0}));
  EXPECT_FALSE(layout().centre) << "the other tool took the drag";
  QTest::keyClick(&window_, Qt::Key_P, Qt::ControlModifier);
  drag(px(was.centre), px(was.centre + LocalXY{50, 0}));
  EXPECT_TRUE(layout().centre);
}

TEST_F(PrintWindow, ThePreviewIsThePageThatIsWritten) {
  const auto tick = [&](const char* words) {
    for (QCheckBox* box : desk()->panel()->findChildren<QCheckBox*>())
      if (box->text().remove(QLatin1Char('&')).contains(QLatin1String(words))) box->click();
  };
  tick("A card");
  tick("Work list");
  settle();
  PagePreview* preview = desk()->panel()->preview();
  EXPECT_EQ(preview->pages(), 3);
  preview->turnTo(1);
  EXPECT_TRUE(preview->busy()) << "it is drawn behind the window";
  settle();
  EXPECT_EQ(preview->page(), 1);
  const QTemporaryDir folder;
  const std::string file = folder.filePath(QStringLiteral("sheets.pdf")).toStdString();
  desk()->writeTo(file);
  settle();
  std::ifstream in(file, std::ios::binary);
  std::ostringstream bytes;
  bytes << in.rdbuf();
  EXPECT_EQ(bytes.str().substr(0, 5), "%PDF-");
  EXPECT_NE(bytes.str().find("/Count 3"), std::string::npos);
  EXPECT_EQ(bytes.str().find(QDir::homePath().toStdString() + "/"), std::string::npos);
  // The map's page as a picture file has the preview's picture, larger.
  preview->turnTo(0);
  settle();
  const QString png = folder.filePath(QStringLiteral("map.png"));
  desk()->writeTo(png.toStdString());
  settle();
  const QSize size = preview->picture().size();
  const QImage written = QImage(png).scaled(size, Qt::IgnoreAspectRatio, Qt::SmoothTransformation),
               seen = preview->picture();
  ASSERT_FALSE(written.isNull());
  // Compared at a quarter of the size, where the edges of letters and lines no longer count.
  const auto coarse = [&](const QImage& image) {
    return image.scaled(size / 4, Qt::IgnoreAspectRatio, Qt::SmoothTransformation);
  };
  const auto apart = [](const QImage& a, const QImage& b) {
    double sum = 0;
    for (int y = 0; y < a.height(); ++y)
      for (int x = 0; x < a.width(); ++x)
        sum += std::abs(qGray(a.pixel(x, y)) - qGray(b.pixel(x, y)));
    return sum / (a.width() * a.height());  // grey levels a pixel
  };
  const double same = apart(coarse(written), coarse(seen));
  EXPECT_LT(same, 2);
  QImage moved(size, QImage::Format_RGB32);  // by a hundredth of the page, about 2 mm
  moved.fill(Qt::white);
  QPainter(&moved).drawImage(size.width() / 100, 0, seen);
  EXPECT_GT(apart(coarse(written), coarse(moved)), 2 * same);
}

TEST_F(PrintWindow, WritingShowsHowFarItIsAndCanBeGivenUp) {
  settle();
  const QTemporaryDir folder;
  const std::filesystem::path dropped = folder.filePath(QStringLiteral("a.pdf")).toStdString(),
                              kept = folder.filePath(QStringLiteral("b.pdf")).toStdString();
  auto* bar = desk()->panel()->findChild<QProgressBar*>();
  ASSERT_TRUE(bar);
  EXPECT_FALSE(bar->isVisible());
  desk()->writeTo(dropped);
  EXPECT_TRUE(bar->isVisible());
  for (QPushButton* b : desk()->panel()->findChildren<QPushButton*>())
    if (b->text() == QStringLiteral("Cancel")) QTest::mouseClick(b, Qt::LeftButton);
  EXPECT_FALSE(bar->isVisible());
  settle();
  EXPECT_FALSE(std::filesystem::exists(dropped));
  int told = 0, last = -1;
  QObject::connect(bar, &QProgressBar::valueChanged, bar, [&](int percent) {
    ++told;
    EXPECT_GE(percent, last);
    last = percent;
  });
  desk()->writeTo(kept);
  settle();
  EXPECT_TRUE(std::filesystem::exists(kept));
  EXPECT_GT(told, 2);
}

TEST_F(PrintWindow, ClosingWhileAPageIsDrawnDropsIt) {
  desk()->panel()->place(testing::at(400, 400), 3000, 40);
  EXPECT_TRUE(desk()->panel()->preview()->busy());
  emit desk()->panel()->closed();
  QTest::qWait(1);
  EXPECT_FALSE(desk());
  EXPECT_EQ(window_.session()->document()->settings->layout.turned_deg, 40);
  QTest::keyClick(&window_, Qt::Key_P, Qt::ControlModifier);
  EXPECT_EQ(layout().scale_denominator, 3000) << "as it was left";
  settle();
}

TEST_F(PrintWindow, APropertyThatGivesWayTakesThePanelWithIt) {
  window_.adopt(std::make_unique<EditSession>(make_ref<Document>(testing::small_property())));
  EXPECT_FALSE(desk());
  settle();
}

TEST_F(PrintWindow, ClosingKeepsTheLayoutAsOneStepAndGivesTheToolBack) {
  window_.canvas()->setFocus();
  key(Qt::Key_Right);
  ASSERT_TRUE(layout().centre);
  const LocalXY centre = *layout().centre;
  for (QPushButton* b : desk()->panel()->findChildren<QPushButton*>())
    if (b->text().remove(QLatin1Char('&')) == QStringLiteral("Close")) b->click();
  QTest::qWait(1);
  EXPECT_FALSE(desk());
  EXPECT_EQ(window_.session()->document()->settings->layout.centre, centre);
  EXPECT_EQ(window_.session()->undoLabel(), QStringLiteral("Change the print's layout"));
  const Uid stand = Uid::from_seed("Edge ladder");
  const LocalXY at = window_.session()->document()->find(stand)->shape.position();
  QTest::mouseClick(window_.canvas(), Qt::LeftButton, {}, px(at));
  EXPECT_EQ(window_.session()->selection(), stand);
}

}  // namespace
}  // namespace leeward::ui
