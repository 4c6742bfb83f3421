// The wind over the land in an hour: bent by the terrain, thinned by what grows, with slope air.
//
//   wind of each ratio (solved per terrain and cover) ─┐
//   AirCover (what the wind finds in each cell)        ─┼─ hour ─> Flow at a height ─> scent
//   slope air (sun, shade, cloud, weak wind)           ─┘                        └───> AirMap
//
// In each cell the wind at a height is the land's effect at that place, times the upwind vector at
// 10 m, times the profile of the cell's own surface: the log law over open ground, the exponential
// below a canopy's top. So a field beside timber has field wind; a gap narrower than about two
// cells has part of the timber's.
#pragma once

#include "core/base/ref.h"
#include "core/compute/slope_air.h"
#include "core/compute/terrain_wind.h"
#include "core/compute/wind_response.h"
#include "core/eval/land.h"

namespace leeward {

/// The grid of the air: 10 to 25 m by the size of the property, over the analysis grid.
GridSpec air_grid(const GridSpec& analysis);

/// Heights at which scent is carried; the nearest is taken for a source.
inline constexpr std::array<double, 4> kCarryHeights_m = {2, 4, 6, 8};
size_t carry_height(double source_m);

/// The ground on the air's grid and where each cell lies on its slope; empty without elevation.
struct AirGround {
  Raster<float> ground;  ///< Metres above sea.
  compute::SlopePlaces places;
};
/// ERRORS: cancelled.
Result<AirGround> make_air_ground(const Terrain& terrain, const GridSpec& analysis,
                                  std::stop_token stop);

/// What grows in each cell of the air's grid.
struct AirCover {
  Raster<float> timber;       ///< Share of the cell under a canopy higher than 3 m.
  Raster<std::uint8_t> deep;  ///< 1 where no open cell lies within ten tree heights.
  /// Speed at each carry height over the 10 m wind of the open.
  std::array<Raster<float>, kCarryHeights_m.size()> profile;
};
AirCover make_air_cover(const AnalysisLand& land);
/// Speed at `height_m` above a surface with this top over the 10 m wind of the open: the log law
/// (compute::WindProfile, z0 a tenth and displacement two thirds of the top), below the top
/// exponential with the index (Inoue 1963; Cionco 1965), never below 0.02.
double surface_profile(double height_m, double top_m, double attenuation);

/// Stability ratios (compute::TerrainWindOptions) that the wind over the land is solved for:
/// stable, neutral and unstable air. An hour mixes the two beside its own.
inline constexpr size_t kRatioCount = 3;
inline constexpr std::array<double, kRatioCount> kRatios = {0.5, 1.0, 1.2};
/// Which of them an hour needs, and the weight of each; they sum to 1.
std::array<double, kRatioCount> ratio_weights(double stability_index);

/// The ground that the wind over the land is solved over, of a terrain that is not empty.
Raster<float> land_wind_ground(const Terrain& terrain, const GridSpec& analysis);
/// The height of what grows, on the air's grid: all that the wind over the land has of the cover.
Raster<float> land_wind_cover(const AnalysisLand& land);

/// The land's effect on the wind of a ratio, on the air's grid at each carry height.
struct LandTurn {
  using Turn = compute::UnitTurn;
  std::array<std::vector<Turn>, kCarryHeights_m.size()> at;
};
/// Divergence that a solve may leave (compute::TerrainWindOptions::tolerance). The largest
/// difference that it makes to a wind at a carry height, against a solve to 1e-9, over the speed:
/// 2e-5 on the benchmark property, 3e-5 over forested hills of 80 m relief (lidar, 1 m), 1e-5 over
/// a hummocky moraine, 7e-5 over loess hills, 6e-6 and 1e-5 over mountains of 600 and 770 m; rms
/// under 1e-5. At 1e-3 the largest is 1.1e-4: a tenth of what counts (1e-3) is passed.
/// 5 iterations instead of 8.
inline constexpr double kTurnTolerance = 3e-4;
/// Ready for any cover, for `ratios` (places in kRatios). `ground` as above.
/// ERRORS: those of compute::TerrainWindSolver::over. COST: about 5 ms a ratio.
Result<compute::TerrainWindSolver> land_wind_solver(const Raster<float>& ground,
                                                    const GridSpec& analysis,
                                                    const std::vector<size_t>& ratios,
                                                    double tolerance = kTurnTolerance);
/// For each of the solver's ratios, which do not depend on each other. `cover` as above.
/// ERRORS: cancelled; internal. COST: about 25 ms a ratio.
Result<std::vector<LandTurn>> solve_land_turns(const compute::TerrainWindSolver& solver,
                                               const Raster<float>& cover, const GridSpec& analysis,
                                               std::stop_token stop);
/// By ratio; null where an hour does not need it. All null: the land bends nothing.
using LandTurns = std::array<Ref<LandTurn>, kRatioCount>;

/// The part of an hour that does not turn with the wind.
struct HourSky {
  compute::SlopeAirHour slope;
  friend bool operator==(const HourSky& a, const HourSky& b);
};
HourSky hour_sky(const AirNow& air, const SunNow& now, const SunNow& hour_before,
                 double convergence_deg);

/// Slope air of an hour, each cell mixed with its neighbours.
/// ERRORS: cancelled. REQUIRES: ground is not empty.
Result<compute::SlopeAir> hour_slope_air(const AirGround& ground, const HourSky& sky,
                                         std::stop_token stop);

/// What an hour's wind meets; `slope` may be null.
struct AirInputs {
  const AirGround& ground;
  const AirCover& cover;
  const LandTurns& turn;
  const compute::SlopeAir* slope;
  const AirNow& air;
  const Judgement& judgement;
};

/// At a carry height, on the air's grid.
compute::WindResponse wind_response(const AirInputs& in, size_t height);
/// The hour's wind at 10 m over open ground, where it goes, when it comes from `from`, which may be
/// turned from the hour's; 0 if it is unknown.
LocalXY upwind_mps(const AirNow& air, WindFrom from);

/// For the map, from the flow at the lowest carry height.
AirMap make_air_map(const AirInputs& in, const compute::Flow& flow, const SunNow& sun);

compute::PlumeAir plume_air(const AirNow& air, double source_m, const Judgement& j);

}  // namespace leeward
