#include "ui/print/list_sheets.h"

#include "core/eval/explain.h"
#include "core/eval/explain_checks.h"
#include "core/eval/explain_safety.h"
#include "ui/print/column.h"
#include "ui/print/map_frame.h"
#include "ui/style/type.h"

#include <QImage>

namespace leeward::ui {
namespace {

constexpr double kMargin_mm = 12;
constexpr double kRow_pt = 8.5;
constexpr double kTitle_pt = 15;
constexpr double kLeft_share = 0.06;

double leftWidth(const Page& page, double width_mm) {
  return kLeft_share * width_mm * page.typeScale();
}

double rowHeight(const Page& page, const ListRow& row, double width_mm) {
  const bool bold = row.look == ListRow::Look::heading || row.look == ListRow::Look::strong;
  const double narrow = row.look == ListRow::Look::heading ? 0 : leftWidth(page, width_mm);
  const double lines = page.paragraphHeightMm(width_mm - narrow, row.words, kRow_pt, bold);
  return lines + (row.look == ListRow::Look::heading ? 5 : 1.2);
}

void drawRow(Page& page, const ListRow& row, double x, double y, double width) {
  const bool heading = row.look == ListRow::Look::heading;
  const bool bold = heading || row.look == ListRow::Look::strong;
  const double narrow = heading ? 0 : leftWidth(page, width);
  const double top = heading ? y + 2.5 : y;
  if (row.look == ListRow::Look::tick) {
    page.painter().setBrush(Qt::NoBrush);
    page.painter().setPen(QPen(inkColour(), page.dots(0.3)));
    const double size = 0.75 * page.lineHeightMm(kRow_pt);
    page.painter().drawRect(page.rect({x, top + 0.12 * size, size, size}));
  } else if (!row.left.isEmpty()) {
    page.line(x, top, narrow, row.left, kRow_pt, inkColour(), true);
  }
  const double used =
      page.paragraph(x + narrow, top, width - narrow, 1e6, row.words, kRow_pt, inkColour(), bold);
  if (heading) page.rule(x, top + used + 0.6, x + width);
}

// Pages of rows; `first` is the index of the first row on each.
std::vector<size_t> pageBreaks(const std::vector<ListRow>& rows, const PagesInfo& info,
                               double room_mm, double width_mm) {
  QImage paper(8, 8, QImage::Format_RGB32);  // for the measures of type alone
  QPainter painter(&paper);
  const Page page(painter, kPdfDotsPerInch / 25.4, info.type_scale);
  std::vector<size_t> first = {0};
  double used = 0;
  for (size_t i = 0; i < rows.size(); ++i) {
    double need = rowHeight(page, rows[i], width_mm);
    // A heading goes with what it heads.
    const double with = rows[i].look == ListRow::Look::heading && i + 1 < rows.size()
                            ? need + rowHeight(page, rows[i + 1], width_mm)
                            : need;
    if (used + with > room_mm && i > first.back()) {
      first.push_back(i);
      used = 0;
    }
    used += need;
  }
  return first;
}

void addListSheets(const HuntMapRequest& request, const PagesInfo& info, const QString& title,
                   const QString& foot, const std::vector<ListRow>& rows,
                   std::vector<SheetPage>& out) {
  const double width = info.page_mm.width() - 2 * kMargin_mm;
  const double head = 12 * info.type_scale, foot_mm = 12 * info.type_scale;
  const double room = info.page_mm.height() - 2 * kMargin_mm - head - foot_mm;
  const auto first = pageBreaks(rows, info, room, width);
  const QString name = text(request.document->settings->name);
  for (size_t k = 0; k < first.size(); ++k) {
    SheetPage sheet;
    if (k == 0) sheet.bookmarks.push_back({title, 0, 0});
    const size_t end = k + 1 < first.size() ? first[k + 1] : rows.size();
    const std::vector<ListRow> mine(rows.begin() + static_cast<std::ptrdiff_t>(first[k]),
                                    rows.begin() + static_cast<std::ptrdiff_t>(end));
    const QString head_words =
        first.size() > 1
            ? QStringLiteral("%1 · %2 (%3 of %4)").arg(name, title).arg(k + 1).arg(first.size())
            : QStringLiteral("%1 · %2").arg(name, title);
    sheet.draw = [mine, head_words, foot, width, head, foot_mm, info](Page& page) {
      double y = kMargin_mm;
      page.line(kMargin_mm, y, width, head_words, kTitle_pt, inkColour(), true);
      y += head;
      for (const ListRow& row : mine) {
        drawRow(page, row, kMargin_mm, y, width);
        y += rowHeight(page, row, width);
      }
      page.paragraph(kMargin_mm, info.page_mm.height() - kMargin_mm - foot_mm + 2, width,
                     foot_mm - 2, foot, kBody_pt, softColour());
      return ok();
    };
    out.push_back(std::move(sheet));
  }
}

QString sitWords(const Document& d, const PlanSit& sit) {
  const Settings& s = *d.settings;
  return QStringLiteral("%1, %2 %3–%4 · %5")
      .arg(text(date_text(sit.leave, s.time_zone)),
           sit.morning ? QStringLiteral("morning") : QStringLiteral("evening"),
           text(clock_text(sit.arrive, s.time_zone)), text(clock_text(sit.leave, s.time_zone)),
           sit.air.known ? QStringLiteral("wind %1 %2")
                               .arg(text(compass_text(sit.air.from_true_deg)),
                                    text(speed_text(sit.air.speed_10m_mps, s.units)))
                         : QStringLiteral("wind unknown"));
}

}  // namespace

std::vector<ListRow> planRows(const HuntMapRequest& request, const Plan& plan) {
  const Document& d = *request.document;
  std::vector<ListRow> rows;
  for (size_t i = 0; i < plan.sits.size(); ++i) {
    rows.push_back({ListRow::Look::heading, {}, sitWords(d, plan.sits[i])});
    std::vector<const PlanCell*> cells;
    QStringList left_alone;
    for (const PlanCell& c : plan.cells) {
      if (c.sit != i || !isChosen(request, c.stand)) continue;
      const Ref<Feature> f = d.find(c.stand);
      if (!f) continue;
      if (c.rank > 0) {
        cells.push_back(&c);
      } else {
        left_alone << text(display_name(*f)) + QStringLiteral(" (") + text(word(c.verdict)) +
                          QStringLiteral(")");
      }
    }
    std::stable_sort(cells.begin(), cells.end(),
                     [](const PlanCell* a, const PlanCell* b) { return a->rank < b->rank; });
    for (const PlanCell* c : cells) {
      const Ref<Feature> f = d.find(c->stand);
      const std::string& sitter = f->as<StandAttrs>().sitter;
      QString words = text(display_name(*f)) + QStringLiteral(" · ") + text(word(c->verdict));
      if (!sitter.empty()) words += QStringLiteral(" · ") + text(sitter);
      if (c->watch_only) words += QStringLiteral(" · to watch and learn");
      if (!c->reasons.empty()) words += QStringLiteral(". ") + text(c->reasons.front());
      rows.push_back({c->verdict == Verdict::better ? ListRow::Look::strong : ListRow::Look::plain,
                      QString::number(c->rank), words});
    }
    if (!left_alone.isEmpty())
      rows.push_back({ListRow::Look::plain, QStringLiteral("–"),
                      QStringLiteral("Not to be sat: ") + left_alone.join(QStringLiteral(", "))});
  }
  if (plan.sits.empty())
    rows.push_back({ListRow::Look::plain, {}, QStringLiteral("There is no sit in these days.")});
  return rows;
}

std::vector<ListRow> workRows(const HuntMapRequest& request) {
  const Document& d = *request.document;
  const Results& r = *request.results;
  std::vector<ListRow> rows;
  const auto section = [&](const QString& title, const std::vector<QString>& lines) {
    if (lines.empty()) return;
    rows.push_back({ListRow::Look::heading, {}, title});
    for (const QString& l : lines) rows.push_back({ListRow::Look::tick, {}, l});
  };
  std::vector<QString> safety;
  for (const auto& f : d.of(Kind::stand)) {
    Feature any_time = *f;
    any_time.as<StandAttrs>().meant_for = SitTime::any;
    const std::string why = withheld_because(d, any_time, true, r.scene.arrive);
    if (!why.empty()) safety.push_back(text(display_name(*f) + ": " + why));
  }
  section(QStringLiteral("Safety checks of stands"), safety);
  std::vector<QString> checks;
  for (const std::string& words : work_to_do(d, r)) checks.push_back(text(words));
  section(QStringLiteral("Mock scrapes and cameras"), checks);
  std::vector<QString> entries;
  for (const StandResult& s : r.stands) {
    for (const WeaponFire& f : s.fire) {
      if (f.entered()) continue;
      const Ref<Weapon> w = d.find_weapon(f.weapon);
      const QString words =
          (w ? text(w->name) + QStringLiteral(": ") : QString()) + text(fire_gap_text(f));
      if (std::find(entries.begin(), entries.end(), words) == entries.end())
        entries.push_back(words);
    }
  }
  section(QStringLiteral("To look up and enter"), entries);
  if (rows.empty())
    rows.push_back({ListRow::Look::plain, {}, QStringLiteral("Nothing is open on this day.")});
  return rows;
}

void addPlanSheets(const HuntMapRequest& request, const Plan& plan, const PagesInfo& info,
                   std::vector<SheetPage>& out) {
  addListSheets(request, info, QStringLiteral("Plan of the coming sits"),
                QStringLiteral("The order counts within one sit; equal numbers are ties within the "
                               "uncertainty. Scores are relative and not validated for deer. "
                               "Shooting hours are your own entries: check local law."),
                planRows(request, plan), out);
}

void addWorkSheets(const HuntMapRequest& request, const PagesInfo& info,
                   std::vector<SheetPage>& out) {
  addListSheets(request, info, QStringLiteral("Work list"),
                QStringLiteral("As of %1. Figures of checks are common practice or measured on the "
                               "map; look on the ground before you trust them.")
                    .arg(text(date_text(request.results->scene.arrive,
                                        request.document->settings->time_zone))),
                workRows(request), out);
}

}  // namespace leeward::ui
