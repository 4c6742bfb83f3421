#include "ui/render/margin_arc.h"

#include "core/eval/air.h"
#include "ui/render/labels.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QFontMetricsF>
#include <QPainter>
#include <QPainterPath>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kLeastPx = 50, kMostPx = 170, kClearPx = 13;
constexpr double kPassedHalf_deg = 20;

QPointF outward(const MarginArc& arc, double bearing_deg) {
  const Bearing b = Bearing::degrees(bearing_deg - arc.up_deg);
  return {b.east(), -b.north()};
}
QPointF onArc(const MarginArc& arc, double bearing_deg, double radius) {
  return arc.middle + outward(arc, bearing_deg) * radius;
}

/// A line on a pale casing.
void cased(QPainter& p, const QPainterPath& path, const MapTransform& t, const QColor& ink,
           double width_px, Qt::PenStyle style = Qt::SolidLine) {
  QPen pen(QColor(chrome::kSheet), t.px(width_px + 3.2));
  pen.setCapStyle(Qt::FlatCap);
  p.setPen(pen);
  p.drawPath(path);
  pen = QPen(ink, t.px(width_px), style);
  pen.setCapStyle(Qt::FlatCap);
  p.setPen(pen);
  p.drawPath(path);
}

QPainterPath arcPath(const MarginArc& arc) {
  QPainterPath path;
  const int n = std::max(2, static_cast<int>(std::ceil((arc.to_deg - arc.from_deg) / 3)));
  for (int i = 0; i <= n; ++i) {
    const QPointF at =
        onArc(arc, std::lerp(arc.from_deg, arc.to_deg, i / static_cast<double>(n)), arc.radius);
    i == 0 ? path.moveTo(at) : path.lineTo(at);
  }
  return path;
}

/// A tick across the arc; at an open end an arrow head that goes on along it.
void addEnd(QPainterPath& path, const MarginArc& arc, const MapTransform& t, bool clockwise) {
  const double at = clockwise ? arc.to_deg : arc.from_deg;
  if (clockwise ? arc.open_to : arc.open_from) {
    const double back = (clockwise ? -1 : 1) * t.px(8) / arc.radius * kDegPerRad;
    path.moveTo(onArc(arc, at + back, arc.radius - t.px(6)));
    path.lineTo(onArc(arc, at, arc.radius));
    path.lineTo(onArc(arc, at + back, arc.radius + t.px(6)));
  } else {
    path.moveTo(onArc(arc, at, arc.radius - t.px(7)));
    path.lineTo(onArc(arc, at, arc.radius + t.px(7)));
  }
}

/// A filled point on the arc that looks at the stand: the wind of now.
void drawNow(QPainter& p, const MarginArc& arc, const MapTransform& t, const QColor& ink) {
  const double turn = t.px(5) / arc.radius * kDegPerRad;
  p.setPen(QPen(QColor(chrome::kSheet), t.px(1.2)));
  p.setBrush(ink);
  p.drawPolygon(QPolygonF{onArc(arc, arc.wind_deg, arc.radius - t.px(7)),
                          onArc(arc, arc.wind_deg - turn, arc.radius + t.px(4)),
                          onArc(arc, arc.wind_deg + turn, arc.radius + t.px(4))});
  p.setBrush(Qt::NoBrush);
}

QRectF words(QPainter& p, const MarginArc& arc, const MapTransform& t, double bearing_deg,
             const QString& s, const QColor& ink) {
  const QFont font = fontOfPixels(t.type(type::kLabel), QFont::Bold);
  const QFontMetricsF m(font, p.device());
  const double w = m.horizontalAdvance(s), h = m.ascent();
  const QPointF way = outward(arc, bearing_deg);
  // The box stands outside the arc: half its size is added along the ray.
  const double out = arc.radius + t.px(12) + std::abs(way.x()) * w / 2 + std::abs(way.y()) * h / 2;
  const QPointF middle = onArc(arc, bearing_deg, out);
  drawHaloText(p, {middle.x() - w / 2, middle.y() + h * 0.4}, s, font, ink, t.px(2.4));
  return {middle.x() - w / 2, middle.y() - h / 2, w, h};
}

