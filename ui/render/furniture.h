// What stands on the map but not on the land: scale bar and north mark.
#pragma once

#include "core/model/property.h"
#include "ui/render/map_transform.h"

#include <optional>

class QPainter;

namespace leeward::ui {

/// A round length in display units that fits into `max_px` logical pixels.
struct BarLength {
  double metres = 0;
  double number = 0;  ///< In `unit`.
  const char* unit = "";
};
BarLength barLength(UnitSystem units, double metres_per_px, double max_px);

/// Scale bar with its left lower end at `at` (device); returns its box.
QRectF drawScaleBar(QPainter& painter, const MapTransform& t, QPointF at, UnitSystem units,
                    double max_px = 160);

/// North of the grid, of the Earth and of a compass as three strokes from one foot at `at`: G with
/// an arrow, T with a ring, M with half an arrow. Angles are clockwise from the page's upper side.
/// Strokes nearer than kNorthApart_deg to each other are drawn that far apart, in their order; the
/// figures stand beside them. No magnetic angle: no such stroke.
inline constexpr double kNorthApart_deg = 17;
void drawThreeNorths(QPainter& painter, QPointF at, double unit, double grid_deg, double true_deg,
                     std::optional<double> magnetic_deg);

/// Arrow of grid north with its middle at `at`; a thin line shows true north when it differs by
/// half a degree or more. `convergence_deg`: grid north clockwise from true north; `up_deg`: the
/// grid bearing at the top, to which the mark turns while its letter stays upright.
void drawNorthMark(QPainter& painter, QPointF at, double unit, double convergence_deg,
                   double up_deg = 0);

}  // namespace leeward::ui
