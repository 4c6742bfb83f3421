#include "core/io/forecast_files.h"

#include "core/base/units.h"
#include "core/io/forecast_parse.h"
#include "core/io/gdal_gate.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <chrono>
#include <cmath>
#include <fstream>
#include <iterator>
#include <map>
#include <system_error>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;

constexpr std::uintmax_t kMaxBytes = 64U * 1024 * 1024;
constexpr double kMaxSpeed_mps = 120;  // the bound of WindHour (edit.cpp)

using std::chrono::hours;

constexpr double kFar_km = 15;  // the sides of a forecast's cell are some kilometres long
constexpr hours kOld{24};

/// Along a great circle (haversine) of a ball of 6371 km.
double distance_km(LonLat a, LonLat b) {
  const auto half_chord = [](double from_deg, double to_deg) {
    const double s = std::sin((to_deg - from_deg) * kRadPerDeg / 2);
    return s * s;
  };
  const double square = half_chord(a.lat, b.lat) + std::cos(a.lat * kRadPerDeg) *
                                                       std::cos(b.lat * kRadPerDeg) *
                                                       half_chord(a.lon, b.lon);
  return 2 * 6371 * std::asin(std::min(1.0, std::sqrt(square)));
}

void note_place(const std::optional<LonLat>& of, LonLat property, Forecast& forecast,
                Notes& notes) {
  const double off_km = of ? distance_km(*of, property) : 0;
  if (off_km <= kFar_km) return;
  const std::string km = std::to_string(std::lround(off_km)) + " km";
  forecast.source += ", for a place " + km + " off";
  notes.add("It is for a place " + km +
            " from the middle of the property: its wind is not this land's. Choose the forecast "
            "for your own place.");
}

void note_age(const Forecast& forecast, Notes& notes) {
  if (!forecast.issued) return;
  const auto age = std::chrono::floor<hours>(forecast.imported - *forecast.issued);
  if (age < kOld) return;
  notes.add("It was issued " + std::to_string(age / hours(24)) + " days and " +
            std::to_string(age / hours(1) % 24) +
            " hours before it was read: look for a newer one.");
}

/// "2026-11-14 09:00 UTC".
std::string hour_text(Instant at) {
  std::string text = to_iso8601(at);
  text[10] = ' ';
  return text.substr(0, 16) + " UTC";
}

std::string rows_text(size_t n) { return n == 1 ? "1 row" : std::to_string(n) + " rows"; }

/// Counts hours of which the same is to be said.
class Tally {
 public:
  void count(Instant at) {
    if (n_++ == 0) first_ = at;
  }
  /// Adds "3 hours (first 2026-11-14 09:00 UTC): `said`" unless there are none.
  void note(Notes& notes, const std::string& said) const {
    if (n_ == 0) return;
    notes.add((n_ == 1 ? "Hour " + hour_text(first_)
                       : std::to_string(n_) + " hours (first " + hour_text(first_) + ")") +
              ": " + said);
  }

 private:
  size_t n_ = 0;
  Instant first_{};
};

/// The full hour nearest to a time; half past goes up, so that rows at half past each hour stay one
/// an hour.
Instant nearest_hour(Instant at) {
  return std::chrono::floor<hours>(at + std::chrono::minutes(30));
}

std::vector<RawHour> one_an_hour(const std::vector<RawHour>& rows, Notes& notes) {
  struct Kept {
    const RawHour* row;
    bool repeated = false;
  };
  std::map<Instant, Kept> kept;
  size_t moved = 0, left_out = 0;
  for (const RawHour& row : rows) {
    const Instant hour = nearest_hour(row.at);
    if (std::chrono::abs(row.at - hour) > std::chrono::seconds(1)) ++moved;
    const auto [it, fresh] = kept.emplace(hour, Kept{&row});
    if (fresh) continue;
    if (row.at == it->second.row->at) {
      it->second.repeated = true;
    } else {
      ++left_out;
    }
    if (std::chrono::abs(row.at - hour) < std::chrono::abs(it->second.row->at - hour))
      it->second.row = &row;
  }
  if (moved > 0) notes.add(rows_text(moved) + " between full hours went to the nearest hour.");
  if (left_out > 0)
    notes.add(rows_text(left_out) + " left out: another row is nearer to the same hour.");
  Tally repeated;
  std::vector<RawHour> out;
  for (const auto& [hour, k] : kept) {
    if (k.repeated) repeated.count(hour);
    out.push_back(*k.row);
    out.back().at = hour;
  }
  repeated.note(notes, "more than one row; the first is kept.");
  return out;
}

