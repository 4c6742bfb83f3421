// Ground too steep, or too near a cliff, to be walked as other ground is.
#pragma once

#include "core/compute/walk_graph.h"
#include "core/geo/cell_box.h"

#include <span>

namespace leeward::compute {

/// All values: common practice, no source. 35 degrees is where hands are needed.
struct SteepRules {
  double limit_slope = 0.7;   ///< Rise over run; steeper ground is steep.
  double steep_slowness = 3;  ///< Factor on steep ground by day, >= 1; infinity: no entry.
  double cliff_near_m = 8;    ///< From the edge of a cliff to the centre of a cell.
  double cliff_slowness = 2;  ///< Factor within that distance by day, >= 1; infinity: no entry.
  friend bool operator==(const SteepRules&, const SteepRules&) = default;
};

/// The steepest of the steps from a cell to its eight neighbours, up or down, as rise over run >=
/// 0; 0 where its ground or that of all neighbours is unknown.
double steepest_step(const Raster<WalkCell>& cells, int col, int row);

/// Slows cells that are steep or near a cliff by day, and closes them by night. Cells on a path
/// stay as they are: it has been walked. `cliffs` are the edges in the property's frame without
/// their gaps; a gap narrower than twice cliff_near_m closes by night unless it is opened
/// afterwards.
void apply_steep_rules(Raster<WalkCell>& cells, std::span<const Path> cliffs,
                       const SteepRules& rules, bool night);
/// The same for the cells of the windows alone, none of which lies over another.
void apply_steep_rules(Raster<WalkCell>& cells, std::span<const Path> cliffs,
                       const SteepRules& rules, bool night, std::span<const CellBox> windows);

}  // namespace leeward::compute
