#include "ui/tools/plate.h"

#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QFontMetricsF>
#include <QPainter>

#include <algorithm>

namespace leeward::ui {

void drawPlate(QPainter& painter, QPointF at, const std::vector<PlateLine>& lines) {
  if (lines.empty()) return;
  const QFont font = screenFont(type::kStrong, QFont::DemiBold);
  const QFontMetricsF metrics(font);
  double width = 0;
  for (const PlateLine& line : lines)
    width = std::max(width, metrics.horizontalAdvance(line.words));
  const double row = metrics.height() + 1;
  QRectF plate(at + QPointF(16, 14),
               QSizeF(width + 14, row * static_cast<double>(lines.size()) + 8));
  const double most_x = painter.device()->width() / painter.device()->devicePixelRatioF();
  const double most_y = painter.device()->height() / painter.device()->devicePixelRatioF();
  if (plate.right() > most_x) plate.moveRight(std::min(most_x, at.x() - 12));
  if (plate.bottom() > most_y) plate.moveBottom(at.y() - 12);
  QColor ground = theme().sheet;
  ground.setAlpha(238);
  painter.setBrush(ground);
  painter.setPen(QPen(theme().edge, 1));
  painter.drawRoundedRect(plate, 4, 4);
  painter.setFont(font);
  double y = plate.top() + 4 + metrics.ascent();
  for (const PlateLine& line : lines) {
    painter.setPen(line.ink);
    painter.drawText(QPointF(plate.left() + 7, y), line.words);
    y += row;
  }
}

}  // namespace leeward::ui
