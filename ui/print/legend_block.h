// The legend beside a printed map: what it shows, and nothing else.
#pragma once

#include "ui/print/column.h"
#include "ui/print/map_frame.h"

namespace leeward::ui {

/// Fills the column with as many rows as its room holds, two a line where it is wide.
void drawLegendBlock(Column& column, const HuntMapRequest& request, const MapFrame& map);

}  // namespace leeward::ui
