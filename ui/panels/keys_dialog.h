// KeysDialog: every command with its key; a key can be changed, and a conflict is said.
#pragma once

#include <QAction>
#include <QDialog>

#include <vector>

class QKeySequenceEdit;
class QLabel;
class QLineEdit;
class QPushButton;
class QTreeWidget;

namespace leeward::ui {

class KeysDialog : public QDialog {
  Q_OBJECT

 public:
  /// REQUIRES: applyKeys() was called with them; their objectName is what preferences know them by.
  KeysDialog(std::vector<QAction*> actions, QWidget* parent);

 private:
  void fill();
  void currentChanged();
  void take();
  void takeOwn();
  QAction* current() const;
  /// The other action that has this key, or nullptr.
  QAction* holder(const QKeySequence& key, const QAction* except) const;

  std::vector<QAction*> actions_;
  QLineEdit* filter_;
  QTreeWidget* list_;
  QKeySequenceEdit* key_;
  QPushButton* set_;
  QPushButton* own_;
  QLabel* conflict_;
};

/// Gives actions the keys that the user chose, and remembers their own.
void applyKeys(const std::vector<QAction*>& actions);

}  // namespace leeward::ui
