// StripDialog: what becomes of a strip along a line, and how wide it is.
#pragma once

#include "core/model/property.h"

#include <QDialog>

class QComboBox;
class QDoubleSpinBox;

namespace leeward::ui {

class StripDialog : public QDialog {
  Q_OBJECT

 public:
  StripDialog(const QString& along, UnitSystem units, QWidget* parent);
  Kind kind() const;
  double width_m() const;

 private:
  QComboBox* kind_;
  QDoubleSpinBox* width_;
  double metres_per_shown_;
};

}  // namespace leeward::ui
