// What lies on the line of fire beyond a target: the straight line from the eye through the aim
// point, followed over the ground until it meets it, until the projectile's farthest travel, or
// until the ground is no longer known.
//
// This is geometry, not ballistics. The line does not drop, nothing is deflected (ricochet off
// ground, stone, water or twigs is ignored), trees stop nothing, and the Earth's curve is ignored
// (0.08 m in 1 km, 1.8 m in 5 km). Real projectiles fall below the line, pass through what they
// meet, and travel on. An outcome names what the line does; none of them says that a shot may be
// taken.
//
// Exact on ground that is bilinear between cell centres (ground_walk.h); distances are horizontal,
// on the grid. Ground with an unknown cell beside the line counts as unknown.
#pragma once

#include "core/base/civil_time.h"
#include "core/base/result.h"
#include "core/geo/raster.h"

#include <limits>
#include <span>
#include <stop_token>
#include <vector>

namespace leeward::compute {

enum class FireOutcome {
  meets_ground,   ///< Beyond the target, within the farthest travel.
  clears_ground,  ///< Above known ground all the way to the farthest travel.
  unknown,        ///< Known ground ends (or is missing) before either could be told.
  blocked,        ///< Ground rises into the line before the target.
};

struct FireSetup {
  LocalXY shooter;
  double eye_m = 0;         ///< Above the ground at the shooter's place: platform and eye.
  double range_m = 0;       ///< Horizontal distance of the target. Above 0.
  double max_travel_m = 0;  ///< Farthest travel of the projectile from the shooter, user's entry.
  double aim_m = 0.8;       ///< Aim point above the ground at the target.
  int directions = 180;     ///< Spread evenly from grid north, clockwise.
};

struct LineOfFire {
  static constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

  Bearing toward;
  FireOutcome outcome = FireOutcome::unknown;
  double depression_deg = kNone;  ///< Of the line, positive below the horizontal. NaN: not known.
  /// Horizontal distance from the shooter at which the line was left: where it meets the ground
  /// (also before the target, when blocked), where known ground ends, or the farthest travel.
  double ends_at_m = 0;
  double backstop_beyond_m = kNone;  ///< meets_ground: horizontal distance beyond the target.
  /// meets_ground and blocked: between the line and the surface it meets, 0 (grazing) to 90.
  double meeting_angle_deg = kNone;
};

/// One direction. REQUIRES: range above 0, farthest travel not below 0 (taken as the range if it is
/// shorter), directions not read.
LineOfFire line_of_fire(const Raster<float>& ground, const FireSetup& setup, Bearing toward);

/// All directions, in parallel; the same whatever the number of cores.
/// ERRORS: cancelled; invalid_argument for a range, travel, height or number of directions that
/// is not a positive number (eye and aim may be 0).
Result<std::vector<LineOfFire>> lines_of_fire(const Raster<float>& ground, const FireSetup& setup,
                                              std::stop_token stop = {});

/// A person who walks straight and evenly from one place to another, or stays (the same place
/// twice).
struct PersonLeg {
  int person = 0;  ///< The caller's number for the person.
  LocalXY from, to;
  Instant start, end;  ///< start <= end.
};
struct PersonInLine {
  size_t leg = 0;  ///< Index into the legs.
  int person = 0;
  Bearing toward;  ///< From the shooter to the place where the person comes nearest to the line.
  double distance_m = 0;
  double off_deg = 0;  ///< Angle off the line there, 0 to margin.
  Instant at;
};
/// Every leg on which the person, while the shooter is at his place (from `start` to `end`, both
/// counted), comes within `margin_deg` of the direction and within the farthest travel. Ground in
/// between is not looked at: a person behind a hill is reported too.
std::vector<PersonInLine> people_in_line(LocalXY shooter, Bearing toward, double margin_deg,
                                         double max_travel_m, Instant start, Instant end,
                                         std::span<const PersonLeg> legs);

}  // namespace leeward::compute
