// The emergency plan that every print carries, and the length of a step on stand cards.
#pragma once

#include "core/model/document.h"

#include <QDialog>

#include <optional>
#include <vector>

class QComboBox;
class QDoubleSpinBox;
class QLineEdit;
class QPlainTextEdit;

namespace leeward::ui {

class EmergencyDialog : public QDialog {
  Q_OBJECT

 public:
  EmergencyDialog(const Document& document, QWidget* parent);

  /// The document's settings with what stands in the dialog.
  Settings settings() const;

 private:
  void fillPlaces(const Document& document);

  Settings before_;
  std::vector<std::optional<LocalXY>> places_;  ///< By the rows of `meeting_`.
  QComboBox* meeting_;
  QLineEdit *words_, *due_, *late_;
  QPlainTextEdit* numbers_;
  QDoubleSpinBox* step_;
};

}  // namespace leeward::ui