QString degrees(double deg, bool open) {
  return QStringLiteral("%1°%2").arg(std::lround(deg)).arg(open ? QStringLiteral("+") : QString());
}

void drawPassed(QPainter& p, const MapTransform& t, const MarginArc& arc, const QColor& ink) {
  cased(p, arcPath(arc), t, ink, 2.4, Qt::DotLine);
  QPainterPath crosses;
  for (const double off : {-0.6, 0.0, 0.6}) {
    const double at = arc.wind_deg + off * kPassedHalf_deg;
    const double turn = t.px(5) / arc.radius * kDegPerRad;
    crosses.moveTo(onArc(arc, at - turn, arc.radius - t.px(5)));
    crosses.lineTo(onArc(arc, at + turn, arc.radius + t.px(5)));
    crosses.moveTo(onArc(arc, at + turn, arc.radius - t.px(5)));
    crosses.lineTo(onArc(arc, at - turn, arc.radius + t.px(5)));
  }
  cased(p, crosses, t, ink, 2.2);
}

void drawRoom(QPainter& p, const MapTransform& t, const MarginArc& arc, const QColor& ink) {
  QPainterPath whole = arcPath(arc);
  addEnd(whole, arc, t, false);
  addEnd(whole, arc, t, true);
  cased(p, whole, t, ink, 2.6);
  drawNow(p, arc, t, ink);
}

std::vector<QRectF> drawWords(QPainter& p, const MapTransform& t, const MarginArc& arc,
                              const QColor& ink) {
  if (arc.passed) return {words(p, arc, t, arc.wind_deg, QStringLiteral("limit passed"), ink)};
  // Words of a narrow arc move apart.
  const double room = arc.to_deg - arc.from_deg;
  const double apart = std::max(0.0, t.px(34) / arc.radius * kDegPerRad - room) / 2;
  return {
      words(p, arc, t, arc.from_deg - apart, degrees(arc.wind_deg - arc.from_deg, arc.open_from),
            ink),
      words(p, arc, t, arc.to_deg + apart, degrees(arc.to_deg - arc.wind_deg, arc.open_to), ink)};
}

}  // namespace

bool windIsDirected(const Results& results) {
  return results.air.known && results.air.speed_10m_mps >= kCalmBelow_mps;
}

MarginArc marginArc(const MapTransform& t, LocalXY at, WindFrom wind, const StandResult& stand) {
  MarginArc arc;
  arc.middle = t.toDevice(at);
  arc.up_deg = t.up_deg();
  double outer_m = 0;
  for (const Ring& ring : stand.rings) outer_m = std::max(outer_m, ring.range_m);
  arc.radius = t.px(std::clamp(outer_m / t.metresPerPx() + kClearPx, kLeastPx, kMostPx));
  arc.wind_deg = wind.source().degrees();
  const SwingMargin& m = stand.margin;
  arc.passed = m.passed;
  arc.from_deg = arc.wind_deg - (m.passed ? kPassedHalf_deg : m.back_deg);
  arc.to_deg = arc.wind_deg + (m.passed ? kPassedHalf_deg : m.veer_deg);
  arc.open_from = !m.passed && m.back_deg >= SwingMargin::kMost_deg;
  arc.open_to = !m.passed && m.veer_deg >= SwingMargin::kMost_deg;
  return arc;
}

std::vector<QRectF> drawMarginArc(QPainter& painter, const MapTransform& t, const MarginArc& arc,
                                  bool with_words) {
  const QColor ink(arc.passed ? chrome::kAccent : chrome::kInk);
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  painter.setBrush(Qt::NoBrush);
  arc.passed ? drawPassed(painter, t, arc, ink) : drawRoom(painter, t, arc, ink);
  std::vector<QRectF> boxes;
  if (with_words) boxes = drawWords(painter, t, arc, ink);
  painter.restore();
  return boxes;
}

}  // namespace leeward::ui
