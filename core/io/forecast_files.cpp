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

/// One row an hour: each goes to the full hour nearest to it, the nearest row wins.
std::vector<RawHour> one_an_hour(const std::vector<RawHour>& rows, Notes& notes) {
  std::map<Instant, const RawHour*> nearest;
  size_t moved = 0, repeated = 0;
  for (const RawHour& row : rows) {
    const Instant hour = std::chrono::round<std::chrono::hours>(row.at);
    if (std::chrono::abs(row.at - hour) > std::chrono::seconds(1)) ++moved;
    const auto [it, fresh] = nearest.emplace(hour, &row);
    if (fresh) continue;
    ++repeated;
    if (std::chrono::abs(row.at - hour) < std::chrono::abs(it->second->at - hour))
      it->second = &row;
  }
  if (moved > 0)
    notes.add(std::to_string(moved) + " rows between full hours were moved to the nearest hour.");
  if (repeated > 0) {
    notes.add(std::to_string(repeated) +
              " rows repeat an hour and are left out; the row nearest to the hour stays.");
  }
  std::vector<RawHour> out;
  for (const auto& [hour, row] : nearest) {
    out.push_back(*row);
    out.back().at = hour;
  }
  return out;
}

void note_gaps(const std::vector<RawHour>& hours, Notes& notes) {
  for (size_t i = 1; i < hours.size(); ++i) {
    const auto gap = std::chrono::duration_cast<std::chrono::hours>(hours[i].at - hours[i - 1].at);
    if (gap > std::chrono::hours(1)) {
      notes.add("Nothing is known for " + std::to_string(gap.count() - 1) + " hours after " +
                to_iso8601(hours[i - 1].at) + ".");
    }
  }
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

Result<ForecastImport> read_forecast(const fs::path& path, const Frame& frame, LocalXY place) {
  const std::string name = path.filename().string();
  auto text = read_text(path);
  if (!text) return std::move(text.error()).in(name);
  Notes notes;
  const bool json = lowered(std::string_view(*text).substr(0, 64)).starts_with('{');
  auto raw = json ? parse_forecast_json(*text, notes) : parse_forecast_csv(*text, notes);
  if (!raw) return std::move(raw.error()).in(name);
  std::erase_if(raw->rows, [](const RawHour& r) {  // an hour of which nothing is known is a gap
    return !r.speed_mps && !r.true_from_deg && !r.gust_mps && !r.cloud && !r.temperature_c;
  });
  const std::vector<RawHour> hours = one_an_hour(raw->rows, notes);
  const bool any_wind = std::any_of(hours.begin(), hours.end(),
                                    [](const RawHour& h) { return h.speed_mps.has_value(); });
  if (!any_wind) {
    const auto said = notes.take();
    return fail(ErrorCode::parse, name + ": it holds no hour with wind" +
                                      (said.empty() ? std::string{} : " (" + said.front() + ")") +
                                      "; choose another file");
  }
  note_gaps(hours, notes);
  ForecastImport out;
  out.forecast.uid = Uid::random();
  out.forecast.source = name + " (" + raw->format + ")";
  out.forecast.imported =
      std::chrono::floor<std::chrono::seconds>(std::chrono::system_clock::now());
  const double convergence_deg = frame.convergence_deg(place);
  for (const RawHour& h : hours)
    out.hours.push_back(to_wind_hour(h, out.forecast.uid, convergence_deg));
  out.notes = notes.take();
  out.notes.insert(out.notes.begin(), std::to_string(out.hours.size()) + " hours from " +
                                          to_iso8601(hours.front().at) + " to " +
                                          to_iso8601(hours.back().at) + " were taken from " + name +
                                          " (" + raw->format + ").");
  return out;
}

}  // namespace leeward::io
