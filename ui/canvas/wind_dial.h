// WindDial: the wind of the hour as a barb on a small compass in a corner of the map. Dragging its
// knob turns the wind by hand; the wheel over it changes the speed.
#pragma once

#include <QPointF>
#include <QRectF>
#include <QString>

#include <optional>

class QPainter;

namespace leeward::ui {

class WindDial {
 public:
  static constexpr double kRadiusPx = 44;

  /// `unit`: logical pixels to a pixel of the dial, for larger type.
  void place(QPointF middle, double unit) { middle_ = middle, unit_ = unit; }
  /// The grid bearing at the top of the map.
  void setUp(double up_deg) { up_deg_ = up_deg; }
  QPointF middle() const { return middle_; }
  /// Grid bearing of the wind's origin, its speed, and the words under the dial.
  void show(std::optional<double> from_deg, std::optional<double> speed_mps, QString words,
            bool northern);
  void setDragging(bool dragging) { dragging_ = dragging; }
  bool dragging() const { return dragging_; }
  /// True on the disc and its knob.
  bool hit(QPointF at) const;
  /// The grid bearing of a place seen from the middle, to 5 degrees, or to 1 when `fine`.
  double bearingAt(QPointF at, bool fine) const;
  QPointF knob() const;
  QRectF box() const;
  void paint(QPainter& painter) const;

 private:
  void paintDisc(QPainter& painter) const;
  void paintWords(QPainter& painter) const;

  QPointF middle_;
  double unit_ = 1;
  double up_deg_ = 0;
  std::optional<double> from_deg_;
  std::optional<double> speed_mps_;
  QString words_;
  bool northern_ = true;
  bool dragging_ = false;
};

}  // namespace leeward::ui
