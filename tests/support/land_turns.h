// The land's effect on the wind for every ratio, as an engine that has met all kinds of air holds
// it.
#pragma once

#include "core/eval/air_field.h"

namespace leeward::testing {

inline LandTurns all_land_turns(const Terrain& terrain, const AnalysisLand& land) {
  LandTurns out;
  const Raster<float> ground = land_wind_ground(terrain, land.cells.spec);
  for (size_t n = 0; n < kRatioCount; ++n)
    out[n] = make_ref<LandTurn>(
        make_land_turn(*solve_land_wind(ground, land, n, {}), air_grid(land.cells.spec)));
  return out;
}

}  // namespace leeward::testing
