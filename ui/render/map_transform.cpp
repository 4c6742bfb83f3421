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

Box MapTransform::visible() const {
  Box box;
  box.add(toLocal(viewport_.topLeft()));
  box.add(toLocal(viewport_.bottomRight()));
  box.add(toLocal(viewport_.topRight()));
  box.add(toLocal(viewport_.bottomLeft()));
  return box;
}

MapTransform MapTransform::turned(double up_deg) const {
  MapTransform out = *this;
  out.up_north_ = std::cos(up_deg * kRadPerDeg);
  out.up_east_ = std::sin(up_deg * kRadPerDeg);
  return out;
}

MapTransform MapTransform::zoomedAbout(QPointF fixed, double metres_per_px) const {
  const LocalXY ground = toLocal(fixed);
  const MapTransform scaled(centre_, metres_per_px, viewport_, device_per_px_);
  return scaled.pannedBy(fixed - scaled.toDevice(ground));
}

MapTransform MapTransform::pannedBy(QPointF by) const {
  const LocalXY centre{centre_.x - by.x() / device_per_m_, centre_.y + by.y() / device_per_m_};
  return {centre, metres_per_px_, viewport_, device_per_px_};
}

MapTransform MapTransform::resized(QRectF viewport) const {
  return {centre_, metres_per_px_, viewport, device_per_px_};
}

MapTransform MapTransform::fitting(const Box& box, QRectF viewport, double margin_px,
                                   double device_per_px) {
  const double w_px = std::max(viewport.width() / device_per_px - 2 * margin_px, 10.0);
  const double h_px = std::max(viewport.height() / device_per_px - 2 * margin_px, 10.0);
  const double scale = std::max({box.width_m() / w_px, box.height_m() / h_px, 0.02});
  return {box.empty() ? LocalXY{} : box.centre(), scale, viewport, device_per_px};
}

}  // namespace leeward::ui
