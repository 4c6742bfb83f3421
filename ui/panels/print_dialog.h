// What is printed and how it shall look: sheets, paper, scale, whose ways, which trade, for which
// eyes.
#pragma once

#include "core/eval/results.h"
#include "ui/print/sheets.h"

#include <QDialog>

class QCheckBox;
class QComboBox;
class QDoubleSpinBox;
class QFormLayout;
class QPushButton;

namespace leeward::ui {

class PrintDialog : public QDialog {
  Q_OBJECT

 public:
  /// `selected`: the selected stand, or empty.
  PrintDialog(const Document& document, const Uid& selected, Trade trade, QWidget* parent);

  PrintLayout layout() const;
  /// Empty: all stands.
  std::vector<Uid> stands() const;
  SheetChoice sheets() const;
  bool wholeGround() const;

 private:
  void buildLooks(QFormLayout& form);
  void buildSheets(QFormLayout& form);
  void refresh();

  PrintLayout before_;
  Uid selected_;
  QComboBox* paper_;
  QComboBox* turned_;
  QComboBox* scale_;
  QComboBox* whose_;
  QComboBox* trade_;
  QCheckBox* aerial_;
  QCheckBox* contours_;
  QCheckBox* large_;
  QCheckBox* whole_;
  QCheckBox *map_, *cards_, *plan_, *work_;
  QComboBox* look_;
  QDoubleSpinBox *width_, *height_, *turn_;
  QPushButton* choose_;
};

}  // namespace leeward::ui
