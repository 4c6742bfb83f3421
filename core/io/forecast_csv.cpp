#include "core/base/units.h"
#include "core/io/forecast_parse.h"

#include <array>
#include <map>

namespace leeward::io {
namespace {

constexpr size_t kMaxRows = 200'000;

struct Columns {
  int time = -1, direction = -1, speed = -1, gust = -1, cloud = -1, temperature = -1;
  double speed_mps = 1, gust_mps = 1;  ///< For one unit.
  bool fahrenheit = false;
};

Error header_error(const std::string& why) {
  return fail(ErrorCode::parse,
              "line 1: " + why +
                  "; the header needs time, wind_from_deg and one of wind_mps, wind_mph, wind_kmh, "
                  "wind_kt");
}

/// Finds "wind_<unit>" or "gust_<unit>".
Result<int> find_speed(const std::map<std::string, int>& names, const std::string& stem,
                       double& factor) {
  int found = -1;
  for (const char* unit : {"mps", "mph", "kmh", "kt"}) {
    const auto it = names.find(stem + unit);
    if (it == names.end()) continue;
    if (found >= 0) return header_error("two columns " + stem + "...");
    found = it->second;
    factor = *mps_per_unit(unit);
  }
  return found;
}

Result<Columns> read_header(const std::vector<std::string>& cells) {
  if (cells.size() == 1 && cells[0].find_first_of(";\t") != std::string::npos)
    return header_error("the columns are not separated by commas");
  std::map<std::string, int> names;
  for (size_t i = 0; i < cells.size(); ++i) {
    const std::string name = lowered(cells[i]);
    if (!name.empty() && !names.emplace(name, static_cast<int>(i)).second)
      return header_error("two columns " + name);
  }
  const auto column = [&](const char* name) {
    const auto it = names.find(name);
    return it == names.end() ? -1 : it->second;
  };
  Columns out;
  out.time = column("time");
  out.direction = column("wind_from_deg");
  out.cloud = column("cloud_pct");
  const int celsius = column("temp_c"), fahrenheit = column("temp_f");
  if (celsius >= 0 && fahrenheit >= 0) return header_error("both temp_c and temp_f");
  out.fahrenheit = fahrenheit >= 0;
  out.temperature = std::max(celsius, fahrenheit);
  auto speed = find_speed(names, "wind_", out.speed_mps);
  if (!speed) return std::move(speed.error());
  auto gust = find_speed(names, "gust_", out.gust_mps);
  if (!gust) return std::move(gust.error());
  out.speed = *speed;
  out.gust = *gust;
  if (out.time < 0) return header_error("no column time");
  if (out.direction < 0) return header_error("no column wind_from_deg");
  if (out.speed < 0) {
    for (const auto& [name, place] : names)
      if (name.starts_with("wind_") && place != out.direction)
        return header_error("the unit of column " + name.substr(0, 40) + " is not known");
    return header_error("no column with the wind speed");
  }
  return out;
}

class RowReader {
 public:
  RowReader(const Columns& columns, const std::vector<std::string>& cells, int line, Notes& notes)
      : c_(columns), cells_(cells), line_("Line " + std::to_string(line)), notes_(notes) {}

  std::optional<RawHour> read() {
    const std::string* time = cell(c_.time);
    if (!time) return notes_.add(line_ + " has no time and is left out."), std::nullopt;
    const auto at = parse_iso8601(*time);
    if (!at) {
      notes_.add(line_ + ": time '" + time->substr(0, 40) +
                 "' is not ISO 8601 with a zone (2026-11-14T06:00-06:00); the row is left out.");
      return std::nullopt;
    }
    RawHour out;
    out.at = *at;
    out.true_from_deg = direction();
    if (const auto v = number(c_.speed, "wind"))
      out.speed_mps = checked_speed(*v * c_.speed_mps, line_ + ", wind", notes_);
    if (const auto v = number(c_.gust, "gust"))
      out.gust_mps = checked_speed(*v * c_.gust_mps, line_ + ", gust", notes_);
    if (const auto v = number(c_.cloud, "cloud"))
      out.cloud = checked_cloud(*v, line_ + ", cloud", notes_);
    if (const auto v = number(c_.temperature, "temperature"))
      out.temperature_c = checked_temperature(c_.fahrenheit ? (*v - 32) / 1.8 : *v,
                                              line_ + ", temperature", notes_);
    return out;
  }

 private:
  /// nullptr for a cell that is absent, empty or says so ("NA").
  const std::string* cell(int column) {
    if (column < 0 || static_cast<size_t>(column) >= cells_.size()) return nullptr;
    const std::string& text = cells_[static_cast<size_t>(column)];
    const std::string plain = lowered(text);
    return plain.empty() || plain == "na" || plain == "nan" || plain == "null" ? nullptr : &text;
  }
  std::optional<double> number(int column, const char* what) {
    const std::string* text = cell(column);
    if (!text) return std::nullopt;
    const auto v = number_of(*text);
    if (!v)
      notes_.add(line_ + ", " + what + ": '" + text->substr(0, 40) + "' is no number; unknown.");
    return v;
  }
  std::optional<double> direction() {
    const std::string* text = cell(c_.direction);
    if (!text) return std::nullopt;
    if (is_no_direction(*text)) return std::nullopt;
    if (const auto point = compass_point_deg(*text)) return point;
    const auto v = number(c_.direction, "direction");
    return v ? checked_direction(*v, line_ + ", direction", notes_) : std::nullopt;
  }

  const Columns& c_;
  const std::vector<std::string>& cells_;
  std::string line_;
  Notes& notes_;
};

}  // namespace

std::vector<std::string> take_csv_row(std::string_view& text, int& line) {
  std::vector<std::string> cells(1);
  bool quoted = false;
  size_t i = 0;
  for (; i < text.size(); ++i) {
    const char c = text[i];
    if (c == '\n') ++line;
    if (quoted) {
      if (c != '"') {
        cells.back() += c;
      } else if (i + 1 < text.size() && text[i + 1] == '"') {
        cells.back() += c, ++i;
      } else {
        quoted = false;
      }
    } else if (c == '"') {
      quoted = true;
    } else if (c == ',') {
      cells.emplace_back();
    } else if (c == '\n') {
      ++i;
      break;
    } else if (c != '\r') {
      cells.back() += c;
    }
  }
  text.remove_prefix(i);
  return cells;
}

Result<RawForecast> parse_forecast_csv(std::string_view text, Notes& notes) {
  int line = 1;
  const auto columns = read_header(take_csv_row(text, line));
  if (!columns) return columns.error();
  RawForecast out{"CSV", {}};
  while (!text.empty()) {
    const int here = line;
    const auto cells = take_csv_row(text, line);
    if (cells.size() == 1 && lowered(cells[0]).empty()) continue;
    if (auto row = RowReader(*columns, cells, here, notes).read()) out.rows.push_back(*row);
    if (out.rows.size() > kMaxRows)
      return fail(ErrorCode::unsupported,
                  "more than 200000 rows; cut the file to the days you need");
  }
  return out;
}

}  // namespace leeward::io
