// Small air maps and pictures for the tests of what is drawn of the air.
#pragma once

#include "core/eval/results.h"
#include "ui/render/map_transform.h"

#include <QImage>
#include <QPainter>

namespace leeward::ui::testing {

/// An air map of `cell_m` cells, `cols` by `cols`, its north-west corner at (0, 0): one wind and
/// one slope air everywhere (m/s, where the air goes), no doubt.
inline AirMap evenAir(LocalXY wind, LocalXY slope, int cols = 60, double cell_m = 10) {
  const GridSpec spec{0, 0, cell_m, cols, cols};
  AirMap air;
  air.east = Raster<float>(spec, static_cast<float>(wind.x));
  air.north = Raster<float>(spec, static_cast<float>(wind.y));
  air.slope_east = Raster<float>(spec, static_cast<float>(slope.x));
  air.slope_north = Raster<float>(spec, static_cast<float>(slope.y));
  air.doubt = Raster<std::uint8_t>(spec, 0);
  air.bent = true;
  return air;
}

/// `draw(painter, transform)` on an even ground of 400 by 400 pixels about `centre`.
template <class Draw>
QImage pictureOf(LocalXY centre, double metres_per_px, QColor ground, Draw draw) {
  QImage image(400, 400, QImage::Format_RGB32);
  image.fill(ground);
  QPainter painter(&image);
  draw(painter, MapTransform(centre, metres_per_px, QRectF(0, 0, 400, 400)));
  return image;
}

/// Pixels of `part` darker than `below` (grey, 0..255).
inline int darkIn(const QImage& image, const QRect& part, int below = 110) {
  int n = 0;
  const QRect r = part & image.rect();
  for (int y = r.top(); y <= r.bottom(); ++y)
    for (int x = r.left(); x <= r.right(); ++x) n += qGray(image.pixel(x, y)) < below;
  return n;
}

/// Pixels of `part` that differ from `ground`.
inline int inkIn(const QImage& image, const QRect& part, QColor ground) {
  int n = 0;
  const QRect r = part & image.rect();
  for (int y = r.top(); y <= r.bottom(); ++y)
    for (int x = r.left(); x <= r.right(); ++x) n += image.pixel(x, y) != ground.rgb();
  return n;
}

}  // namespace leeward::ui::testing
