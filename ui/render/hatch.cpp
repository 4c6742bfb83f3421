#include "ui/render/hatch.h"

#include <QBrush>
#include <QImage>
#include <QPainter>

#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kC = kHatchCellPx;
constexpr double kCasedPx = 1.3;  // strokes on a casing

// One cell, [0, kC] x [0, kC], in logical pixels; the pen is set.
void drawCell(QPainter& p, Hatch hatch) {
  switch (hatch) {
    case Hatch::none:
      return;
    case Hatch::ovals:
      p.setBrush(p.pen().color());  // the lying place of a deer
      p.drawEllipse(QRectF(1.2, 2.2, 5, 2.6));
      p.drawEllipse(QRectF(8.2, 9.2, 5, 2.6));
      p.setBrush(Qt::NoBrush);
      return;
    case Hatch::rows:
      for (const double x : {2.0, 9.0})
        p.drawLine(QPointF(x, 2), QPointF(x, 6)),
            p.drawLine(QPointF(x + 3.5, 9), QPointF(x + 3.5, 13));
      return;
    case Hatch::rings:
      p.drawEllipse(QRectF(1.5, 1.5, 4, 4));
      p.drawEllipse(QRectF(8.5, 8.5, 4, 4));
      return;
    case Hatch::spikes:
      p.drawPolyline(QPolygonF{{1.5, 6}, {3.5, 1.5}, {5.5, 6}});
      p.drawPolyline(QPolygonF{{8.5, 13}, {10.5, 8.5}, {12.5, 13}});
      return;
    case Hatch::mixed:  // at the other two places, so that it shares no mark with rings or spikes
      p.drawEllipse(QRectF(8.5, 1.5, 4, 4));
      p.drawPolyline(QPolygonF{{1.5, 13}, {3.5, 8.5}, {5.5, 13}});
      return;
    case Hatch::tufts:
      for (const QPointF at : {QPointF(3.5, 6), QPointF(10.5, 13)}) {
        p.drawLine(at, at + QPointF(-2, -4));
        p.drawLine(at, at + QPointF(0, -4.6));
        p.drawLine(at, at + QPointF(2, -4));
      }
      return;
    case Hatch::reeds:
      for (const double x : {1.5, 3.5, 8.5, 10.5}) {
        const double foot = x < 7 ? 7.5 : 13.5;
        p.drawLine(QPointF(x, foot), QPointF(x + 1, foot - 6));
      }
      return;
    case Hatch::stalks:
      for (const QPointF at : {QPointF(3.5, 6.5), QPointF(10.5, 13.5)}) {
        p.drawLine(at, at + QPointF(0, -5.5));
        p.drawLine(at + QPointF(0, -2), at + QPointF(-2.5, -3.5));
        p.drawLine(at + QPointF(0, -3.5), at + QPointF(2.5, -5));
      }
      return;
    case Hatch::felled:
      p.drawPolyline(QPolygonF{{1.5, 6.5}, {1.5, 3.5}, {6, 1.5}});
      p.drawPolyline(QPolygonF{{8.5, 13}, {8.5, 10}, {13, 8}});
      return;
    case Hatch::slant:
      p.drawLine(QPointF(0, 0), QPointF(kC, kC));
      return;
    case Hatch::cross:
      p.drawLine(QPointF(0, 0), QPointF(kC, kC));
      p.drawLine(QPointF(kC, 0), QPointF(0, kC));
      return;
    case Hatch::waves:
      for (const QPointF at : {QPointF(0.5, 4), QPointF(7.5, 11)}) {
        QPainterPath wave(at);
        wave.quadTo(at + QPointF(1.5, -2.4), at + QPointF(3, 0));
        wave.quadTo(at + QPointF(4.5, 2.4), at + QPointF(6, 0));
        p.drawPath(wave);
      }
      return;
    case Hatch::lean:
      for (const double x : {-kC, 0.0, kC})  // the neighbours' too, for their share of the corners
        p.drawLine(QPointF(x - 2, kC + 2), QPointF(x + kC + 2, -2));
      return;
    case Hatch::dots:
      p.drawEllipse(QPointF(3.5, 3.5), 0.4, 0.4);
      p.drawEllipse(QPointF(10.5, 10.5), 0.4, 0.4);
      return;
    case Hatch::wide_dots:
      p.drawEllipse(QPointF(7, 7), 1.4, 1.4);
      return;
    case Hatch::bars:
      for (const double y : {3.5, 10.5}) p.drawLine(QPointF(-1, y), QPointF(kC + 1, y));
      return;
    case Hatch::ticks:
      p.drawLine(QPointF(4, 3), QPointF(4, 8));
      return;
  }
}

