#include "ui/tools/frame_tool.h"

#include "ui/print/map_frame.h"
#include "ui/render/labels.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QFontMetricsF>
#include <QKeyEvent>
#include <QLineF>
#include <QPainter>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kReach_px = 12, kKnob_px = 26, kHandle_px = 5;
constexpr double kStep_mm = 2, kWideStep_mm = 20;
constexpr double kTurn_deg = 1, kWideTurn_deg = 15;

std::array<LocalXY, 4> cornersAt(LocalXY centre, QSizeF size_m, double up_deg) {
  const Bearing up = Bearing::degrees(up_deg), right = up.turned_deg(90);
  const auto at = [&](double r, double u) {
    return moved(moved(centre, right, r * size_m.width() / 2), up, u * size_m.height() / 2);
  };
  return {at(-1, -1), at(-1, 1), at(1, 1), at(1, -1)};
}

QPolygonF outline(const MapTransform& t, const std::array<LocalXY, 4>& corners) {
  QPolygonF out;
  for (const LocalXY c : corners) out << t.toDevice(c);
  return out;
}

// From the middle of the upper side outward.
QPointF knobOf(const QPolygonF& box) {
  const QPointF top = (box[1] + box[2]) / 2, low = (box[0] + box[3]) / 2;
  const QLineF up(low, top);
  return up.length() < 1e-6 ? top : top + QPointF(up.dx(), up.dy()) / up.length() * kKnob_px;
}

double turned(double deg) { return std::remainder(deg, 360.0); }

void stroke(QPainter& p, const QPolygonF& shape, Qt::PenStyle style) {
  QColor pale = QColor::fromRgb(chrome::kSheet);
  p.setBrush(Qt::NoBrush);
  p.setPen(QPen(pale, 4.5, Qt::SolidLine, Qt::FlatCap, Qt::MiterJoin));
  p.drawPolygon(shape);
  p.setPen(QPen(QColor::fromRgb(chrome::kInk), 1.8, style, Qt::FlatCap, Qt::MiterJoin));
  p.drawPolygon(shape);
}

}  // namespace

double roundScale(double denominator, bool round) {
  const double d = std::clamp(denominator, kLeastScale, kMostScale);
  if (round) {
    double best = usualScales().front();
    for (const double s : usualScales())
      if (std::abs(std::log(s / d)) < std::abs(std::log(best / d))) best = s;
    return best;
  }
  const double unit = std::pow(10, std::floor(std::log10(d)) - 1) / 2;  // 50 at 1 : 5,000
  return std::round(d / unit) * unit;
}

double nextScale(double denominator, bool larger_ground) {
  double best = denominator;
  for (const double s : usualScales()) {
    if (larger_ground ? s > denominator + 0.5 : s < denominator - 0.5) {
      best = s;
      if (larger_ground) break;
    }
  }
  return best;
}

std::array<LocalXY, 4> PrintFrame::corners() const {
  QSizeF size_m = frame_mm * (denominator / 1000);
  const Bearing up = Bearing::degrees(up_deg), right = up.turned_deg(90);
  for (const AtlasSheet& s : sheets) {  // they lie evenly about the centre
    for (const LocalXY corner : s.corners) {
      const LocalXY off = corner - centre;
      size_m = size_m.expandedTo({2 * std::abs(off.x * right.east() + off.y * right.north()),
                                  2 * std::abs(off.x * up.east() + off.y * up.north())});
    }
  }
  return cornersAt(centre, size_m, up_deg);
}

void drawPrintFrame(QPainter& p, const MapTransform& t, const PrintFrame& frame, bool handles) {
  p.save();
  p.setRenderHint(QPainter::Antialiasing);
  const QFont font = fontOfPixels(type::kBody, QFont::DemiBold);
  for (const AtlasSheet& s : frame.sheets) {
    stroke(p, outline(t, s.corners), Qt::DashLine);
    const QPointF at = t.toDevice(s.centre);
    drawHaloText(p, at - QPointF(QFontMetricsF(font).horizontalAdvance(s.name) / 2, 0), s.name,
                 font, QColor::fromRgb(chrome::kInk), 3);
  }
  const QPolygonF box = outline(t, frame.corners());
  if (!frame.several()) stroke(p, box, handles ? Qt::SolidLine : Qt::DashLine);
  if (handles) {
    const QPointF knob = knobOf(box), top = (box[1] + box[2]) / 2;
    p.setPen(QPen(QColor::fromRgb(chrome::kInk), 1.8));
    p.setBrush(QColor::fromRgb(chrome::kSheet));
    p.drawLine(top, knob);
    p.drawEllipse(knob, kHandle_px + 1, kHandle_px + 1);
    if (!frame.several())
      for (const QPointF& c : box)
        p.drawRect(QRectF(c.x() - kHandle_px, c.y() - kHandle_px, 2 * kHandle_px, 2 * kHandle_px));
  }
  p.restore();
}

