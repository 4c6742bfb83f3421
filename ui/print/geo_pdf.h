// The georeference of a PDF page: viewport and measure dictionaries (ISO 32000-2, 12.10; Adobe
// Supplement to ISO 32000, ExtensionLevel 3), added by libqpdf to a PDF that is drawn already.
#pragma once

#include "core/base/result.h"
#include "core/geo/frame.h"

#include <QRectF>

#include <filesystem>

namespace leeward::ui {

struct GeoReference {
  QRectF map_mm;  ///< The map's frame on the page, from its upper left corner.
  double page_height_mm = 0;
  Box ground;  ///< What the frame covers, in the frame's CRS.
};

/// Reads `drawn`, writes `to` with the georeference on its first page and a deterministic file id.
/// ERRORS: io.
Status addGeoreference(const std::filesystem::path& drawn, const std::filesystem::path& to,
                       const Frame& frame, const GeoReference& where);

}  // namespace leeward::ui
