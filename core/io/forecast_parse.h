// What the forecast readers share: rows with true directions before they become wind hours, and the
// checks of single values.
#pragma once

#include "core/base/civil_time.h"
#include "core/base/result.h"
#include "core/geo/point.h"

#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace leeward::io {

struct RawHour {
  Instant at{};
  std::optional<double> true_from_deg;
  std::optional<double> speed_mps, speed_range_mps, gust_mps;
  std::optional<double> cloud;  ///< 0 .. 1
  std::optional<double> temperature_c;
};

/// Sentences about what was odd; after the first twenty only their number is kept.
class Notes {
 public:
  void add(std::string sentence);
  std::vector<std::string> take();

 private:
  std::vector<std::string> sentences_;
  size_t more_ = 0;
};

struct RawForecast {
  std::string format;  ///< "CSV", "NWS hourly forecast".
  std::vector<RawHour> rows;
  std::optional<Instant> issued = {};  ///< As the file says.
  std::optional<LonLat> place = {};    ///< Middle of what the file says it is for.
};

/// The file's rows in its own order; odd values are unknown and noted. ERRORS: parse, unsupported.
Result<RawForecast> parse_forecast_csv(std::string_view text, Notes& notes);
Result<RawForecast> parse_forecast_json(std::string_view text, Notes& notes);

/// Whether the file begins as GRIB does.
bool is_grib(const std::filesystem::path& path);
/// The hours of a GRIB2 file at a place, bilinear between its cells, winds turned to true north.
/// ERRORS: parse, unsupported, invalid_argument (it does not reach the place).
Result<RawForecast> read_forecast_grib(const std::filesystem::path& path, LonLat place,
                                       Notes& notes);

/// One line of comma-separated cells; a quoted cell may hold commas, doubled quotes and line breaks
/// (RFC 4180). Moves `text` past it and counts lines.
std::vector<std::string> take_csv_row(std::string_view& text, int& line);
/// A whole regular file of at most 64 MB without a byte order mark. ERRORS: io, unsupported.
Result<std::string> read_text(const std::filesystem::path& path);

/// Metres per second for one unit: "mph", "km/h", "km_h-1", "kt", "m/s", "m_s-1" ...
std::optional<double> mps_per_unit(std::string_view unit);
/// "VRB", "variable", "calm": a direction that is said not to be one.
bool is_no_direction(std::string_view text);
/// Degrees of "N", "nnw" ...
std::optional<double> compass_point_deg(std::string_view text);
/// The whole text as a finite number.
std::optional<double> number_of(std::string_view text);
/// Without spaces at both ends, in lower case.
std::string lowered(std::string_view text);

/// The value if it can be true, else nullopt with a note naming `where`.
std::optional<double> checked_speed(double mps, const std::string& where, Notes& notes);
std::optional<double> checked_direction(double deg, const std::string& where, Notes& notes);
std::optional<double> checked_cloud(double percent, const std::string& where, Notes& notes);
std::optional<double> checked_temperature(double celsius, const std::string& where, Notes& notes);

}  // namespace leeward::io
