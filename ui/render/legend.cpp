#include "ui/render/legend.h"

#include "ui/render/air.h"
#include "ui/render/checks.h"
#include "ui/render/fire.h"
#include "ui/render/hatch.h"
#include "ui/render/margin_arc.h"
#include "ui/render/overlays.h"
#include "ui/render/symbols.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QObject>
#include <QPainter>
#include <QPainterPath>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kWidthPx = 240, kBarPx = 23, kRowPx = 18, kWordsPx = 32, kScentPx = 70, kPadPx = 8,
                 kMarkPx = 36;

double heightOf(const LegendRow& row) {
  return row.mark == LegendMark::scent   ? kScentPx
         : row.mark == LegendMark::words ? kWordsPx
                                         : kRowPx;
}

/// A small piece of ground where `make(column share)` gives the flow to the east.
AirMap sampleAir(const Box& box, bool slope) {
  GridSpec spec = GridSpec::covering(box.grown(20), 10);
  AirMap air;
  air.east = air.north = air.slope_east = air.slope_north = Raster<float>(spec, 0.0F);
  std::fill((slope ? air.slope_east : air.east).cells.begin(),
            (slope ? air.slope_east : air.east).cells.end(), slope ? 0.8F : 2.0F);
  return air;
}

void sampleRamp(QPainter& p, const Ramp& ramp, const QRectF& box) {
  const int n = std::max(2, static_cast<int>(box.width()));
  for (int i = 0; i < n; ++i) {
    QColor c = ramp.at(static_cast<double>(i) / (n - 1));
    c.setAlpha(255);
    p.fillRect(
        QRectF(box.left() + box.width() * i / n, box.top(), box.width() / n + 0.7, box.height()),
        c);
  }
}

void sampleWay(QPainter& p, const MapTransform& t, bool out) {
  const double w = t.viewport().width() / t.devicePerPx() * 0.45;
  Way way;
  for (int i = 0; i <= 20; ++i) {
    way.points.push_back({w * (i - 10) / 10.0, 0});
    way.hazard_per_min.push_back(static_cast<float>(0.001 * std::pow(100.0, out ? 0.5 : i / 20.0)));
  }
  drawWay(p, t, way, out);
}

void sampleRing(QPainter& p, const MapTransform& t) {
  const double w = t.viewport().width() / t.devicePerPx() * 0.45;
  StandResult s;
  Ring ring;
  ring.range_m = 60;
  for (int i = -20; i <= 20; ++i) {
    ring.points.push_back({w * i / 20.0, -1.0 + 0.004 * i * i});
    ring.seen.push_back(i < 4 ? 1.0F : 0.0F);
    ring.slant_m.push_back(60);
  }
  s.rings.push_back(ring);
  drawRingLines(p, t, s);
}

void sampleCheck(QPainter& p, const MapTransform& t, LegendMark mark) {
  const double w = t.viewport().width() / t.devicePerPx();
  if (mark == LegendMark::mend) {
    // The sign stands beside its symbol: put it in the middle of the box.
    drawMendSign(p,
                 t.viewport().center() + QPointF(-0.85, 0.85) * kSymbolRadiusPx * t.devicePerPx(),
                 t.devicePerPx());
  } else if (mark == LegendMark::camera_view) {
    CameraAttrs a;
    a.facing_deg = 90, a.field_of_view_deg = 40, a.reach_m = 0.9 * w;
    CameraResult c;
    const LocalXY at{-0.45 * w, 0};
    c.view = {at};
    for (int i = -5; i <= 5; ++i)
      c.view.push_back(moved(at, Bearing::degrees(90.0 + 4 * i), a.reach_m * (i > 0 ? 0.55 : 1)));
    drawCameraView(p, t, c, a);
  } else {
    ScrapeLine line;
    line.along = {{-0.45 * w, 0}, {0.45 * w, 0}};
    line.stops = {{-0.3 * w, 0}, {0, 0}, {0.3 * w, 0}};
    drawScrapeLine(p, t, line);
  }
}

