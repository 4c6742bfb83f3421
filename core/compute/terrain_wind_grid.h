// The grids that the wind over a land is solved on, and the ground under them.
#pragma once

#include "core/compute/terrain_wind.h"

#include <optional>

namespace leeward::compute {

/// Cells of the grid around over one of the inner grid.
inline constexpr int kCellsAround = 8;

/// Columns stand at the centres of the cells.
struct WindGrids {
  GridSpec inner;   ///< Over the area and its margin.
  GridSpec around;  ///< Wider cells over that and what lies beyond; empty where nothing is asked.
  GridSpec ground;  ///< Cells as those of `inner` over all of it.
};
WindGrids wind_grids(const Box& area, const TerrainWindOptions& options);

struct WindGround {
  ColumnGrid inner;
  std::optional<ColumnGrid> around;  ///< Of the same top and levels.
};
/// `ground` is on grids.ground or any other grid; where it is unknown, the nearest known ground is
/// carried on. None if nothing is known.
std::optional<WindGround> wind_columns(const WindGrids& grids, const Raster<float>& ground,
                                       const TerrainWindOptions& options);

/// A solution around, at the edge of the inner grid: bilinear, level by level.
EdgeValues edge_values(const WindGrids& grids, const WindGround& ground,
                       const std::vector<double>& around);

}  // namespace leeward::compute
