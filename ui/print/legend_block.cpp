#include "ui/print/legend_block.h"

#include "ui/render/features.h"
#include "ui/render/legend.h"
#include "ui/render/margin_arc.h"
#include "ui/style/type.h"

#include <algorithm>

namespace leeward::ui {
namespace {

// A sample feature in a frame of a few metres, drawn by the same painter as the map's.
void legendSample(Page& page, const Feature& like, QRectF cell_mm) {
  const QRectF dots = page.rect(cell_mm);
  // Symbols shrink to the row; lines and patterns keep their size.
  const double unit = like.shape.type == ShapeType::point ? dots.height() / 28 : page.per_px();
  const MapTransform t({0, 0}, 1, dots, unit);
  const double w = dots.width() / unit / 2 * 0.9, h = dots.height() / unit / 2 * 0.8;
  Feature sample = like;
  switch (like.shape.type) {
    case ShapeType::point:
      sample.shape = Shape::point({0, 0});
      break;
    case ShapeType::line:
      sample.shape = Shape::line({{-w, 0}, {w, 0}});
      break;
    case ShapeType::area:
      sample.shape = Shape::area({{-w, -h}, {w, -h}, {w, h}, {-w, h}});
      break;
  }
  if (auto* b = std::get_if<BarrierAttrs>(&sample.attrs)) b->gaps = {{w, 0.5 * w}};
  page.painter().save();
  page.painter().setClipRect(
      dots.adjusted(-page.dots(0.5), -page.dots(0.5), page.dots(0.5), page.dots(0.5)));
  drawFeature(page.painter(), t, sample, {false, true});
  page.painter().restore();
}

struct LegendEntry {
  QString words;
  Ref<Feature> like;  ///< nullptr: a mark of the results.
  LegendMark mark = LegendMark::words;
};

std::vector<LegendEntry> legendEntries(const HuntMapRequest& request, const MapFrame& map) {
  std::vector<LegendEntry> out;
  for (const KindInfo& k : all_kinds()) {
    std::vector<QString> done;
    for (const auto& f : request.document->of(k.kind)) {
      if (!bounds(f->shape).overlaps(map.ground)) continue;
      QString words = text(k.plural);
      if (const auto* cover = std::get_if<CoverAttrs>(&f->attrs))
        words = QStringLiteral("Cover, ") + text(word(cover->type));
      if (std::find(done.begin(), done.end(), words) != done.end()) continue;
      done.push_back(words);
      out.push_back({words, f});
    }
  }
  const auto add = [&](bool shown, LegendMark mark, const char* words) {
    if (shown) out.push_back({text(words), nullptr, mark});
  };
  const size_t trade = static_cast<size_t>(request.layout.trade);
  const auto any = [&](const auto& has) {
    return std::any_of(request.results->stands.begin(), request.results->stands.end(),
                       [&](const StandResult& s) { return isChosen(request, s.stand) && has(s); });
  };
  add(any([&](const StandResult& s) { return s.way_in[trade] != nullptr; }), LegendMark::way_in,
      "Way in, by exposure; gate left");
  add(any([&](const StandResult& s) { return s.way_out[trade] != nullptr; }), LegendMark::way_out,
      "Way out; gate reached");
  add(any([](const StandResult& s) { return !s.rings.empty(); }), LegendMark::ring,
      "Ring (dotted: hidden)");
  add(showsScent(request) != nullptr, LegendMark::scent, "Scent, faint to strong");
  add(request.results->air_map != nullptr, LegendMark::wind, "Wind at 2 m");
  add(showsMargins(request) && any([](const StandResult& s) { return !s.margin.passed; }),
      LegendMark::margin, "Room for the wind");
  add(showsMargins(request) && any([](const StandResult& s) { return s.margin.passed; }),
      LegendMark::margin_passed, "Scent limit is passed");
  std::vector<const StandResult*> stands;
  for (const StandResult& s : request.results->stands)
    if (isChosen(request, s.stand)) stands.push_back(&s);
  for (const LegendRow& row : fireRows(stands)) out.push_back({row.words, nullptr, row.mark});
  LegendAsk checks;
  askOfChecks(*request.results, true, true, checks);
  add(checks.camera_view, LegendMark::camera_view, "Camera view; dots: hidden");
  add(checks.scrape_line, LegendMark::scrape_line, "Line of scrapes");
  add(checks.mend, LegendMark::mend, "Scrape or camera to mend");
  return out;
}

/// How the rows of a legend stand in a column.
struct LegendGrid {
  int columns = 1, rows = 1;
  double row_mm = 3.8, size_pt = kSmall_pt;
  double k = 1;  ///< Of the samples' size.
};

/// As few columns and as large a type as hold all of them; else the closest there is.
LegendGrid gridFor(const Column& c, int count) {
  const double type = c.page.typeScale();
  const bool large = type > 1;  // long rows before small ones
  LegendGrid g;
  for (const double size : {1.0, 0.9, 0.8}) {
    for (int columns = c.width > 60 && !large ? 2 : 1; c.width / columns >= 32 * type * size;
         ++columns) {
      const int want = (count + columns - 1) / columns;
      const double least = 3.1 * type * size;
      g.columns = columns;
      g.k = type * size;
      g.size_pt = kSmall_pt * size;
      g.row_mm = std::clamp(c.room() / std::max(1, want), least, 3.8 * type * size);
      g.rows = std::clamp(static_cast<int>(c.room() / g.row_mm + 1e-6), 1, std::max(1, want));
      if (g.rows >= want) return g;
    }
  }
  return g;
}

}  // namespace

void drawLegendBlock(Column& c, const HuntMapRequest& request, const MapFrame& map) {
  const auto entries = legendEntries(request, map);
  const int count = static_cast<int>(entries.size());
  c.heading(QStringLiteral("Legend"));
  const LegendGrid g = gridFor(c, count);
  const int shown = std::min(count, g.rows * g.columns);
  const double w = c.width / g.columns;
  for (int i = 0; i < shown; ++i) {
    const LegendEntry& e = entries[static_cast<size_t>(i)];
    const double x = c.x + w * (i / g.rows), y = c.y + g.row_mm * (i % g.rows);
    if (i == shown - 1 && shown < count) {
      c.page.line(x, y, w, QStringLiteral("and %1 more kinds: no room").arg(count - i), g.size_pt,
                  softColour());
      break;
    }
    const QRectF cell(x, y + 0.25, 7.5 * g.k, g.row_mm - 0.5);
    if (e.like) {
      legendSample(c.page, *e.like, cell);
    } else {
      drawLegendMark(c.page.painter(), e.mark, c.page.rect(cell), c.page.per_px() * g.k);
    }
    const double room = w - 8.6 * g.k - 1.2, size = c.page.fittingPt(e.words, g.size_pt, room);
    c.page.line(x + 8.6 * g.k, y + (g.row_mm - c.page.lineHeightMm(size)) / 2, room, e.words, size,
                inkColour());
  }
  c.y += g.rows * g.row_mm + 1;
}

}  // namespace leeward::ui