/// A piece of a band about a place below the box.
void sampleFire(QPainter& p, const MapTransform& t, LegendMark mark) {
  StandResult stand;
  WeaponFire fire;
  fire.outer_m = 2 * t.viewport().width() / t.devicePerPx();
  fire.travel_entered = true;
  if (mark == LegendMark::no_shot) {
    compute::SetbackArc arc;
    arc.from = Bearing::degrees(-9), arc.to = Bearing::degrees(9);
    fire.closed = {arc};
  } else {
    fire.lines.resize(180);
    for (compute::LineOfFire& line : fire.lines)
      line.outcome = mark == LegendMark::no_ground ? compute::FireOutcome::clears_ground
                                                   : compute::FireOutcome::unknown;
  }
  stand.fire.push_back(fire);
  const double down = fire.outer_m - (mark == LegendMark::no_shot ? 5 : -6);
  drawFire(p, t, {0, -down}, stand, true);
}

/// The arc about a place below the box, without its words.
void sampleArc(QPainter& p, const MapTransform& t, bool passed) {
  const QRectF box = t.viewport();
  MarginArc arc;
  arc.radius = 1.6 * box.width();
  arc.middle = {box.center().x(), box.center().y() + arc.radius};
  arc.from_deg = -13, arc.to_deg = 13;
  arc.passed = passed;
  drawMarginArc(p, t, arc, false);
}

void sampleHatch(QPainter& p, const MapTransform& t, LegendMark mark) {
  const auto i = static_cast<std::size_t>(mark) - static_cast<std::size_t>(LegendMark::lee);
  QPainterPath outline;
  outline.addRect(t.viewport());
  fillHatched(p, t, outline, doubtLooks()[i].hatch, doubtInk(), true, doubtCasing());
}

void wayRows(const LegendAsk& ask, std::vector<LegendRow>& out) {
  if (ask.rings) out.push_back({LegendMark::ring, QObject::tr("Ring (dotted: hidden)")});
  if (!ask.ways || !ask.stand) return;
  if (ask.stand->way_in[ask.trade])
    out.push_back({LegendMark::way_in, QObject::tr("Way in; dark, wide: exposed")});
  if (ask.stand->way_out[ask.trade]) out.push_back({LegendMark::way_out, QObject::tr("Way out")});
}

void doubtRows(const DoubtPicture& doubt, std::vector<LegendRow>& out) {
  for (int i = 0; i < kDoubtCauses; ++i) {
    const QString words = text(doubtLooks()[static_cast<std::size_t>(i)].words);
    if (doubt.everywhere(i)) {
      out.push_back({LegendMark::words, QObject::tr("Wind in doubt all over: ") + words});
    } else if (doubt.hatched(i)) {
      const auto mark = static_cast<LegendMark>(static_cast<int>(LegendMark::lee) + i);
      out.push_back({mark, QObject::tr("In doubt: ") + words});
    }
  }
}

/// The scent's ramp with the levels of its lines, and what 1 means.
void drawScentRow(QPainter& p, const QRectF& row, const QString& words) {
  p.setFont(fontOfPixels(type::kSmall, QFont::DemiBold));
  p.setPen(theme().ink);
  p.drawText(QRectF(row.left(), row.top(), row.width(), 15), Qt::AlignVCenter, words);
  const QRectF bar(row.left() + 2, row.top() + 17, row.width() - 16, 9);
  sampleRamp(p, scentRamp(), bar);
  p.setFont(fontOfPixels(type::kTiny));
  const auto tick = [&](double level, const QString& s) {
    const double x = bar.left() + bar.width() * scentShare(level);
    p.setPen(QPen(theme().ink, 1));
    p.drawLine(QPointF(x, bar.top() - 1), QPointF(x, bar.bottom() + 2));
    p.drawText(QRectF(x - 24, bar.bottom() + 3, 48, 12), Qt::AlignCenter, s);
  };
  for (const float level : kScentLevels) {
    const double v = static_cast<double>(level);
    tick(v, QString::number(v, 'g', 2));
  }
  tick(1, QStringLiteral("1"));
  p.setPen(theme().soft);
  p.drawText(QRectF(row.left(), bar.bottom() + 15, row.width(), 28),
             static_cast<int>(Qt::AlignLeft | Qt::AlignTop) | Qt::TextWordWrap, scentScaleWords());
}

}  // namespace

