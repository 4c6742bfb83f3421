#include "ui/print/side_blocks.h"

#include "core/eval/explain.h"
#include "core/eval/explain_safety.h"
#include "ui/print/column.h"
#include "ui/print/emergency_box.h"
#include "ui/print/grid_lines.h"
#include "ui/print/legend_block.h"
#include "ui/print/norths.h"
#include "ui/print/way_times.h"
#include "ui/render/barb.h"
#include "ui/render/doubt.h"
#include "ui/render/furniture.h"
#include "ui/render/margin_arc.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace leeward::ui {
namespace {

QString lightLine(const HuntMapRequest& request) {
  const SunDay& sun = request.results->sun_day;
  const std::string& zone = request.document->settings->time_zone;
  if (!sun.rise || !sun.set) return QStringLiteral("The sun does not rise and set on this day.");
  QString words = QStringLiteral("Sunrise %1, sunset %2")
                      .arg(text(clock_text(*sun.rise, zone)), text(clock_text(*sun.set, zone)));
  if (sun.legal_start && sun.legal_end) {
    words +=
        QStringLiteral("; shooting hours as entered %1–%2")
            .arg(text(clock_text(*sun.legal_start, zone)), text(clock_text(*sun.legal_end, zone)));
  } else {
    words += QStringLiteral("; shooting hours not entered");
  }
  return words + QStringLiteral(". Check local law.");
}

/// Where the local wind is of low confidence, in one line; empty: nowhere.
QString doubtWords(const Results& r) {
  if (!r.air_map) return {};
  const DoubtPicture doubt = doubtPicture(r.air_map->doubt);
  QStringList all, some;
  for (int i = 0; i < kDoubtCauses; ++i) {
    const DoubtLook& look = doubtLooks()[static_cast<size_t>(i)];
    if (doubt.everywhere(i)) all << text(look.words);
    if (doubt.hatched(i)) some << text(look.words);
  }
  QString words;
  if (!all.isEmpty())
    words = QStringLiteral("Wind in doubt all over: %1. ").arg(all.join(QStringLiteral("; ")));
  if (!some.isEmpty())
    words += QStringLiteral("Wind in doubt in places: %1.").arg(some.join(QStringLiteral("; ")));
  return words.trimmed();
}

void hourAndWind(Column& c, const HuntMapRequest& request) {
  const Results& r = *request.results;
  const Settings& s = *request.document->settings;
  c.heading(QStringLiteral("This map holds for"));
  const double barb = 13;
  QPainter& p = c.page.painter();
  const auto speed = r.air.known ? std::optional<double>(r.air.speed_10m_mps) : std::nullopt;
  const auto from =
      r.air.known ? std::optional<double>(r.air.from.source().degrees() - request.layout.turned_deg)
                  : std::nullopt;
  drawBarb(p, c.page.at(c.x + c.width - barb / 2, c.y + barb / 2), from, speed, c.page.dots(6),
           c.page.dots(0.3), inkColour());
  Column narrow = c;
  narrow.width -= barb + 1;
  const double top = c.y;
  narrow.textBlock(text(date_text(r.scene.arrive, s.time_zone)) +
                       QStringLiteral(", arriving %1, leaving %2")
                           .arg(text(clock_text(r.scene.arrive, s.time_zone)),
                                text(clock_text(r.scene.leave, s.time_zone))),
                   kBody_pt, inkColour(), true);
  narrow.textBlock(text(explain_air(r.air, s.units)));
  if (r.air_leave.known) {
    narrow.textBlock(QStringLiteral("Leaving: wind %1 %2.")
                         .arg(text(compass_text(r.air_leave.from_true_deg)),
                              text(speed_text(r.air_leave.speed_10m_mps, s.units))),
                     kSmall_pt, softColour());
  }
  c.y = std::max(narrow.y, top + barb);
  if (const QString words = doubtWords(r); !words.isEmpty())
    c.textBlock(words, kSmall_pt, softColour());
  c.textBlock(lightLine(request), kSmall_pt, softColour());
  c.gap(1);
}

QString scentWords(const Document& d, const StandResult& s) {
  for (const ScentOn& on : s.scent_on) {
    if (on.exposure * on.occupancy < 0.002) break;
    const Ref<Feature> f = d.find(on.area);
    const char* strength = on.exposure > 0.3    ? "strong on "
                           : on.exposure > 0.05 ? "clear on "
                                                : "faint on ";
    return text(strength) + (f ? text(display_name(*f)) : QString());
  }
  return QStringLiteral("off all deer areas");
}

/// How far the wind may swing to the left and to the right, looking into it.
QString swingWords(const HuntMapRequest& request, const StandResult& s) {
  if (!windIsDirected(*request.results)) return QStringLiteral("calm");
  if (s.margin.passed) return QStringLiteral("none");
  const auto side = [](double deg) {
    return QStringLiteral("%1°%2")
        .arg(std::lround(deg))
        .arg(deg >= SwingMargin::kMost_deg ? QStringLiteral("+") : QString());
  };
  return side(s.margin.back_deg) + QStringLiteral(" / ") + side(s.margin.veer_deg);
}

QString wayWords(const HuntMapRequest& request, const Way* way) {
  if (!way) return QStringLiteral("no way found");
  const Document& d = *request.document;
  const Ref<Feature> gate = d.find(way->gate);
  return QStringLiteral("%1 %2, %3, %4, %5 %")
      .arg(gate ? text(display_name(*gate)) : QString(),
           text(clock_text(setsOut(request.results->scene, *way), d.settings->time_zone)),
           text(minutes_text(way->time_s)), text(distance_text(way->length_m, d.settings->units)))
      .arg(way->unnoticed > 0.975   ? QStringLiteral("over 95")
           : way->unnoticed < 0.025 ? QStringLiteral("under 5")
                                    : QString::number(5 * std::lround(way->unnoticed * 20)));
}

QString backWords(const HuntMapRequest& request, const Way* out) {
  if (!out) return QStringLiteral("–");
  return text(
      clock_text(isBack(request.results->scene, *out), request.document->settings->time_zone));
}

QString reachWords(const Document& d, const StandResult& s, UnitSystem units) {
  QStringList parts;
  for (const InReach& r : s.in_reach) {
    if (r.kind == Kind::shooting_lane || r.kind == Kind::camera) continue;
    const Ref<Feature> f = d.find(r.feature);
    if (f)
      parts << text(display_name(*f)) + QStringLiteral(" ") +
                   text(distance_text(r.nearest_m, units)) +
                   (r.seen < 0.2 ? QStringLiteral(" (hidden)") : QString());
    if (parts.size() == 3) break;
  }
  return parts.isEmpty() ? QStringLiteral("nothing in reach") : parts.join(QStringLiteral("; "));
}

void standTable(Column& c, const HuntMapRequest& request) {
  const Document& d = *request.document;
  const UnitSystem units = d.settings->units;
  const size_t trade = static_cast<size_t>(request.layout.trade);
  const double step = c.page.lineHeightMm(kSmall_pt) + 0.3;
  const bool wide = c.width > kWideTable_mm * c.page.typeScale();
  const double name_w = wide ? 0.17 * c.width : 0.32 * c.width;
  std::vector<const StandResult*> rows;
  for (const StandResult& s : request.results->stands)
    if (isChosen(request, s.stand)) rows.push_back(&s);
  if (rows.empty()) return;
  c.heading(
      wide ? QStringLiteral(
                 "Stands: gate left at, walk, chance of going unnoticed; back at; scent; room for "
                 "the wind left / right; in reach")
           : QStringLiteral("Stands at this hour"));
  for (size_t i = 0; i < rows.size(); ++i) {
    const StandResult& s = *rows[i];
    const double need = wide ? step : 2 * step;
    if (c.room() < need + (i + 1 < rows.size() ? step : 0)) {
      c.page.line(c.x, c.y, c.width,
                  QStringLiteral("and %1 more stands: see their cards").arg(rows.size() - i),
                  kSmall_pt, softColour());
      c.y += step;
      return;
    }
    const Ref<Feature> f = d.find(s.stand);
    const QString name = f ? text(display_name(*f)) : QString();
    const QString way = wayWords(request, s.way_in[trade].get()),
                  scent = QStringLiteral("scent ") + scentWords(d, s),
                  back = backWords(request, s.way_out[trade].get()), swing = swingWords(request, s),
                  reach = reachWords(d, s, units);
    c.page.line(c.x, c.y, name_w - 1, name, kSmall_pt, inkColour(), true);
    if (wide) {
      double x = c.x + name_w;
      for (const auto& [words, share] :
           {std::pair(way, 0.27), {back, 0.07}, {scent, 0.17}, {swing, 0.09}, {reach, 0.23}}) {
        c.page.line(x, c.y, share * c.width - 1, words, kSmall_pt, inkColour());
        x += share * c.width;
      }
      c.y += step;
    } else {
      c.page.line(c.x + 0.32 * c.width, c.y, 0.68 * c.width, way, kSmall_pt, inkColour());
      c.y += step;
      c.page.line(c.x + 2, c.y, c.width - 2,
                  QStringLiteral("back %1; ").arg(back) + scent + QStringLiteral("; swing ") +
                      swing + QStringLiteral("; ") + reach,
                  kSmall_pt, softColour());
      c.y += step;
    }
  }
  c.gap(1);
}

Norths northsOf(const HuntMapRequest& request, const MapFrame& map, const Frame& frame) {
  return northsAt(frame, map.ground.centre(), request.results->scene.arrive,
                  request.layout.turned_deg);
}

void gridWords(Column& c, const HuntMapRequest& request, const MapFrame& map, const Frame& frame) {
  c.heading(QStringLiteral("Grid and north"));
  c.textBlock(gridNote(frame, map.ground, gridSpacingM(map.denominator)) + QStringLiteral(". ") +
                  (map.contour_interval > 0 ? QStringLiteral("Contours every %1 %2, smoothed. ")
                                                  .arg(map.contour_interval)
                                                  .arg(text(map.contour_unit))
                                            : QString()) +
                  northWords(northsOf(request, map, frame), request.document->settings->time_zone),
              kSmall_pt, softColour());
  c.gap(1);
}

void cautionList(Column& c, const HuntMapRequest& request, const MapFrame& map) {
  c.heading(QStringLiteral("Take care"));
  for (const std::string& words : fire_cautions(*request.document, *request.results))
    c.textBlock(text(words), kBody_pt, inkColour(), true);
  for (const std::string& words : cautions())
    c.textBlock(QStringLiteral("• ") + text(words), kSmall_pt);
  if (!map.aerial)
    c.textBlock(QStringLiteral("No aerial picture under this map."), kSmall_pt, softColour());
  // Whole notes only; what has no room is counted, not cut off.
  const double line = c.page.lineHeightMm(kSmall_pt) + 0.5;
  const auto& notes = request.results->notes;
  for (size_t n = 0; n < notes.size(); ++n) {
    const double need = c.page.paragraphHeightMm(c.width, text(notes[n]), kSmall_pt, false);
    if (need + (n + 1 < notes.size() ? line : 0) > c.room()) {
      c.textBlock(QStringLiteral("%1 more in the window.").arg(notes.size() - n), kSmall_pt,
                  softColour());
      return;
    }
    c.textBlock(text(notes[n]), kSmall_pt, softColour());
  }
}

}  // namespace