void FrameTool::show(const PrintFrame& frame) {
  frame_ = frame;
  map_.repaintTools();
}

QPointF FrameTool::knob() const { return knobOf(outline(map_.transform(), frame_.corners())); }

FrameTool::Grip FrameTool::gripAt(QPointF px) const {
  const QPolygonF box = outline(map_.transform(), frame_.corners());
  if (QLineF(px, knobOf(box)).length() < kReach_px) return Grip::knob;
  if (frame_.several()) return Grip::none;
  for (const QPointF& c : box)
    if (QLineF(px, c).length() < kReach_px) return Grip::corner;
  return box.containsPoint(px, Qt::OddEvenFill) ? Grip::inside : Grip::none;
}

bool FrameTool::press(const Pointer& p) {
  grip_ = gripAt(p.px);
  held_ = p.at - frame_.centre;
  return grip_ != Grip::none;
}

void FrameTool::move(const Pointer& p, bool dragging) {
  if (!dragging) {
    hover_ = gripAt(p.px);
    return;
  }
  PrintFrame next = frame_;
  const bool round = p.modifiers & Qt::ShiftModifier;
  if (grip_ == Grip::inside) {
    next.centre = p.at - held_;
  } else if (grip_ == Grip::corner) {
    const double half_mm = std::hypot(frame_.frame_mm.width(), frame_.frame_mm.height()) / 2;
    next.denominator = roundScale(1000 * distance_m(p.at, frame_.centre) / half_mm, round);
  } else if (grip_ == Grip::knob) {
    const double step = round ? kWideTurn_deg : kTurn_deg;
    const double deg = bearing(frame_.centre, p.at).degrees();
    next.up_deg = turned(std::round(deg / step) * step);
  }
  put(std::move(next));
}

void FrameTool::release(const Pointer& p) {
  grip_ = Grip::none;
  hover_ = gripAt(p.px);
}

bool FrameTool::key(const QKeyEvent& event) {
  const int key = event.key();
  if (key != Qt::Key_Left && key != Qt::Key_Right && key != Qt::Key_Up && key != Qt::Key_Down)
    return false;
  const bool wide = event.modifiers() & Qt::ShiftModifier;
  const bool sideways = key == Qt::Key_Left || key == Qt::Key_Right;
  const double sign = key == Qt::Key_Right || key == Qt::Key_Up ? 1 : -1;
  PrintFrame next = frame_;
  if (event.modifiers() & Qt::ControlModifier) {
    if (sideways)
      next.up_deg = turned(frame_.up_deg + sign * (wide ? kWideTurn_deg : kTurn_deg));
    else
      next.denominator = nextScale(frame_.denominator, sign > 0);
  } else if (!frame_.several()) {
    const double step_m = (wide ? kWideStep_mm : kStep_mm) * frame_.denominator / 1000;
    const Bearing up = Bearing::degrees(frame_.up_deg);
    next.centre = moved(frame_.centre, sideways ? up.turned_deg(90) : up, sign * step_m);
  }
  put(std::move(next));
  return true;
}

void FrameTool::put(PrintFrame frame) {
  if (frame.centre == frame_.centre && frame.denominator == frame_.denominator &&
      frame.up_deg == frame_.up_deg)
    return;
  frame_ = std::move(frame);
  map_.repaintTools();
  emit placed(frame_);
}

QCursor FrameTool::cursor() const {
  switch (grip_ == Grip::none ? hover_ : grip_) {
    case Grip::inside:
      return Qt::SizeAllCursor;
    case Grip::corner:
      return Qt::SizeFDiagCursor;
    case Grip::knob:
      return Qt::PointingHandCursor;
    case Grip::none:
      break;
  }
  return Qt::ArrowCursor;
}

QString FrameTool::hint() const {
  return frame_.several()
             ? tr("Pages lie over the ground by themselves. Knob or Ctrl+←→ turns them, Ctrl+↑↓ "
                  "changes the scale")
             : tr("Drag the page; a corner for its scale, the knob to turn it (Shift: round "
                  "values). Arrows move it, Ctrl+←→ turns, Ctrl+↑↓ scales");
}

}  // namespace leeward::ui
