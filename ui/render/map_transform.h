// MapTransform: between the property's frame and a drawing device. The same painters draw on screen
// pixels and on the dots of a PDF: sizes of symbols, lines and type are given in logical pixels
// (1/96 inch) and pass through px().
#pragma once

#include "core/geo/point.h"

#include <QPointF>
#include <QPolygonF>
#include <QRectF>

namespace leeward::ui {

class MapTransform {
 public:
  MapTransform() = default;
  /// `centre` lies in the middle of `viewport` (device units); a logical pixel covers
  /// `metres_per_px` of the ground; `device_per_px` device units make one logical pixel (1 on
  /// screen, dpi / 96 on a printer).
  MapTransform(LocalXY centre, double metres_per_px, QRectF viewport, double device_per_px = 1);

  /// Metres of ground under a logical pixel of a map at 1 : `denominator`.
  static double metresPerPxAtScale(double denominator) { return denominator * 0.0254 / 96; }

  QPointF toDevice(LocalXY p) const {
    const double east = (p.x - centre_.x) * device_per_m_,
                 north = (p.y - centre_.y) * device_per_m_;
    return {middle_.x() + east * up_north_ - north * up_east_,
            middle_.y() - east * up_east_ - north * up_north_};
  }
  LocalXY toLocal(QPointF d) const {
    const double right = (d.x() - middle_.x()) / device_per_m_,
                 up = (middle_.y() - d.y()) / device_per_m_;
    return {centre_.x + right * up_north_ + up * up_east_,
            centre_.y - right * up_east_ + up * up_north_};
  }
  QPolygonF toDevice(const Path& path) const;
  /// REQUIRES: not turned.
  QRectF toDevice(const Box& box) const;

  LocalXY centre() const { return centre_; }
  double metresPerPx() const { return metres_per_px_; }
  double devicePerMetre() const { return device_per_m_; }
  double devicePerPx() const { return device_per_px_; }
  /// Logical pixels to device units.
  double px(double logical) const { return logical * device_per_px_; }
  double mm(double millimetres) const { return px(millimetres * 96 / 25.4); }
  QRectF viewport() const { return viewport_; }
  /// The box of all ground that the viewport shows.
  Box visible() const;

  /// The same place at another scale, with the ground under `fixed` (device) kept there.
  MapTransform zoomedAbout(QPointF fixed, double metres_per_px) const;
  /// Shifted so that what was at (0, 0) moves to `by` (device).
  MapTransform pannedBy(QPointF by) const;
  MapTransform resized(QRectF viewport) const;
  /// The same with grid bearing `up_deg` at the top instead of grid north. What is derived from it
  /// by the functions above is not turned.
  MapTransform turned(double up_deg) const;
  /// The smallest scale at which `box` fits into `viewport` with `margin_px` to spare.
  static MapTransform fitting(const Box& box, QRectF viewport, double margin_px,
                              double device_per_px = 1);
  friend bool operator==(const MapTransform&, const MapTransform&) = default;

 private:
  LocalXY centre_;
  double metres_per_px_ = 1;
  QRectF viewport_{0, 0, 100, 100};
  QPointF middle_{50, 50};
  double device_per_px_ = 1;
  double device_per_m_ = 1;
  double up_north_ = 1, up_east_ = 0;  ///< Of the direction at the top.
};

}  // namespace leeward::ui
