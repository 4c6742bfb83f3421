// The air at a stand: where its scent goes, how far the wind may swing, what deer meet first.
#pragma once

#include "core/eval/air_field.h"
#include "core/eval/deer.h"

#include <optional>

namespace leeward {

/// Centres of the cells of all areas, one area after the other.
std::vector<LocalXY> centres_of(const AreaCells& cells, const GridSpec& grid);
/// Mean, worst and band of the sitter's scent on every deer area, worst first. `where`: of
/// centres_of(cells) around the sitter.
std::vector<ScentOn> scent_on_areas(const compute::ScentPlume& plume,
                                    const std::vector<DeerArea>& areas, const AreaCells& cells,
                                    const compute::PolarPlaces& where);

/// The same from what the same plume gave `before`, of other areas: only those that are new or lie
/// otherwise are worked out.
std::vector<ScentOn> scent_on_again(const compute::ScentPlume& plume,
                                    const std::vector<DeerArea>& areas, const AreaCells& cells,
                                    const GridSpec& grid, const std::vector<DeerArea>& areas_before,
                                    const std::vector<ScentOn>& before);

/// How far the hour's wind may turn until a sitter's scent is more than `limit` on an area. Between
/// swings the exposure is taken to change by an even factor. `response` and `table`: at the height
/// of the sitter's scent.
SwingMargin swing_margin(const std::vector<ScentOn>& now, const compute::WindResponse& response,
                         const compute::PlumeTable& table, const AirNow& air, LocalXY at,
                         const std::vector<DeerArea>& areas, double limit);

/// Deer trails as deer on them meet things: at places 5 m apart, one trail after the other.
struct TrailPlaces {
  struct Trail {
    Uid uid;
    TrailDirection direction;
    size_t begin, end;  ///< In `at`.
  };
  std::vector<Trail> trails;
  Path at;
  std::vector<double> along_m;  ///< From the start of its trail to each place.
};
TrailPlaces trail_places(const Rows<Feature>& trails);
/// Deer on trails that pass within `reach_m` or through scent above `limit`; a trail used both ways
/// counts twice. In reach means within it and half in sight. `scent`: exposure at each place.
std::vector<TrailMeeting> trail_meetings(const TrailPlaces& places, const std::vector<float>& scent,
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
