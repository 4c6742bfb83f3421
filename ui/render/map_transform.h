// MapTransform: between the property's frame and a drawing device. The same painters draw on screen
// pixels and on the dots of a PDF: sizes of symbols, lines and type are given in logical pixels
// (1/96 inch) and pass through px().
#pragma once

#include "core/geo/point.h"

#include <QPointF>
#include <QPolygonF>
#include <QRectF>
#include <QTransform>

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
  /// What encloses the box on the device, turned or not.
  QRectF enclosing(const Box& box) const;
  /// The ground that encloses a rectangle of the device.
  Box toLocal(const QRectF& device) const;
  /// One device unit toward a grid bearing.
  QPointF ahead(Bearing grid) const {
    return {grid.east() * up_north_ - grid.north() * up_east_,
            -grid.east() * up_east_ - grid.north() * up_north_};
  }

  LocalXY centre() const { return centre_; }
  double metresPerPx() const { return metres_per_px_; }
  double devicePerMetre() const { return device_per_m_; }
  double devicePerPx() const { return device_per_px_; }
  /// Logical pixels to device units.
  double px(double logical) const { return logical * device_per_px_; }
  double mm(double millimetres) const { return px(millimetres * 96 / 25.4); }
  /// Size of type on the device, for type of `logical` pixels, as the reader wants it scaled.
  double type(double logical) const { return px(logical) * type_scale_; }
  QRectF viewport() const { return viewport_; }
  /// The box of all ground that the viewport shows.
  Box visible() const { return toLocal(viewport_); }

  /// The same place at another scale, with the ground under `fixed` (device) kept there.
  MapTransform zoomedAbout(QPointF fixed, double metres_per_px) const;
  /// Shifted so that what was at (0, 0) moves to `by` (device).
  MapTransform pannedBy(QPointF by) const;
  MapTransform resized(QRectF viewport) const;
  /// Ground and device alike, with a part of the viewport as its viewport.
  MapTransform part(const QRectF& viewport) const;
  /// The same with grid bearing `up_deg` at the top. What the functions above derive stays turned.
  MapTransform turned(double up_deg) const;
  /// The same with the ground under `fixed` (device) kept there.
  MapTransform turnedAbout(QPointF fixed, double up_deg) const;
  MapTransform withTypeScale(double scale) const;
  /// Grid bearing at the top, [0, 360).
  double up_deg() const { return up_deg_; }
  bool isTurned() const { return up_deg_ != 0; }
  /// With grid north at the top, about the same middle, and so large that its viewport holds the
  /// turned one. turning() maps its device places to those of this one: a painter that takes it
  /// draws boxes and pictures of the ground as if nothing were turned.
  MapTransform level() const;
  QTransform turning() const;
  /// From the device of `from` to this one's: the same ground.
  QTransform fromDeviceOf(const MapTransform& from) const;
  /// The smallest scale at which `box` fits into `viewport` with `margin_px` to spare.
  static MapTransform fitting(const Box& box, QRectF viewport, double margin_px,
                              double device_per_px = 1);
  /// The smallest scale, turned as this is, at which `box` fits.
  MapTransform fitted(const Box& box, double margin_px) const;
  friend bool operator==(const MapTransform&, const MapTransform&) = default;

 private:
  LocalXY centre_;
  double metres_per_px_ = 1;
  QRectF viewport_{0, 0, 100, 100};
  QPointF middle_{50, 50};
  double device_per_px_ = 1;
  double device_per_m_ = 1;
  double up_deg_ = 0;
  double up_north_ = 1, up_east_ = 0;  ///< Of the direction at the top.
  double type_scale_ = 1;
};

}  // namespace leeward::ui
