#include "ui/print/sheets.h"

#include "ui/print/list_sheets.h"
#include "ui/print/map_frame.h"
#include "ui/print/stand_card.h"
#include "ui/style/type.h"

#include <cassert>

namespace leeward::ui {
namespace {

Status drawCards(Page& page, const SheetsRequest& request, const std::vector<Uid>& stands,
                 QSizeF page_mm) {
  auto frame = Frame::make(request.map.document->settings->crs);
  if (!frame) return std::move(frame.error());
  const auto places = cardPlaces(page_mm, request.map.layout.large_type);
  for (size_t i = 0; i < stands.size(); ++i) {
    const StandResult* s = request.map.results->find(stands[i]);
    if (s)
      drawStandCard(page, places[i], request.map, request.winds ? &*request.winds : nullptr, *s,
                    *frame);
  }
  return ok();
}

void addCards(const SheetsRequest& request, const PagesInfo& info, std::vector<SheetPage>& out) {
  const size_t each = cardPlaces(info.page_mm, request.map.layout.large_type).size();
  std::vector<Uid> chosen;
  for (const StandResult& s : request.map.results->stands)
    if (isChosen(request.map, s.stand)) chosen.push_back(s.stand);
  for (size_t first = 0; first < chosen.size(); first += each) {
    SheetPage page;
    if (first == 0) page.bookmarks.push_back({QStringLiteral("Stand cards"), 0, 0});
    std::vector<Uid> mine;
    for (size_t i = first; i < std::min(first + each, chosen.size()); ++i) {
      mine.push_back(chosen[i]);
      const Ref<Feature> f = request.map.document->find(chosen[i]);
      if (f) page.bookmarks.push_back({text(display_name(*f)), 0, 1});
    }
    page.draw = [request, mine, size = info.page_mm](Page& p) {
      return drawCards(p, request, mine, size);
    };
    out.push_back(std::move(page));
  }
}

}  // namespace

PagesInfo pagesInfo(const HuntMapRequest& request) {
  PagesInfo info;
  info.title = text(request.document->settings->name) + QStringLiteral(" hunt map");
  info.page_mm = pageGeometry(request.layout).page_mm;
  info.look = request.layout.look;
  info.type_scale = request.layout.large_type ? kLargeType : 1;
  return info;
}

Result<std::vector<SheetPage>> sheetPages(const SheetsRequest& request, std::stop_token stop,
                                          const PrintProgress& progress) {
  if (!request.choice.any())
    return fail(ErrorCode::invalid_argument,
                "no sheet is chosen; choose a map, cards, plan or work");
  const PagesInfo info = pagesInfo(request.map);
  std::vector<SheetPage> out;
  if (request.choice.map) {
    auto pages = mapPages(request.map, stop, progress);
    if (!pages) return std::move(pages.error());
    out = *std::move(pages);
  }
  if (request.choice.cards) addCards(request, info, out);
  if (request.choice.plan) {
    assert(request.plan);
    addPlanSheets(request.map, *request.plan, info, out);
  }
  if (request.choice.work) addWorkSheets(request.map, info, out);
  if (out.empty())
    return fail(ErrorCode::invalid_argument, "no stand is drawn: there is no card to print");
  return out;
}

Status writeSheetsPdf(const SheetsRequest& request, const std::filesystem::path& to,
                      std::stop_token stop, const PrintProgress& progress) {
  const auto pages = sheetPages(request, stop, progress);
  if (!pages) return pages.error();
  auto frame = Frame::make(request.map.document->settings->crs);
  if (!frame) return std::move(frame.error());
  return writePagesPdf(*pages, pagesInfo(request.map), *frame, to, progress);
}

}  // namespace leeward::ui
