// Editors of one attribute each. They show a value and call back with the new one.
#pragma once

#include "core/model/document.h"

#include <QWidget>

#include <functional>

namespace leeward::ui {

/// How a number in a core unit ("m", "mm", "°", "1/m", "h") is shown: value = core * factor.
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
/// A line for an ISO date, with a button that writes today's. Calls back with whole dates and with
/// an empty text only.
QWidget* dateEditor(const std::string& value, const std::function<void(std::string)>& changed);
/// A check box for every row that a field may name: `of` is "stand", "camera", or empty for the
/// weapons (none checked means all).
QWidget* rowsEditor(const Document& document, const char* of, const std::vector<Uid>& value,
                    const std::function<void(std::vector<Uid>)>& changed);

}  // namespace leeward::ui
