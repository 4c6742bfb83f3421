#include "ui/window/main_window.h"

#include "tests/support/small_property.h"
#include "ui/panels/air_panel.h"
#include "ui/panels/hour_strip.h"
#include "ui/panels/tool_palette.h"

#include <QLabel>
#include <QTest>
#include <QTextBrowser>

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

constexpr int kPatienceMs = 60000;

class Window : public ::testing::Test {
 protected:
  Window() : window_({}) {
    window_.adopt(std::make_unique<EditSession>(make_ref<Document>(testing::small_property())));
    window_.setArrive(testing::kEvening);
    window_.show();
  }
  bool settle() {
    return QTest::qWaitFor([this] { return window_.settled(); }, kPatienceMs);
  }
  QString words() { return window_.findChild<QTextBrowser*>()->toPlainText(); }
  MainWindow window_;
};

TEST_F(Window, ExplainsTheSelectedStandInWords) {
  ASSERT_TRUE(settle());
  EXPECT_TRUE(words().contains(QStringLiteral("Edge ladder"))) << "all stands, side by side";
  ASSERT_TRUE(window_.selectByName("Edge ladder").has_value());
  ASSERT_TRUE(settle());
  for (const char* part : {"Edge ladder", "Scrape one", "South gate", "harness"})
    EXPECT_TRUE(words().contains(QLatin1String(part))) << part << " in\n" << words().toStdString();
}

TEST_F(Window, TurningTheDialChangesWindAndResults) {
  ASSERT_TRUE(settle());
  const double before = window_.evaluation()->results()->air.from.source().degrees();
  emit window_.canvas()->windTurned(90, false);
  emit window_.canvas()->windTurned(120, true);
  ASSERT_TRUE(settle());
  EXPECT_NE(before, 120);
  EXPECT_NEAR(window_.evaluation()->results()->air.from.source().degrees(), 120, 1e-9);
  EXPECT_EQ(window_.session()->undoLabel(), QStringLiteral("Turn the wind"));
  window_.session()->undo();
  ASSERT_TRUE(settle());
  EXPECT_NEAR(window_.evaluation()->results()->air.from.source().degrees(), before, 1e-9);
}

TEST_F(Window, MovingAlongTheHoursChangesTheScene) {
  ASSERT_TRUE(settle());
  QTest::keyClick(window_.strip(), Qt::Key_Right);
  ASSERT_TRUE(settle());
  EXPECT_EQ(window_.evaluation()->results()->scene.arrive,
            testing::kEvening + std::chrono::minutes{15});
}

TEST_F(Window, AKeyPicksAKindAndTheWindowFollowsADrawing) {
  ASSERT_TRUE(settle());
  QTest::keyClick(&window_, Qt::Key_S);
  const QPoint at = window_.canvas()->transform().toDevice(testing::at(100, 380)).toPoint();
  QTest::mouseClick(window_.canvas(), Qt::LeftButton, {}, at);
  ASSERT_EQ(window_.session()->document()->of(Kind::stand).size(), 3U);
  ASSERT_TRUE(settle());
  EXPECT_EQ(window_.evaluation()->results()->stands.size(), 3U);
  EXPECT_TRUE(words().contains(QStringLiteral("Stand 3")));
}

TEST_F(Window, TheLegendsKeyFoldsIt) {
  ASSERT_TRUE(settle());
  ASSERT_TRUE(window_.canvas()->legend().open());
  QTest::keyClick(&window_, Qt::Key_K);
  EXPECT_FALSE(window_.canvas()->legend().open());
  QTest::keyClick(&window_, Qt::Key_K);
  EXPECT_TRUE(window_.canvas()->legend().open());
}

TEST_F(Window, StabilityAndScentLimitAreEditsThatTheResultsFollow) {
  ASSERT_TRUE(settle());
  auto* air = window_.findChild<AirPanel*>();
  ASSERT_TRUE(air);
  emit air->stabilityPicked(0);
  ASSERT_TRUE(settle());
  EXPECT_EQ(window_.evaluation()->results()->air.stability, Stability::a);
  EXPECT_TRUE(window_.evaluation()->results()->air.stability_by_hand);
  emit air->scentLimitEntered(0.25);
  EXPECT_EQ(window_.session()->undoLabel(), QStringLiteral("Change the scent limit"));
  window_.session()->undo();
  window_.session()->undo();
  ASSERT_TRUE(settle());
  EXPECT_FALSE(window_.evaluation()->results()->air.stability_by_hand);
}

TEST_F(Window, ThePointerReadsTheSelectedStandsScent) {
  ASSERT_TRUE(settle());
  const auto reads = [&] {
    emit window_.canvas()->pointerAt(testing::at(385, 375));  // downwind of the ladder
    for (const QLabel* label : window_.findChildren<QLabel*>())
      if (label->text().startsWith(QLatin1String("15S"))) return label->text();
    return QString();
  };
  EXPECT_FALSE(reads().isEmpty());
  EXPECT_FALSE(reads().contains(QLatin1String("scent")));
  ASSERT_TRUE(window_.selectByName("Edge ladder").has_value());
  ASSERT_TRUE(settle());
  EXPECT_TRUE(reads().contains(QLatin1String("scent"))) << reads().toStdString();
}

TEST_F(Window, UnknownNamesAreRefusedInWords) {
  const Status no = window_.selectByName("Nowhere");
  ASSERT_FALSE(no.has_value());
  EXPECT_NE(no.error().message.find("Nowhere"), std::string::npos);
}

}  // namespace
}  // namespace leeward::ui
