// What libqpdf adds to a PDF that is drawn already: the georeference of map pages (viewport and
// measure dictionaries; ISO 32000-2, 12.10; Adobe Supplement to ISO 32000, ExtensionLevel 3),
// bookmarks, and the tones of a look.
#pragma once

#include "core/base/result.h"
#include "core/model/property.h"

#include <QRectF>
#include <QString>
#include <QStringList>

#include <array>
#include <filesystem>
#include <vector>

namespace leeward::ui {

struct GeoReference {
  size_t page = 0;
  QRectF map_mm;  ///< The map's frame on the page, from its upper left corner.
  double page_height_mm = 0;
  /// What the frame's corners show in the frame's CRS: lower left, upper left, upper right, lower
  /// right on the page.
  std::array<LocalXY, 4> corners;
};

struct Bookmark {
  QString title;
  size_t page = 0;
  int level = 0;  ///< 0, or 1: below the last of level 0.
};

struct PdfExtras {
  std::vector<GeoReference> places;
  std::vector<Bookmark> bookmarks;  ///< In reading order.
  PrintLook look = PrintLook::colour;
};

/// Reads `drawn`, writes `to` with the extras and a deterministic file id. ERRORS: io.
Status finishPdf(const std::filesystem::path& drawn, const std::filesystem::path& to,
                 const Frame& frame, const PdfExtras& extras);

}  // namespace leeward::ui
