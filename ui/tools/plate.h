// Words beside the pointer while a tool works, on a plate that hides the map below.
#pragma once

#include <QColor>
#include <QPointF>
#include <QString>

#include <vector>

class QPainter;

namespace leeward::ui {

struct PlateLine {
  QString words;
  QColor ink;
};
/// The plate's top left stands right below `at`, moved so that it stays inside the drawing area.
void drawPlate(QPainter& painter, QPointF at, const std::vector<PlateLine>& lines);

}  // namespace leeward::ui
