// The printed hunt map: one true-scale page with the map, what is shown, the stands of the hour,
// and the cautions. Written as a vector PDF with a georeference, or as a picture.
#pragma once

#include "core/eval/engine.h"

#include <QSizeF>
#include <QString>

#include <array>
#include <filesystem>
#include <functional>
#include <stop_token>

namespace leeward::ui {

struct HuntMapRequest {
  Ref<Document> document;
  Ref<Terrain> terrain;
  Ref<Results> results;                 ///< Of the hour that the map holds for.
  std::filesystem::path property_file;  ///< For the rasters' folder.
  PrintLayout layout;
  std::vector<Uid> stands;  ///< Whose ways are drawn; empty: all.
  /// Several pages that overlap, with a sketch of them, where one cannot hold the ground at its
  /// scale; their notes on a page of their own.
  bool whole_ground = false;
  QString sheet = {};  ///< "B2" of several; set by the pages themselves.
};

/// The scale that a layout gives on its page, and the ground that the map frame covers.
struct HuntMapScale {
  double denominator = 0;
  Box ground;
  LocalXY centre;
  QSizeF frame_mm;  ///< The map's frame on paper.
};
HuntMapScale huntMapScale(const HuntMapRequest& request);

/// A map page of several.
struct AtlasSheet {
  QString name;  ///< "B2": rows by letters from the top, columns by numbers from the left.
  LocalXY centre;
  std::array<LocalXY, 4> corners;  ///< As GeoReference has them.
};
/// The map pages of a request; one without a name where a page holds all. ERRORS: as
/// writeHuntMapPdf(), but for writing.
Result<std::vector<AtlasSheet>> huntMapSheets(const HuntMapRequest& request);

using PrintProgress = std::function<void(double share, const char* what)>;

/// Writes the PDF in one stroke: beside the target first, then renamed over it. REQUIRES: a
/// QGuiApplication. ERRORS: io, cancelled; not_found when the typeface is missing; invalid_argument
/// for a scale at which nothing of the property fits.
Status writeHuntMapPdf(const HuntMapRequest& request, const std::filesystem::path& to,
                       std::stop_token stop = {}, const PrintProgress& progress = {});
/// The same page as a PNG.
Status writeHuntMapPng(const HuntMapRequest& request, const std::filesystem::path& to,
                       double dots_per_inch = 150, std::stop_token stop = {},
                       const PrintProgress& progress = {});

}  // namespace leeward::ui
