#include "ui/print/stand_card.h"

#include "core/eval/explain.h"
#include "core/eval/explain_safety.h"
#include "ui/print/column.h"
#include "ui/print/emergency_box.h"
#include "ui/print/panorama.h"
#include "ui/print/way_times.h"
#include "ui/print/way_words.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QPainterPath>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kInset_mm = 4;
constexpr double kRose_mm = 26;
constexpr double kView_mm = 25;

// What the parts of a card need.
struct Card {
  Page& page;
  const HuntMapRequest& request;
  const Document& document;
  const Results& results;
  const StandWinds* winds;
  const StandResult& stand;
  const Feature& feature;
  const Frame& frame;
  Norths norths;
  UnitSystem units;
};

QString nameOf(const Document& d, const Uid& uid) {
  const Ref<Feature> f = d.find(uid);
  return f ? text(display_name(*f)) : QString();
}

void cardHead(const Card& card, Column& c) {
  const auto& a = card.feature.as<StandAttrs>();
  const std::string& zone = card.document.settings->time_zone;
  c.page.line(c.x, c.y, c.width, text(display_name(card.feature)), 12, inkColour(), true);
  c.y += c.page.lineHeightMm(12);
  QString words = QStringLiteral("%1, platform %2, faces %3 %4")
                      .arg(text(word(a.type)), text(height_text(a.platform_m, card.units)),
                           bearingWords(card.norths.compassDeg(Bearing::degrees(a.facing_deg))),
                           text(card.norths.kindWord()));
  if (!a.sitter.empty()) words += QStringLiteral(" · taken by ") + text(a.sitter);
  c.textBlock(words, kSmall_pt, softColour());
  c.textBlock(placeWords(card.frame, card.feature.shape.position()), kSmall_pt, inkColour(), true);
  const AirNow& air = card.results.air;
  c.textBlock(QStringLiteral("%1, %2–%3 · %4")
                  .arg(text(date_text(card.results.scene.arrive, zone)),
                       text(clock_text(card.results.scene.arrive, zone)),
                       text(clock_text(card.results.scene.leave, zone)),
                       air.known ? QStringLiteral("wind %1 %2")
                                       .arg(text(compass_text(air.from_true_deg)),
                                            text(speed_text(air.speed_10m_mps, card.units)))
                                 : QStringLiteral("wind unknown")),
              kSmall_pt);
}

void cardWay(const Card& card, Column& c) {
  const size_t trade = static_cast<size_t>(card.request.layout.trade);
  const Way* way = card.stand.way_in[trade].get();
  if (!way) {
    c.heading(QStringLiteral("Way in"));
    c.textBlock(card.stand.no_way.empty() ? QStringLiteral("No way in was found.")
                                          : text(card.stand.no_way));
    return;
  }
  const std::string& zone = card.document.settings->time_zone;
  c.heading(QStringLiteral("From %1 at %2: %3, %4")
                .arg(nameOf(card.document, way->gate),
                     text(clock_text(setsOut(card.results.scene, *way), zone)),
                     text(minutes_text(way->time_s)),
                     text(distance_text(way->length_m, card.units))));
  const auto turns = turnsOf(card.document, *way, card.norths);
  const double notes_mm = 3 * c.page.lineHeightMm(kSmall_pt) + 2;
  c.bottom -= notes_mm;
  for (size_t i = 0; i < turns.size(); ++i) {
    const QString lead = QStringLiteral("%1  ").arg(i + 1) + turnWords(turns[i], card.units);
    const QString words =
        turns[i].landmarks.isEmpty() ? lead : lead + QStringLiteral(": ") + turns[i].landmarks;
    const double last = i + 1 < turns.size() ? c.page.lineHeightMm(kBody_pt) : 0;
    if (c.page.paragraphHeightMm(c.width, words, kBody_pt) + last > c.room()) {
      c.textBlock(QStringLiteral("%1 more turns: see the map.").arg(turns.size() - i));
      break;
    }
    c.textBlock(words);
  }
  c.bottom += notes_mm;
  c.textBlock(QStringLiteral("Bearings are %1; a step is %2 m.")
                  .arg(text(card.norths.kindWord()))
                  .arg(card.document.settings->pace_m, 0, 'f', 2),
              kSmall_pt, softColour());
  if (const Way* out = card.stand.way_out[trade].get())
    c.textBlock(
        QStringLiteral("Out at %1 by %2: %3, %4; there at %5.")
            .arg(text(clock_text(card.results.scene.leave, zone)), nameOf(card.document, out->gate),
                 text(minutes_text(out->time_s)), text(distance_text(out->length_m, card.units)),
                 text(clock_text(isBack(card.results.scene, *out), zone))),
        kSmall_pt);
}

