// The sheets of a hunt in one file: the map, a card a stand, the plan of the coming sits, and the
// work that is open. Chosen together or alone.
#pragma once

#include "core/eval/plan.h"
#include "ui/print/hunt_map.h"
#include "ui/print/page_file.h"
#include "ui/print/stand_winds.h"

#include <optional>

namespace leeward::ui {

struct SheetChoice {
  bool map = true, cards = false, plan = false, work = false;
  bool any() const { return map || cards || plan || work; }
};

struct SheetsRequest {
  HuntMapRequest map;  ///< Its stands, layout and hour hold for every sheet.
  SheetChoice choice;
  std::optional<StandWinds> winds;  ///< For cards; empty: they say nothing of other winds.
  Ref<Plan> plan;                   ///< Needed for the plan sheet.
};

/// One PDF with a bookmark a sheet and a card; map pages keep their georeference. REQUIRES: a
/// QGuiApplication; a plan where its sheet is chosen. ERRORS: as writeHuntMapPdf();
/// invalid_argument when nothing is chosen.
Status writeSheetsPdf(const SheetsRequest& request, const std::filesystem::path& to,
                      std::stop_token stop = {}, const PrintProgress& progress = {});

/// The pages of a request in their order.
Result<std::vector<SheetPage>> sheetPages(const SheetsRequest& request, std::stop_token stop,
                                          const PrintProgress& progress);
/// The map first; in large type its notes behind it.
Result<std::vector<SheetPage>> mapPages(const HuntMapRequest& request, std::stop_token stop,
                                        const PrintProgress& progress);
/// Paper, look and type of a request.
PagesInfo pagesInfo(const HuntMapRequest& request);

}  // namespace leeward::ui