QString scentScaleWords() {
  return QObject::tr("1 = 25 m straight downwind of a person on the ground");
}

std::vector<LegendRow> fireRows(const std::vector<const StandResult*>& stands) {
  bool closed = false, open = false, unknown = false;
  for (const StandResult* stand : stands) {
    for (const WeaponFire& fire : stand->fire) {
      closed = closed || !fire.entered() || !fire.closed.empty();
      for (const FireRun& run : openRuns(fire.lines)) (run.known ? open : unknown) = true;
    }
  }
  std::vector<LegendRow> out;
  if (closed) out.push_back({LegendMark::no_shot, QObject::tr("No shot this way")});
  if (open) out.push_back({LegendMark::no_ground, QObject::tr("No ground behind")});
  if (unknown) out.push_back({LegendMark::ground_unknown, QObject::tr("Ground behind not known")});
  return out;
}

void askOfChecks(const Results& results, bool scrapes, bool cameras, LegendAsk& ask) {
  const auto mends = [](const auto& of) { return to_mend(of.checks) > 0; };
  ask.camera_view = cameras && !results.cameras.empty();
  ask.scrape_line = scrapes && !results.scrape_lines.empty();
  ask.mend = (scrapes && std::any_of(results.scrapes.begin(), results.scrapes.end(), mends)) ||
             (cameras && std::any_of(results.cameras.begin(), results.cameras.end(), mends));
}

std::vector<LegendRow> legendRows(const LegendAsk& ask) {
  std::vector<LegendRow> out;
  if (ask.scent && ask.stand && ask.stand->scent)
    out.push_back({LegendMark::scent, QObject::tr("Scent, relative exposure")});
  if (ask.sight && ask.stand && ask.stand->sight)
    out.push_back({LegendMark::sight, QObject::tr("Seen from the stand")});
  if (ask.margin && ask.stand) {
    if (ask.stand->margin.passed) {
      out.push_back({LegendMark::margin_passed, QObject::tr("Scent limit is passed already")});
    } else {
      out.push_back({LegendMark::margin, QObject::tr("Wind may come from this arc")});
    }
  }
  if (ask.air && ask.wind) {
    out.push_back({LegendMark::wind, ask.air->bent ? QObject::tr("Wind at 2 m, long: strong")
                                                   : QObject::tr("Wind at 2 m, not bent by land")});
  }
  if (ask.air && ask.slope_air)
    out.push_back({LegendMark::slope_air, QObject::tr("Slope air, up or down the land")});
  if (ask.doubt) doubtRows(*ask.doubt, out);
  wayRows(ask, out);
  if (ask.fire && ask.stand)
    for (LegendRow& row : fireRows({ask.stand})) out.push_back(std::move(row));
  if (ask.camera_view)
    out.push_back({LegendMark::camera_view, QObject::tr("Camera view; dots: hidden")});
  if (ask.scrape_line) out.push_back({LegendMark::scrape_line, QObject::tr("Line of scrapes")});
  if (ask.mend) out.push_back({LegendMark::mend, QObject::tr("Scrape or camera to mend")});
  return out;
}

