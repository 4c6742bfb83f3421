#include "ui/render/map_transform.h"

#include <algorithm>
#include <cmath>

namespace leeward::ui {

MapTransform::MapTransform(LocalXY centre, double metres_per_px, QRectF viewport,
                           double device_per_px)
    : centre_(centre),
      metres_per_px_(metres_per_px),
      viewport_(viewport),
      middle_(viewport.center()),
      device_per_px_(device_per_px),
      device_per_m_(device_per_px / metres_per_px) {}

QPolygonF MapTransform::toDevice(const Path& path) const {
  QPolygonF out;
  out.reserve(static_cast<qsizetype>(path.size()));
  for (const LocalXY p : path) out.append(toDevice(p));
  return out;
}

QRectF MapTransform::toDevice(const Box& box) const {
  return QRectF(toDevice(LocalXY{box.min_x, box.max_y}), toDevice(LocalXY{box.max_x, box.min_y}));
}

QRectF MapTransform::enclosing(const Box& box) const {
  if (!isTurned()) return toDevice(box);
  return turning().mapRect(level().toDevice(box));
}

Box MapTransform::toLocal(const QRectF& device) const {
  Box box;
  for (const QPointF corner :
       {device.topLeft(), device.bottomRight(), device.topRight(), device.bottomLeft()})
    box.add(toLocal(corner));
  return box;
}

MapTransform MapTransform::turned(double up_deg) const {
  MapTransform out = *this;
  out.up_deg_ = wrap_360(up_deg);
  out.up_north_ = out.isTurned() ? std::cos(up_deg * kRadPerDeg) : 1;
  out.up_east_ = out.isTurned() ? std::sin(up_deg * kRadPerDeg) : 0;
  return out;
}

MapTransform MapTransform::turnedAbout(QPointF fixed, double up_deg) const {
  const LocalXY ground = toLocal(fixed);
  const MapTransform out = turned(up_deg);
  return out.pannedBy(fixed - out.toDevice(ground));
}

MapTransform MapTransform::withTypeScale(double scale) const {
  MapTransform out = *this;
  out.type_scale_ = scale;
  return out;
}

MapTransform MapTransform::level() const {
  MapTransform out = turned(0);
  if (isTurned()) out.viewport_ = turning().inverted().mapRect(viewport_);
  return out;
}

QTransform MapTransform::turning() const {
  QTransform out;
  out.translate(middle_.x(), middle_.y());
  out.rotate(-up_deg_);
  out.translate(-middle_.x(), -middle_.y());
  return out;
}

QTransform MapTransform::fromDeviceOf(const MapTransform& from) const {
  const QPointF o = toDevice(from.toLocal(QPointF(0, 0)));
  const QPointF x = toDevice(from.toLocal(QPointF(1, 0))) - o;
  const QPointF y = toDevice(from.toLocal(QPointF(0, 1))) - o;
  return {x.x(), x.y(), y.x(), y.y(), o.x(), o.y()};
}

MapTransform MapTransform::zoomedAbout(QPointF fixed, double metres_per_px) const {
  const LocalXY ground = toLocal(fixed);
  MapTransform out = *this;
  out.metres_per_px_ = metres_per_px;
  out.device_per_m_ = device_per_px_ / metres_per_px;
  return out.pannedBy(fixed - out.toDevice(ground));
}

MapTransform MapTransform::pannedBy(QPointF by) const {
  MapTransform out = *this;
  out.centre_ = toLocal(middle_ - by);
  return out;
}

MapTransform MapTransform::resized(QRectF viewport) const {
  MapTransform out = *this;
  out.viewport_ = viewport;
  out.middle_ = viewport.center();
  return out;
}

MapTransform MapTransform::part(const QRectF& viewport) const {
  MapTransform out = resized(viewport);
  out.centre_ = toLocal(viewport.center());
  return out;
}

MapTransform MapTransform::fitting(const Box& box, QRectF viewport, double margin_px,
                                   double device_per_px) {
  return MapTransform({}, 1, viewport, device_per_px).fitted(box, margin_px);
}

MapTransform MapTransform::fitted(const Box& box, double margin_px) const {
  const double w_px = std::max(viewport_.width() / device_per_px_ - 2 * margin_px, 10.0);
  const double h_px = std::max(viewport_.height() / device_per_px_ - 2 * margin_px, 10.0);
  const double c = std::abs(up_north_), s = std::abs(up_east_);
  const double across_m = box.width_m() * c + box.height_m() * s;
  const double along_m = box.width_m() * s + box.height_m() * c;
  MapTransform out = *this;
  out.centre_ = box.empty() ? LocalXY{} : box.centre();
  out.metres_per_px_ = std::max({across_m / w_px, along_m / h_px, 0.02});
  out.device_per_m_ = device_per_px_ / out.metres_per_px_;
  return out;
}

}  // namespace leeward::ui
