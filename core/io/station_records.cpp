#include "core/io/station_records.h"

#include "core/io/forecast_parse.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <functional>
#include <map>

namespace leeward::io {
namespace {

constexpr double kMpsPerMile_h = 0.44704;
using Cells = std::vector<std::string>;

/// A reader of one format: nullopt for a row that holds no time; its wind may be unknown.
using RowReader = std::function<std::optional<StationHour>(const Cells&)>;

class Header {
 public:
  explicit Header(const Cells& cells) {
    for (size_t i = 0; i < cells.size(); ++i) names_.emplace(lowered(cells[i]), i);
  }
  bool has(const char* name) const { return names_.count(name) > 0; }
  const std::string& in(const Cells& row, const char* name) const {
    static const std::string kNone;
    const auto it = names_.find(name);
    return it != names_.end() && it->second < row.size() ? row[it->second] : kNone;
  }

 private:
  std::map<std::string, size_t> names_;
};

std::optional<double> within(std::optional<double> v, double low, double high) {
  return v && *v >= low && *v <= high ? v : std::nullopt;
}

/// A calm has no direction.
StationHour hour_of(Instant at, std::optional<double> from, std::optional<double> mps) {
  if (mps && *mps <= 0) from.reset();
  return {at, from, mps};
}

std::optional<Instant> utc(int year, int month, int day, int hour) {
  const std::chrono::year_month_day date{std::chrono::year(year),
                                         std::chrono::month(static_cast<unsigned>(month)),
                                         std::chrono::day(static_cast<unsigned>(day))};
  if (!date.ok() || hour < 0 || hour > 24) return std::nullopt;
  return std::chrono::sys_days(date) + std::chrono::hours(hour);
}

/// ISD: WND is "direction,quality,type,speed * 10,quality", 999 and 9999 missing, quality 3 and 7
/// erroneous (NOAA NCEI, federal climate complex data documentation, from memory).
std::optional<StationHour> isd_row(const Header& header, const Cells& row) {
  auto at = parse_iso8601(header.in(row, "date") + "Z");
  if (!at) return std::nullopt;
  std::string_view wnd = header.in(row, "wnd");
  int line = 0;
  const Cells parts = take_csv_row(wnd, line);
  if (parts.size() < 5) return StationHour{*at, {}, {}};
  const auto good = [&](size_t quality) { return parts[quality] != "3" && parts[quality] != "7"; };
  auto from = within(number_of(parts[0]), 0, 360), tenths = within(number_of(parts[3]), 0, 9998);
  if (!good(1)) from.reset();
  if (!good(4)) tenths.reset();
  return hour_of(*at, from, tenths ? std::optional(*tenths / 10) : std::nullopt);
}

std::optional<StationHour> table_row(const Header& header, const std::string& zone,
                                     const Cells& row) {
  const auto from = within(number_of(header.in(row, "wind_dir")), 0, 360);
  auto speed = within(number_of(header.in(row, "wind_speed")), 0, 250);
  if (speed) *speed *= kMpsPerMile_h;
  if (header.has("time_hour")) {
    auto at = parse_iso8601(header.in(row, "time_hour"));
    return at ? std::optional(hour_of(*at, from, speed)) : std::nullopt;
  }
  const auto number = [&](const char* name) {
    return static_cast<int>(number_of(header.in(row, name)).value_or(-1));
  };
  auto at = from_civil(number("year"), number("month"), number("day"), number("hour"), 0, zone);
  return at ? std::optional(hour_of(*at, from, speed)) : std::nullopt;
}

/// Hours end at the time given, 01:00 to 24:00, standard time of the station (TMY3 manual, NREL
/// 2008).
std::optional<StationHour> tmy_row(const Header& header, double offset_h, const Cells& row) {
  int month = 0, day = 0, year = 0, hour = 0, minute = 0;
  const std::string& date = header.in(row, "date (mm/dd/yyyy)");
  const std::string& time = header.in(row, "time (hh:mm)");
  if (std::sscanf(date.c_str(), "%d/%d/%d", &month, &day, &year) != 3 ||
      std::sscanf(time.c_str(), "%d:%d", &hour, &minute) != 2)
    return std::nullopt;
  const auto local = utc(year, month, day, hour - 1);
  if (!local) return std::nullopt;
  return hour_of(*local - std::chrono::minutes(std::lround(60 * offset_h)),
                 within(number_of(header.in(row, "wdir (degrees)")), 0, 360),
                 within(number_of(header.in(row, "wspd (m/s)")), 0, 110));
}

/// Columns 0 to 3 are year, month, day and the hour's end, 20 and 21 wind direction and speed, 999
/// missing (EnergyPlus weather format, from memory).
std::optional<StationHour> epw_row(double offset_h, const Cells& row) {
  if (row.size() < 22) return std::nullopt;
  const auto whole = [&](size_t i) { return static_cast<int>(number_of(row[i]).value_or(-1)); };
  const auto local = utc(whole(0), whole(1), whole(2), whole(3) - 1);
  if (!local) return std::nullopt;
  return hour_of(*local - std::chrono::minutes(std::lround(60 * offset_h)),
                 within(number_of(row[20]), 0, 360), within(number_of(row[21]), 0, 110));
}

/// The reader for what the first lines are; moves `text` past them.
Result<std::pair<std::string, RowReader>> reader_for(std::string_view& text, int& line,
                                                     const std::string& zone) {
  const Cells first = take_csv_row(text, line);
  const Header header(first);
  using Found = std::pair<std::string, RowReader>;
  if (header.has("date") && header.has("wnd"))
    return Found{"ISD global hourly", [header](const Cells& row) { return isd_row(header, row); }};
  if (header.has("wind_dir") && header.has("wind_speed")) {
    std::string station = "\n";  // none yet
    return Found{"hourly CSV", [header, zone, station](const Cells& row) mutable {
                   const std::string& origin = header.in(row, "origin");
                   if (station == "\n") station = origin;
                   return origin == station ? table_row(header, zone, row) : std::nullopt;
                 }};
  }
  if (lowered(first[0]) == "location" && first.size() >= 9) {
    const double offset_h = number_of(first[8]).value_or(0);
    for (int i = 0; i < 7; ++i) take_csv_row(text, line);
    return Found{"EPW", [offset_h](const Cells& row) { return epw_row(offset_h, row); }};
  }
  if (first.size() >= 4 && text.starts_with("Date (MM/DD/YYYY)")) {
    const double offset_h = number_of(first[3]).value_or(0);
    const Header names(take_csv_row(text, line));
    return Found{"TMY3",
                 [names, offset_h](const Cells& row) { return tmy_row(names, offset_h, row); }};
  }
  return fail(ErrorCode::unsupported,
              "its first line names no wind direction and speed that are known; choose hourly "
              "records as NOAA ISD, TMY3, EPW, or a table with wind_dir and wind_speed");
}

/// The first of each hour that has a wind, else the first.
std::vector<StationHour> one_an_hour(std::vector<StationHour> rows) {
  std::stable_sort(rows.begin(), rows.end(),
                   [](const StationHour& a, const StationHour& b) { return a.at < b.at; });
  std::vector<StationHour> out;
  for (StationHour& row : rows) {
    row.at = std::chrono::floor<std::chrono::hours>(row.at);
    if (out.empty() || out.back().at != row.at) {
      out.push_back(row);
    } else if (!out.back().speed_mps) {
      out.back() = row;
    }
  }
  return out;
}

}  // namespace

Result<StationRecords> read_station_records(const std::filesystem::path& path,
                                            const std::string& time_zone) {
  const std::string name = path.filename().string();
  auto text = read_text(path);
  if (!text) return std::move(text.error()).in(name);
  std::string_view rest = *text;
  int line = 1;
  StationRecords out;
  auto reader = reader_for(rest, line, time_zone);
  if (!reader) {  // perhaps the forecast's own columns
    Notes notes;
    auto own = parse_forecast_csv(*text, notes);
    if (!own) return std::move(reader.error()).in(name);
    out.format = own->format;
    for (const RawHour& h : own->rows) out.hours.push_back({h.at, h.true_from_deg, h.speed_mps});
    out.notes = notes.take();
  } else {
    out.format = reader->first;
    while (!rest.empty()) {
      const Cells row = take_csv_row(rest, line);
      if (auto hour = reader->second(row)) out.hours.push_back(*hour);
    }
  }
  out.hours = one_an_hour(std::move(out.hours));
  const auto known = std::count_if(out.hours.begin(), out.hours.end(),
                                   [](const StationHour& h) { return h.speed_mps.has_value(); });
  const auto directed = std::count_if(out.hours.begin(), out.hours.end(), [](const StationHour& h) {
    return h.true_from_deg.has_value();
  });
  if (known == 0 || directed == 0)
    return fail(ErrorCode::parse, name +
                                      ": it holds no hour with wind direction and speed; choose "
                                      "another file");
  out.notes.insert(out.notes.begin(),
                   std::to_string(out.hours.size()) + " hours from " +
                       to_iso8601(out.hours.front().at) + " to " + to_iso8601(out.hours.back().at) +
                       " were taken from " + name + " (" + out.format + "); " +
                       std::to_string(static_cast<long>(out.hours.size()) - known) +
                       " of them have no wind.");
  return out;
}

}  // namespace leeward::io
