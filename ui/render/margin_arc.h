// How far the wind may swing, as an arc about a stand on the side where the wind comes from.
#pragma once

#include "core/eval/results.h"
#include "ui/render/map_transform.h"

#include <QPointF>

#include <vector>

class QPainter;

namespace leeward::ui {

/// False when the hour's wind is unknown or calm: then there is no side it comes from, and no arc.
bool windIsDirected(const Results& results);

struct MarginArc {
  QPointF middle;          ///< The stand, device.
  double up_deg = 0;       ///< Grid bearing at the top of the device.
  double radius = 0;       ///< Device units; just outside the rings, within limits.
  double from_deg = 0;     ///< Bearing of the anticlockwise end, grid.
  double to_deg = 0;       ///< Of the clockwise end; never less than from_deg.
  double wind_deg = 0;     ///< Where the wind comes from now.
  bool open_from = false;  ///< 90 degrees or more to that side: no limit was met.
  bool open_to = false;
  bool passed =
      false;  ///< The limit is passed without a swing: a crossed arc 20 degrees to each side.
};
/// The arc of a stand at `at`, for a wind from `wind`.
MarginArc marginArc(const MapTransform& t, LocalXY at, WindFrom wind, const StandResult& stand);

/// Draws it with its degrees at both ends, or "limit passed"; returns the boxes of the words.
/// `with_words` false: the arc alone.
std::vector<QRectF> drawMarginArc(QPainter& painter, const MapTransform& t, const MarginArc& arc,
                                  bool with_words = true);

}  // namespace leeward::ui
