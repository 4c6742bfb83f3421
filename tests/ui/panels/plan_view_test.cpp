#include "ui/panels/plan_view.h"

#include "core/model/edit.h"
#include "tests/support/small_property.h"
#include "ui/panels/forecasts_dialog.h"
#include "ui/panels/judgement_dialog.h"
#include "ui/panels/visit_dialog.h"

#include <QCheckBox>
#include <QComboBox>
#include <QHeaderView>
#include <QLabel>
#include <QListWidget>
#include <QPushButton>
#include <QSignalSpy>
#include <QTableWidget>
#include <QTextBrowser>

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

using namespace leeward::testing;

PlanCell cellOf(std::size_t sit, const char* stand, Verdict verdict, double score, int rank,
                const char* why) {
  PlanCell c;
  c.sit = sit;
  c.stand = Uid::from_seed(stand);
  c.verdict = verdict;
  c.score = score;
  c.rank = rank;
  c.reasons = {why};
  return c;
}

/// Two stands, a morning and an evening.
Ref<Plan> smallPlan() {
  Plan plan;
  plan.revision = small_property().revision;
  for (int i = 0; i < 2; ++i) {
    PlanSit sit;
    sit.arrive = kEvening + std::chrono::hours(i);
    sit.leave = sit.arrive + std::chrono::hours(3);
    sit.morning = i == 0;
    plan.sits.push_back(sit);
  }
  plan.cells = {cellOf(0, "Edge ladder", Verdict::leave_alone, 0.02, 0, "It was sat yesterday."),
                cellOf(0, "Wall stand", Verdict::better, 0.6, 1, "Quiet way in."),
                cellOf(1, "Edge ladder", Verdict::even, 0.3, 1, "A tie."),
                cellOf(1, "Wall stand", Verdict::withheld, 0, 0, "Its safety check is overdue.")};
  return make_ref<Plan>(plan);
}

struct View : ::testing::Test {
  View() : document(make_ref<Document>(small_property())) {
    view.setPlan(document, smallPlan(), document);
    table = view.findChild<QTableWidget*>();
    why = view.findChild<QTextBrowser*>();
  }
  QString row(int r) const { return table->verticalHeaderItem(r)->text(); }
  Ref<Document> document;
  PlanView view;
  QTableWidget* table = nullptr;
  QTextBrowser* why = nullptr;
};

TEST_F(View, SaysEachVerdictInWordsAndOrdersByASit) {
  ASSERT_EQ(table->rowCount(), 2);
  ASSERT_EQ(table->columnCount(), 2);
  EXPECT_EQ(row(0), QStringLiteral("Edge ladder"));
  EXPECT_TRUE(table->item(0, 0)->text().contains(QStringLiteral("leave alone")));
  EXPECT_TRUE(table->item(1, 1)->text().contains(QStringLiteral("withheld")));
  const auto press = [&](int column) { emit table->horizontalHeader()->sectionClicked(column); };
  press(0);
  EXPECT_EQ(row(0), QStringLiteral("Wall stand"));
  press(1);
  EXPECT_EQ(row(0), QStringLiteral("Edge ladder"));
}

TEST_F(View, GivesTheReasonsOfACellAndShowsItOnTheMap) {
  table->setCurrentCell(1, 1);
  EXPECT_TRUE(why->toPlainText().contains(QStringLiteral("safety check is overdue")));
  table->setCurrentCell(0, 1);
  EXPECT_TRUE(why->toPlainText().contains(QStringLiteral("A tie.")));
  Instant arrive{};
  Uid stand;
  QObject::connect(&view, &PlanView::chosen, [&](Instant at, const Uid& uid) {
    arrive = at;
    stand = uid;
  });
  for (auto* button : view.findChildren<QPushButton*>())
    if (button->text().contains(QStringLiteral("map"))) button->click();
  EXPECT_EQ(arrive, kEvening + std::chrono::hours(1));
  EXPECT_EQ(stand, Uid::from_seed("Edge ladder"));
}

TEST_F(View, HidesStandsThatAreNeverBetterOrEven) {
  Plan plan = *smallPlan();
  plan.cells[2].verdict = Verdict::leave_alone;
  view.setPlan(document, make_ref<Plan>(plan), document);
  EXPECT_EQ(table->rowCount(), 2);
  view.findChild<QCheckBox*>()->setChecked(true);
  ASSERT_EQ(table->rowCount(), 1);
  EXPECT_EQ(row(0), QStringLiteral("Wall stand"));
}

TEST_F(View, SaysThatAPlanIsOld) {
  const auto says = [&] {
    for (auto* label : view.findChildren<QLabel*>())
      if (label->text().contains(QStringLiteral("changed"))) return true;
    return false;
  };
  EXPECT_FALSE(says());
  Document next = *document;
  ++next.revision;
  view.setDocument(make_ref<Document>(next));
  EXPECT_TRUE(says());
}

