// The air of an hour on the map: strokes of the local wind and marks of slope air. Both stand on a
// regular grid that is fixed to the ground and thinned by powers of two, so that they neither swim
// while the map is panned nor jump while it is zoomed.
#pragma once

#include "core/eval/results.h"
#include "ui/render/map_transform.h"

#include <QColor>

#include <vector>

class QPainter;

namespace leeward::ui {

/// Distance between strokes on the ground: a power of two metres, 28 to 56 logical pixels.
double strokeSpacing_m(double metres_per_px);

/// A short piece of a streamline, tail first; the air goes toward the last point. One point only:
/// the air stands (below kStillAir_mps).
struct AirStroke {
  Path line;
  double speed_mps = 0;
};
inline constexpr double kStillAir_mps = 0.05;
/// The strokes in view. Their length grows with the root of the speed up to four fifths of the
/// spacing. Where the wind is unknown there is none.
std::vector<AirStroke> windStrokes(const AirMap& air, const MapTransform& t);

/// Ink and casing of strokes and slope marks. Opaque: translucent edges take ten times as long.
QColor airInk();
QColor airCasing();

/// Tapered strokes with a head on a pale casing. `strength` 0..1.
void drawWindStrokes(QPainter& painter, const MapTransform& t, const AirMap& air,
                     double strength = 1);

/// A pair of open chevrons that points to where the air goes, larger in a stronger flow.
struct SlopeMark {
  LocalXY at;
  Bearing toward;
  double speed_mps = 0;
};
inline constexpr double kLeastSlopeAir_mps = 0.1;  ///< Weaker slope air has no mark.
/// The marks in view, between the places of the wind's strokes.
std::vector<SlopeMark> slopeMarks(const AirMap& air, const MapTransform& t);
void drawSlopeAir(QPainter& painter, const MapTransform& t, const AirMap& air);

}  // namespace leeward::ui
