// Text on the map: a halo for legibility, and places that do not collide.
#pragma once

#include "ui/render/map_transform.h"

#include <QColor>
#include <QFont>
#include <QString>

#include <optional>
#include <vector>

class QPainter;

namespace leeward::ui {

/// Text with its left baseline at `at`, on a pale halo. The text itself is drawn as text, so it
/// stays text in a PDF.
void drawHaloText(QPainter& painter, QPointF at, const QString& words, const QFont& font,
                  const QColor& ink, double halo);

/// Remembers what is taken in device units.
class LabelPlacer {
 public:
  explicit LabelPlacer(QRectF inside) : LabelPlacer(inside, inside) {}
  /// Labels stand wholly inside `preferred` where one of their places does, else inside `inside`.
  LabelPlacer(QRectF inside, QRectF preferred) : inside_(inside), preferred_(preferred) {}
  QRectF inside() const { return inside_; }
  void take(const QRectF& box) { taken_.push_back(box); }
  bool isFree(const QRectF& box) const { return isFree(box, inside_); }
  /// Draws at the first free place around `anchor` (right, left, above, below; the middle when
  /// `clear_px` is 0) and takes it. False: there is no room, nothing is drawn.
  bool label(QPainter& painter, const MapTransform& t, QPointF anchor, double clear_px,
             const QString& words, const QFont& font, const QColor& ink);
  /// From now on a label of a point that finds no place beside it goes further off, with a line
  /// that leads to the point.
  void allowLeaders(bool on = true) { leaders_ = on; }
  const std::vector<QRectF>& taken() const { return taken_; }

 private:
  struct Spot {
    QPointF anchor;
    double clear = 0;  ///< Device units.
    QSizeF size;
  };
  bool isFree(const QRectF& box, const QRectF& inside) const;
  std::optional<QRectF> besideWithLeader(QPainter& painter, const MapTransform& t,
                                         const Spot& spot) const;

  QRectF inside_, preferred_;
  bool leaders_ = false;
  std::vector<QRectF> taken_;
};

}  // namespace leeward::ui
