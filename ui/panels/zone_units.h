// The fields for time zone and units that several dialogs have.
#pragma once

#include "core/model/property.h"

#include <string>

class QComboBox;

namespace leeward::ui {

/// Editable, with all named zones; `now` is chosen.
QComboBox* zoneBox(const std::string& now);
/// The zone of this computer, or `otherwise` where it has none of a name.
std::string zoneHere(const std::string& otherwise);
QComboBox* unitsBox(UnitSystem now);
UnitSystem unitsOf(const QComboBox* box);

}  // namespace leeward::ui
