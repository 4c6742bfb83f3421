// What stands on the map but not on the land: scale bar and north mark.
#pragma once

#include "core/model/property.h"
#include "ui/render/map_transform.h"

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

/// Arrow of grid north with its middle at `at`; a thin line shows true north when it differs by
/// half a degree or more. `convergence_deg`: grid north clockwise from true north.
void drawNorthMark(QPainter& painter, QPointF at, double unit, double convergence_deg);

}  // namespace leeward::ui
