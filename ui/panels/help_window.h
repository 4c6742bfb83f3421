// HelpWindow: the help page, beside the map.
#pragma once

#include <QDialog>

class QLineEdit;
class QTextBrowser;

namespace leeward::ui {

/// Ctrl+F finds words; links lead to the sections.
class HelpWindow : public QDialog {
  Q_OBJECT

 public:
  explicit HelpWindow(QWidget* parent);

 private:
  void find(bool again);

  QTextBrowser* page_;
  QLineEdit* words_;
};

}  // namespace leeward::ui
