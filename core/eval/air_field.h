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
/// difference that it makes to a wind at a carry height, against a solve to 1e-8, over the speed of
/// the open: 3e-5 on the benchmark property, 2e-5 over forested hills of 80 m relief (lidar, 1 m),
/// 2e-5 over a hummocky moraine, 7e-6 over loess hills, 2e-5 over mountains of 600 and 770 m; rms
/// under 3e-6. At 1e-3 the largest is 1.8e-4: a tenth of what counts (1e-3) is passed.
/// 5 or 6 iterations, 9 over mountains.
inline constexpr double kTurnTolerance = 3e-4;
/// Ready for any cover, for `ratios` (places in kRatios). `ground` as above. The columns stand as
/// close as TerrainWindOptions chooses (15.6 m at 2000 m a side), in 12 layers, over the property
/// and 125 m around it; 1500 m beyond that are solved on cells eight times as wide.
///
/// What that costs: rms of the difference over the speed at the carry heights, at 2000 m a side
/// under chequered timber, stable / neutral, from columns 8 m apart in 16 layers with 1000 m of
/// margin and 1500 m beyond; beside it what 500 m of margin at an open edge and 16 layers had:
///   seeded ridges (the benchmark's)     0.060 / 0.044    0.058 / 0.044
///   forested hills, 80 m (lidar)        0.095 / 0.068    0.091 / 0.066
///   hummocky moraine (lidar)            0.077 / 0.051    0.074 / 0.049
///   loess hills (lidar)                 0.060 / 0.045    0.058 / 0.043
///   lone butte, 770 m                   0.092 / 0.061    0.300 / 0.193
///   mountains, 600 m                    0.167 / 0.122    0.318 / 0.162
/// (The lidar lands are 400 to 580 m wide, laid out in mirror images.) Nearly all of it on hills is
/// the width of the columns, mostly at edges of timber: 20 m would have 0.085, 0.142, 0.112, 0.085
/// in stable air. The edge alone, on equal columns and layers, costs 0.003 to 0.011 on hills,
/// where 500 m of margin cost 0.003 to 0.006, and 0.07 to 0.08 over mountains, where they cost 0.3.
/// ERRORS: those of compute::TerrainWindSolver::over. COST: about 5 ms a ratio.
Result<compute::TerrainWindSolver> land_wind_solver(const Raster<float>& ground,
                                                    const GridSpec& analysis,
                                                    const std::vector<size_t>& ratios,
                                                    double tolerance = kTurnTolerance);
/// For each of the solver's ratios, which do not depend on each other. `cover` as above.
/// ERRORS: cancelled; internal. COST: about 11 ms a ratio at 2000 m a side on two
/// cores.
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
