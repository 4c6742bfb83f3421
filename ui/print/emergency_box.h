// What helps when something goes wrong: where helpers are met, whom to call, who sits where, when
// all are due back. The user's own entries as they stand; what is not entered is a line to write
// on.
#pragma once

#include "core/geo/frame.h"
#include "ui/print/hunt_map.h"
#include "ui/print/page.h"

namespace leeward::ui {

/// "16T DP 99330 72272 · 44.00341° N, 87.00836° W" of a place.
QString placeWords(const Frame& frame, LocalXY at);
/// The height that drawEmergencyBox() needs in a width, mm.
double emergencyHeightMm(const Page& page, const HuntMapRequest& request, const Frame& frame,
                         double width_mm);
void drawEmergencyBox(Page& page, const QRectF& box_mm, const HuntMapRequest& request,
                      const Frame& frame);

}  // namespace leeward::ui
