// MapLegend: the legend in the right lower corner of the map; a press on its bar folds it.
#pragma once

#include "ui/render/legend.h"

#include <QImage>
#include <QPointF>

#include <optional>
#include <vector>

class QPainter;

namespace leeward::ui {

class MapLegend {
 public:
  /// `unit`: logical pixels to a pixel of the legend, for larger type.
  /// In a map of `room` it starts folded where it would hide too much.
  void place(QPointF corner, double unit, QSizeF room) {
    corner_ = corner, unit_ = unit, room_ = room, layOut();
  }
  void show(std::vector<LegendRow> rows, bool visible);
  bool open() const { return open_.value_or(leavesRoom()); }
  void setOpen(bool open) { open_ = open, layOut(); }
  const std::vector<LegendRow>& rows() const { return rows_; }
  /// Its boxes on the map.
  LegendBox where() const {
    const auto placed = [this](const QRectF& r) {
      return QRectF(corner_ + r.topLeft() * unit_, r.size() * unit_);
    };
    return {placed(where_.box), placed(where_.bar)};
  }
  bool hit(QPointF at) const { return visible_ && where_.box.contains(own(at)); }
  bool hitBar(QPointF at) const { return visible_ && where_.bar.contains(own(at)); }
  void paint(QPainter& painter);

 private:
  /// A place of the map as one of the legend, whose right lower corner is 0, 0.
  QPointF own(QPointF at) const { return (at - corner_) / unit_; }
  bool leavesRoom() const;
  void layOut() {
    where_ = legendBox(rows_, open(), {0, 0});
    picture_ = {};
  }

  std::vector<LegendRow> rows_;
  QPointF corner_;
  double unit_ = 1;
  LegendBox where_;
  QImage picture_;  ///< Kept until something changes.
  QSizeF room_;
  std::optional<bool> open_;  ///< What the user wants; nothing: open where there is room.
  bool visible_ = false;      ///< Wanted, and there is something to say.
};

}  // namespace leeward::ui
