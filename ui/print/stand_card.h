// A card that a sitter carries to one stand: how to get there, which winds it suits, ranges, and
// what to take care of.
#pragma once

#include "core/geo/frame.h"
#include "ui/print/hunt_map.h"
#include "ui/print/page_file.h"
#include "ui/print/stand_winds.h"

namespace leeward::ui {

/// Places of the cards on a sheet, in reading order: four, or two in large type.
std::vector<QRectF> cardPlaces(QSizeF page_mm, bool large_type);

/// The ranges of a card alone, with its stand's name; `info`: the size that it wants.
SheetPage rangeCardPage(const HuntMapRequest& request, const StandResult& stand, PagesInfo& info);

/// `winds` null: not evaluated; the card says nothing of other winds.
void drawStandCard(Page& page, const QRectF& box_mm, const HuntMapRequest& request,
                   const StandWinds* winds, const StandResult& stand, const Frame& frame);

}  // namespace leeward::ui
