// Symbols of features that are points, drawn as paths, and the small pictures of every kind that
// the palette, the inspector and legends show. All are the project's own drawings.
#pragma once

#include "ui/render/map_transform.h"
#include "ui/style/palette.h"

class QPainter;

namespace leeward::ui {

/// Radius of a point symbol's badge, logical pixels.
inline constexpr double kSymbolRadiusPx = 10;

/// A point symbol with its middle at `at` (device); `unit` device units make a logical pixel.
/// `attrs` decides its form (stand type, facing). The symbol stays upright where the map is turned;
/// `up_deg`, the grid bearing at the top, turns its facing mark alone.
void drawSymbol(QPainter& painter, const Attributes& attrs, QPointF at, double unit,
                bool selected = false, double up_deg = 0);

/// A picture of any kind, as it looks on the map, inside `box` (device).
void drawKindPicture(QPainter& painter, const Attributes& attrs, const QRectF& box, double unit);

}  // namespace leeward::ui