// Scale bars and the north mark on a pale ground in the map's lower left corner.
void drawMapCorner(Page& page, const HuntMapRequest& request, const MapFrame& map,
                   const Frame& frame) {
  const MapTransform& t = map.transform;
  const QRectF mm(t.viewport().left() / page.dots(1), t.viewport().top() / page.dots(1),
                  t.viewport().width() / page.dots(1), t.viewport().height() / page.dots(1));
  const double k = page.typeScale();
  const QRectF box = scaleCorner(mm.bottomLeft(), k);
  QColor ground = QColor::fromRgb(chrome::kSheet);
  ground.setAlpha(235);
  page.painter().fillRect(page.rect(box), ground);
  page.line(box.x() + 2, box.y() + 0.8, 40 * k,
            QStringLiteral("Scale 1 : %L1").arg(map.denominator, 0, 'f', 0), kHead_pt, inkColour(),
            true);
  const double max_px = (box.width() / k - 25) / 25.4 * 96;
  drawScaleBar(page.painter(), t, page.at(box.x() + 2, box.y() + 12.5 * k), UnitSystem::us, max_px);
  drawScaleBar(page.painter(), t, page.at(box.x() + 2, box.y() + 21.5 * k), UnitSystem::metric,
               max_px);
  const Norths n = northsOf(request, map, frame);
  const double grid_deg = -n.page_up_deg, true_deg = grid_deg - n.convergence_deg;
  std::optional<double> magnetic_deg;
  if (n.declination_deg) magnetic_deg = true_deg + *n.declination_deg;
  drawThreeNorths(page.painter(), page.at(box.right() - 8 * k, box.y() + 18 * k),
                  0.9 * page.per_px(), grid_deg, true_deg, magnetic_deg);
}

