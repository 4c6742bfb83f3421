// Lines of equal value through cell centres (marching squares, linear interpolation).
#pragma once

#include "core/geo/raster.h"

#include <vector>

namespace leeward::ui {

/// Joined lines where the raster passes through `level`; closed ones repeat their first point.
/// Squares with an unknown (NaN) corner are left out. Saddles are split by the mean of the four.
std::vector<Path> isolines(const Raster<float>& raster, float level);

}  // namespace leeward::ui
