// Sun at a stand: when it reaches it over the land, where it dazzles the sitter, and where it shows
// his face. Trees are not in it: in timber the sun comes later and goes earlier.
#pragma once

#include "core/compute/horizon_sun.h"
#include "core/compute/moon.h"
#include "core/model/document.h"
#include "core/model/terrain.h"

#include <vector>

namespace leeward {

struct InReach;

/// A lane, trail or other place in reach that lies against a low sun during the sit.
struct GlareOn {
  Uid feature;
  double angle_deg = 0;     ///< The smallest between the line of sight and the sun.
  Instant from{}, until{};  ///< First and last of it during the sit, to five minutes.
};

struct StandLight {
  bool known = false;                 ///< False: no ground known, or not worked out yet.
  std::vector<compute::SunSpan> sun;  ///< Direct sun over the land on the day of the sit.
  std::vector<GlareOn> glare;         ///< The sun in the sitter's eyes.
  std::vector<GlareOn> lit;           ///< The sun on the sitter's face, seen from there.
};

/// The sun shows a face to whoever stands within this angle of it, while it is low (common
/// practice, no source).
inline constexpr double kLitWithin_deg = 60;

/// `sun`: direct_sun() over the horizon on that day.
StandLight stand_light(const compute::HorizonProfile& horizon,
                       const std::vector<compute::SunSpan>& sun, LonLat place,
                       double convergence_deg, const std::vector<InReach>& in_reach,
                       double glare_within_deg, Instant arrive, Instant leave);

/// Moon on the local day of the sit.
struct MoonDay {
  compute::MoonPhase phase;
  compute::MoonTimes times;
};
MoonDay moon_of(Instant at, const std::string& time_zone, LonLat place);

}  // namespace leeward
