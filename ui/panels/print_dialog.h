// What the hunt map shall look like: paper, scale, whose ways, which trade.
#pragma once

#include "core/eval/results.h"

#include <QDialog>

class QCheckBox;
class QComboBox;

namespace leeward::ui {

class PrintDialog : public QDialog {
  Q_OBJECT

 public:
  /// `selected`: the selected stand, or empty.
  PrintDialog(const Document& document, const Uid& selected, Trade trade, QWidget* parent);

  PrintLayout layout() const;
  /// Empty: all stands.
  std::vector<Uid> stands() const;

 private:
  PrintLayout before_;
  Uid selected_;
  QComboBox* paper_;
  QComboBox* turned_;
  QComboBox* scale_;
  QComboBox* whose_;
  QComboBox* trade_;
  QCheckBox* aerial_;
};

}  // namespace leeward::ui
