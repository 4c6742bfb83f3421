// How the wind has blown in a season and what of it suits a stand: sixteen petals, each as long as
// its share of the sits, dark as far as the stand could be taken.
#pragma once

#include "core/eval/season.h"

#include <QPointF>

class QPainter;

namespace leeward::ui {

/// Of a stand of the season around `middle`; the longest petal is `radius_px` long. `north_deg`:
/// true north clockwise from the top. Draws nothing without a sit with wind.
void drawSeasonRose(QPainter& painter, QPointF middle, double radius_px, double north_deg,
                    const Season& season, const SeasonStand& stand);

}  // namespace leeward::ui
