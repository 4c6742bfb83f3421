// Air that slides down cooling slopes and creeps up warmed ones.
//
// Layer model (Mahrt 1982, J. Atmos. Sci. 39, 2701; constants as used for fire weather by Forthofer
// et al. 2009), with Q the sensible heat into the air (W/m2), x the distance to the ridge along the
// fall line, dz the height to the ridge (down) or to the valley floor (up), a the slope:
//   down  S = [ |Q| g x sin a / (rho cp T (Cd + k)) ]^(1/3) [ 1 - exp(-x / Le) ]^(1/3)
//         Le = 0.05 dz / (Cd + k), Cd = 1e-4, k = 0.01, depth of the layer 0.05 dz
//   up    S = [ Q g dz / (rho cp T (Cd + k)) ]^(1/3),  Cd = k = 0.2, depth 0.05 dz
// It is a mean over the layer. Real drainage is three-dimensional and shifts within minutes (Manins
// & Sawford 1979): the result is where such air tends, not a promise.
//
// Heat follows the sun on each slope and the shade of the land, so the evening's downslope air sets
// in where the shadow falls first, not at one time everywhere.
//
// Frame: grid axes, metres; vectors point where the air goes (east, north).
#pragma once

#include "core/base/result.h"
#include "core/geo/raster.h"

#include <optional>
#include <stop_token>

namespace leeward::compute {

/// Speeds in m/s for a heat flux of the right sign (down: below 0, up: above 0; else 0). Air of 1.2
/// kg/m3 at 283 K (down) and 293 K (up).
double downslope_speed(double heat_w_m2, double to_ridge_m, double ridge_height_m,
                       double slope_sine);
double upslope_speed(double heat_w_m2, double above_valley_m);

/// Where each cell lies on its slope. NaN over unknown ground.
struct SlopePlaces {
  Raster<float> to_ridge_m;      ///< Along the fall line, on the plan.
  Raster<float> ridge_height_m;  ///< Of the ridge above here.
  Raster<float> above_valley_m;  ///< Height above the nearest channel or pit down the fall line.
  Raster<float> slope_east, slope_north;  ///< Gradient of the ground (rise over run).
};

struct SlopePlacesOptions {
  double smooth_m = 20;   ///< Radius over which bumps are taken out of the ground first.
  double channel_ha = 5;  ///< Land drained from which a fall line counts as a valley floor.
};

/// Follows the fall lines through the grid: each cell hands its air to one or two lower neighbours
/// (D-infinity, Tarboton 1997, Water Resour. Res. 33, 309; from memory), in order of height.
/// Distance and ridge are means over what drains here, weighted by drained area. Pits hold their
/// air. ERRORS: cancelled; invalid_argument for a grid under 3 x 3. COST: O(n log n); meant for the
/// wind's grid (10 to 25 m).
Result<SlopePlaces> slope_places(const Raster<float>& ground,
                                 const SlopePlacesOptions& options = {}, std::stop_token stop = {});

struct Sun {
  double altitude_deg = 0;
  Bearing toward;  ///< Grid bearing from here to the sun.
};

/// 1 where the land hides the sun's centre; unknown ground hides nothing. A sun below the horizon
/// is hidden everywhere.
Raster<std::uint8_t> shade(const Raster<float>& ground, const Sun& sun);

/// Sunlight of an hour, W/m2: the beam on a surface square to it, and the diffuse light. Clear-sky
/// beam 1361 * 0.7^(m^0.678) (Meinel & Meinel 1976, from memory; m the air mass), diffuse a tenth
/// of the beam on level ground (common practice, no source), both times 1 - 0.75 cloud^3.4 (Kasten
/// & Czeplak 1980, from memory). Nothing below the horizon.
struct Sunshine {
  double beam_w_m2 = 0, diffuse_w_m2 = 0;
  double east = 0, north = 0, up = 0;  ///< Toward the sun, length 1.
};
Sunshine sunshine(const Sun& sun, double cloud);
/// On a slope with this gradient.
double sunlight_w_m2(const Sunshine& shine, double slope_east, double slope_north, bool shaded);
/// Sensible heat into the air: a share of the net radiation 0.8 sunlight - 100 (1 - 0.8 cloud^2),
/// 0.4 when above zero, 0.3 when below (common practice, no source): -30 W/m2 in a clear night.
double sensible_heat_w_m2(double sunlight_w_m2, double cloud);

struct SlopeAirHour {
  Sun sun;
  /// The sun an hour before: upslope air needs about an hour of sun to set in, so it is driven by
  /// the lesser of the two. Empty: taken as now.
  std::optional<Sun> hour_before;
  double cloud = 0;        ///< 0..1
  double ambient_mps = 0;  ///< 10 m wind. From 1.5 m/s it weakens slope air, at 3 m/s none is left
                           ///< (about 2 to 3 m/s usually destroys it; from memory).
  double height_m = 2;     ///< Above ground; thinner layers count in proportion.
};

struct SlopeAir {
  Raster<float> east, north;  ///< m/s
  Raster<float> heat_w_m2;    ///< NaN over unknown ground, where the air is 0.
};

/// REQUIRES: `ground` and `places` share one grid. ERRORS: cancelled.
Result<SlopeAir> slope_air(const Raster<float>& ground, const SlopePlaces& places,
                           const SlopeAirHour& hour, std::stop_token stop = {});

/// The share of slope air that an ambient wind leaves, 1 to 0.
double ambient_share(double ambient_mps);

}  // namespace leeward::compute
