// Wind hours from forecast files.
//
// CSV: a header line, then one row an hour. Columns (any order, others are ignored): `time` (ISO
// 8601 with zone), `wind_from_deg` (true degrees, or a compass point), and one of `wind_mps`,
// `wind_mph`, `wind_kmh`, `wind_kt`; optional `gust_*` with the same units, `cloud_pct`, `temp_c`
// or `temp_f`. An empty cell is unknown. US National Weather Service JSON: the hourly forecast
// (properties.periods) and the gridpoint data (properties.windSpeed.values ...). GRIB edition 2:
// 10 m wind, gust, cloud and 2 m temperature at the place.
#pragma once

#include "core/base/result.h"
#include "core/model/document.h"

#include <filesystem>
#include <string>
#include <vector>

namespace leeward::io {

struct ForecastImport {
  Forecast forecast;
  std::vector<WindHour> hours;     ///< Rising in time, one an hour, directions as grid bearings.
  std::vector<std::string> notes;  ///< What was taken, changed and left out, in sentences.
};

/// Each row goes to the full hour nearest to it (half past goes up); of several rows for an hour
/// the nearest one is kept, of equally near ones the first. Hours that are missing, repeated,
/// without speed, direction or cloud, or odd are counted and named in the notes; no value is made
/// up. True directions become grid bearings with the convergence at `place`. ERRORS: io, parse,
/// unsupported; the message names file, line or JSON place, and mend.
Result<ForecastImport> read_forecast(const std::filesystem::path& path, const Frame& frame,
                                     LocalXY place);

}  // namespace leeward::io
