#include "ui/render/furniture.h"

#include "ui/render/labels.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QFontMetricsF>
#include <QPainter>

#include <algorithm>
#include <cmath>
#include <vector>

namespace leeward::ui {

BarLength barLength(UnitSystem units, double metres_per_px, double max_px) {
  const bool us = units == UnitSystem::us;
  const double max_m = metres_per_px * max_px;
  const double unit_m = us ? kMetresPerYard : 1;
  const bool big = us ? max_m > 1609.344 * 2 : max_m > 2000;
  const double scale_m = big ? (us ? 1609.344 : 1000) : unit_m;
  const double room = max_m / scale_m;
  double number = std::pow(10, std::floor(std::log10(room)));
  for (const double k : {5.0, 2.0})
    if (number * k <= room) {
      number *= k;
      break;
    }
  return {number * scale_m, number, big ? (us ? "mi" : "km") : (us ? "yd" : "m")};
}

QRectF drawScaleBar(QPainter& painter, const MapTransform& t, QPointF at, UnitSystem units,
                    double max_px) {
  const BarLength bar = barLength(units, t.metresPerPx(), max_px);
  const double w = bar.metres * t.devicePerMetre(), h = t.px(6);
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing, false);
  const QRectF box(at.x(), at.y() - h, w, h);
  painter.fillRect(box.adjusted(-t.px(2), -t.px(2), t.px(2), t.px(2)), QColor(chrome::kSheet));
  for (int i = 0; i < 4; ++i) {
    const QRectF part(box.left() + w * i / 4, box.top(), w / 4, h);
    painter.fillRect(part, QColor(i % 2 == 0 ? chrome::kInk : chrome::kSheet));
  }
  painter.setPen(QPen(QColor(chrome::kInk), t.px(1)));
  painter.setBrush(Qt::NoBrush);
  painter.drawRect(box);
  const QFont font = fontOfPixels(t.type(type::kSmall), QFont::DemiBold);
  const QFontMetricsF m(font, painter.device());
  const auto words = [&](double share, const QString& s) {
    drawHaloText(painter,
                 {box.left() + w * share - (share > 0 ? m.horizontalAdvance(s) / 2 : 0),
                  box.top() - t.px(4)},
                 s, font, QColor(chrome::kInk), t.px(2));
  };
  const QString half = QString::number(bar.number / 2);
  const QString whole = QStringLiteral("%1 %2").arg(QString::number(bar.number), text(bar.unit));
  words(0, QStringLiteral("0"));
  words(1, whole);
  if (m.horizontalAdvance(half) + m.horizontalAdvance(whole) + t.px(8) < w) words(0.5, half);
  painter.restore();
  return box.adjusted(0, -m.height() - t.px(4), t.px(30), 0);
}

void drawThreeNorths(QPainter& painter, QPointF at, double unit, double grid_deg, double true_deg,
                     std::optional<double> magnetic_deg) {
  struct Stroke {
    char name;
    double deg;
  };
  std::vector<Stroke> strokes = {{'G', 0}, {'T', wrap_180(true_deg - grid_deg)}};
  if (magnetic_deg) strokes.push_back({'M', wrap_180(*magnetic_deg - grid_deg)});
  std::stable_sort(strokes.begin(), strokes.end(),
                   [](const Stroke& a, const Stroke& b) { return a.deg < b.deg; });
  const auto grid =
      std::find_if(strokes.begin(), strokes.end(), [](const Stroke& s) { return s.name == 'G'; });
  for (auto s = grid + 1; s < strokes.end(); ++s)
    s->deg = std::max(s->deg, (s - 1)->deg + kNorthApart_deg);
  for (auto s = grid; s > strokes.begin(); --s)
    (s - 1)->deg = std::min((s - 1)->deg, s->deg - kNorthApart_deg);
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  const QColor ink(chrome::kInk);
  const QFont font = fontOfPixels(type::kTiny * unit, QFont::Bold);
  const QFontMetricsF m(font, painter.device());
  for (const Stroke& s : strokes) {
    const double rad = (grid_deg + s.deg) * kRadPerDeg, length = 34 * unit;
    const QPointF toward(std::sin(rad), -std::cos(rad)), side(-toward.y(), toward.x());
    const QPointF tip = at + toward * length;
    painter.setPen(QPen(ink, 1.1 * unit));
    painter.setBrush(ink);
    painter.drawLine(at, tip);
    const QPointF barb = tip - toward * (8 * unit);
    if (s.name == 'G')
      painter.drawPolygon(QPolygonF{{tip, barb + side * (3 * unit), barb - side * (3 * unit)}});
    if (s.name == 'M') painter.drawPolygon(QPolygonF{{tip, barb + side * (4 * unit), barb}});
    if (s.name == 'T') {
      painter.setBrush(QColor(chrome::kSheet));
      painter.drawEllipse(tip, 2.6 * unit, 2.6 * unit);
    }
    const QString name = QChar::fromLatin1(s.name);
    const QPointF middle = tip + toward * (7.5 * unit);
    drawHaloText(
        painter,
        {middle.x() - m.horizontalAdvance(name) / 2, middle.y() + (m.ascent() - m.descent()) / 2},
        name, font, ink, 1.5 * unit);
  }
  painter.restore();
}

void drawNorthMark(QPainter& painter, QPointF at, double unit, double convergence_deg,
                   double up_deg) {
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  painter.translate(at);
  painter.scale(unit, unit);
  const QColor ink(chrome::kInk), pale(chrome::kSheet);
  painter.save();
  painter.rotate(-up_deg);
  if (std::abs(convergence_deg) >= 0.5) {
    painter.save();
    painter.rotate(-convergence_deg);
    painter.setPen(QPen(ink, 1.2, Qt::DashLine));
    painter.drawLine(QPointF(0, 14), QPointF(0, -18));
    painter.restore();
  }
  painter.setPen(QPen(ink, 1.2));
  painter.setBrush(ink);
  painter.drawPolygon(QPolygonF{{0, -16}, {0, 8}, {-7, 14}});
  painter.setBrush(pale);
  painter.drawPolygon(QPolygonF{{0, -16}, {0, 8}, {7, 14}});
  painter.restore();
  const QFont font = fontOfPixels(type::kLabel, QFont::Bold);
  const QFontMetricsF m(font);
  const QString n = QStringLiteral("N");
  const double rad = up_deg * kRadPerDeg;
  const double half = (m.ascent() - m.descent()) / 2, away = 19 + half;
  const QPointF middle = QPointF(-std::sin(rad), -std::cos(rad)) * away;
  drawHaloText(painter, middle + QPointF(-m.horizontalAdvance(n) / 2, half), n, font, ink, 2);
  painter.restore();
}

}  // namespace leeward::ui