void note_gaps(const std::vector<RawHour>& rows, Notes& notes) {
  constexpr int kMostNamed = 5;
  int gaps = 0;
  for (size_t i = 1; i < rows.size(); ++i) {
    const Instant first = rows[i - 1].at + hours(1), end = rows[i].at;
    if (end <= first || ++gaps > kMostNamed) continue;
    const auto missing = std::chrono::duration_cast<hours>(end - first).count();
    notes.add(missing == 1
                  ? "The hour " + hour_text(first) + " is missing: its wind is unknown."
                  : "The " + std::to_string(missing) + " hours from " + hour_text(first) + " to " +
                        hour_text(end - hours(1)) + " are missing: their wind is unknown.");
  }
  if (gaps > kMostNamed)
    notes.add("And " + std::to_string(gaps - kMostNamed) + " more gaps in the hours.");
}

/// What the hours that were taken lack, and what looks like a wrong unit.
void note_doubts(const std::vector<RawHour>& rows, Notes& notes) {
  constexpr double kCalmBelow_mps = 0.5;
  constexpr double kHurricane_mps = 64 * kMpsPerKnot;  // Beaufort 12 begins there
  Tally no_speed, no_direction, no_cloud, low_gust, storm;
  for (const RawHour& h : rows) {
    if (!h.speed_mps) no_speed.count(h.at);
    if (h.speed_mps && *h.speed_mps >= kCalmBelow_mps && !h.true_from_deg) no_direction.count(h.at);
    if (!h.cloud) no_cloud.count(h.at);
    if (h.speed_mps && h.gust_mps && *h.gust_mps < *h.speed_mps - 0.3) low_gust.count(h.at);
    if (h.speed_mps && *h.speed_mps >= kHurricane_mps) storm.count(h.at);
  }
  no_speed.note(notes, "no wind speed; scent is spread to all sides.");
  no_direction.note(notes, "no wind direction, or variable; scent is spread to all sides.");
  no_cloud.note(notes, "no cloud; a sky half covered is assumed for the stability.");
  low_gust.note(notes, "gusts below the mean wind; those gusts are not used.");
  storm.note(notes, "the wind of a hurricane (64 kt or more); check the unit in the file.");
}

WindHour to_wind_hour(const RawHour& row, const Uid& forecast, double convergence_deg) {
  WindHour out;
  out.uid = Uid::random();
  out.forecast = forecast;
  out.at = row.at;
  if (row.true_from_deg) out.from_deg = wrap_360(*row.true_from_deg - convergence_deg);
  out.speed_mps = row.speed_mps;
  out.speed_range_mps = row.speed_range_mps;
  out.gust_mps = row.gust_mps;
  out.cloud = row.cloud;
  out.temperature_c = row.temperature_c;
  return out;
}

/// "3 hours from ... to ... were", "1 hour, ..., was".
std::string hours_taken(const std::vector<RawHour>& rows) {
  const std::string first = to_iso8601(rows.front().at);
  return rows.size() == 1 ? "1 hour, " + first + ", was"
                          : std::to_string(rows.size()) + " hours from " + first + " to " +
                                to_iso8601(rows.back().at) + " were";
}

Result<RawForecast> read_rows(const fs::path& path, LonLat place, Notes& notes) {
  if (Status regular = check_regular_file(path); !regular) return std::move(regular.error());
  if (is_grib(path)) return read_forecast_grib(path, place, notes);
  auto text = read_text(path);
  if (!text) return std::move(text.error());
  if (lowered(*text).empty()) return fail(ErrorCode::parse, "it is empty; choose another file");
  const bool json = lowered(std::string_view(*text).substr(0, 64)).starts_with('{');
  return json ? parse_forecast_json(*text, notes) : parse_forecast_csv(*text, notes);
}

}  // namespace

void Notes::add(std::string sentence) {
  if (sentences_.size() < 20) {
    sentences_.push_back(std::move(sentence));
  } else {
    ++more_;
  }
}

std::vector<std::string> Notes::take() {
  if (more_ > 0) sentences_.push_back("And " + std::to_string(more_) + " more such remarks.");
  more_ = 0;
  return std::move(sentences_);
}

std::optional<double> mps_per_unit(std::string_view unit) {
  const std::string u = lowered(unit);
  if (u == "mph" || u == "mi_h-1" || u == "mi/h") return kMpsPerMph;
  if (u == "km/h" || u == "kmh" || u == "kph" || u == "km_h-1") return kMpsPerKmh;
  if (u == "kt" || u == "kts" || u == "kn" || u == "knots") return kMpsPerKnot;
  if (u == "m/s" || u == "mps" || u == "m_s-1") return 1.0;
  return std::nullopt;
}

