// How often each stand can be taken in a season, by the winds that a station has measured. A
// station's wind is not the property's: the land here is laid over it as over a forecast.
#pragma once

#include "core/eval/engine.h"
#include "core/model/station.h"

#include <array>
#include <vector>

namespace leeward {

inline constexpr int kSectors = 16;
/// Sector of a true direction: 0 is N, 4 is E.
int sector_of(double true_from_deg);

/// Days of the year, both counted; one that ends before it begins runs over the new year.
struct SeasonDays {
  int from_month = 10, from_day = 1;
  int until_month = 12, until_day = 31;
  bool has(int month, int day) const;
};

struct SeasonStand {
  Uid stand;
  int mornings = 0, evenings = 0;  ///< Sits on which its scent limit is kept with no swing.
  /// Of the sits with wind from each sector, the share that can be taken; NaN: none came from
  /// there.
  std::array<double, kSectors> share = {};
};
struct Season {
  int mornings = 0, evenings = 0;       ///< With a known wind.
  int calm = 0;                         ///< Of both, taken as not fit for any stand.
  int unknown = 0;                      ///< Sits without a record; not counted above.
  std::array<int, kSectors> from = {};  ///< Sits by the wind's sector.
  std::vector<SeasonStand> stands;      ///< In the document's order.
};

/// A morning is judged by the record at the first legal light, an evening by that an hour before
/// the last. Winds are gathered by sector and three speeds, and each of them is evaluated once for
/// a morning and once for an evening in the middle of the season. ERRORS: cancelled.
Result<Season> season_of(Engine& engine, const Snapshot& ask, const std::vector<StationHour>& hours,
                         const SeasonDays& days, std::stop_token stop = {},
                         const Progress& progress = {});

}  // namespace leeward
