#include "ui/print/grid_lines.h"

#include "ui/render/labels.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QFontMetricsF>
#include <QLineF>

#include <algorithm>
#include <cmath>
#include <optional>

namespace leeward::ui {

double gridSpacingM(double denominator) {
  for (double decade = 100;; decade *= 10) {
    for (const double k : {1.0, 2.0, 5.0}) {
      if (k * decade / denominator * 1000 >= 25) return k * decade;
    }
  }
}

namespace {

// The part of the infinite line through a and b inside a frame; nothing where it misses.
std::optional<QLineF> across(const QRectF& frame, QPointF a, QPointF b) {
  double low = -1e9, high = 1e9;
  const QPointF d = b - a;
  const auto cut = [&](double from, double step, double least, double most) {
    if (std::abs(step) < 1e-12) return from >= least && from <= most;
    const double t0 = (least - from) / step, t1 = (most - from) / step;
    low = std::max(low, std::min(t0, t1));
    high = std::min(high, std::max(t0, t1));
    return true;
  };
  if (!cut(a.x(), d.x(), frame.left(), frame.right()) ||
      !cut(a.y(), d.y(), frame.top(), frame.bottom()) || low >= high)
    return std::nullopt;
  return QLineF(a + d * low, a + d * high);
}

struct GridLine {
  QLineF inside;  // from its southern or western end
  double value_m = 0;
};

std::vector<GridLine> linesOf(const MapTransform& t, double spacing_m, bool eastings) {
  std::vector<GridLine> out;
  const Box g = t.visible();
  const double from = eastings ? g.min_x : g.min_y, to = eastings ? g.max_x : g.max_y;
  for (double v = std::ceil(from / spacing_m) * spacing_m; v < to; v += spacing_m) {
    const LocalXY a = eastings ? LocalXY{v, g.min_y} : LocalXY{g.min_x, v},
                  b = eastings ? LocalXY{v, g.max_y} : LocalXY{g.max_x, v};
    if (const auto line = across(t.viewport(), t.toDevice(a), t.toDevice(b)))
      out.push_back({*line, v});
  }
  return out;
}

// Kilometres within the 100 km square, and the hundreds.
QString digitsOf(double v, double spacing_m) {
  const long m = std::lround(v) % 100000;
  return spacing_m >= 1000
             ? QStringLiteral("%1").arg(m / 1000, 2, 10, QLatin1Char('0'))
             : QStringLiteral("%1 %2").arg(m / 1000, 2, 10, QLatin1Char('0')).arg((m % 1000) / 100);
}

}  // namespace

void drawGrid(Page& page, const MapTransform& t, double spacing_m, const QRectF& keep) {
  QPainter& p = page.painter();
  const double tick = page.dots(3), arm = page.dots(1.4), inset = page.dots(0.8);
  const QColor ink = QColor::fromRgb(chrome::kInk);
  const QFont font = page.font(6.5, true);
  const QFontMetricsF metrics(font, p.device());
  const auto xs = linesOf(t, spacing_m, true), ys = linesOf(t, spacing_m, false);
  const QPointF east = t.toDevice(LocalXY{1, 0}) - t.toDevice(LocalXY{0, 0}),
                along_east = east / std::hypot(east.x(), east.y()),
                along_north(along_east.y(), -along_east.x());
  const auto ticks = [&](const std::vector<GridLine>& lines) {
    for (const GridLine& l : lines) {
      const QPointF way = l.inside.p2() - l.inside.p1();
      const QPointF step = way / std::max(1.0, std::hypot(way.x(), way.y())) * tick;
      p.drawLine(l.inside.p1(), l.inside.p1() + step);
      p.drawLine(l.inside.p2(), l.inside.p2() - step);
    }
  };
  const auto strokes = [&](QPen pen) {
    p.setPen(pen);
    ticks(xs);
    ticks(ys);
    for (const GridLine& y : ys) {
      for (const GridLine& x : xs) {
        const QPointF c = t.toDevice(LocalXY{x.value_m, y.value_m});
        p.drawLine(c - along_east * arm, c + along_east * arm);
        p.drawLine(c - along_north * arm, c + along_north * arm);
      }
    }
  };
  strokes(QPen(QColor(255, 255, 255, 200), page.dots(0.6)));
  strokes(QPen(ink, page.dots(0.2)));
  // Digits inside the frame at the end of a line that lies higher (eastings) or further left.
  const QRectF room = t.viewport().adjusted(inset, inset, -inset, -inset);
  const auto wordAt = [&](const GridLine& l, bool easting, bool second) {
    const QPointF end = second ? l.inside.p2() : l.inside.p1(),
                  other = second ? l.inside.p1() : l.inside.p2(), way = other - end;
    const QString digits = digitsOf(l.value_m, spacing_m);
    const double w = metrics.horizontalAdvance(digits), h = metrics.ascent();
    const double clear = tick + inset + (easting ? h / 2 : w / 2);
    if (std::hypot(way.x(), way.y()) < 3 * clear) return true;  // a corner that is cut off
    const QPointF at = end + way / std::hypot(way.x(), way.y()) * clear;
    const QPointF corner(std::clamp(at.x() - w / 2, room.left(), room.right() - w),
                         std::clamp(at.y() + h / 2, room.top() + h, room.bottom()));
    if (keep.intersects({corner.x(), corner.y() - h, w, h})) return false;
    drawHaloText(p, corner, digits, font, ink, page.dots(0.5));
    return true;
  };
  const auto word = [&](const GridLine& l, bool easting) {
    const bool second = easting ? l.inside.y2() < l.inside.y1() : l.inside.x2() < l.inside.x1();
    if (!wordAt(l, easting, second)) wordAt(l, easting, !second);
  };
  for (const GridLine& x : xs) word(x, true);
  for (const GridLine& y : ys) word(y, false);
}

QString gridNote(const Frame& frame, const Box& ground, double spacing_m) {
  QStringList squares;
  for (const LocalXY corner :
       {LocalXY{ground.min_x, ground.max_y}, LocalXY{ground.max_x, ground.max_y},
        LocalXY{ground.min_x, ground.min_y}, LocalXY{ground.max_x, ground.min_y}}) {
    const QString square = text(usng(frame.to_wgs84(corner), 1)).section(QLatin1Char(' '), 0, 1);
    if (!square.isEmpty() && !squares.contains(square)) squares << square;
  }
  return QStringLiteral("US National Grid %1, %2, lines %3 m apart")
      .arg(squares.join(QStringLiteral(" and ")), text(frame.name()))
      .arg(spacing_m);
}

}  // namespace leeward::ui