std::optional<double> compass_point_deg(std::string_view text) {
  constexpr std::array<const char*, 16> kPoints = {"n",  "nne", "ne", "ene", "e",  "ese",
                                                   "se", "sse", "s",  "ssw", "sw", "wsw",
                                                   "w",  "wnw", "nw", "nnw"};
  const std::string t = lowered(text);
  for (size_t i = 0; i < kPoints.size(); ++i)
    if (t == kPoints[i]) return 22.5 * static_cast<double>(i);
  return std::nullopt;
}

bool is_no_direction(std::string_view text) {
  const std::string t = lowered(text);
  return t == "vrb" || t == "variable" || t == "calm";
}

std::optional<double> number_of(std::string_view text) {
  const std::string t = lowered(text);
  double v = 0;
  const char* first = t.data() + (t.starts_with('+') ? 1 : 0);
  const auto [end, error] = std::from_chars(first, t.data() + t.size(), v);
  if (t.empty() || error != std::errc{} || end != t.data() + t.size() || !std::isfinite(v))
    return std::nullopt;
  return v;
}

std::string lowered(std::string_view text) {
  const size_t first = text.find_first_not_of(" \t\r\n");
  if (first == std::string_view::npos) return {};
  std::string out(text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1));
  for (char& c : out)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return out;
}

std::optional<double> checked_speed(double mps, const std::string& where, Notes& notes) {
  if (mps >= 0 && mps <= kMaxSpeed_mps) return mps;
  notes.add(where + ": the speed is negative or beyond any wind; unknown.");
  return std::nullopt;
}
std::optional<double> checked_direction(double deg, const std::string& where, Notes& notes) {
  if (deg >= 0 && deg <= 360) return wrap_360(deg);
  notes.add(where + ": the direction does not lie between 0 and 360 degrees; unknown.");
  return std::nullopt;
}
std::optional<double> checked_cloud(double percent, const std::string& where, Notes& notes) {
  if (percent >= 0 && percent <= 100) return percent / 100;
  notes.add(where + ": the cloud cover does not lie between 0 and 100 percent; unknown.");
  return std::nullopt;
}
std::optional<double> checked_temperature(double celsius, const std::string& where, Notes& notes) {
  if (celsius >= -95 && celsius <= 65) return celsius;
  notes.add(where + ": the temperature is beyond any measured on Earth; unknown.");
  return std::nullopt;
}

Result<std::string> read_text(const fs::path& path) {
  if (Status regular = check_regular_file(path); !regular) return std::move(regular.error());
  std::error_code ec;
  const auto size = fs::file_size(path, ec);
  if (!ec && size > kMaxBytes)
    return fail(ErrorCode::unsupported, "it is larger than 64 MB; cut it to the days you need");
  std::ifstream in(path, std::ios::binary);
  std::string text{std::istreambuf_iterator<char>(in), {}};
  if (ec || !in) return fail(ErrorCode::io, "it cannot be read; check its permissions");
  if (text.starts_with("\xEF\xBB\xBF")) text.erase(0, 3);
  return text;
}

Result<ForecastImport> read_forecast(const fs::path& path, const Frame& frame, LocalXY place) {
  const std::string name = path.filename().string();
  Notes notes;
  auto raw = read_rows(path, frame.to_wgs84(place), notes);
  if (!raw) return std::move(raw.error()).in(name);
  std::erase_if(raw->rows, [](const RawHour& r) {  // an hour of which nothing is known is a gap
    return !r.speed_mps && !r.true_from_deg && !r.gust_mps && !r.cloud && !r.temperature_c;
  });
  const std::vector<RawHour> rows = one_an_hour(raw->rows, notes);
  const bool any_wind = std::any_of(rows.begin(), rows.end(),
                                    [](const RawHour& h) { return h.speed_mps.has_value(); });
  if (!any_wind) {
    const auto said = notes.take();
    return fail(ErrorCode::parse, name + ": it holds no hour with wind" +
                                      (said.empty() ? std::string{} : " (" + said.front() + ")") +
                                      "; choose another file");
  }
  note_gaps(rows, notes);
  note_doubts(rows, notes);
  ForecastImport out;
  out.forecast.uid = Uid::random();
  out.forecast.source = name + " (" + raw->format + ")";
  out.forecast.imported =
      std::chrono::floor<std::chrono::seconds>(std::chrono::system_clock::now());
  out.forecast.issued = raw->issued;
  note_place(raw->place, frame.to_wgs84(place), out.forecast, notes);
  note_age(out.forecast, notes);
  const double convergence_deg = frame.convergence_deg(place);
  for (const RawHour& h : rows)
    out.hours.push_back(to_wind_hour(h, out.forecast.uid, convergence_deg));
  out.notes = notes.take();
  out.notes.insert(out.notes.begin(),
                   hours_taken(rows) + " taken from " + name + " (" + raw->format + ").");
  return out;
}

}  // namespace leeward::io
