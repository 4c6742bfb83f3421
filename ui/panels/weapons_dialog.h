// The weapons of a property: reach, rings, and where a shot with them must not go.
#pragma once

#include "ui/session/edit_session.h"

#include <QDialog>

#include <array>

class QComboBox;
class QDoubleSpinBox;
class QLabel;
class QLineEdit;
class QListWidget;

namespace leeward::ui {

/// The weapons of a property; each change is an edit at once and can be undone.
class WeaponsDialog : public QDialog {
  Q_OBJECT

 public:
  WeaponsDialog(EditSession& session, QWidget* parent);

 private:
  void refill();
  void showCurrent();
  void applyCurrent();
  void addWeapon();
  void removeWeapon();
  Ref<Weapon> current() const;
  double perMetre() const;
  QWidget* reachForm();
  QWidget* safetyForm();
  std::vector<QDoubleSpinBox*> safetyFields() const;
  QString unit() const;

  EditSession& session_;
  QListWidget* list_;
  QLineEdit* name_;
  QComboBox* type_;
  QDoubleSpinBox* inner_;
  QDoubleSpinBox* outer_;
  QLineEdit* rings_;
  QDoubleSpinBox* travel_;  // at its least: not entered, and so each setback
  std::array<QDoubleSpinBox*, kSetbackCount> setbacks_ = {};
  QLabel* problem_;
  QWidget* form_;
  bool filling_ = false;
};

/// Ring distances from "10, 20, 30" in display units, in metres; empty text gives none.
/// ERRORS: parse, with the mend.
Result<std::vector<double>> parseRings(const QString& words, double units_per_metre);

}  // namespace leeward::ui
