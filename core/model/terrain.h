// The ground under a property as the evaluators read it: loaded once by io, then immutable.
#pragma once

#include "core/geo/raster.h"

#include <string>
#include <vector>

namespace leeward {

struct Terrain {
  /// Metres above sea on the fine grid (the elevation's own cells, at most 4000 x 4000); NaN
  /// unknown. Empty when the property has no elevation: then the ground is taken as flat and the
  /// results say so.
  Raster<float> ground;
  /// Canopy height above ground on the same grid, metres, >= 0, NaN unknown; empty without a
  /// surface.
  Raster<float> canopy_m;
  /// What the property's rasters cover together, where it was looked up (nothing is drawn and there
  /// is no ground): the place of the property until something is.
  Box rasters;
  /// What the loader noticed ("the surface lies 280 m below the ground"), in sentences.
  std::vector<std::string> notes;
};

}  // namespace leeward
