// The land's effect on the wind for every ratio, as an engine that has met all kinds of air holds
// it.
#pragma once

#include "core/eval/air_field.h"

namespace leeward::testing {

inline LandTurns all_land_turns(const Terrain& terrain, const AnalysisLand& land) {
  const GridSpec& grid = land.cells.spec;
  auto turns = solve_land_turns(*land_wind_solver(land_wind_ground(terrain, grid), grid, {0, 1, 2}),
                                land_wind_cover(land), grid, {});
  LandTurns out;
  for (size_t n = 0; n < kRatioCount; ++n) out[n] = make_ref<LandTurn>(std::move((*turns)[n]));
  return out;
}

}  // namespace leeward::testing