void drawTitle(Page& page, const HuntMapRequest& request, const PageGeometry& g) {
  const Settings& s = *request.document->settings;
  const QRectF& box = g.title;
  const QString name =
      request.sheet.isEmpty() ? text(s.name) : text(s.name) + QStringLiteral(" · ") + request.sheet;
  const double half = box.width() * 0.5, right = box.x() + half;
  page.line(box.x(), box.y(), half - 2, name, page.fittingPt(name, 17, half - 2, true), inkColour(),
            true);
  const Results& r = *request.results;
  const QString what = QStringLiteral("Hunt map · ") + text(date_text(r.scene.arrive, s.time_zone));
  page.line(right, box.y() + 0.6, half, what, page.fittingPt(what, 10, half, true), inkColour(),
            true, Qt::AlignRight);
  const QString wind = r.air.known ? QStringLiteral("%1–%2, wind %3 %4")
                                         .arg(text(clock_text(r.scene.arrive, s.time_zone)),
                                              text(clock_text(r.scene.leave, s.time_zone)),
                                              text(compass_text(r.air.from_true_deg)),
                                              text(speed_text(r.air.speed_10m_mps, s.units)))
                                   : QStringLiteral("wind unknown");
  page.line(right, box.y() + 5.8, half, wind, page.fittingPt(wind, 9, half), softColour(), false,
            Qt::AlignRight);
  page.rule(box.x(), box.bottom() - 2, box.right());
}

