// What can be seen from one eye over ground and through cover.
#pragma once

#include "core/base/result.h"
#include "core/geo/raster.h"

#include <cstdint>
#include <stop_token>

namespace leeward::compute {

/// Ground, cover top and cover density of one cell, side by side for the cache.
struct SightCell {
  float ground_m = 0;       ///< Above sea; NaN unknown: never seen, never blocks.
  float top_m = 0;          ///< Cover height above ground; 0 none.
  float density_per_m = 0;  ///< Beer-Lambert coefficient of the cover, 1/m.
};

static_assert(sizeof(SightCell) == 3 * sizeof(float), "rays walk the cells as floats");

struct SightOptions {
  double eye_m = 1.6;     ///< Above the ground at the eye.
  double target_m = 0.8;  ///< Above the ground at each cell.
  double reach_m = 400;
  double cleared_m = 0;  ///< Cover within this distance of the eye does not dim (trimmed limbs).
};

/// Share of sight (0..255) that reaches a target in each cell around `eye`, on the cells of `land`
/// within the reach; the result's grid is that part of `land`'s grid.
///
/// Ray sweep: one ray to every cell on the rim of the square; the ground blocks whole, cover dims
/// by Beer-Lambert with the length of the sight line below its top, kept in 64 slope bins a ray.
/// Each cell takes the ray that passes nearest to its centre. Curvature and refraction are ignored
/// (below 0.02 m at 400 m).
///
/// REQUIRES: `eye` lies inside `land` on known ground (else the result is all 0).
/// THREADS: pure. ERRORS: cancelled.
Result<Raster<std::uint8_t>> sight_from(const Raster<SightCell>& land, LocalXY eye,
                                        const SightOptions& options, std::stop_token stop = {});

/// Share of sight (0..1) between two heights above ground at two places: the same physics along one
/// exact line, sampled every half cell. The check of the sweep, and the tool for single questions.
double sight_between(const Raster<SightCell>& land, LocalXY a, double a_height_m, LocalXY b,
                     double b_height_m, double cleared_m = 0);

}  // namespace leeward::compute
