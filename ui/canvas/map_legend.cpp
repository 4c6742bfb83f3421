#include "ui/canvas/map_legend.h"

#include <utility>

namespace leeward::ui {

void MapLegend::show(std::vector<LegendRow> rows, bool visible) {
  rows_ = std::move(rows);
  visible_ = visible && !rows_.empty();
  layOut();
}

void MapLegend::paint(QPainter& painter) const {
  if (visible_) drawLegend(painter, rows_, open_, where_);
}

}  // namespace leeward::ui
