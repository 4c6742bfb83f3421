// Ground larger than a page at its scale: sheets that overlap, and a sketch that says which is
// where.
#pragma once

#include "core/geo/frame.h"
#include "ui/print/map_frame.h"
#include "ui/print/page_file.h"

namespace leeward::ui {

inline constexpr double kOverlap_mm = 12;
inline constexpr int kMostSheets = 100;

/// Sheets in reading order; one without a name where a page holds all. ERRORS: invalid_argument for
/// more than kMostSheets.
Result<std::vector<AtlasSheet>> atlasSheets(const HuntMapRequest& request,
                                            const PageGeometry& geometry);

/// The sketch: boundary, roads, water and stands with the sheets over them.
void drawIndexSketch(Page& page, const HuntMapRequest& request, const PageGeometry& geometry,
                     const std::vector<AtlasSheet>& sheets, double denominator);

}  // namespace leeward::ui
