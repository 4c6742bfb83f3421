// The wind barb of WMO-No. 485 (Manual on the GDPFS, appendix on plotting) and WMO-No. 306: the
// staff points to where the wind comes from; a pennant is 50 kt, a full barb 10 kt, a half barb 5
// kt, on the clockwise side in the northern hemisphere; a circle is calm. Speeds are rounded to 5
// kt.
#pragma once

#include <QLineF>
#include <QPointF>
#include <QPolygonF>

#include <optional>
#include <vector>

class QColor;
class QPainter;

namespace leeward::ui {

/// The barb of a wind from grid north in a frame of its own: station at (0, 0), staff of length 1
/// to (0, -1), y down. `calm`: nothing but the circle (below 1 kt).
struct BarbShape {
  bool calm = false;
  std::vector<QPolygonF> pennants;
  std::vector<QLineF> full, half;  ///< From the staff outward.
};
BarbShape barbShape(double speed_kt, bool northern = true);

/// Draws it with the station at `station`; `length` and line width in device units. `from_deg` is
/// clockwise from the top of the device. A missing direction with a speed draws a circle with a
/// question mark's dot inside ("direction unknown"); a missing speed draws nothing but the circle's
/// dashed outline.
void drawBarb(QPainter& painter, QPointF station, std::optional<double> from_deg,
              std::optional<double> speed_mps, double length, double width, const QColor& ink,
              bool northern = true);

}  // namespace leeward::ui