TEST(Knots, ReadBackAsWritten) {
  const std::vector<CurveKnot> knots = {{-2, 0.15}, {1.5, 0.85}};
  const auto back = parseKnots(knotsText(knots));
  ASSERT_TRUE(back.has_value());
  EXPECT_EQ(*back, knots);
  EXPECT_NE(parseKnots(QStringLiteral("-2: many")).error().message.find("many"), std::string::npos);
}

TEST(JudgementDialog, ASetConstantIsTheUsersAndAClearedOneTheUsual) {
  EditSession session(make_ref<Document>(small_property()));
  const JudgementDialog dialog(session, nullptr);
  QTableWidget* table = nullptr;
  for (auto* t : dialog.findChildren<QTableWidget*>())
    if (t->accessibleName() == QStringLiteral("Constants")) table = t;
  ASSERT_TRUE(table && table->item(0, 0));
  ASSERT_EQ(table->item(0, 0)->data(Qt::UserRole).toString(), QStringLiteral("scent_per_min"));
  table->item(0, 1)->setText(QStringLiteral("0.75"));
  EXPECT_EQ(session.document()->settings->constants,
            (std::vector<NamedValue>{{"scent_per_min", 0.75}}));
  table->item(0, 1)->setText(QString());
  EXPECT_TRUE(session.document()->settings->constants.empty());
  EXPECT_EQ(table->item(0, 1)->text(), QStringLiteral("0.6"));
}

TEST(ForecastsDialog, ListsThemNewestFirstAndForgetsOne) {
  Document d = small_property();
  d = *apply(d, {"", {Remove{d.forecasts->front()->uid}}, {}});
  for (const int day : {12, 13}) {
    const Instant issued = *parse_iso8601("2026-11-" + std::to_string(day) + "T12:00:00Z");
    const Forecast f{Uid::from_seed("forecast" + std::to_string(day)),
                     day == 12 ? "Older" : "Newer", issued, issued};
    EditStep step{"forecast", {put(f)}, {}};
    for (int h = 0; h < 60; ++h) {
      WindHour hour;
      hour.uid = Uid::from_seed(f.source + std::to_string(h));
      hour.forecast = f.uid;
      hour.at = issued + std::chrono::hours(h);
      hour.from_deg = day == 12 ? 340 : 10;
      hour.speed_mps = 4;
      step.edits.push_back(put(hour));
    }
    d = *apply(d, step);
  }
  EditSession session(make_ref<Document>(d));
  const ForecastsDialog dialog(session, nullptr);
  const auto* table = dialog.findChild<QTableWidget*>();
  ASSERT_TRUE(table);
  ASSERT_EQ(table->rowCount(), 2);
  const auto cell = [&](int row, int col) { return table->item(row, col)->text(); };
  EXPECT_EQ(cell(0, 5), QStringLiteral("Newer"));
  EXPECT_EQ(cell(0, 1), QStringLiteral("60, 0 compared"));
  EXPECT_EQ(cell(1, 1), QStringLiteral("60, 36 compared"));
  EXPECT_EQ(cell(1, 2), QStringLiteral("30°"));
  EXPECT_EQ(cell(1, 4), QStringLiteral("the same"));
  for (auto* b : dialog.findChildren<QPushButton*>())
    if (b->text().startsWith(QLatin1String("Forget"))) b->click();
  ASSERT_EQ(session.document()->forecasts->size(), 1U);
  EXPECT_EQ(session.document()->forecasts->front()->source, "Older");
  EXPECT_EQ(session.document()->wind_hours->size(), 60U);
}

TEST(VisitDialog, EntersAndRemovesAVisit) {
  EditSession session(make_ref<Document>(small_property()));
  const VisitDialog dialog(session, kEvening, nullptr);
  auto* place = dialog.findChildren<QComboBox*>().back();
  place->setCurrentIndex(place->findText(QStringLiteral("Wall stand")));
  const auto press = [&](const char* words) {
    for (auto* b : dialog.findChildren<QPushButton*>())
      if (b->text().startsWith(QLatin1String(words))) b->click();
  };
  press("Enter");
  ASSERT_EQ(session.document()->visits->size(), 1U);
  EXPECT_EQ(session.document()->visits->front()->place, Uid::from_seed("Wall stand"));
  EXPECT_EQ(session.document()->visits->front()->at, kEvening);
  dialog.findChildren<QListWidget*>().front()->setCurrentRow(0);
  press("Remove");
  EXPECT_TRUE(session.document()->visits->empty());
}

}  // namespace
}  // namespace leeward::ui
