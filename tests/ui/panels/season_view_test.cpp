#include "ui/panels/season_view.h"

#include "tests/support/small_property.h"
#include "ui/render/season_rose.h"

#include <QImage>
#include <QLabel>
#include <QPainter>
#include <QPushButton>
#include <QSignalSpy>
#include <QTableWidget>

#include <gtest/gtest.h>

#include <cmath>

namespace leeward::ui {
namespace {

using namespace leeward::testing;

/// Twenty sits from the north, ten from the east; the first stand takes the northern ones.
Season smallSeason() {
  Season s;
  s.mornings = 20;
  s.evenings = 10;
  s.calm = 3;
  s.from[0] = 20;
  s.from[4] = 10;
  const Document document = small_property();
  for (const auto& f : document.of(Kind::stand)) {
    SeasonStand stand{f->uid, 5, 2, {}};
    stand.share.fill(std::nan(""));
    stand.share[0] = s.stands.empty() ? 1 : 0;
    stand.share[4] = 0;
    s.stands.push_back(stand);
  }
  return s;
}

TEST(SeasonView, ShowsABarAStandAndTellsTheChosenOne) {
  const Ref<Document> document = make_ref<Document>(small_property());
  SeasonView view;
  QSignalSpy chosen(&view, &SeasonView::standChosen);
  view.setSeason(document, make_ref<Season>(smallSeason()), {});
  auto* table = view.findChild<QTableWidget*>();
  ASSERT_EQ(table->rowCount(), 2);
  EXPECT_EQ(table->item(0, 0)->text(), "5 of 20 (25 %)");
  EXPECT_EQ(table->item(0, 1)->text(), "2 of 10 (20 %)");
  QString words;
  for (const auto* label : view.findChildren<QLabel*>()) words += label->text();
  EXPECT_TRUE(words.contains("3 of them calm")) << words.toStdString();
  EXPECT_TRUE(words.contains("Mostly fit: N.")) << words.toStdString();
  table->setCurrentCell(1, 0);
  ASSERT_FALSE(chosen.isEmpty());
  EXPECT_EQ(chosen.back()[0].value<Uid>(), document->of(Kind::stand)[1]->uid);
}

TEST(SeasonView, CountsOnlyWithRecords) {
  SeasonView view;
  const auto buttons = view.findChildren<QPushButton*>();
  const auto count = std::find_if(buttons.begin(), buttons.end(),
                                  [](const QPushButton* b) { return b->text() == "Count"; });
  ASSERT_NE(count, buttons.end());
  EXPECT_FALSE((*count)->isEnabled());
  view.setRecords("/folder/station.csv");
  EXPECT_TRUE((*count)->isEnabled());
}

TEST(SeasonRose, IsDarkWhereTheStandCanBeTakenAndPaleWhereNot) {
  QImage image(200, 200, QImage::Format_RGB32);
  image.fill(QColor(120, 140, 90));
  QPainter painter(&image);
  const Season season = smallSeason();
  drawSeasonRose(painter, {100, 100}, 80, 0, season, season.stands[0]);
  painter.end();
  EXPECT_LT(qGray(image.pixel(100, 50)), 60) << "north, taken";
  EXPECT_GT(qGray(image.pixel(125, 100)), 220) << "east, not taken";
  EXPECT_EQ(image.pixel(170, 100), QColor(120, 140, 90).rgb()) << "the east petal is half as long";
  EXPECT_EQ(image.pixel(100, 150), QColor(120, 140, 90).rgb()) << "nothing from the south";
}

}  // namespace
}  // namespace leeward::ui
