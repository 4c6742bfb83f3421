// Shot geometry: rings draped on the ground, and the line from an eye to a point.
#pragma once

#include "core/geo/raster.h"

namespace leeward::compute {

/// From an eye above `from` to an aim point above `to`; horizontal distance on the grid.
struct ShotLine {
  double horizontal_m = 0;
  double slant_m = 0;
  double depression_deg = 0;  ///< Positive below the horizontal.
};
/// slant = hypot(d, H), depression = atan(H / d). Unknown ground at either end is taken as level.
ShotLine shot_line(const Raster<float>& ground, LocalXY from, double eye_m, LocalXY to,
                   double aim_m = 0.8);

inline constexpr int kRingVertices = 180;  ///< One every two degrees.
/// Vertices of a ring at true horizontal distance, from grid north clockwise.
Path ring_points(LocalXY centre, double range_m);

}  // namespace leeward::compute