QPen hatchPen(const QColor& ink, double width = 1) {
  QPen pen(ink, width);
  pen.setCapStyle(Qt::RoundCap);
  return pen;
}

QPointF anchorOf(const MapTransform& t) {
  // A fixed place of the ground, near the view so that coordinates stay small.
  const double cell_m = kHatchCellPx * t.metresPerPx();
  const LocalXY c = t.centre();
  return t.toDevice(LocalXY{std::floor(c.x / cell_m) * cell_m, std::floor(c.y / cell_m) * cell_m});
}

// The pattern, and under it its casing if there is one.
void drawCased(QPainter& p, Hatch hatch, const QColor& ink, const QColor& casing) {
  if (casing.isValid()) {
    p.setPen(hatchPen(casing, kCasedPx + 2));
    drawCell(p, hatch);
  }
  p.setPen(hatchPen(ink, casing.isValid() ? kCasedPx : 1));
  drawCell(p, hatch);
}

QBrush texture(Hatch hatch, const QColor& ink, const QColor& casing, double device_scale) {
  const int side = std::max(1, static_cast<int>(std::lround(kC * device_scale)));
  QImage cell(side, side, QImage::Format_ARGB32_Premultiplied);
  cell.fill(Qt::transparent);
  QPainter p(&cell);
  p.setRenderHint(QPainter::Antialiasing);
  p.scale(side / kC, side / kC);
  p.setBrush(Qt::NoBrush);
  drawCased(p, hatch, ink, casing);
  p.end();
  return QBrush(cell);
}

}  // namespace

QBrush hatchBrush(const QPainter& painter, const MapTransform& t, Hatch hatch, const QColor& ink,
                  const QColor& casing) {
  const QPointF anchor = anchorOf(t);
  const double ratio = painter.device()->devicePixelRatioF();
  QBrush brush = texture(hatch, ink, casing, t.devicePerPx() * ratio);
  const double side = std::max(1.0, std::round(kC * t.devicePerPx() * ratio)), cell = t.px(kC);
  QTransform place;  // whole device pixels: the painter then copies the texture as it is
  place.translate(std::round(anchor.x() * ratio) / ratio, std::round(anchor.y() * ratio) / ratio);
  if (std::abs(cell * ratio - side) > 1e-6 || ratio != 1) place.scale(cell / side, cell / side);
  brush.setTransform(place);
  return brush;
}

QColor mixed(const QColor& ink, const QColor& ground, double share) {
  const auto part = [share](int a, int b) {
    return static_cast<int>(std::lround(share * a + (1 - share) * b));
  };
  return {part(ink.red(), ground.red()), part(ink.green(), ground.green()),
          part(ink.blue(), ground.blue())};
}

void fillHatched(QPainter& painter, const MapTransform& t, const QPainterPath& outline, Hatch hatch,
                 const QColor& ink, bool vector, const QColor& casing) {
  if (hatch == Hatch::none) return;
  const QPointF anchor = anchorOf(t);
  const double cell = t.px(kC);
  painter.save();
  if (!vector) {
    painter.fillPath(outline, hatchBrush(painter, t, hatch, ink, casing));
  } else {
    const QRectF r = outline.boundingRect() & t.viewport();
    painter.setClipPath(outline, Qt::IntersectClip);
    painter.setBrush(Qt::NoBrush);
    const double x0 = anchor.x() + std::floor((r.left() - anchor.x()) / cell) * cell;
    const double y0 = anchor.y() + std::floor((r.top() - anchor.y()) / cell) * cell;
    for (double y = y0; y < r.bottom(); y += cell) {
      for (double x = x0; x < r.right(); x += cell) {
        if (!outline.intersects(QRectF(x, y, cell, cell))) continue;
        painter.save();
        painter.translate(x, y);
        painter.scale(t.devicePerPx(), t.devicePerPx());
        drawCased(painter, hatch, ink, casing);
        painter.restore();
      }
    }
  }
  painter.restore();
}

}  // namespace leeward::ui
