#include "ui/print/hunt_map.h"

#include "ui/print/atlas.h"
#include "ui/print/page_file.h"
#include "ui/print/sheets.h"
#include "ui/print/side_blocks.h"
#include "ui/style/type.h"

namespace leeward::ui {
namespace {

PageGeometry geometryOf(const HuntMapRequest& request) {
  const size_t stands =
      request.stands.empty() ? request.results->stands.size() : request.stands.size();
  return pageGeometry(request.layout, stands, request.whole_ground);
}

Status checkRequest(const HuntMapRequest& request, const MapFrame& map) {
  if (!(map.denominator >= kLeastScale && map.denominator <= kMostScale))
    return fail(ErrorCode::invalid_argument, "the scale must lie between 1:100 and 1:1,000,000");
  const Box want = request.document->extent();
  if (!want.empty() && !want.overlaps(map.ground)) {
    return fail(
        ErrorCode::invalid_argument,
        "nothing of the property lies on the page: clear the map's centre in the print layout");
  }
  return ok();
}

Status drawMapPage(Page& page, const HuntMapRequest& request, std::stop_token stop,
                   const PrintProgress& progress) {
  auto frame = Frame::make(request.document->settings->crs);
  if (!frame) return std::move(frame.error());
  const PageGeometry geometry = geometryOf(request);
  MapFrame map = placeMap(request, geometry, page.dots(1));
  if (Status s = drawMap(page, request, map, stop, progress); !s) return s;
  drawMapCorner(page, request, map, *frame);
  drawTitle(page, request, geometry);
  if (!geometry.notes_apart) drawSide(page, request, geometry, map, *frame);
  return ok();
}

enum class Notes { side, legend, care };

// What stands beside the map, on a page of its own; and what finds no room even there.
Status drawNotesPage(Page& page, const HuntMapRequest& request, MapFrame map, Notes which) {
  auto frame = Frame::make(request.document->settings->crs);
  if (!frame) return std::move(frame.error());
  map.aerial = request.layout.aerial && request.document->raster(RasterRole::aerial) != nullptr;
  const PageGeometry geometry = geometryOf(request);
  drawTitle(page, request, geometry);
  if (which == Notes::legend)
    drawLegendPage(page, request, geometry, map);
  else
    (which == Notes::care ? drawCare : drawSide)(page, request, geometry, map, *frame);
  return ok();
}

}  // namespace

HuntMapScale huntMapScale(const HuntMapRequest& request) {
  const PageGeometry geometry = geometryOf(request);
  const MapFrame map = placeMap(request, geometry, 1);
  return {map.denominator, map.ground, map.transform.centre(), geometry.map.size()};
}

Result<std::vector<AtlasSheet>> huntMapSheets(const HuntMapRequest& request) {
  const PageGeometry geometry = geometryOf(request);
  if (Status s = checkRequest(request, placeMap(request, geometry, 1)); !s)
    return std::move(s.error());
  return atlasSheets(request, geometry);
}

Result<std::vector<SheetPage>> mapPages(const HuntMapRequest& request, std::stop_token stop,
                                        const PrintProgress& progress) {
  const PageGeometry geometry = geometryOf(request);
  const MapFrame map = placeMap(request, geometry, 1);
  const auto sheets = huntMapSheets(request);
  if (!sheets) return sheets.error();
  std::vector<SheetPage> pages;
  const bool several = sheets->size() > 1;
  if (several)
    pages.push_back({{{QStringLiteral("Hunt map"), 0, 0}}, {}, [=, all = *sheets](Page& page) {
                       drawIndexSketch(page, request, geometry, all, map.denominator);
                       return ok();
                     }});
  for (const AtlasSheet& sheet : *sheets) {
    HuntMapRequest one = request;
    one.sheet = sheet.name;
    if (several) {
      one.layout.centre = sheet.centre;
      one.layout.scale_denominator = map.denominator;
    }
    const Bookmark mark =
        several ? Bookmark{sheet.name, 0, 1} : Bookmark{QStringLiteral("Hunt map"), 0, 0};
    pages.push_back(
        {{mark},
         GeoReference{0, geometry.map, geometry.page_mm.height(), sheet.corners},
         [one, stop, progress](Page& page) { return drawMapPage(page, one, stop, progress); }});
  }
  const auto notes = [&](const char* title, Notes which) {
    pages.push_back({{{text(title), 0, 0}}, {}, [request, map, which](Page& page) {
                       return drawNotesPage(page, request, map, which);
                     }});
  };
  if (geometry.notes_apart) notes("Notes to the map", Notes::side);
  if (hasCareApart(geometry)) {
    notes("Legend", Notes::legend);
    notes("Take care", Notes::care);
  }
  return pages;
}

Status writeHuntMapPdf(const HuntMapRequest& request, const std::filesystem::path& to,
                       std::stop_token stop, const PrintProgress& progress) {
  return writeSheetsPdf({request, {}, {}, {}}, to, stop, progress);
}

Status writeHuntMapPng(const HuntMapRequest& request, const std::filesystem::path& to,
                       double dots_per_inch, std::stop_token stop, const PrintProgress& progress) {
  const auto pages = mapPages(request, stop, progress);
  if (!pages) return pages.error();
  return writePagePng(pages->front(), pagesInfo(request), to, dots_per_inch);
}

}  // namespace leeward::ui
