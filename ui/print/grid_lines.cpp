#include "ui/print/grid_lines.h"

#include "ui/render/labels.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QFontMetricsF>
#include <QSet>

#include <cmath>

namespace leeward::ui {

double gridSpacingM(double denominator) {
  for (double decade = 100;; decade *= 10) {
    for (const double k : {1.0, 2.0, 5.0}) {
      if (k * decade / denominator * 1000 >= 25) return k * decade;
    }
  }
}

void drawGrid(Page& page, const MapTransform& t, double spacing_m) {
  QPainter& p = page.painter();
  const Box ground = t.visible();
  const QRectF frame = t.viewport();
  const double tick = page.dots(3), arm = page.dots(1.4), inset = page.dots(0.8);
  const QColor ink = QColor::fromRgb(chrome::kInk);
  const QFont font = page.font(6.5, true);
  const QFontMetricsF metrics(font, p.device());
  const auto digits = [&](double v) {  // kilometres within the 100 km square, and the hundreds
    const long m = std::lround(v) % 100000;
    return spacing_m >= 1000 ? QStringLiteral("%1").arg(m / 1000, 2, 10, QLatin1Char('0'))
                             : QStringLiteral("%1 %2")
                                   .arg(m / 1000, 2, 10, QLatin1Char('0'))
                                   .arg((m % 1000) / 100);
  };
  std::vector<double> xs, ys;
  for (double x = std::ceil(ground.min_x / spacing_m) * spacing_m; x < ground.max_x; x += spacing_m)
    xs.push_back(x);
  for (double y = std::ceil(ground.min_y / spacing_m) * spacing_m; y < ground.max_y; y += spacing_m)
    ys.push_back(y);
  const auto strokes = [&](QPen pen) {
    p.setPen(pen);
    for (const double x : xs) {
      const double dx = t.toDevice(LocalXY{x, ground.min_y}).x();
      p.drawLine(QPointF(dx, frame.top()), QPointF(dx, frame.top() + tick));
      p.drawLine(QPointF(dx, frame.bottom()), QPointF(dx, frame.bottom() - tick));
    }
    for (const double y : ys) {
      const double dy = t.toDevice(LocalXY{ground.min_x, y}).y();
      p.drawLine(QPointF(frame.left(), dy), QPointF(frame.left() + tick, dy));
      p.drawLine(QPointF(frame.right(), dy), QPointF(frame.right() - tick, dy));
      for (const double x : xs) {
        const QPointF c = t.toDevice(LocalXY{x, y});
        p.drawLine(c - QPointF(arm, 0), c + QPointF(arm, 0));
        p.drawLine(c - QPointF(0, arm), c + QPointF(0, arm));
      }
    }
  };
  strokes(QPen(QColor(255, 255, 255, 200), page.dots(0.6)));
  strokes(QPen(ink, page.dots(0.2)));
  for (const double x : xs) {
    const double dx = t.toDevice(LocalXY{x, ground.min_y}).x();
    const QString words = digits(x);
    drawHaloText(
        p,
        {dx - metrics.horizontalAdvance(words) / 2, frame.top() + tick + inset + metrics.ascent()},
        words, font, ink, page.dots(0.5));
  }
  for (const double y : ys) {
    const double dy = t.toDevice(LocalXY{ground.min_x, y}).y();
    drawHaloText(p, {frame.left() + tick + inset, dy + metrics.ascent() / 2 - inset / 2}, digits(y),
                 font, ink, page.dots(0.5));
  }
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
