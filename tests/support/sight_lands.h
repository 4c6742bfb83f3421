// Ground and cover for tests and benchmarks of sight.
#pragma once

#include "core/compute/sight.h"

namespace leeward::testing {

inline compute::SightLand sight_land(const Raster<float>& ground) {
  compute::SightLand out(ground.spec);
  out.ground_m = ground;
  return out;
}

/// Every third field of 60 cells is covered: brush of 1.5 m, or timber whose crowns reach 9-16 m.
inline void chequer_cover(compute::SightLand& land, bool timber) {
  for (int r = 0; r < land.spec.rows; ++r) {
    for (int c = 0; c < land.spec.cols; ++c) {
      if ((c / 60 + r / 60) % 3 != 0) continue;
      const auto cell = land.at(c, r);
      cell.top_m = timber ? 9.0F + static_cast<float>((c / 4 * 7 + r / 4 * 13) % 8) : 1.5F;
      cell.density_per_m = timber ? 0.03F : 0.08F;
    }
  }
}

}  // namespace leeward::testing
