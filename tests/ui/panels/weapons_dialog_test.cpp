#include "ui/panels/weapons_dialog.h"

#include "tests/support/small_property.h"
#include "ui/panels/dialogs.h"

#include <QCheckBox>
#include <QDialogButtonBox>
#include <QDoubleSpinBox>
#include <QPushButton>

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

TEST(Rings, AreReadInDisplayUnits) {
  const auto rings = parseRings(QStringLiteral("10, 20,30"), 1 / kMetresPerYard);
  ASSERT_TRUE(rings.has_value());
  ASSERT_EQ(rings->size(), 3U);
  EXPECT_NEAR((*rings)[2], 27.432, 1e-9);
  EXPECT_TRUE(parseRings(QString(), 1)->empty());
}

TEST(Rings, AWrongWordIsNamed) {
  const auto rings = parseRings(QStringLiteral("10, twenty"), 1);
  ASSERT_FALSE(rings.has_value());
  EXPECT_NE(rings.error().message.find("twenty"), std::string::npos);
}

/// The spin box whose label in a form begins with `words`.
QDoubleSpinBox* fieldNamed(const QDialog& dialog, const QString& words) {
  for (auto* spin : dialog.findChildren<QDoubleSpinBox*>())
    if (spin->accessibleName().startsWith(words)) return spin;
  return nullptr;
}

TEST(WeaponsDialog, NothingEnteredIsNotZero) {
  EditSession session(make_ref<Document>(leeward::testing::small_property()));
  const WeaponsDialog dialog(session, nullptr);
  auto* dwelling = fieldNamed(dialog, QStringLiteral("No shot near a dwelling"));
  auto* travel = fieldNamed(dialog, QStringLiteral("Projectile may travel"));
  ASSERT_TRUE(dwelling && travel);
  EXPECT_EQ(dwelling->text(), QStringLiteral("not entered"));
  const auto weapon = [&] { return *session.document()->weapons->front(); };
  ASSERT_FALSE(weapon().setback_m[0]);
  dwelling->setValue(0);
  ASSERT_TRUE(weapon().setback_m[0]);
  EXPECT_EQ(*weapon().setback_m[0], 0);
  EXPECT_EQ(dwelling->text(), QStringLiteral("0 yd"));
  dwelling->setValue(100);
  EXPECT_NEAR(*weapon().setback_m[0], 91.44, 1e-9);
  travel->setValue(300);
  EXPECT_NEAR(*weapon().max_travel_m, 274.32, 1e-9);
  for (int k = 1; k < kSetbackCount; ++k)
    EXPECT_FALSE(weapon().setback_m[static_cast<size_t>(k)]) << k;
  dwelling->setValue(dwelling->minimum());
  EXPECT_FALSE(weapon().setback_m[0]);
}

TEST(WeaponsDialog, AnotherEntryLeavesWhatWasEnteredExactly) {
  EditSession session(make_ref<Document>(leeward::testing::small_property()));
  Weapon w = *session.document()->weapons->front();
  w.setback_m[0] = 100.3;  // no whole number of yards
  w.max_travel_m = 333.3;
  ASSERT_TRUE(session.apply({"", {put(w)}, {}}));
  const WeaponsDialog dialog(session, nullptr);
  fieldNamed(dialog, QStringLiteral("No shot near a road"))->setValue(50);
  const Weapon after = *session.document()->weapons->front();
  EXPECT_EQ(after.setback_m[0], 100.3);
  EXPECT_EQ(after.max_travel_m, 333.3);
  EXPECT_NEAR(*after.setback_m[1], 45.72, 1e-9);
}

TEST(SettingsDialog, TakesWhatSafetyAndShotsAreReckonedWith) {
  EditSession session(make_ref<Document>(leeward::testing::small_property()));
  ASSERT_FALSE(session.document()->settings->surroundings_drawn);
  const double pace_mps = session.document()->settings->deer_pace_mps;
  SettingsDialog dialog(session, nullptr);
  for (auto* box : dialog.findChildren<QCheckBox*>())
    if (box->text().contains(QStringLiteral("dwellings"))) box->setChecked(true);
  fieldNamed(dialog, QStringLiteral("Sun dazzles"))->setValue(30);
  dialog.findChild<QDialogButtonBox*>()->button(QDialogButtonBox::Ok)->click();
  const Settings& s = *session.document()->settings;
  EXPECT_TRUE(s.surroundings_drawn);
  EXPECT_EQ(s.glare_within_deg, 30);
  EXPECT_EQ(s.deer_pace_mps, pace_mps);
}

}  // namespace
}  // namespace leeward::ui
