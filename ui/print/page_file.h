// Pages to files: a PDF of many pages with bookmarks, georeferences and a look, or one picture.
#pragma once

#include "ui/print/geo_pdf.h"
#include "ui/print/hunt_map.h"
#include "ui/print/page.h"

#include <QImage>

#include <functional>
#include <optional>
#include <vector>

namespace leeward::ui {

inline constexpr double kPdfDotsPerInch = 600;

struct SheetPage {
  std::vector<Bookmark> bookmarks;    ///< Their `page` is set by the writer.
  std::optional<GeoReference> place;  ///< Likewise.
  std::function<Status(Page&)> draw;
};

struct PagesInfo {
  QString title;
  QSizeF page_mm;
  PrintLook look = PrintLook::colour;
  double type_scale = 1;
};

/// Beside the target first, then renamed over it. ERRORS: io, and what drawing says.
Status writePagesPdf(const std::vector<SheetPage>& pages, const PagesInfo& info, const Frame& frame,
                     const std::filesystem::path& to, const PrintProgress& progress);
/// ERRORS: also invalid_argument for a picture too large to hold.
Result<QImage> pagePicture(const SheetPage& page, const PagesInfo& info, double dots_per_inch);
Status writePagePng(const SheetPage& page, const PagesInfo& info, const std::filesystem::path& to,
                    double dots_per_inch);

}  // namespace leeward::ui