void cardFallbacks(const Card& card, Column& c) {
  c.heading(QStringLiteral("If the wind turns"));
  if (!card.winds || !card.winds->known) {
    c.textBlock(QStringLiteral("The hour's wind is unknown or calm: no direction is judged."));
    return;
  }
  if (card.stand.margin.passed) {
    c.textBlock(QStringLiteral("The scent limit is passed at this hour already: ") +
                    nameOf(card.document, card.stand.margin.veer_area) + QStringLiteral("."),
                kBody_pt, inkColour(), true);
    return;
  }
  const auto turns = fallbacks(card.document, card.results, *card.winds, card.stand);
  const double true_to_compass = -card.norths.declination_deg.value_or(0);
  for (const Fallback& f : turns) {
    c.textBlock(
        QStringLiteral("%1 past %2 %3 (%4): %5")
            .arg(f.veering ? QStringLiteral("Clockwise") : QStringLiteral("Anticlockwise"),
                 bearingWords(f.past_true_deg + true_to_compass), text(card.norths.kindWord()),
                 text(compass_point(f.past_true_deg)),
                 f.stand.empty() ? QStringLiteral("leave; no other stand stays fair.")
                                 : QStringLiteral("go to %1.").arg(nameOf(card.document, f.stand))),
        kBody_pt, inkColour(), true);
  }
  if (turns.size() < 2)
    c.textBlock(turns.empty() ? QStringLiteral("It may swing 90° or more to either side.")
                              : QStringLiteral("To the other side it may swing 90° or more."));
}

// Sixteen sectors: full ink is fair, a ring of dots an edge, empty foul; a dart shows the hour.
void drawRose(const Card& card, Page& page, const QRectF& box_mm) {
  QPainter& p = page.painter();
  const QRectF box = page.rect(box_mm);
  const StandRose* rose = card.winds ? card.winds->find(card.stand.stand) : nullptr;
  if (!rose) return;
  const QPointF at = box.center();
  const double r = 0.40 * std::min(box.width(), box.height());
  const QColor ink = inkColour();
  for (int i = 0; i < kRoseSectors; ++i) {
    const double from_deg = (i - 0.5) * kSectorWidth_deg + 1.2;
    const auto slice = [&](double inner, double outer) {
      QPainterPath path;
      const QRectF far(at.x() - outer, at.y() - outer, 2 * outer, 2 * outer),
          near(at.x() - inner, at.y() - inner, 2 * inner, 2 * inner);
      const double span = kSectorWidth_deg - 2.4;
      path.arcMoveTo(far, 90 - from_deg);
      path.arcTo(far, 90 - from_deg, -span);
      path.arcTo(near, 90 - from_deg - span, span);
      path.closeSubpath();
      return path;
    };
    p.setPen(QPen(ink, page.dots(0.2)));
    p.setBrush(Qt::NoBrush);
    const WindSuit suit = rose->suits[static_cast<size_t>(i)];
    if (suit == WindSuit::fair) p.fillPath(slice(0.35 * r, r), ink);
    if (suit == WindSuit::edge) p.fillPath(slice(0.68 * r, r), ink);
    p.drawPath(slice(0.35 * r, r));
  }
  const double rad = card.results.air.from_true_deg * kRadPerDeg;
  const QPointF out(std::sin(rad), -std::cos(rad)), side(-out.y(), out.x());
  p.setBrush(ink);
  const double head = page.dots(2.2);
  p.drawPolygon(
      QPolygonF{{at + out * (r + 0.3 * head), at + out * (r + 1.5 * head) + side * (0.6 * head),
                 at + out * (r + 1.5 * head) - side * (0.6 * head)}});
  static constexpr const char* kNames[] = {"N", "E", "S", "W"};
  for (int k = 0; k < 4; ++k) {
    const double deg = 90.0 * k * kRadPerDeg, reach = 0.17 * r;
    const QPointF word_at = at + QPointF(std::sin(deg), -std::cos(deg)) * reach;
    page.line(word_at.x() / page.dots(1) - 3,
              word_at.y() / page.dots(1) - page.lineHeightMm(4.6) / 2, 6, text(kNames[k]), 4.6, ink,
              true, Qt::AlignHCenter);
  }
}

