#include "tests/support/small_property.h"
#include "ui/panels/emergency_dialog.h"
#include "ui/panels/phone_dialog.h"
#include "ui/panels/print_panel.h"

#include <QAbstractButton>
#include <QCheckBox>
#include <QComboBox>
#include <QDialogButtonBox>
#include <QDoubleSpinBox>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPlainTextEdit>
#include <QPushButton>

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

using namespace leeward::testing;

QCheckBox* boxOf(QWidget& dialog, const char* words) {
  for (QCheckBox* box : dialog.findChildren<QCheckBox*>())
    if (box->text().remove(QLatin1Char('&')).contains(QLatin1String(words))) return box;
  return nullptr;
}

Document withLayout() {
  Document d = small_property();
  Settings s = *d.settings;
  s.layout.paper = PaperSize::custom;
  s.layout.custom_width_mm = 300;
  s.layout.custom_height_mm = 410;
  s.layout.look = PrintLook::red_light;
  s.layout.large_type = true;
  s.layout.turned_deg = 15;
  s.layout.contours = false;
  s.layout.centre = testing::at(300, 400);
  return edited(d, {put(s)});
}

TEST(PrintPanel, KeepsTheLayoutAndChoosesSheets) {
  const Document d = withLayout();
  PrintPanel panel(d, {}, Trade::balanced);
  EXPECT_EQ(panel.layout(), d.settings->layout);
  EXPECT_TRUE(panel.sheets().map);
  EXPECT_FALSE(panel.sheets().cards || panel.sheets().plan || panel.sheets().work);
  boxOf(panel, "card")->setChecked(true);
  boxOf(panel, "Hunt map")->setChecked(false);
  EXPECT_TRUE(panel.sheets().cards);
  QPushButton* save = nullptr;
  for (QPushButton* b : panel.findChildren<QPushButton*>())
    if (b->isDefault()) save = b;
  ASSERT_TRUE(save);
  EXPECT_TRUE(save->isEnabled());
  boxOf(panel, "card")->setChecked(false);
  EXPECT_FALSE(save->isEnabled());  // nothing is chosen
  EXPECT_FALSE(panel.wholeGround());
}

TEST(PrintPanel, APlacedFrameAndTypedNumbersAreOneLayout) {
  const Document d = withLayout();
  PrintPanel panel(d, Uid::from_seed("Wall stand"), Trade::balanced);
  EXPECT_EQ(panel.stands(), std::vector<Uid>{Uid::from_seed("Wall stand")});
  int changes = 0;
  QObject::connect(&panel, &PrintPanel::changed, [&] { ++changes; });
  panel.place(testing::at(100, 200), 7350, -30);
  EXPECT_EQ(changes, 1);
  EXPECT_EQ(panel.layout().centre, testing::at(100, 200));
  EXPECT_EQ(panel.layout().scale_denominator, 7350);
  EXPECT_EQ(panel.layout().turned_deg, -30);
  for (QComboBox* box : panel.findChildren<QComboBox*>())
    if (box->isEditable()) box->setEditText(QStringLiteral("1 : 6,400"));
  EXPECT_EQ(panel.layout().scale_denominator, 6400);
  for (QDoubleSpinBox* box : panel.findChildren<QDoubleSpinBox*>())
    if (box->accessibleName().startsWith(QStringLiteral("Easting"))) box->setValue(1234);
  EXPECT_EQ(panel.layout().centre->x, 1234);
  for (QPushButton* b : panel.findChildren<QPushButton*>())
    if (b->text() == QStringLiteral("Whole property")) b->click();
  EXPECT_FALSE(panel.layout().centre);
  EXPECT_EQ(panel.layout().scale_denominator, 0);
  EXPECT_EQ(panel.layout().turned_deg, 0);
}

TEST(PrintPanel, EveryFieldHasANameAndItsLetterIsItsOwn) {
  PrintPanel panel(withLayout(), {}, Trade::balanced);
  QString letters = QStringLiteral("FEVH");  // the window's menus
  const auto take = [&](const QString& words) {
    const qsizetype at = words.indexOf(QLatin1Char('&'));
    if (at < 0) return;
    EXPECT_FALSE(letters.contains(words[at + 1].toUpper())) << words.toStdString();
    letters += words[at + 1].toUpper();
  };
  for (QAbstractButton* b : panel.findChildren<QAbstractButton*>()) take(b->text());
  for (QLabel* l : panel.findChildren<QLabel*>()) take(l->text());
  EXPECT_GT(letters.size(), 15);
  for (QWidget* w : panel.findChildren<QWidget*>()) {
    if (w->focusPolicy() == Qt::NoFocus || w->objectName().startsWith(QStringLiteral("qt_")))
      continue;
    const bool field = qobject_cast<QComboBox*>(w) || qobject_cast<QAbstractSpinBox*>(w);
    EXPECT_TRUE(!field || !w->accessibleName().isEmpty()) << w->metaObject()->className();
  }
}

TEST(EmergencyDialog, GivesBackWhatItShowsAndTakesAGateAsThePlace) {
  Document d = small_property();
  Settings s = *d.settings;
  s.emergency = {testing::at(5, 5), "By the oak", "Home: 555 0100", "18:30", "Call"};
  s.pace_m = 2.0 / 3;
  d = edited(d, {put(s)});
  EmergencyDialog dialog(d, nullptr);
  EXPECT_EQ(dialog.settings(), s);  // to the last bit, a step of 0.6667 m too
  auto* place = dialog.findChild<QComboBox*>();
  place->setCurrentText(QStringLiteral("South gate"));
  dialog.findChild<QPlainTextEdit*>()->setPlainText(QStringLiteral("Ranger: 555 0101\n"));
  EXPECT_EQ(dialog.settings().emergency.meeting, testing::at(10, 10));
  EXPECT_EQ(dialog.settings().emergency.numbers, "Ranger: 555 0101");
  place->setCurrentIndex(0);
  EXPECT_FALSE(dialog.settings().emergency.meeting);
}

TEST(PhoneDialog, OneTickLeavesTheStandsOut) {
  const Document d = small_property();
  PhoneDialog dialog(d, nullptr);
  EXPECT_TRUE(dialog.stands() && dialog.ways() && dialog.aerial());
  EXPECT_TRUE(dialog.kinds()[static_cast<size_t>(Kind::gate)]);
  EXPECT_FALSE(dialog.kinds()[static_cast<size_t>(Kind::camera)]);  // there is none
  boxOf(dialog, "Leave out")->setChecked(true);
  EXPECT_FALSE(dialog.stands());
  dialog.findChild<QListWidget*>()->item(0)->setCheckState(Qt::Unchecked);
  EXPECT_FALSE(dialog.kinds()[static_cast<size_t>(Kind::boundary)]);
}

}  // namespace
}  // namespace leeward::ui
