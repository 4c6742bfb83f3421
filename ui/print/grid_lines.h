// The US National Grid (FGDC-STD-011-2001) on a map frame: ticks, crosses and principal digits.
#pragma once

#include "core/geo/frame.h"
#include "ui/print/page.h"

namespace leeward::ui {

/// Grid spacing whose lines lie 25 to 70 mm apart at a scale: 100, 200, 500, 1000, 2000 ... m.
double gridSpacingM(double denominator);

/// Ticks inside the frame's edges, crosses where lines meet, and the digits of each line along the
/// frame (kilometres large, hundreds after), but none in `clear`. REQUIRES: a UTM frame.
void drawGrid(Page& page, const MapTransform& t, double spacing_m, const QRectF& clear);

/// "US National Grid, 16T DN, lines 200 m apart" for the ground of a map. Two squares are both
/// named.
QString gridNote(const Frame& frame, const Box& ground, double spacing_m);

}  // namespace leeward::ui