void cardRose(const Card& card, Column& c) {
  if (!card.winds || !card.winds->known) return;
  const double size = std::min(kRose_mm * std::sqrt(c.page.typeScale()), c.width);
  drawRose(card, c.page, {c.x + (c.width - size) / 2, c.y, size, size});
  c.y += size;
  c.textBlock(QStringLiteral("Winds from, true, at %1: full fair, half at its edge, empty foul; "
                             "dart: this hour.")
                  .arg(text(speed_text(card.winds->speed_mps, card.units))),
              5.8, softColour());
}

// `more_mm`: room that nothing else takes.
void cardRanges(const Card& card, Column& c, const Terrain& terrain, double more_mm) {
  c.heading(QStringLiteral("Ranges, all round"));
  const Panorama view = panoramaOf(card.document, terrain, card.stand);
  const double height = kView_mm * std::sqrt(c.page.typeScale()) +
                        std::clamp(more_mm, 0.0, kView_mm * c.page.typeScale());
  drawPanorama(c.page, {c.x, c.y, c.width, height}, view, card.norths, card.units);
  c.y += height + 0.8;
  const double step = c.page.lineHeightMm(kSmall_pt);
  const size_t rows = (view.marks.size() + 1) / 2;
  for (size_t i = 0; i < view.marks.size(); ++i) {
    const auto& m = view.marks[i];
    const double x = c.x + (i < rows ? 0 : c.width / 2),
                 y = c.y + step * static_cast<double>(i % rows);
    c.page.line(x, y, c.width / 2 - 1,
                QStringLiteral("%1  %2 %3, %4")
                    .arg(i + 1)
                    .arg(m.name, text(distance_text(m.range_m, card.units)),
                         bearingWords(card.norths.compassDeg(m.toward))),
                kSmall_pt, inkColour());
  }
  c.y += step * static_cast<double>(rows) + 0.6;
  if (view.marks.empty())
    c.textBlock(QStringLiteral("Nothing named lies in reach."), kSmall_pt, softColour());
  if (!view.ground_known)
    c.textBlock(QStringLiteral("No elevation here: the horizon is drawn level."), kSmall_pt,
                softColour());
}

void cardCautions(const Card& card, Column& c) {
  c.heading(QStringLiteral("Before you climb"));
  c.textBlock(text(cautions()[0]), kBody_pt, inkColour(), true);
  c.textBlock(text(cautions()[1]) + QLatin1Char(' ') + text(cautions()[2]), kSmall_pt);
  QStringList fire;
  for (const WeaponFire& f : card.stand.fire)
    if (!f.entered()) {
      const Ref<Weapon> w = card.document.find_weapon(f.weapon);
      fire << (w ? text(w->name) + QStringLiteral(": ") : QString()) + text(fire_gap_text(f));
    }
  fire << QStringLiteral("Directions of fire are taken away, never cleared: ") +
              text(cautions()[3]);
  c.textBlock(fire.join(QLatin1Char(' ')), kSmall_pt);
}

// How high a block would be.
template <class Draw>
double heightOf(const Card& card, double width_mm, const Draw& draw) {
  return measured(card.page, [&](Page& unseen) {
    Column c{unseen, 0, 0, width_mm, 1e4};
    draw(c);
    return c.y;
  });
}

}  // namespace

