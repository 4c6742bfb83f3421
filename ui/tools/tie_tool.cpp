#include "ui/tools/tie_tool.h"

#include "ui/render/labels.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QKeyEvent>
#include <QPainter>

namespace leeward::ui {
namespace {

constexpr double kReach_px = 10;
constexpr QRgb kMark = 0xFF2B1A4F, kCasing = 0xFFFFFFFF;

}  // namespace

void drawTieMark(QPainter& painter, QPointF at, int number, bool chosen) {
  const double r = chosen ? 9 : 7;
  for (const bool casing : {true, false}) {
    painter.setPen(QPen(QColor(casing ? kCasing : kMark), casing ? 4.5 : 1.8));
    painter.setBrush(Qt::NoBrush);
    painter.drawEllipse(at, r, r);
    painter.drawLine(at - QPointF(r + 4, 0), at + QPointF(r + 4, 0));
    painter.drawLine(at - QPointF(0, r + 4), at + QPointF(0, r + 4));
  }
  drawHaloText(painter, at + QPointF(r + 6, -4), QString::number(number),
               fontOfPixels(chosen ? type::kBody : type::kStrong, QFont::Bold), QColor(kMark), 3);
}

void TieTool::show(std::vector<Mark> marks, Path outline) {
  marks_ = std::move(marks);
  outline_ = std::move(outline);
  map_.repaintTools();
}

bool TieTool::press(const Pointer& p) {
  dragged_ = -1;
  for (const Mark& m : marks_) {
    const QPointF d = map_.transform().toDevice(m.at) - p.px;
    if (QPointF::dotProduct(d, d) <= kReach_px * kReach_px) dragged_ = m.number;
  }
  return dragged_ >= 0;
}

void TieTool::move(const Pointer& p, bool dragging) {
  if (dragging && dragged_ >= 0) emit moved(dragged_, p.at);
}

bool TieTool::key(const QKeyEvent& event) {
  if (event.key() != Qt::Key_Escape) return false;
  emit left();
  return true;
}

void TieTool::paint(QPainter& painter) {
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  const MapTransform& t = map_.transform();
  if (!outline_.empty()) {
    painter.setBrush(Qt::NoBrush);
    const QPolygonF edge = t.toDevice(outline_);
    painter.setPen(QPen(QColor(kCasing), 4));
    painter.drawPolygon(edge);
    painter.setPen(QPen(QColor(kMark), 1.6, Qt::DashLine));
    painter.drawPolygon(edge);
  }
  for (const Mark& m : marks_) {
    const QPointF at = t.toDevice(m.at);
    for (const bool casing : {true, false}) {
      painter.setPen(QPen(QColor(casing ? kCasing : kMark), casing ? 4.5 : 1.8));
      painter.drawLine(at, t.toDevice(m.lands));
    }
    drawTieMark(painter, at, m.number, m.chosen);
  }
  painter.restore();
}

QString TieTool::hint() const {
  return tr("Click where the marked spot of the picture lies; drag a mark to move it; Esc ends");
}

}  // namespace leeward::ui
