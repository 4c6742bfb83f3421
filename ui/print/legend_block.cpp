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
      "Way in, by exposure");
  add(any([&](const StandResult& s) { return s.way_out[trade] != nullptr; }), LegendMark::way_out,
      "Way out");
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

}  // namespace

void drawLegendBlock(Column& c, const HuntMapRequest& request, const MapFrame& map) {
  const auto entries = legendEntries(request, map);
  c.heading(QStringLiteral("Legend"));
  const int columns = c.width > 60 ? 2 : 1;
  const int want = (static_cast<int>(entries.size()) + columns - 1) / columns;
  const double k = c.page.typeScale(),
               row = std::clamp(c.room() / std::max(1, want), 3.1 * k, 3.8 * k);
  const double w = c.width / columns;
  const int rows = std::max(1, std::min(static_cast<int>(c.room() / row + 1e-6), want));
  for (size_t i = 0; i < entries.size() && static_cast<int>(i) < rows * columns; ++i) {
    const double x = c.x + w * (static_cast<int>(i) / rows),
                 y = c.y + row * (static_cast<int>(i) % rows);
    const QRectF cell(x, y + 0.3, 7.5 * k, row - 0.6);
    if (entries[i].like) {
      legendSample(c.page, *entries[i].like, cell);
    } else {
      drawLegendMark(c.page.painter(), entries[i].mark, c.page.rect(cell), c.page.per_px());
    }
    c.page.line(x + 8.6 * k, y + (row - c.page.lineHeightMm(kSmall_pt)) / 2, w - 8.6 * k - 2.9,
                entries[i].words, kSmall_pt, inkColour());
  }
  c.y += rows * row + 1;
}

}  // namespace leeward::ui
