// Title, hour and wind, stand table, legend, scale bars and cautions around the map.
#pragma once

#include "core/geo/frame.h"
#include "ui/print/map_frame.h"

namespace leeward::ui {

/// Scale bars and the three norths inside the map's frame.
void drawMapCorner(Page& page, const HuntMapRequest& request, const MapFrame& map,
                   const Frame& frame);
void drawTitle(Page& page, const HuntMapRequest& request, const PageGeometry& geometry);
void drawSide(Page& page, const HuntMapRequest& request, const PageGeometry& geometry,
              const MapFrame& map, const Frame& frame);

/// A page of notes that is smaller than this has no room for legend and cautions beside them: each
/// has a page of its own, the cautions with the grid's words.
inline constexpr double kThreeColumns_mm = 150, kHighNotes_mm = 165;
bool hasCareApart(const PageGeometry& geometry);
void drawLegendPage(Page& page, const HuntMapRequest& request, const PageGeometry& geometry,
                    const MapFrame& map);
void drawCare(Page& page, const HuntMapRequest& request, const PageGeometry& geometry,
              const MapFrame& map, const Frame& frame);

}  // namespace leeward::ui
