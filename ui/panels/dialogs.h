// Dialogs of the window.
#pragma once

#include "ui/session/edit_session.h"

#include <QDialog>

class QCheckBox;
class QComboBox;
class QDoubleSpinBox;
class QLabel;
class QLineEdit;
class QSpinBox;

namespace leeward::ui {

/// Name, time zone, units, legal minutes, sit length and what safety and shots are reckoned with;
/// one undoable step on OK.
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
  QCheckBox* surroundings_;
  QDoubleSpinBox* pace_;
  QDoubleSpinBox* glare_;
  QSpinBox* settle_;
  QSpinBox* check_;  ///< Months; 0: not reminded.
  QCheckBox* pick_up_;
  QCheckBox* beyond_;
  QLabel* problem_;
};

}  // namespace leeward::ui
