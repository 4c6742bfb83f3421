// Where a stand's weapons must not be fired, on the map.
//
// Round a stand every weapon owns the band of ground between the reach of the next shorter one and
// its own: a shot at that distance is taken with the weapon of the shortest reach that gets there.
// In its band the closed directions are hatched from the shooter outward; the whole band is, while
// setbacks or the farthest travel are not entered. Outside its reach a comb of teeth marks the
// directions in which no ground lies behind, a broken comb those in which that is not known.
#pragma once

#include "core/eval/results.h"
#include "ui/render/labels.h"
#include "ui/render/map_transform.h"

class QPainter;

namespace leeward::ui {

/// Directions that run on to the next one, in steps of the lines of fire.
struct FireRun {
  double from_deg = 0, to_deg = 0;  ///< Grid, clockwise; `to` may pass 360.
  bool known = true;                ///< False: the ground behind is not known.
  friend bool operator==(const FireRun&, const FireRun&) = default;
};
/// Runs of directions without ground behind. Blocked lines and lines that meet ground are in none.
std::vector<FireRun> openRuns(const std::vector<compute::LineOfFire>& lines);

/// `vector`: hatch as strokes, for paper.
void drawFire(QPainter& painter, const MapTransform& t, LocalXY at, const StandResult& stand,
              bool vector);
/// "setback not entered, check local law" on each band that is closed for want of an entry.
void drawFireLabels(QPainter& painter, const MapTransform& t, const Document& document, LocalXY at,
                    const StandResult& stand, LabelPlacer& placer);

}  // namespace leeward::ui
