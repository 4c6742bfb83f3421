// Records of a weather station over seasons and years: how the wind has blown.
#pragma once

#include "core/base/result.h"
#include "core/model/station.h"

#include <filesystem>
#include <string>
#include <vector>

namespace leeward::io {

struct StationRecords {
  std::string format;              ///< "ISD global hourly", "TMY3", "EPW", "hourly CSV".
  std::vector<StationHour> hours;  ///< Rising in time, one an hour.
  std::vector<std::string> notes;
};

/// Reads, by what the first lines say: NOAA ISD global hourly (DATE, WND), TMY3, EnergyPlus EPW
/// (its columns from memory), hourly station tables with wind_dir and wind_speed in mph, and the
/// forecast's CSV. Of several stations in a file the first is taken. Typical years stand in one
/// year after another: each month keeps the year it is from. Local clock times without an offset
/// are of `time_zone`. ERRORS: io, parse (a wind without direction too), naming file and line.
Result<StationRecords> read_station_records(const std::filesystem::path& path,
                                            const std::string& time_zone);

}  // namespace leeward::io
