#include "ui/render/fields.h"

#include "ui/render/isolines.h"
#include "ui/style/palette.h"

#include <QPainter>
#include <QPainterPath>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

QImage blank(int w, int h) {
  QImage image(w, h, QImage::Format_ARGB32_Premultiplied);
  image.fill(Qt::transparent);
  return image;
}

QRgb* scanLine(QImage& image, int y) { return reinterpret_cast<QRgb*>(image.scanLine(y)); }

/// Horn's slope at a cell of `ground`, taken over `step` cells; NaN where a neighbour is unknown.
LocalXY slopeAt(const Raster<float>& g, int c, int r, int step) {
  const auto z = [&](int dc, int dr) {
    return static_cast<double>(g.at(std::clamp(c + dc * step, 0, g.spec.cols - 1),
                                    std::clamp(r + dr * step, 0, g.spec.rows - 1)));
  };
  const double run = 8 * step * g.spec.cell_m;
  const double east = (z(1, -1) + 2 * z(1, 0) + z(1, 1)) - (z(-1, -1) + 2 * z(-1, 0) + z(-1, 1));
  const double north = (z(-1, -1) + 2 * z(0, -1) + z(1, -1)) - (z(-1, 1) + 2 * z(0, 1) + z(1, 1));
  return {east / run, north / run};
}

QRgb shade(LocalXY slope) {
  if (std::isnan(slope.x) || std::isnan(slope.y)) return 0;
  constexpr double kStretch = 1.6;  // makes gentle farm land readable; for looks only
  const double sx = slope.x * kStretch, sy = slope.y * kStretch;
  const double toward = std::sqrt(0.5);  // sun at 45 degrees
  const double lx = -0.5, ly = 0.5;      // from the north-west
  const double lit = (-sx * lx - sy * ly + toward) / std::sqrt(1 + sx * sx + sy * sy);
  const double flat = toward;
  if (lit < flat) {
    const double dark = std::min(1.0, (flat - std::max(lit, 0.0)) / flat) * 0.75;
    return qPremultiply(qRgba(24, 32, 40, static_cast<int>(dark * 255)));
  }
  const double light = (lit - flat) / (1 - flat) * 0.55;
  return qPremultiply(qRgba(255, 252, 240, static_cast<int>(light * 255)));
}

}  // namespace

GroundImage reliefImage(const Raster<float>& ground, int max_side) {
  if (ground.empty()) return {};
  const int step =
      std::max(1, (std::max(ground.spec.cols, ground.spec.rows) + max_side - 1) / max_side);
  const int w = ground.spec.cols / step, h = ground.spec.rows / step;
  if (w < 1 || h < 1) return {};
  GroundImage out{blank(w, h), {}};
  for (int y = 0; y < h; ++y) {
    QRgb* line = scanLine(out.image, y);
    for (int x = 0; x < w; ++x)
      line[x] = shade(slopeAt(ground, x * step + step / 2, y * step + step / 2, step));
  }
  const double side = step * ground.spec.cell_m;
  out.box = {ground.spec.west, ground.spec.north - h * side, ground.spec.west + w * side,
             ground.spec.north};
  return out;
}

ScentPicture scentPicture(const Raster<float>& scent) {
  ScentPicture out;
  if (scent.empty()) return out;
  out.image = {blank(scent.spec.cols, scent.spec.rows), scent.spec.box()};
  for (int r = 0; r < scent.spec.rows; ++r) {
    QRgb* line = scanLine(out.image.image, r);
    const float* value = scent.row(r);
    for (int c = 0; c < scent.spec.cols; ++c) {
      const double t = scentShare(static_cast<double>(value[c]));
      if (t > 0) line[c] = scentRamp().premultiplied(t);
    }
  }
  for (const float level : kScentLevels)
    for (Path& path : isolines(scent, level))
      if (path.size() > 3) out.lines.emplace_back(level, std::move(path));
  return out;
}

GroundImage sightImage(const Raster<std::uint8_t>& sight) {
  if (sight.empty()) return {};
  GroundImage out{blank(sight.spec.cols, sight.spec.rows), sight.spec.box()};
  for (int r = 0; r < sight.spec.rows; ++r) {
    QRgb* line = scanLine(out.image, r);
    const std::uint8_t* value = sight.row(r);
    for (int c = 0; c < sight.spec.cols; ++c)
      if (value[c] > 12) line[c] = sightRamp().premultiplied(value[c] / 255.0);
  }
  return out;
}

void drawGroundImage(QPainter& painter, const MapTransform& t, const GroundImage& ground,
                     double opacity) {
  if (ground.empty() || opacity <= 0) return;
  // Only the part in view, so that a close look at a large picture stays quick.
  const MapTransform level = t.level();
  const Box seen = level.visible();
  const double sx = ground.image.width() / ground.box.width_m();
  const double sy = ground.image.height() / ground.box.height_m();
  QRectF source((seen.min_x - ground.box.min_x) * sx, (ground.box.max_y - seen.max_y) * sy,
                seen.width_m() * sx, seen.height_m() * sy);
  source = QRectF(source.adjusted(-2, -2, 2, 2).toAlignedRect() & ground.image.rect());
  if (source.isEmpty()) return;
  const Box part{ground.box.min_x + source.left() / sx, ground.box.max_y - source.bottom() / sy,
                 ground.box.min_x + source.right() / sx, ground.box.max_y - source.top() / sy};
  painter.save();
  painter.setRenderHint(QPainter::SmoothPixmapTransform);
  painter.setOpacity(painter.opacity() * opacity);
  if (t.isTurned()) painter.setTransform(t.turning(), true);
  painter.drawImage(level.toDevice(part), ground.image, source);
  painter.restore();
}

void drawScent(QPainter& painter, const MapTransform& t, const ScentPicture& scent,
               double opacity) {
  drawGroundImage(painter, t, scent.image, opacity);
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  painter.setBrush(Qt::NoBrush);
  painter.setOpacity(painter.opacity() * std::min(1.0, opacity * 1.2));
  for (const auto& [level, path] : scent.lines) {
    QPainterPath line;
    line.addPolygon(t.toDevice(path));
    QColor pale(chrome::kSheet);
    pale.setAlpha(150);
    painter.setPen(QPen(pale, t.px(2.2)));
    painter.drawPath(line);
    QColor ink = scentRamp().at(0.9);
    ink.setAlpha(230);
    const bool strong = level >= kScentLevels.back();
    painter.setPen(QPen(ink, t.px(strong ? 1.4 : 0.9), strong ? Qt::SolidLine : Qt::DashLine));
    painter.drawPath(line);
  }
  painter.restore();
}

}  // namespace leeward::ui
