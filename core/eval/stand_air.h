// The air at a stand: where its scent goes, how far the wind may swing, what deer meet first.
#pragma once

#include "core/eval/air_field.h"
#include "core/eval/deer.h"

#include <optional>

namespace leeward {

/// Swings of the wind that are looked at, degrees, clockwise positive.
inline constexpr std::array<double, 12> kSwings_deg = {10,  20,  30,  45,  60,  90,
                                                       -10, -20, -30, -45, -60, -90};
/// The flows of an hour at one carry height with the wind turned by each of kSwings_deg.
using SwungFlows = std::array<compute::Flow, kSwings_deg.size()>;

/// The sitter's scent: the plume, and the field on the analysis grid.
struct StandScent {
  compute::ScentPlume plume;
  Raster<float> field;
};
StandScent stand_scent(const compute::PolarCells& where, const compute::Flow& flow,
                       const compute::PlumeTable& table);

/// Mean, worst and band of the sitter's scent on every deer area, worst first. `cells`: of the
/// field's grid.
std::vector<ScentOn> scent_on_areas(const StandScent& scent, const std::vector<DeerArea>& areas,
                                    const AreaCells& cells);

/// Between swings the exposure is taken to change by an even factor.
SwingMargin swing_margin(const std::vector<ScentOn>& now, const SwungFlows& flows,
                         const compute::PlumeTable& table, LocalXY at,
                         const std::vector<DeerArea>& areas, double limit);

/// Deer on trails that pass within `reach_m` or through scent above `limit`; a trail used both ways
/// counts twice. In reach means within it and half in sight.
std::vector<TrailMeeting> trail_meetings(const Document& document, const Raster<float>& scent,
                                         const Raster<std::uint8_t>& sight, LocalXY at,
                                         double reach_m, double limit);

/// Without drains_from.
LocalAir local_air(const compute::Flow& flow, const AirMap& map, const compute::PlumeAir& air,
                   LocalXY at);

/// The sky from now on, every ten minutes: the same over all of the land.
struct SkyAhead {
  struct Moment {
    Instant at;
    compute::Sun sun;
    double speed_10m_mps = 0, cloud = 0;
  };
  std::vector<Moment> moments;  ///< The first is now.
};
inline constexpr std::chrono::minutes kSkyStep{10};
inline constexpr int kSkySteps = 36;  ///< Six hours.
/// The first moment ahead at which air drains downhill at `at` faster than 0.1 m/s; nothing if it
/// drains already or will not.
std::optional<Instant> drains_from(const AirGround& ground, LocalXY at, const SkyAhead& sky);
/// Down the slope at a place; nothing on level or unknown ground.
std::optional<Bearing> downhill(const AirGround& ground, LocalXY at);
/// The deer area that lies that way (within 45 degrees) nearest, at most 400 m off.
Uid area_toward(const std::vector<DeerArea>& areas, LocalXY at, Bearing toward);

}  // namespace leeward
