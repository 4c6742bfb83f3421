#include "ui/canvas/map_legend.h"

#include <QPainter>

#include <utility>

namespace leeward::ui {

void MapLegend::show(std::vector<LegendRow> rows, bool visible) {
  const bool shown = visible && !rows.empty();
  if (rows == rows_ && shown == visible_) return;
  rows_ = std::move(rows);
  visible_ = shown;
  layOut();
}

bool MapLegend::leavesRoom() const {
  constexpr double kMostWide = 0.45, kMostHigh = 0.7;
  const QSizeF box = legendBox(rows_, true, {0, 0}).box.size() * unit_;
  return box.width() <= kMostWide * room_.width() && box.height() <= kMostHigh * room_.height();
}

void MapLegend::paint(QPainter& painter) {
  if (!visible_) return;
  const double ratio = painter.device()->devicePixelRatioF() * unit_;
  const QRectF frame = where_.box.adjusted(-1, -1, 1, 1);
  if (picture_.isNull() || picture_.devicePixelRatioF() != ratio) {
    picture_ = QImage((frame.size() * ratio).toSize(), QImage::Format_ARGB32_Premultiplied);
    picture_.setDevicePixelRatio(ratio);
    picture_.fill(Qt::transparent);
    QPainter own(&picture_);
    own.translate(-frame.topLeft());
    drawLegend(own, rows_, open(), where_);
  }
  painter.drawImage(QRectF(corner_ + frame.topLeft() * unit_, frame.size() * unit_), picture_);
}

}  // namespace leeward::ui
