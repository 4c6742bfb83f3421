#include "tests/support/small_property.h"
#include "ui/panels/emergency_dialog.h"
#include "ui/panels/phone_dialog.h"
#include "ui/panels/print_dialog.h"

#include <QCheckBox>
#include <QComboBox>
#include <QDialogButtonBox>
#include <QDoubleSpinBox>
#include <QLineEdit>
#include <QListWidget>
#include <QPlainTextEdit>
#include <QPushButton>

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

using namespace leeward::testing;

QCheckBox* boxOf(QDialog& dialog, const char* words) {
  for (QCheckBox* box : dialog.findChildren<QCheckBox*>())
    if (box->text().contains(QLatin1String(words))) return box;
  return nullptr;
}

TEST(PrintDialog, KeepsTheLayoutAndChoosesSheets) {
  Document d = small_property();
  Settings s = *d.settings;
  s.layout.paper = PaperSize::custom;
  s.layout.custom_width_mm = 300;
  s.layout.custom_height_mm = 410;
  s.layout.look = PrintLook::red_light;
  s.layout.large_type = true;
  s.layout.turned_deg = 15;
  s.layout.contours = false;
  d = edited(d, {put(s)});
  PrintDialog dialog(d, {}, Trade::balanced, nullptr);
  EXPECT_EQ(dialog.layout(), s.layout);
  EXPECT_TRUE(dialog.sheets().map);
  EXPECT_FALSE(dialog.sheets().cards || dialog.sheets().plan || dialog.sheets().work);
  boxOf(dialog, "card")->setChecked(true);
  boxOf(dialog, "Hunt map")->setChecked(false);
  EXPECT_TRUE(dialog.sheets().cards);
  QPushButton* choose = dialog.findChild<QDialogButtonBox*>()->button(QDialogButtonBox::Ok);
  EXPECT_TRUE(choose->isEnabled());
  boxOf(dialog, "card")->setChecked(false);
  EXPECT_FALSE(choose->isEnabled());  // nothing is chosen
  EXPECT_FALSE(dialog.wholeGround());
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