void drawLegendMark(QPainter& painter, LegendMark mark, const QRectF& box, double unit) {
  painter.save();
  painter.setClipRect(box, Qt::IntersectClip);
  painter.setRenderHint(QPainter::Antialiasing);
  const MapTransform t({0, 0}, 1, box, unit);
  // One place of the grid of strokes, or one between them, in the middle.
  const auto air = [&](bool slope) {
    const double at = slope ? strokeSpacing_m(1) / 2 : 0;
    const MapTransform one({at, at}, 1, box, unit);
    const AirMap map = sampleAir(one.visible(), slope);
    slope ? drawSlopeAir(painter, one, map) : drawWindStrokes(painter, one, map);
  };
  switch (mark) {
    case LegendMark::scent:
      sampleRamp(painter, scentRamp(), box.adjusted(0, box.height() * 0.2, 0, -box.height() * 0.2));
      break;
    case LegendMark::sight:
      sampleRamp(painter, sightRamp(), box.adjusted(0, box.height() * 0.2, 0, -box.height() * 0.2));
      break;
    case LegendMark::wind:
      air(false);
      break;
    case LegendMark::slope_air:
      air(true);
      break;
    case LegendMark::lee:
    case LegendMark::calm:
    case LegendMark::transition:
    case LegendMark::timber:
      sampleHatch(painter, t, mark);
      break;
    case LegendMark::words:
      break;
    case LegendMark::margin:
    case LegendMark::margin_passed:
      sampleArc(painter, t, mark == LegendMark::margin_passed);
      break;
    case LegendMark::way_in:
    case LegendMark::way_out:
      sampleWay(painter, t, mark == LegendMark::way_out);
      break;
    case LegendMark::ring:
      sampleRing(painter, t);
      break;
    case LegendMark::no_shot:
    case LegendMark::no_ground:
    case LegendMark::ground_unknown:
      sampleFire(painter, t, mark);
      break;
    case LegendMark::camera_view:
    case LegendMark::mend:
    case LegendMark::scrape_line:
      sampleCheck(painter, t, mark);
      break;
  }
  painter.restore();
}

LegendBox legendBox(const std::vector<LegendRow>& rows, bool open, QPointF corner) {
  double height = kBarPx;
  if (open) {
    height += kPadPx;
    for (const LegendRow& row : rows) height += heightOf(row);
  }
  const double width = open ? kWidthPx : 92;
  LegendBox out;
  out.box = {corner.x() - width, corner.y() - height, width, height};
  out.bar = {out.box.left(), out.box.top(), width, kBarPx};
  return out;
}

void drawLegend(QPainter& painter, const std::vector<LegendRow>& rows, bool open,
                const LegendBox& where) {
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  QColor ground = theme().sheet;
  ground.setAlpha(238);
  painter.setPen(QPen(theme().rule, 1));
  painter.setBrush(ground);
  painter.drawRoundedRect(where.box, 4, 4);
  const double left = where.box.left() + kPadPx, width = where.box.width() - 2 * kPadPx;
  painter.setPen(theme().ink);
  painter.setFont(fontOfPixels(type::kLabel, QFont::DemiBold));
  painter.drawText(where.bar.adjusted(kPadPx, 0, -kPadPx, 0), Qt::AlignVCenter | Qt::AlignLeft,
                   QObject::tr("Legend"));
  const QPointF turn(where.bar.right() - 14, where.bar.center().y());
  const double up = open ? 1 : -1;  // points to where a press moves it
  painter.setBrush(theme().ink);
  painter.setPen(Qt::NoPen);
  painter.drawPolygon(QPolygonF{turn + QPointF(-5, -2.5 * up), turn + QPointF(5, -2.5 * up),
                                turn + QPointF(0, 3.5 * up)});
  double y = where.bar.bottom();
  for (const LegendRow& row : rows) {
    if (!open) break;
    const QRectF line(left, y, width, heightOf(row));
    y += line.height();
    if (row.mark == LegendMark::scent) {
      drawScentRow(painter, line, row.words);
      continue;
    }
    const bool marked = row.mark != LegendMark::words;
    if (marked)
      drawLegendMark(painter, row.mark, QRectF(left, line.top() + 2, kMarkPx, kRowPx - 4), 1);
    painter.setFont(fontOfPixels(type::kSmall));
    painter.setPen(theme().ink);
    painter.drawText(line.adjusted(marked ? kMarkPx + 7 : 0, 0, 0, 0),
                     static_cast<int>(Qt::AlignVCenter) | Qt::TextWordWrap, row.words);
  }
  painter.restore();
}

}  // namespace leeward::ui
