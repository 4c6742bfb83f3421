// What the status bar says of the place under the pointer.
#pragma once

#include "core/eval/results.h"
#include "core/geo/frame.h"

#include <QString>

namespace leeward::ui {

/// Relative exposure to a stand's scent at a place with its 80 % band: "scent 0.12 (0.04 to 0.3)".
/// Empty when the stand has no plume.
QString scentWords(const StandResult& stand, LocalXY at);

/// The line from the sitter's eye at `from` to an aim point there: "to here 34 yd, slant 36 yd, 12°
/// down, hidden". Empty beyond the ground that sight is known for.
QString shotWords(const Terrain& terrain, const StandResult& stand, LocalXY from, UnitSystem units,
                  LocalXY at);

/// How a place is written: grid reference and degrees, or UTM metres.
enum class Readout { grid, degrees, utm };

/// "slope 14°" of the ground there; empty where it is not known.
QString slopeWords(const Terrain& terrain, LocalXY at);

/// The place, height and slope where they are known, and of `stand`, if there is one, the shot and
/// the scent.
QString pointerWords(const Frame& frame, const Terrain& terrain, const StandResult* stand,
                     LocalXY stand_at, UnitSystem units, LocalXY at,
                     Readout readout = Readout::grid);

}  // namespace leeward::ui
