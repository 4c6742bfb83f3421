// What the status bar says of the place under the pointer.
#pragma once

#include "core/eval/results.h"
#include "core/geo/frame.h"

#include <QString>

namespace leeward::ui {

/// Relative exposure to a stand's scent at a place with its 80 % band: "scent 0.12 (0.04 to 0.3)".
/// Empty when the stand has no plume.
QString scentWords(const StandResult& stand, LocalXY at);

/// Grid reference, latitude and longitude, height where it is known, and the scent of `stand` if
/// there is one.
QString pointerWords(const Frame& frame, const Terrain& terrain, const StandResult* stand,
                     UnitSystem units, LocalXY at);

}  // namespace leeward::ui
