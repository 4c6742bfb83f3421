// MapLegend: the legend in the right lower corner of the map; a press on its bar folds it.
#pragma once

#include "ui/render/legend.h"

#include <QImage>
#include <QPointF>

#include <vector>

class QPainter;

namespace leeward::ui {

class MapLegend {
 public:
  void place(QPointF corner) { corner_ = corner, layOut(); }
  void show(std::vector<LegendRow> rows, bool visible);
  bool open() const { return open_; }
  void setOpen(bool open) { open_ = open, layOut(); }
  const std::vector<LegendRow>& rows() const { return rows_; }
  const LegendBox& where() const { return where_; }
  bool hit(QPointF at) const { return visible_ && where_.box.contains(at); }
  bool hitBar(QPointF at) const { return visible_ && where_.bar.contains(at); }
  void paint(QPainter& painter);

 private:
  void layOut() {
    where_ = legendBox(rows_, open_, corner_);
    picture_ = {};
  }

  std::vector<LegendRow> rows_;
  QPointF corner_;
  LegendBox where_;
  QImage picture_;  ///< Kept until something changes.
  bool open_ = true;
  bool visible_ = false;  ///< Wanted, and there is something to say.
};

}  // namespace leeward::ui
