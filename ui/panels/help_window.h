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

 protected:
  void changeEvent(QEvent* event) override;

 private:
  /// Anew with the colours that links have now.
  void fill();
  void find(bool again);

  QTextBrowser* page_;
  QLineEdit* words_;
};

}  // namespace leeward::ui
