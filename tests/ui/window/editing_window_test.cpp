// The window's Edit menu, list and steps, worked by keys.
#include "tests/support/small_property.h"
#include "ui/panels/feature_form.h"
#include "ui/panels/feature_list.h"
#include "ui/panels/history_panel.h"
#include "ui/window/main_window.h"

#include <QComboBox>
#include <QCursor>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QSpinBox>
#include <QStatusBar>
#include <QTabWidget>
#include <QTest>
#include <QTreeWidget>

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

using testing::at;

class EditingWindow : public ::testing::Test {
 protected:
  EditingWindow() : window_({}) {
    window_.adopt(std::make_unique<EditSession>(make_ref<Document>(testing::small_property())));
    window_.setArrive(testing::kEvening);
    window_.show();
    static_cast<void>(QTest::qWaitForWindowActive(&window_));
  }
  EditSession& session() { return *window_.session(); }
  Uid uid(const char* name) { return Uid::from_seed(name); }
  std::size_t count(Kind kind) { return session().document()->of(kind).size(); }
  void key(int k, Qt::KeyboardModifiers m = {}) { QTest::keyClick(&window_, Qt::Key(k), m); }
  QTreeWidget* tree() {
    key(Qt::Key_5, Qt::ControlModifier);
    return window_.findChild<FeatureList*>()->findChild<QTreeWidget*>();
  }
  QTreeWidgetItem* row(const QString& name) {
    for (QTreeWidgetItemIterator it(tree()); *it; ++it)
      if ((*it)->text(0).startsWith(name)) return *it;
    return nullptr;
  }
  void keyOnRow(const QString& name, int k) {
    tree()->setCurrentItem(row(name), 0, QItemSelectionModel::NoUpdate);
    QTest::keyClick(tree(), Qt::Key(k));
  }
  MainWindow window_;
};

TEST_F(EditingWindow, CopiesPasteWithTheirAttributesAsOneStep) {
  Feature stand = *session().document()->find(uid("Edge ladder"));
  stand.as<StandAttrs>().platform_m = 7.5;
  ASSERT_TRUE(session().apply({"Raise", {put(stand)}, {}}));
  session().selectAll({uid("Edge ladder"), uid("South gate")});
  key(Qt::Key_C, Qt::ControlModifier);
  key(Qt::Key_V, Qt::ControlModifier);
  ASSERT_EQ(count(Kind::stand), 3U);
  EXPECT_EQ(count(Kind::gate), 2U);
  EXPECT_EQ(session().document()->of(Kind::stand).back()->as<StandAttrs>().platform_m, 7.5);
  EXPECT_EQ(session().document()->of(Kind::stand).back()->name, "Edge ladder 2");
  EXPECT_EQ(session().selectedUids().size(), 2U) << "what was pasted";
  EXPECT_EQ(session().undoLabel(), QStringLiteral("Paste 2 features"));
  key(Qt::Key_Z, Qt::ControlModifier);
  EXPECT_EQ(count(Kind::stand), 2U);
}

TEST_F(EditingWindow, WhatWasCopiedPastesIntoAPropertyOfAnotherZone) {
  QCursor::setPos(-100, -100);  // else it is pasted under the pointer
  session().select(uid("Wall stand"));
  const LonLat was = session().frame()->to_wgs84(at(420, 600));
  key(Qt::Key_X, Qt::ControlModifier);
  EXPECT_EQ(count(Kind::stand), 1U);
  Document other;
  Settings s = *other.settings;
  s.crs = "EPSG:32616";
  window_.adopt(
      std::make_unique<EditSession>(make_ref<Document>(testing::edited(other, {put(s)}))));
  const LocalXY there = session().frame()->to_local(was);
  window_.canvas()->fitTo({there.x - 50, there.y - 50, there.x + 50, there.y + 50});
  key(Qt::Key_V, Qt::ControlModifier);
  ASSERT_EQ(count(Kind::stand), 1U);
  const LocalXY now = session().document()->of(Kind::stand)[0]->shape.position();
  EXPECT_LT(distance_m(now, there),
            24 * std::sqrt(2.0) * window_.canvas()->transform().metresPerPx() + 1);
}

