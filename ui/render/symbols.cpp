#include "ui/render/symbols.h"

#include "ui/render/features.h"
#include "ui/style/type.h"

#include <QPainter>
#include <QPainterPath>

#include <algorithm>

namespace leeward::ui {
namespace {

using Points = QPolygonF;

void line(QPainter& p, double x1, double y1, double x2, double y2) {
  p.drawLine(QPointF(x1, y1), QPointF(x2, y2));
}

// Glyphs lie in [-6, 6] x [-6, 6] logical pixels, y down.
void ladderGlyph(QPainter& p) {
  line(p, -2, 6, -2, -5);
  line(p, 2.5, 6, 2.5, -5);
  for (const double y : {4.0, 1.0, -2.0}) line(p, -2, y, 2.5, y);
  line(p, -4.5, -5, 5, -5);
}
void hangOnGlyph(QPainter& p) {
  line(p, -3, 6, -3, -6);
  line(p, -3, 1, 5, 1);
  line(p, -3, 5, 3.5, 1);
  line(p, -3, -3, 1, -3);
}
void saddleGlyph(QPainter& p) {
  line(p, -3, 6, -3, -6);
  line(p, -3, -5, 3.5, 0);
  QPainterPath seat(QPointF(0, 0.5));
  seat.quadTo(QPointF(2.2, 5), QPointF(5.2, 0.5));
  p.drawPath(seat);
}
void towerGlyph(QPainter& p) {
  p.drawRect(QRectF(-3.5, -5.5, 7, 5));
  line(p, -2.5, -0.5, -5, 6);
  line(p, 2.5, -0.5, 5, 6);
  line(p, -3.8, 3, 3.8, 3);
}
void blindGlyph(QPainter& p) {
  p.drawPolygon(Points{{-5.5, 4.5}, {-3.5, -3}, {3.5, -3}, {5.5, 4.5}});
  p.fillRect(QRectF(-2.4, -0.8, 4.8, 2), p.pen().color());
}

void standGlyph(QPainter& p, StandType type) {
  switch (type) {
    case StandType::ladder:
      return ladderGlyph(p);
    case StandType::hang_on:
      return hangOnGlyph(p);
    case StandType::saddle:
      return saddleGlyph(p);
    case StandType::tower:
      return towerGlyph(p);
    case StandType::ground_blind:
      return blindGlyph(p);
  }
}

void gateGlyph(QPainter& p, bool parking) {
  line(p, -5, 5, -5, -4);
  line(p, 5, 5, 5, -4);
  line(p, -5, -2, 5, -2);
  line(p, -5, 3, 5, 3);
  line(p, -5, 3, 5, -2);
  if (parking) p.fillRect(QRectF(-1.6, -6.4, 3.2, 2.4), p.pen().color());
}

void scrapeGlyph(QPainter& p) {
  QPainterPath branch(QPointF(-5.5, -5));
  branch.quadTo(QPointF(0, -6), QPointF(4.5, -1.5));
  p.drawPath(branch);
  line(p, 0, -4.8, 1, -1.6);
  p.setBrush(p.pen().color());
  p.drawEllipse(QRectF(-4, 1.4, 8, 4));
}

void cameraGlyph(QPainter& p) {
  p.drawRect(QRectF(-4.5, -4.5, 9, 9));
  p.drawEllipse(QRectF(-2.2, -2.8, 4.4, 4.4));
  p.fillRect(QRectF(-3, 2.6, 6, 1), p.pen().color());
}

void dwellingGlyph(QPainter& p) {
  p.drawPolygon(Points{{-5, 5}, {-5, -1}, {0, -5.5}, {5, -1}, {5, 5}});
  p.fillRect(QRectF(-1.3, 0.8, 2.6, 4.2), p.pen().color());
}

void noteGlyph(QPainter& p) {
  p.drawPolygon(Points{{-4, -5}, {2, -5}, {4.5, -2.5}, {4.5, 5}, {-4, 5}});
  for (const double y : {-1.5, 0.8, 3.0}) line(p, -2, y, 2.5, y);
}

void glyph(QPainter& p, const Attributes& attrs) {
  if (const auto* s = std::get_if<StandAttrs>(&attrs)) return standGlyph(p, s->type);
  if (const auto* g = std::get_if<GateAttrs>(&attrs)) return gateGlyph(p, g->parking);
  if (std::holds_alternative<MockScrapeAttrs>(attrs)) return scrapeGlyph(p);
  if (std::holds_alternative<CameraAttrs>(attrs)) return cameraGlyph(p);
  if (std::holds_alternative<DwellingAttrs>(attrs)) return dwellingGlyph(p);
  noteGlyph(p);
}

QPainterPath badge(const Attributes& attrs, double grow) {
  QPainterPath path;
  const double r = kSymbolRadiusPx + grow;
  if (std::holds_alternative<StandAttrs>(attrs)) {
    path.addEllipse(QPointF(0, 0), r, r);
  } else if (std::holds_alternative<GateAttrs>(attrs)) {
    path.addPolygon(Points{{0, -r * 1.15}, {r * 1.15, 0}, {0, r * 1.15}, {-r * 1.15, 0}});
    path.closeSubpath();
  } else {
    path.addRoundedRect(QRectF(-r * 0.88, -r * 0.88, r * 1.76, r * 1.76), 3, 3);
  }
  return path;
}

void drawFacing(QPainter& p, double facing_deg, const QPen& pen) {
  p.save();
  p.rotate(facing_deg);
  const double r = kSymbolRadiusPx;
  p.setBrush(pen.color());
  p.setPen(QPen(QColor(chrome::kSheet), 1));
  p.drawPolygon(Points{{-3.6, -r - 1.6}, {3.6, -r - 1.6}, {0, -r - 7}});
  p.restore();
}

/// A small feature in [0, w] x [-h, 0].
Feature sample(const Attributes& attrs, double w, double h) {
  Feature f;
  f.attrs = attrs;
  const KindInfo& k = info(f.kind());
  if (k.area) {
    f.shape = Shape::area({{w * 0.08, -h * 0.22},
                           {w * 0.5, -h * 0.08},
                           {w * 0.93, -h * 0.3},
                           {w * 0.86, -h * 0.84},
                           {w * 0.3, -h * 0.92}});
  } else {
    f.shape = Shape::line(
        {{w * 0.04, -h * 0.2}, {w * 0.36, -h * 0.62}, {w * 0.64, -h * 0.4}, {w * 0.96, -h * 0.8}});
  }
  return f;
}

}  // namespace

void drawSymbol(QPainter& painter, const Attributes& attrs, QPointF at, double unit, bool selected,
                double up_deg) {
  painter.save();
  painter.translate(at);
  painter.scale(unit, unit);
  const QColor ink(chrome::kInk);
  if (selected) {
    painter.setPen(Qt::NoPen);
    painter.setBrush(QColor(chrome::kAccent));
    painter.drawPath(badge(attrs, 4));
  }
  painter.setPen(QPen(QColor(chrome::kSheet), 4));
  painter.setBrush(QColor(chrome::kSheet));
  painter.drawPath(badge(attrs, 0));
  painter.setPen(QPen(ink, selected ? 2.2 : 1.5));
  painter.drawPath(badge(attrs, 0));
  QPen pen(ink, 1.4);
  pen.setCapStyle(Qt::RoundCap);
  pen.setJoinStyle(Qt::RoundJoin);
  painter.setPen(pen);
  painter.setBrush(Qt::NoBrush);
  painter.save();
  glyph(painter, attrs);
  painter.restore();
  if (const auto* s = std::get_if<StandAttrs>(&attrs))
    drawFacing(painter, s->facing_deg - up_deg, pen);
  if (const auto* c = std::get_if<CameraAttrs>(&attrs))
    drawFacing(painter, c->facing_deg - up_deg, pen);
  painter.restore();
}

void drawKindPicture(QPainter& painter, const Attributes& attrs, const QRectF& box, double unit) {
  const Kind kind = static_cast<Kind>(attrs.index());
  const KindInfo& k = info(kind);
  if (k.point) {
    const double fit = std::min(box.width(), box.height()) / (2 * kSymbolRadiusPx + 5);
    Attributes upright = attrs;  // without facing marks, which would leave the box
    const double scale = std::min(unit * 1.2, fit);
    if (kind == Kind::stand) std::get<StandAttrs>(upright).facing_deg = 45;
    if (kind == Kind::camera) std::get<CameraAttrs>(upright).facing_deg = 45;
    return drawSymbol(painter, upright, box.center(), scale);
  }
  const double w = box.width() / unit, h = box.height() / unit;
  Feature f = sample(attrs, w, h);
  if (auto* barrier = std::get_if<BarrierAttrs>(&f.attrs)) barrier->gaps = {{w * 0.62, 4}};
  painter.save();
  painter.setClipRect(box.adjusted(-unit, -unit, unit, unit));
  drawFeature(painter, MapTransform({w / 2, -h / 2}, 1, box, unit), f, {});
  painter.restore();
}

}  // namespace leeward::ui
