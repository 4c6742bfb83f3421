// JSON of the US National Weather Service as its interface describes it (api.weather.gov,
// "Forecast" and "Gridpoint"): periods with texts such as "10 to 15 mph", or series of values over
// ISO 8601 intervals with a WMO unit.
#include "core/base/units.h"
#include "core/io/forecast_parse.h"

#include <nlohmann/json.hpp>

#include <chrono>
#include <cmath>
#include <functional>
#include <map>
#include <set>

namespace leeward::io {
namespace {

using nlohmann::json;

constexpr int kMostHoursAnInterval = 24 * 31;
constexpr size_t kMaxHours = 50'000;

const json* member(const json& object, const char* key) {
  if (!object.is_object()) return nullptr;
  const auto it = object.find(key);
  return it == object.end() || it->is_null() ? nullptr : &*it;
}

std::string text_of(const json* value) {
  return value && value->is_string() ? value->get<std::string>() : std::string{};
}

/// "wmoUnit:km_h-1" -> "km_h-1"; `uom` and `unitCode` mean the same.
std::string unit_of(const json& quantity) {
  std::string unit = text_of(member(quantity, "unitCode"));
  if (unit.empty()) unit = text_of(member(quantity, "uom"));
  const size_t colon = unit.rfind(':');
  return colon == std::string::npos ? unit : unit.substr(colon + 1);
}

/// "PT3H", "P1DT6H", "PT30M" in whole hours, at least one.
std::optional<int> duration_hours(std::string_view text) {
  if (text.empty() || text[0] != 'P') return std::nullopt;
  double hours = 0, number = 0;
  bool time = false, digits = false;
  for (const char c : text.substr(1)) {
    if (c >= '0' && c <= '9') {
      number = number * 10 + (c - '0');
      digits = true;
    } else if (c == 'T' && !time && !digits) {
      time = true;
    } else if (digits && ((c == 'D' && !time) || (time && (c == 'H' || c == 'M' || c == 'S')))) {
      hours += number * (c == 'D' ? 24.0 : c == 'H' ? 1.0 : c == 'M' ? 1.0 / 60 : 1.0 / 3600);
      number = 0, digits = false;
    } else {
      return std::nullopt;
    }
  }
  if (digits || !(hours > 0) || hours > kMostHoursAnInterval) return std::nullopt;
  return std::max(1, static_cast<int>(std::lround(hours)));
}

struct Speed {
  std::optional<double> mps, range_mps;
};

Speed speed_range(double low, double high, double factor, const std::string& where, Notes& notes) {
  Speed out;
  const auto a = checked_speed(low * factor, where, notes),
             b = checked_speed(high * factor, where, notes);
  if (!a || !b) return out;
  out.mps = (*a + *b) / 2;
  if (high > low) out.range_mps = *b - *a;
  return out;
}

/// "7 mph", "10 to 15 mph", "0 km/h".
Speed speed_from_text(const std::string& text, const std::string& where, Notes& notes) {
  const std::string plain = lowered(text);
  if (plain.empty()) return {};
  const size_t space = plain.rfind(' ');
  const auto factor =
      space == std::string::npos ? std::nullopt : mps_per_unit(plain.substr(space + 1));
  if (factor) {
    const std::string numbers = plain.substr(0, space);
    const size_t to = numbers.find(" to ");
    const auto low = number_of(numbers.substr(0, to));
    const auto high = to == std::string::npos ? low : number_of(numbers.substr(to + 4));
    if (low && high && *high >= *low) return speed_range(*low, *high, *factor, where, notes);
  }
  notes.add(where + ": '" + text.substr(0, 40) + "' is not understood; the speed is unknown.");
  return {};
}

/// A number with its unit: {"value": 16.7, "unitCode": "wmoUnit:km_h-1"}, or a least and most one.
Speed speed_from_quantity(const json& q, const std::string& where, Notes& notes) {
  const json *value = member(q, "value"), *low = member(q, "minValue"),
             *high = member(q, "maxValue");
  if (!value && !(low && high)) return {};
  const auto factor = mps_per_unit(unit_of(q));
  if (!factor) {
    notes.add(where + ": the unit '" + unit_of(q).substr(0, 40) + "' is not known; unknown speed.");
    return {};
  }
  if (low && high && low->is_number() && high->is_number())
    return speed_range(low->get<double>(), high->get<double>(), *factor, where, notes);
  if (!value || !value->is_number()) {
    notes.add(where + ": the speed is no number; unknown.");
    return {};
  }
  return {checked_speed(value->get<double>() * *factor, where, notes), std::nullopt};
}

Speed speed_of(const json* value, const std::string& where, Notes& notes) {
  if (!value) return {};
  if (value->is_string()) return speed_from_text(value->get<std::string>(), where, notes);
  if (value->is_object()) return speed_from_quantity(*value, where, notes);
  notes.add(where + ": the speed has no unit; unknown.");
  return {};
}

std::optional<double> direction_of(const json* value, const std::string& where, Notes& notes) {
  if (!value) return std::nullopt;
  if (value->is_object()) value = member(*value, "value");
  if (!value) return std::nullopt;
  if (value->is_number()) return checked_direction(value->get<double>(), where, notes);
  const std::string text = text_of(value);
  if (lowered(text).empty() || is_no_direction(text)) return std::nullopt;
  const auto point = compass_point_deg(text);
  if (!point) notes.add(where + ": direction '" + text.substr(0, 20) + "' is not known; unknown.");
  return point;
}

std::optional<double> celsius(double value, const std::string& unit, const std::string& where,
                              Notes& notes) {
  const std::string u = lowered(unit);
  if (u == "f" || u == "degf") return checked_temperature((value - 32) / 1.8, where, notes);
  if (u == "c" || u == "degc") return checked_temperature(value, where, notes);
  notes.add(where + ": the temperature's unit '" + unit.substr(0, 20) + "' is not known; unknown.");
  return std::nullopt;
}

std::optional<double> temperature_of(const json& period, const std::string& where, Notes& notes) {
  const json* t = member(period, "temperature");
  if (!t) return std::nullopt;
  const auto plain = t->is_number()   ? std::optional(t->get<double>())
                     : t->is_string() ? number_of(t->get<std::string>())
                                      : std::nullopt;
  if (plain) return celsius(*plain, text_of(member(period, "temperatureUnit")), where, notes);
  const json* v = member(*t, "value");
  return v && v->is_number() ? celsius(v->get<double>(), unit_of(*t), where, notes) : std::nullopt;
}

Result<RawForecast> read_periods(const json& periods, Notes& notes) {
  RawForecast out{"NWS hourly forecast", {}};
  size_t spread = 0;
  for (size_t i = 0; i < periods.size() && out.rows.size() < kMaxHours; ++i) {
    const json& p = periods[i];
    const std::string where = "Period " + std::to_string(i + 1);
    const auto start = parse_iso8601(text_of(member(p, "startTime")));
    if (!start) {
      notes.add(where + " has no start time and is left out.");
      continue;
    }
    RawHour hour;
    hour.at = *start;
    const Speed speed = speed_of(member(p, "windSpeed"), where + ", wind speed", notes);
    hour.speed_mps = speed.mps;
    hour.speed_range_mps = speed.range_mps;
    hour.gust_mps = speed_of(member(p, "windGust"), where + ", gust", notes).mps;
    hour.true_from_deg = direction_of(member(p, "windDirection"), where, notes);
    hour.temperature_c = temperature_of(p, where, notes);
    const auto end = parse_iso8601(text_of(member(p, "endTime")));
    const double length_h =
        end ? std::chrono::duration<double, std::ratio<3600>>(*end - *start).count() : 1;
    const int hours = static_cast<int>(std::lround(std::min(std::max(length_h, 1.0), 24.0)));
    spread += hours > 1 ? 1U : 0U;
    for (int h = 0; h < hours; ++h) {
      out.rows.push_back(hour);
      hour.at += std::chrono::hours(1);
    }
  }
  if (spread > 0) {
    notes.add(std::to_string(spread) +
              " periods are longer than an hour; their values were given to each of their hours.");
  }
  return out;
}

/// Calls put(hour, value) for every hour of a series.
void read_series(const json& properties, const char* key, Notes& notes,
                 const std::function<void(Instant, double, const std::string& unit)>& put) {
  const json* series = member(properties, key);
  const json* values = series ? member(*series, "values") : nullptr;
  if (!values || !values->is_array()) return;
  const std::string unit = unit_of(*series);
  size_t done = 0, repeated = 0;
  std::set<Instant> seen;
  for (size_t i = 0; i < values->size(); ++i) {
    const std::string where = std::string(key) + " value " + std::to_string(i + 1);
    const std::string valid = text_of(member((*values)[i], "validTime"));
    const size_t slash = valid.find('/');
    const auto start = parse_iso8601(valid.substr(0, slash));
    const auto hours =
        slash == std::string::npos ? std::nullopt : duration_hours(valid.substr(slash + 1));
    if (!start || !hours) {
      notes.add(where + ": the time '" + valid.substr(0, 60) + "' is not understood; left out.");
      continue;
    }
    const json* value = member((*values)[i], "value");
    if (!value) continue;
    if (!value->is_number()) {
      notes.add(where + " is no number; left out.");
      continue;
    }
    const auto first = std::chrono::round<std::chrono::hours>(*start);
    for (int h = 0; h < *hours && ++done <= kMaxHours; ++h) {
      const Instant hour = first + std::chrono::hours(h);
      if (seen.insert(hour).second) {
        put(hour, value->get<double>(), unit);
      } else {
        ++repeated;
      }
    }
  }
  if (repeated > 0)
    notes.add(std::string(key) + ": " + std::to_string(repeated) +
              " values for hours that have one already are left out.");
}

Result<RawForecast> read_gridpoint(const json& properties, Notes& notes) {
  std::map<Instant, RawHour> hours;
  const auto at = [&](Instant t) -> RawHour& {
    RawHour& hour = hours[t];
    hour.at = t;
    return hour;
  };
  bool unit_missing = false;
  const auto speed = [&](std::optional<double> RawHour::*field, const char* what) {
    return [&, field, what](Instant t, double v, const std::string& unit) {
      const auto factor = mps_per_unit(unit);
      unit_missing = unit_missing || !factor;
      if (factor) at(t).*field = checked_speed(v * *factor, what + (" " + to_iso8601(t)), notes);
    };
  };
  read_series(properties, "windSpeed", notes, speed(&RawHour::speed_mps, "windSpeed"));
  read_series(properties, "windDirection", notes, [&](Instant t, double v, const std::string&) {
    at(t).true_from_deg = checked_direction(v, "windDirection " + to_iso8601(t), notes);
  });
  // The others only fill hours that have wind.
  const auto known = [&](Instant t) { return hours.contains(t); };
  const auto gust = speed(&RawHour::gust_mps, "windGust");
  read_series(properties, "windGust", notes, [&](Instant t, double v, const std::string& unit) {
    if (known(t)) gust(t, v, unit);
  });
  read_series(properties, "skyCover", notes, [&](Instant t, double v, const std::string&) {
    if (known(t)) at(t).cloud = checked_cloud(v, "skyCover " + to_iso8601(t), notes);
  });
  read_series(properties, "temperature", notes, [&](Instant t, double v, const std::string& unit) {
    if (known(t)) at(t).temperature_c = celsius(v, unit, "temperature " + to_iso8601(t), notes);
  });
  if (unit_missing) notes.add("A speed series has no unit that is known; its values are unknown.");
  RawForecast out{"NWS gridpoint forecast", {}};
  for (const auto& [t, hour] : hours) out.rows.push_back(hour);
  return out;
}

/// When the values were made, not when the file was fetched.
std::optional<Instant> issued_of(const json& properties) {
  for (const char* name : {"updateTime", "updated", "generatedAt"}) {
    const json* text = member(properties, name);
    if (!text || !text->is_string()) continue;
    if (const auto at = parse_iso8601(text->get<std::string>())) return *at;
  }
  return std::nullopt;
}

// `depth`: of arrays that may still lie inside one another; a multipolygon's geometry has six.
void add_positions(const json& value, int depth, Box& lon_lat) {
  if (depth == 0 || (!value.is_array() && !value.is_object())) return;
  if (value.is_array() && value.size() >= 2 && value[0].is_number() && value[1].is_number()) {
    const double lon = value[0].get<double>(), lat = value[1].get<double>();
    if (std::abs(lon) <= 180 && std::abs(lat) <= 90) lon_lat.add(LocalXY{lon, lat});
    return;
  }
  for (const json& part : value) add_positions(part, depth - 1, lon_lat);
}

/// The middle of the GeoJSON geometry that the forecast is for.
std::optional<LonLat> place_of(const json& root) {
  Box lon_lat;
  if (const json* geometry = member(root, "geometry")) add_positions(*geometry, 8, lon_lat);
  if (lon_lat.empty()) return std::nullopt;
  const LocalXY middle = lon_lat.centre();
  return LonLat{middle.x, middle.y};
}

}  // namespace

Result<RawForecast> parse_forecast_json(std::string_view text, Notes& notes) {
  const json root = json::parse(text, nullptr, false);
  if (root.is_discarded())
    return fail(ErrorCode::parse, "it is no JSON, or cut off; download it again");
  const json* properties = member(root, "properties");
  if (!properties) properties = &root;
  const auto dated = [&](Result<RawForecast> read) {
    if (read) read->issued = issued_of(*properties), read->place = place_of(root);
    return read;
  };
  if (const json* periods = member(*properties, "periods"); periods && periods->is_array())
    return dated(read_periods(*periods, notes));
  if (const json* wind = member(*properties, "windSpeed"); wind && member(*wind, "values"))
    return dated(read_gridpoint(*properties, notes));
  return fail(ErrorCode::unsupported,
              "it holds neither properties.periods nor properties.windSpeed; choose the hourly "
              "forecast or the gridpoint data of the National Weather Service");
}

}  // namespace leeward::io
