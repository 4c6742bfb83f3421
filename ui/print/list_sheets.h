// Sheets that are tables: the plan of the coming sits, and the work that is open.
#pragma once

#include "core/eval/plan.h"
#include "ui/print/page_file.h"

namespace leeward::ui {

/// A row of a list: it is never parted over two pages.
struct ListRow {
  enum class Look { heading, strong, plain, tick } look = Look::plain;
  QString left;   ///< A narrow first column; empty: none.
  QString words;  ///< Wraps.
};

std::vector<ListRow> planRows(const HuntMapRequest& request, const Plan& plan);
/// Checks of scrapes and cameras that ask for work, safety checks that are missing or overdue, and
/// what of weapons is still to be entered.
std::vector<ListRow> workRows(const HuntMapRequest& request);

void addPlanSheets(const HuntMapRequest& request, const Plan& plan, const PagesInfo& info,
                   std::vector<SheetPage>& out);
void addWorkSheets(const HuntMapRequest& request, const PagesInfo& info,
                   std::vector<SheetPage>& out);

}  // namespace leeward::ui