void drawSide(Page& page, const HuntMapRequest& request, const PageGeometry& g, const MapFrame& map,
              const Frame& frame) {
  QRectF s = g.side;
  const double need = emergencyHeightMm(page, request, frame, s.width());
  // On the smallest pages the emergency plan goes before the table.
  const double table_end =
      hasCareApart(g) ? std::min(g.table.bottom(), s.bottom() - need - 1) : g.table.bottom();
  Column stands{page, g.table.x(), g.table.y(), g.table.width(), table_end};
  standTable(stands, request);
  if (g.landscape && !g.notes_apart) {
    drawEmergencyBox(page, {s.x(), s.y(), s.width(), need}, request, frame);
    Column c{page, s.x(), s.y() + need + 1.5, s.width(), s.bottom()};
    hourAndWind(c, request);
    gridWords(c, request, map, frame);
    const double for_cautions = measured(page, [&](Page& unseen) {
      Column below{unseen, 0, 0, s.width(), 1e4};
      cautionList(below, request, map);
      return below.y;
    });
    c.bottom -= for_cautions;
    drawLegendBlock(c, request, map);
    c.bottom += for_cautions;
    cautionList(c, request, map);
    return;
  }
  s.setTop(std::max(s.top(), table_end + 0.5));
  drawEmergencyBox(page, {s.x(), s.y(), s.width(), need}, request, frame);
  if (hasCareApart(g)) {
    Column below{page, s.x(), s.y() + need + 2, s.width(), s.bottom()};
    hourAndWind(below, request);
    return;
  }
  const double y = s.y() + need + 2, legend_width = 0.40 * s.width(),
               third = (s.width() - legend_width - 8) / 2;
  Column a{page, s.x(), y, third, s.bottom()};
  hourAndWind(a, request);
  gridWords(a, request, map, frame);
  Column b{page, s.x() + third + 4, y, legend_width, s.bottom()};
  drawLegendBlock(b, request, map);
  Column c{page, s.x() + third + legend_width + 8, y, third, s.bottom()};
  cautionList(c, request, map);
}

bool hasCareApart(const PageGeometry& g) {
  return g.notes_apart && (g.side.width() < kThreeColumns_mm || g.side.height() < kHighNotes_mm);
}

void drawLegendPage(Page& page, const HuntMapRequest& request, const PageGeometry& g,
                    const MapFrame& map) {
  Column c{page, g.side.x(), g.side.y(), g.side.width(), g.side.bottom()};
  drawLegendBlock(c, request, map);
}

void drawCare(Page& page, const HuntMapRequest& request, const PageGeometry& g, const MapFrame& map,
              const Frame& frame) {
  Column c{page, g.side.x(), g.side.y(), g.side.width(), g.side.bottom()};
  cautionList(c, request, map);
  gridWords(c, request, map, frame);
}

}  // namespace leeward::ui
