// Terrain horizon of a place, the minutes of direct sun there, and glare.
//
// The horizon is that of bare ground as far as it is known; trees are not in it, and land beyond
// the raster may stand higher. The Earth's curve and refraction over the ground are left out: they
// lower the horizon at d metres by about 3.9e-6 d degrees (0.004 at 1 km, 0.04 at 10 km), less
// than the sun climbs in twenty seconds.
#pragma once

#include "core/base/civil_time.h"
#include "core/base/result.h"
#include "core/compute/sun.h"
#include "core/geo/raster.h"

#include <span>
#include <stop_token>
#include <vector>

namespace leeward::compute {

inline constexpr int kHorizonAzimuths = 180;  ///< One every two degrees.

struct HorizonProfile {
  /// Highest angle of the ground above the level of the eye, degrees, below 0 where all ground lies
  /// lower; evenly from grid north, clockwise. NaN where no ground is known.
  std::vector<double> angle_deg;
  /// How far out the raster reaches in each direction, metres (holes in it are passed over).
  std::vector<double> reach_m;

  /// Linear between directions; a direction without ground counts as level. A peak narrower than
  /// two degrees between two of them is missed.
  double at(Bearing b) const;
};

/// Exact on bilinear ground in each of the directions (ground_walk.h), which run in parallel.
/// Ground nearer than half a cell is left out. ERRORS: cancelled; invalid_argument if the ground at
/// the place is unknown.
Result<HorizonProfile> terrain_horizon(const Raster<float>& ground, LocalXY place, double eye_m,
                                       std::stop_token stop = {});

/// Altitude of the sun's upper limb as seen, refraction included, from the centre's geometric one.
double seen_limb_deg(double geometric_altitude_deg);

/// Sun on the place from the first whole minute with any of the disc in sight to the first without.
struct SunSpan {
  Instant from, to;
};
/// Where the sun stands in the property's frame.
struct GridSun {
  Bearing toward;
  double altitude_deg = 0;  ///< Geometric, of the centre.
};
/// `convergence_deg`: grid north clockwise from true north.
GridSun grid_sun(Instant at, LonLat place, double convergence_deg);

/// The sun of each whole minute of the day about a solar noon, twelve hours to either side: the
/// same for all places of a property.
struct SunMinutes {
  Instant first{};
  std::vector<GridSun> suns;
};
SunMinutes sun_minutes(Instant near_noon, LonLat place, double convergence_deg);

/// The spans of that day, in order; empty: no direct sun. A horizon below level counts as level, so
/// that on flat land the first and last minute are sunrise and sunset (sun.h).
std::vector<SunSpan> direct_sun(const HorizonProfile& horizon, const SunMinutes& day);

struct SightLine {
  Bearing toward;
  double depression_deg = 0;  ///< Positive below the horizontal.
};
/// Between a line of sight and the sun, 0 to 180.
double glare_angle_deg(const SightLine& line, const GridSun& sun);

struct GlareLimits {
  double within_deg = 25;   ///< From the line of sight.
  double low_sun_deg = 20;  ///< A higher sun does not count.
};
struct Glare {
  size_t line = 0;  ///< Index into the lines.
  double angle_deg = 0;
};
/// Lines of sight that look into a low sun, in their order; none while the terrain hides the sun.
/// From the stand along its lanes, this is glare; with a wider angle along lines to deer, it says
/// from where the sitter's face is seen lit. Defaults: common practice, no source.
std::vector<Glare> lines_in_glare(std::span<const SightLine> lines, const GridSun& sun,
                                  const HorizonProfile& horizon, const GlareLimits& limits);

}  // namespace leeward::compute
