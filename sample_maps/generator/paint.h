// The demo's aerial picture and its tree heights, painted from the same layout and the same crowns.
#pragma once

#include "core/io/raster_files.h"
#include "core/model/property.h"
#include "sample_maps/generator/land.h"

namespace leeward::demo {

/// What covers each cell, for painting; from the layout's features.
enum class Ground : std::uint8_t {
  pasture,
  stubble,
  corn,
  clover,
  alfalfa,
  brassica,
  grass,
  woods,
  mixed_woods,
  conifers,
  brush,
  felled,
  water,
  gravel,
  track,
  roof,
  yard
};
Raster<std::uint8_t> make_ground_map(const std::vector<Feature>& features, double cell_m);

/// 0.5 m picture of the whole square, lit from the south-east in late autumn.
io::Picture paint_aerial(const Raster<std::uint8_t>& map, const Raster<float>& ground);
/// Ground plus trees, 2 m cells.
Raster<float> make_surface(const Raster<std::uint8_t>& map, const Raster<float>& ground);

}  // namespace leeward::demo