TEST_F(EditingWindow, DuplicateMergeJoinAndKindSelectionWorkByKeys) {
  session().select(uid("Clover"));
  key(Qt::Key_D, Qt::ControlModifier);
  ASSERT_EQ(count(Kind::food), 2U);
  key(Qt::Key_A, Qt::ControlModifier | Qt::ShiftModifier);
  EXPECT_EQ(session().selectedUids().size(), 2U);
  key(Qt::Key_M, Qt::ControlModifier);
  EXPECT_EQ(count(Kind::food), 1U) << "the copy overlaps it";
  EXPECT_EQ(session().undoLabel(),
            QStringLiteral("Merge 2 ") + QString::fromUtf8(info(Kind::food).plural));
  session().selectAll({uid("Clover"), uid("Bed to clover")});
  key(Qt::Key_J, Qt::ControlModifier);
  EXPECT_TRUE(window_.statusBar()->currentMessage().contains(QStringLiteral("two lines")));
}

TEST_F(EditingWindow, AKeySplitsTheSelectedTrailOnTheMap) {
  session().select(uid("Bed to clover"));
  key(Qt::Key_T, Qt::ControlModifier);
  const auto px = [&](LocalXY p) { return window_.canvas()->transform().toDevice(p).toPoint(); };
  for (const LocalXY p : {at(450, 480), at(470, 620)})
    QTest::mouseClick(window_.canvas(), Qt::LeftButton, Qt::ControlModifier, px(p));
  QTest::keyClick(window_.canvas(), Qt::Key_Return);
  EXPECT_EQ(count(Kind::deer_trail), 2U);
}

TEST_F(EditingWindow, ChangesGoToEverySelectedFeatureOfAKind) {
  session().selectAll({uid("Edge ladder"), uid("Wall stand")});
  auto* form = window_.findChild<FeatureForm*>();
  auto* height = form->widget()->findChildren<QDoubleSpinBox*>().front();
  height->setValue(20);
  for (const auto& f : session().document()->of(Kind::stand))
    EXPECT_NEAR(f->as<StandAttrs>().platform_m, 20 * 0.3048, 1e-9) << f->name;
  EXPECT_EQ(session().undoLabel(), QStringLiteral("Change platform height of 2 features"));
  session().undo();
  Feature one = *session().document()->find(uid("Edge ladder"));
  one.as<StandAttrs>().platform_m = 9;
  ASSERT_TRUE(session().apply({"Raise", {put(one)}, {}}));
  bool said = false;
  for (const QLabel* label : form->widget()->findChildren<QLabel*>())
    said = said || label->text() == QStringLiteral("Platform height (they differ)");
  EXPECT_TRUE(said);
  session().selectAll({uid("Edge ladder"), uid("Clover")});
  EXPECT_TRUE(form->widget()->findChildren<QLineEdit*>().empty()) << "of two kinds";
}

TEST_F(EditingWindow, TheListSelectsZoomsEditsAndDeletesByKeys) {
  QTreeWidget* list = tree();
  ASSERT_TRUE(row(QStringLiteral("Wall stand")));
  list->setCurrentItem(row(QStringLiteral("Wall stand")));
  EXPECT_EQ(session().selection(), uid("Wall stand"));
  const double before = window_.canvas()->transform().metresPerPx();
  QTest::keyClick(list, Qt::Key_Space);
  EXPECT_LT(window_.canvas()->transform().metresPerPx(), before);
  EXPECT_LT(distance_m(window_.canvas()->transform().centre(), at(420, 600)), 1);
  QTest::keyClick(list, Qt::Key_Return);
  EXPECT_TRUE(window_.findChild<FeatureForm*>()->isVisible());
  tree();
  QTest::keyClick(list, Qt::Key_Delete);
  EXPECT_EQ(count(Kind::stand), 1U);
  EXPECT_FALSE(row(QStringLiteral("Wall stand")));
}

TEST_F(EditingWindow, TheListFiltersAndOrders) {
  tree();
  auto* panel = window_.findChild<FeatureList*>();
  panel->findChild<QLineEdit*>()->setText(QStringLiteral("CLOVER"));
  EXPECT_TRUE(row(QStringLiteral("Clover")));
  EXPECT_TRUE(row(QStringLiteral("Bed to clover")));
  EXPECT_FALSE(row(QStringLiteral("Wall stand")));
  panel->findChild<QLineEdit*>()->clear();
  panel->findChild<QComboBox*>()->setCurrentIndex(1);
  ASSERT_GE(tree()->topLevelItemCount(), 13);
  EXPECT_EQ(tree()->topLevelItem(0)->text(0), QStringLiteral("Bed to clover"));
  EXPECT_EQ(tree()->topLevelItem(1)->text(0), QStringLiteral("Big woods"));
}

