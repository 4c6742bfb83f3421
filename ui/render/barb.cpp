#include "ui/render/barb.h"

#include "core/base/units.h"

#include <QPainter>
#include <QPen>

#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kStep = 0.15;   // between barbs, in staff lengths
constexpr double kReach = 0.42;  // of a full barb, sideways
constexpr double kLean = 0.15;   // of a full barb, toward the tip

}  // namespace

BarbShape barbShape(double speed_kt, bool northern) {
  BarbShape shape;
  if (speed_kt < 1) {
    shape.calm = true;
    return shape;
  }
  const double side = northern ? 1 : -1;
  int five_kt = static_cast<int>(std::lround(speed_kt / 5));
  double y = -1;
  for (; five_kt >= 10; five_kt -= 10) {
    shape.pennants.push_back(
        QPolygonF{{0, y}, {side * kReach, y + kStep / 2 - kLean / 2}, {0, y + kStep * 1.2}});
    y += kStep * 1.35;
  }
  for (; five_kt >= 2; five_kt -= 2) {
    shape.full.emplace_back(QPointF(0, y), QPointF(side * kReach, y - kLean));
    y += kStep;
  }
  if (five_kt == 1) {
    if (y == -1)
      y += kStep;  // a lone half barb stands in from the tip, else it reads as a full one
    shape.half.emplace_back(QPointF(0, y), QPointF(side * kReach / 2, y - kLean / 2));
  }
  return shape;
}

void drawBarb(QPainter& painter, QPointF station, std::optional<double> from_deg,
              std::optional<double> speed_mps, double length, double width, const QColor& ink,
              bool northern) {
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  painter.translate(station);
  QPen pen(ink, width);
  pen.setCapStyle(Qt::RoundCap);
  pen.setJoinStyle(Qt::MiterJoin);
  painter.setBrush(Qt::NoBrush);
  const double r = length * 0.16;
  if (!speed_mps || (!from_deg && *speed_mps / kMpsPerKnot >= 1)) {
    pen.setStyle(Qt::DotLine);  // unknown, or a direction that varies
    painter.setPen(pen);
    painter.drawEllipse(QPointF(0, 0), r * 1.4, r * 1.4);
    painter.restore();
    return;
  }
  painter.setPen(pen);
  const BarbShape shape = barbShape(*speed_mps / kMpsPerKnot, northern);
  if (shape.calm) {
    painter.drawEllipse(QPointF(0, 0), r, r);
    painter.restore();
    return;
  }
  painter.rotate(*from_deg);
  const auto at = [&](QPointF p) { return p * length; };
  painter.drawLine(QPointF(0, 0), at({0, -1}));
  for (const QLineF& l : shape.full) painter.drawLine(at(l.p1()), at(l.p2()));
  for (const QLineF& l : shape.half) painter.drawLine(at(l.p1()), at(l.p2()));
  painter.setBrush(ink);
  for (const QPolygonF& p : shape.pennants) {
    QPolygonF scaled;
    for (const QPointF& v : p) scaled.append(at(v));
    painter.drawPolygon(scaled);
  }
  painter.drawEllipse(QPointF(0, 0), width * 1.2, width * 1.2);
  painter.restore();
}

}  // namespace leeward::ui
