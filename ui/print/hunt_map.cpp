#include "ui/print/hunt_map.h"

#include "ui/print/page_file.h"
#include "ui/print/sheets.h"
#include "ui/print/side_blocks.h"
#include "ui/style/type.h"

namespace leeward::ui {
namespace {

PageGeometry geometryOf(const HuntMapRequest& request) {
  return pageGeometry(request.layout, request.stands.empty() ? request.results->stands.size()
                                                             : request.stands.size());
}

Status checkRequest(const HuntMapRequest& request, const MapFrame& map) {
  if (!(map.denominator >= 100 && map.denominator <= 1e6))
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

// In large type: what stands beside the map, on a page of its own.
Status drawNotesPage(Page& page, const HuntMapRequest& request, MapFrame map) {
  auto frame = Frame::make(request.document->settings->crs);
  if (!frame) return std::move(frame.error());
  map.aerial = request.layout.aerial && request.document->raster(RasterRole::aerial) != nullptr;
  const PageGeometry geometry = geometryOf(request);
  drawTitle(page, request, geometry);
  drawSide(page, request, geometry, map, *frame);
  return ok();
}

}  // namespace

HuntMapScale huntMapScale(const HuntMapRequest& request) {
  const MapFrame map = placeMap(request, geometryOf(request), 1);
  return {map.denominator, map.ground};
}

Result<std::vector<SheetPage>> mapPages(const HuntMapRequest& request, std::stop_token stop,
                                        const PrintProgress& progress) {
  const PageGeometry geometry = geometryOf(request);
  const MapFrame map = placeMap(request, geometry, 1);
  if (Status s = checkRequest(request, map); !s) return std::move(s.error());
  SheetPage out;
  out.bookmarks = {{QStringLiteral("Hunt map"), 0, 0}};
  const QRectF box = map.transform.viewport();
  out.place = GeoReference{
      0,
      geometry.map,
      geometry.page_mm.height(),
      {map.transform.toLocal(box.bottomLeft()), map.transform.toLocal(box.topLeft()),
       map.transform.toLocal(box.topRight()), map.transform.toLocal(box.bottomRight())}};
  out.draw = [request, stop, progress](Page& page) {
    return drawMapPage(page, request, stop, progress);
  };
  std::vector<SheetPage> pages = {std::move(out)};
  if (geometry.notes_apart)
    pages.push_back({{{QStringLiteral("Notes to the map"), 0, 0}}, {}, [request, map](Page& page) {
                       return drawNotesPage(page, request, map);
                     }});
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