TEST_F(EditingWindow, AKindIsHiddenAndLockedInTheListByKeys) {
  const QString stands = QString::fromUtf8(info(Kind::stand).plural);
  const auto i = static_cast<std::size_t>(Kind::stand);
  const QString heading = stands.left(1).toUpper() + stands.mid(1);
  keyOnRow(heading, Qt::Key_Space);
  EXPECT_FALSE(window_.canvas()->view().kinds[i]);
  keyOnRow(heading, Qt::Key_Space);
  EXPECT_TRUE(window_.canvas()->view().kinds[i]);
  keyOnRow(heading, Qt::Key_Insert);
  EXPECT_TRUE(window_.canvas()->view().locked[i]);
  session().select(uid("Wall stand"));
  QTest::keyClick(tree(), Qt::Key_Delete);
  EXPECT_EQ(count(Kind::stand), 2U);
  EXPECT_TRUE(window_.statusBar()->currentMessage().contains(QStringLiteral("locked")));
}

TEST_F(EditingWindow, EveryStepIsNamedAndAClickGoesThere) {
  session().select(uid("Clover"));
  key(Qt::Key_D, Qt::ControlModifier);
  session().select(uid("Wall stand"));
  QTest::keyClick(window_.canvas(), Qt::Key_Delete);
  key(Qt::Key_6, Qt::ControlModifier);
  auto* steps = window_.findChild<HistoryPanel*>();
  ASSERT_EQ(steps->count(), 3);
  EXPECT_EQ(steps->item(0)->text(), QStringLiteral("Open"));
  EXPECT_EQ(steps->item(1)->text(), QStringLiteral("Duplicate Clover"));
  EXPECT_EQ(steps->item(2)->text(), QStringLiteral("Delete Wall stand"));
  QTest::mouseClick(steps->viewport(), Qt::LeftButton, {},
                    steps->visualItemRect(steps->item(0)).center());
  EXPECT_EQ(count(Kind::food), 1U);
  EXPECT_EQ(count(Kind::stand), 2U);
  steps->setFocus();
  steps->setCurrentRow(1);
  QTest::keyClick(steps, Qt::Key_Return);
  EXPECT_EQ(count(Kind::food), 2U);
  EXPECT_EQ(count(Kind::stand), 2U);
}

TEST_F(EditingWindow, CoverWithoutTreeTopsIsSaidAndUnchanged) {
  session().select(uid("Big woods"));
  const auto before = session().document();
  key(Qt::Key_H, Qt::ControlModifier | Qt::ShiftModifier);
  EXPECT_EQ(session().document(), before);
  EXPECT_TRUE(window_.statusBar()->currentMessage().contains(QStringLiteral("surface raster")));
}

TEST_F(EditingWindow, AScaleIsTypedAndFollowsTheWheel) {
  QComboBox* scale = nullptr;
  for (QComboBox* box : window_.findChildren<QComboBox*>())
    if (box->accessibleName() == QStringLiteral("Scale of the map")) scale = box;
  ASSERT_TRUE(scale);
  scale->setFocus();
  scale->lineEdit()->selectAll();
  QTest::keyClicks(scale->lineEdit(), QStringLiteral("1:5,000"));
  QTest::keyClick(scale->lineEdit(), Qt::Key_Return);
  EXPECT_NEAR(window_.canvas()->scaleDenominator(), 5000, 1e-6);
  EXPECT_NEAR(window_.canvas()->transform().metresPerPx(), 5000 * 0.0254 / 96, 1e-9);
  window_.canvas()->zoomBy(2, {100, 100});
  EXPECT_EQ(scale->currentText(), QStringLiteral("1:2500"));
  scale->lineEdit()->setText(QStringLiteral("near"));
  QTest::keyClick(scale->lineEdit(), Qt::Key_Return);
  EXPECT_NEAR(window_.canvas()->scaleDenominator(), 2500, 1e-6);
  EXPECT_TRUE(window_.statusBar()->currentMessage().contains(QStringLiteral("100 to 1000000")));
}

}  // namespace
}  // namespace leeward::ui
