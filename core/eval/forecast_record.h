// How well stored forecasts foretold the wind: against what a station measured, or, where nothing
// is measured, against what newer forecasts said of the same hour.
#pragma once

#include "core/model/document.h"
#include "core/model/station.h"

#include <limits>
#include <vector>

namespace leeward {

struct ForecastRecord {
  Ref<Forecast> forecast;
  int hours = 0;     ///< It speaks of.
  int compared = 0;  ///< Of them, with both speeds known.
  /// Of the hours in which both have a direction and blow with at least 1 m/s; NaN: there is none.
  double turn_deg = std::numeric_limits<double>::quiet_NaN();        ///< Mean difference, 0 to 180.
  double within_30_deg = std::numeric_limits<double>::quiet_NaN();   ///< Share of hours, 0 to 1.
  double too_strong_mps = std::numeric_limits<double>::quiet_NaN();  ///< Mean of said less blown.
  double off_mps = std::numeric_limits<double>::quiet_NaN();         ///< Mean difference of speeds.
};

/// Of every forecast of the document, newest first. `measured`: rising in time; of an hour counts
/// the record nearest to its middle, 45 minutes off at most. Empty: newer forecasts serve, so that
/// the newest is compared with nothing. `convergence_deg` of the property's middle.
std::vector<ForecastRecord> judge_forecasts(const Document& document, double convergence_deg,
                                            const std::vector<StationHour>& measured);

}  // namespace leeward
