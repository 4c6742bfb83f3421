// Rasters as pictures: relief, scent, sight. Each is made once per result and then drawn scaled.
#pragma once

#include "core/eval/results.h"
#include "ui/render/map_transform.h"

#include <QImage>

#include <vector>

class QPainter;

namespace leeward::ui {

/// A picture that covers a box of the ground.
struct GroundImage {
  QImage image;
  Box box;
  bool empty() const { return image.isNull(); }
};

/// Light and shade of the terrain as translucent white and black, lit from the north-west at 45
/// degrees (slope after Horn 1981), at most `max_side` pixels a side. Level ground is clear.
GroundImage reliefImage(const Raster<float>& ground, int max_side = 2000);

/// The sitter's scent: relative exposure on the scent ramp; clear below 0.001.
struct ScentPicture {
  GroundImage image;
  std::vector<std::pair<float, Path>> lines;  ///< Level and isoline.
};
ScentPicture scentPicture(const Raster<float>& scent);

/// What the sitter sees, on the sight ramp; clear where under 5 % of sight arrives.
GroundImage sightImage(const Raster<std::uint8_t>& sight);

void drawGroundImage(QPainter& painter, const MapTransform& t, const GroundImage& ground,
                     double opacity);
void drawScent(QPainter& painter, const MapTransform& t, const ScentPicture& scent, double opacity);

}  // namespace leeward::ui