SheetPage rangeCardPage(const HuntMapRequest& request, const StandResult& stand, PagesInfo& info) {
  info.title = nameOf(*request.document, stand.stand);
  info.page_mm = {130, 78};
  SheetPage out;
  out.draw = [request, stand, info](Page& page) -> Status {
    auto frame = Frame::make(request.document->settings->crs);
    const Ref<Feature> f = request.document->find(stand.stand);
    if (!frame) return std::move(frame.error());
    if (!f) return fail(ErrorCode::not_found, "the stand is not there any more");
    const Card card{page,
                    request,
                    *request.document,
                    *request.results,
                    nullptr,
                    stand,
                    *f,
                    *frame,
                    northsAt(*frame, f->shape.position(), request.results->scene.arrive),
                    request.document->settings->units};
    Column c{page, kInset_mm, kInset_mm, info.page_mm.width() - 2 * kInset_mm,
             info.page_mm.height() - kInset_mm};
    page.line(c.x, c.y, c.width, info.title, 12, inkColour(), true);
    c.y += page.lineHeightMm(12);
    cardRanges(card, c, *request.terrain, 8);
    page.line(c.x, c.y, c.width,
              QStringLiteral("Bearings are %1.").arg(text(card.norths.kindWord())), kSmall_pt,
              softColour());
    return ok();
  };
  return out;
}

std::vector<QRectF> cardPlaces(QSizeF page_mm, bool large_type) {
  const double w = page_mm.width(), h = page_mm.height();
  if (large_type) {
    if (h >= w) return {{0, 0, w, h / 2}, {0, h / 2, w, h / 2}};
    return {{0, 0, w / 2, h}, {w / 2, 0, w / 2, h}};
  }
  return {{0, 0, w / 2, h / 2},
          {w / 2, 0, w / 2, h / 2},
          {0, h / 2, w / 2, h / 2},
          {w / 2, h / 2, w / 2, h / 2}};
}

void drawStandCard(Page& page, const QRectF& box_mm, const HuntMapRequest& request,
                   const StandWinds* winds, const StandResult& stand, const Frame& frame) {
  const Document& d = *request.document;
  const Ref<Feature> f = d.find(stand.stand);
  if (!f) return;
  const Card card{page,
                  request,
                  d,
                  *request.results,
                  winds,
                  stand,
                  *f,
                  frame,
                  northsAt(frame, f->shape.position(), request.results->scene.arrive),
                  d.settings->units};
  const QRectF in = box_mm.adjusted(kInset_mm, kInset_mm, -kInset_mm, -kInset_mm);
  page.painter().setBrush(Qt::NoBrush);
  page.painter().setPen(QPen(softColour(), page.dots(0.15), Qt::DashLine));
  page.painter().drawRect(page.rect(box_mm));  // where to cut
  const bool wide = in.width() > 150;          // the way and the winds beside the ranges
  const double gap = 6, width = wide ? (in.width() - gap) / 2 : in.width();
  const auto lower = [&](Column& c, double more_mm) {
    cardRanges(card, c, *request.terrain, more_mm);
    cardCautions(card, c);
  };
  const auto middle = [&](Column& c) { cardFallbacks(card, c); };
  const double lower_mm = heightOf(card, width, [&](Column&c) { lower(c, 0); }),
               middle_mm = heightOf(card, width, middle);
  Column c{page, in.x(), in.y(), width, in.bottom()};
  cardHead(card, c);
  if (wide) {
    Column right{page, in.x() + width + gap, in.y(), width, in.bottom()};
    cardRose(card, right);
    lower(right, in.bottom() - lower_mm - right.y);
    c.bottom = in.bottom() - middle_mm;
    cardWay(card, c);
    c.bottom = in.bottom();
    c.y = std::max(c.y, in.bottom() - middle_mm);
    middle(c);
    return;
  }
  const double rose = winds && winds->known ? 0.30 * c.width : 0;
  Column side{page, c.x + c.width - rose, c.y + 1, rose, in.bottom()};
  cardRose(card, side);
  Column way{page, c.x, c.y, c.width - rose - (rose > 0 ? 3 : 0),
             in.bottom() - lower_mm - middle_mm};
  cardWay(card, way);
  c.y = std::max(way.y, side.y) + 0.4;
  middle(c);
  lower(c, in.bottom() - lower_mm - c.y);
}

}  // namespace leeward::ui
