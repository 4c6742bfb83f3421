// Dialogs of the window.
#pragma once

#include "core/io/new_property.h"
#include "ui/session/edit_session.h"

#include <QDialog>

#include <filesystem>

class QCheckBox;
class QComboBox;
class QDoubleSpinBox;
class QLabel;
class QLineEdit;
class QListWidget;
class QSpinBox;

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

  EditSession& session_;
  QListWidget* list_;
  QLineEdit* name_;
  QComboBox* type_;
  QDoubleSpinBox* inner_;
  QDoubleSpinBox* outer_;
  QLineEdit* rings_;
  QLabel* problem_;
  QWidget* form_;
  bool filling_ = false;
};

/// Name, time zone, units, legal minutes and sit length; one undoable step on OK.
class SettingsDialog : public QDialog {
  Q_OBJECT

 public:
  SettingsDialog(EditSession& session, QWidget* parent);

 private:
  void accept() override;

  EditSession& session_;
  QLineEdit* name_;
  QComboBox* zone_;
  QComboBox* units_;
  QCheckBox* legal_;
  QSpinBox* before_;
  QSpinBox* after_;
  QSpinBox* sit_;
  QLabel* problem_;
};

/// What a new property is made from.
class NewPropertyDialog : public QDialog {
  Q_OBJECT

 public:
  explicit NewPropertyDialog(QWidget* parent);
  io::NewProperty request() const;
  std::filesystem::path file() const;

 private:
  void accept() override;
  QWidget* fileRow(QLineEdit* edit, bool save);

  QLineEdit* file_;
  QLineEdit* name_;
  QComboBox* zone_;
  QComboBox* units_;
  QListWidget* aerials_;
  QLineEdit* elevation_;
  QLineEdit* surface_;
  QLabel* problem_;
};

/// Ring distances from "10, 20, 30" in display units, in metres; empty text gives none.
/// ERRORS: parse, with the mend.
Result<std::vector<double>> parseRings(const QString& words, double units_per_metre);

}  // namespace leeward::ui
