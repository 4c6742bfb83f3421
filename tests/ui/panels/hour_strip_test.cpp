#include "ui/panels/hour_strip.h"

#include "tests/support/small_property.h"

#include <QTest>

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

const std::string kZone = "America/Chicago";

CivilDay dayOf(int month, int day) {
  return civil_day(*from_civil(2026, month, day, 12, 0, kZone), kZone);
}

TEST(StripScale, HoursAreEqualOnDaysOf23And25Hours) {
  for (const auto& [month, day, hours] : {std::tuple{3, 8, 23}, std::tuple{11, 1, 25}}) {
    const StripScale s{dayOf(month, day), 20, 500};
    EXPECT_NEAR(s.x(s.day.start), 20, 1e-9);
    EXPECT_NEAR(s.x(s.day.end), 520, 1e-9);
    for (int h = 0; h < hours; ++h) {
      const Instant at = s.day.start + std::chrono::hours{h};
      EXPECT_NEAR(s.x(at), 20 + 500.0 * h / hours, 1e-9);
      EXPECT_EQ(s.at(s.x(at), 5), at);
    }
  }
}

class Strip : public ::testing::Test {
 protected:
  Strip() {
    doc_ = make_ref<Document>(testing::small_property());
    strip_.resize(900, 146);
    strip_.setDocument(doc_, {-93, 38.8}, 0);
    strip_.setArrive(testing::kEvening);
    strip_.show();
    QObject::connect(&strip_, &HourStrip::arriveMoved, [this](Instant at, bool finished) {
      moved_ = at;
      finished_ = finished;
      strip_.setArrive(at);
    });
  }
  Ref<Document> doc_;
  HourStrip strip_;
  Instant moved_{};
  bool finished_ = false;
};

TEST_F(Strip, DraggingTheSitMovesTheHour) {
  const StripScale s = strip_.scale();
  const QPoint from(static_cast<int>(s.x(testing::kEvening)) + 20, 70);
  const int hour_px = static_cast<int>(s.width / 24);
  QTest::mousePress(&strip_, Qt::LeftButton, {}, from);
  QTest::mouseMove(&strip_, from - QPoint(3 * hour_px, 0));
  EXPECT_FALSE(finished_);
  const auto gone = testing::kEvening - moved_;
  EXPECT_NEAR(static_cast<double>(gone.count()) / 3600, 3, 0.15);
  QTest::mouseRelease(&strip_, Qt::LeftButton, {}, from - QPoint(3 * hour_px, 0));
  EXPECT_TRUE(finished_);
}

TEST_F(Strip, ArrowsMoveAQuarterHourAndPagesChangeTheDay) {
  QTest::keyClick(&strip_, Qt::Key_Right);
  EXPECT_EQ(moved_, testing::kEvening + std::chrono::minutes{15});
  QTest::keyClick(&strip_, Qt::Key_Left, Qt::ControlModifier);
  EXPECT_EQ(moved_, testing::kEvening - std::chrono::minutes{45});
  QTest::keyClick(&strip_, Qt::Key_PageDown);
  const CivilTime c = to_civil(moved_, kZone), before = to_civil(testing::kEvening, kZone);
  EXPECT_EQ(c.day, before.day + 1);
  EXPECT_EQ(c.hour, 13);
}

TEST_F(Strip, DraggingItsEndStretchesTheSit) {
  int minutes = 0;
  QObject::connect(&strip_, &HourStrip::sitStretched, [&](int m, bool) { minutes = m; });
  const StripScale s = strip_.scale();
  const Instant leave = testing::kEvening + std::chrono::minutes{doc_->settings->sit_minutes};
  const QPoint end(static_cast<int>(s.x(leave)), 70);
  QTest::mousePress(&strip_, Qt::LeftButton, {}, end);
  QTest::mouseMove(&strip_, end + QPoint(static_cast<int>(s.width / 24), 0));
  EXPECT_NEAR(minutes, doc_->settings->sit_minutes + 60, 8);
}

}  // namespace
}  // namespace leeward::ui
