// HourStrip: one day of the property under the map: light, legal hours, the wind of every hour as a
// barb, and the sit as a bracket from arriving to leaving. Moving along it changes the map at once.
#pragma once

#include "core/eval/results.h"
#include "ui/session/hours.h"

#include <QWidget>

namespace leeward::ui {

/// Between instants of a day and places on the strip; linear in UTC, so a day of a clock change has
/// 23 or 25 equal hours.
struct StripScale {
  CivilDay day;
  double left = 0;
  double width = 1;
  double x(Instant at) const {
    return left + width * static_cast<double>((at - day.start).count()) /
                      static_cast<double>((day.end - day.start).count());
  }
  /// To the nearest `step_min` minutes from the day's start, within the day.
  Instant at(double x, int step_min) const;
};

class HourStrip : public QWidget {
  Q_OBJECT

 public:
  explicit HourStrip(QWidget* parent = nullptr);
  /// `place`: the property's centre, for the sun.
  void setDocument(Ref<Document> document, LonLat place, double convergence_deg);
  void setArrive(Instant arrive);
  void setReadOnly(bool read_only) { read_only_ = read_only; }
  StripScale scale() const;
  QSize sizeHint() const override { return {700, 146}; }

 signals:
  /// The sit was moved; `finished` when the button was released or a key used.
  void arriveMoved(Instant arrive, bool finished);
  /// The end of the sit was dragged.
  void sitStretched(int minutes, bool finished);

 protected:
  void paintEvent(QPaintEvent* event) override;
  void mousePressEvent(QMouseEvent* event) override;
  void mouseMoveEvent(QMouseEvent* event) override;
  void mouseReleaseEvent(QMouseEvent* event) override;
  void wheelEvent(QWheelEvent* event) override;
  void keyPressEvent(QKeyEvent* event) override;
  void changeEvent(QEvent* event) override;

 private:
  void takeLook();
  /// Width in the strip's own pixels, of which each is unit_ logical ones.
  double breadth() const { return width() / unit_; }
  enum class Grab { none, sit, leave };
  struct Chip {
    QRectF box;
    Instant day;
    QString words;
  };
  std::vector<Chip> chips() const;
  Instant leave() const;
  QRectF skyBox() const;
  void goToDay(Instant day);
  void moveBy(std::chrono::minutes step);
  QString title() const;
  void paintTitle(QPainter& p) const;
  void paintChips(QPainter& p) const;
  void paintSky(QPainter& p) const;
  void paintLegal(QPainter& p) const;
  void paintHours(QPainter& p) const;
  void paintSit(QPainter& p) const;

  Ref<Document> document_ = make_ref<Document>();
  LonLat place_;
  double convergence_deg_ = 0;
  Instant arrive_{};
  CivilDay day_{};
  SunDay sun_;
  double unit_ = 1;  ///< textScale(): the whole strip grows with its type.
  bool read_only_ = false;
  Grab grab_ = Grab::none;
  std::chrono::seconds grab_offset_{0};
};

}  // namespace leeward::ui
