// Editors of one attribute each. They show a value and call back with the new one.
#pragma once

#include "core/model/document.h"

#include <QWidget>

#include <functional>

namespace leeward::ui {

/// How a number in a core unit ("m", "°", "1/m") is shown: value = core * factor.
struct DisplayUnit {
  double per_core = 1;
  int decimals = 1;
  double step = 1;
  double max = 1e5;
  QString suffix;
  QString prefix = {};
};
DisplayUnit displayUnit(const char* core_unit, UnitSystem units);

QWidget* numberEditor(double value, const DisplayUnit& unit,
                      const std::function<void(double)>& changed);
QWidget* monthsEditor(MonthSet value, const std::function<void(MonthSet)>& changed);
QWidget* gapsEditor(const std::vector<Gap>& value, double length_m, UnitSystem units,
                    const std::function<void(std::vector<Gap>)>& changed);
/// A check box for every weapon of the property; none checked means all.
QWidget* weaponsEditor(const Document& document, const std::vector<Uid>& value,
                       const std::function<void(std::vector<Uid>)>& changed);

}  // namespace leeward::ui
