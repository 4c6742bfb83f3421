// Checks of trail cameras: what they see, where the low sun stands, how they are reached.
// Distances and numbers here are common practice, no source, unless one is named.
#pragma once

#include "core/eval/land.h"
#include "core/eval/results.h"
#include "core/eval/ways.h"

namespace leeward {

/// One sample of a sun that stands between the horizon and 20 degrees (level horizon).
struct LowSun {
  double azimuth_true_deg = 0;
  bool morning = false;
  double minutes_a_day = 0;  ///< That it stands for, as a mean over the season's days.
};
/// The year in which the season began (September) that holds `at` or is the next to come.
int season_of(Instant at, const std::string& time_zone);
/// September of `year` to the end of January, every fifth day, every fourth minute.
std::vector<LowSun> season_low_sun(LonLat place, int year);

/// Walkable cells that are reached from the gates without entering bedding, and at all.
struct QuietGround {
  Raster<std::uint8_t> quiet, any;
  bool gates = false;  ///< False: no gate stands on walkable ground.
};
QuietGround quiet_ground(const Document& document, const compute::WalkGraph& graph,
                         const std::vector<size_t>& starts);

/// The part of a camera's wedge that it sees: along lines every 2 degrees, out to where the share
/// of sight to 0.8 m above the ground first falls below half.
struct CameraView {
  Path outline;
  double share = 0;
};
CameraView camera_view(const CoverGrid& cover, const Feature& camera);

/// How a camera stands to a place 0.8 m above the ground.
struct CameraTo {
  double distance_m = 0;
  double turn_deg = 0;  ///< From its facing to the place, clockwise.
  double seen = 0;      ///< Share of sight, 0..1.
  bool in_wedge = false;
  bool sees() const { return in_wedge && seen >= 0.5; }
};
CameraTo camera_to(const CoverGrid& cover, const Feature& camera, LocalXY p);

struct CameraInputs {
  const Document& document;
  const CoverGrid& cover;
  const Scene& scene;
  const std::vector<LowSun>& low_sun;
  const QuietGround& quiet;
  double convergence_deg = 0;
};
CameraResult check_camera(const CameraInputs& in, const Feature& camera, const CameraView& view);

}  // namespace leeward
