// Wind from GRIB edition 2 (WMO Manual on Codes, FM 92): the fields of 10 m wind, gust, cloud and
// 2 m temperature, read at one place. GDAL decodes the fields; whether their wind is relative to
// the grid stands in section 3, which GDAL does not tell, and is read here.
#include "core/base/units.h"
#include "core/io/forecast_parse.h"
#include "core/io/gdal_gate.h"
#include "core/io/gdal_open.h"

#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <fstream>
#include <map>
#include <memory>
#include <numeric>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;

constexpr std::uintmax_t kMostBytes = 2ULL << 30;
constexpr double kTooCoarse_m = 30'000;

std::uint64_t big_endian(const unsigned char* p, int bytes) {
  return std::accumulate(p, p + bytes, std::uint64_t{0},
                         [](std::uint64_t sum, unsigned char b) { return sum << 8 | b; });
}

// Octet of the resolution and component flags (flag table 3.3) in section 3, by its template:
// latitude/longitude, rotated, Gaussian; Mercator, polar stereographic, Lambert. From memory,
// checked against two files.
std::optional<std::size_t> flags_octet(std::uint64_t grid_template) {
  switch (grid_template) {
    case 0:
    case 1:
    case 40:
      return 55;
    case 10:
    case 20:
    case 30:
      return 47;
    default:
      return std::nullopt;
  }
}

// Whether the winds of all messages are relative to the grid.
Result<bool> winds_follow_grid(const fs::path& path) {
  constexpr unsigned char kRelativeToGrid = 0x08;
  std::ifstream in(path, std::ios::binary);
  std::optional<bool> all;
  std::array<unsigned char, 64> section{};
  std::uint64_t at = 0;
  while (in.seekg(static_cast<std::streamoff>(at)) &&
         in.read(reinterpret_cast<char*>(section.data()), 16)) {
    if (std::memcmp(section.data(), "GRIB", 4) != 0) {
      ++at;  // bytes between messages
      continue;
    }
    if (section[7] != 2)
      return fail(ErrorCode::unsupported, "it is GRIB of edition " + std::to_string(section[7]) +
                                              "; only edition 2 is read: choose a .grib2 file");
    const std::uint64_t end = at + big_endian(section.data() + 8, 8);
    if (end <= at + 20) break;
    for (std::uint64_t s = at + 16; s + 5 < end;) {
      in.seekg(static_cast<std::streamoff>(s));
      if (!in.read(reinterpret_cast<char*>(section.data()), 5)) break;
      const std::uint64_t length = big_endian(section.data(), 4);
      if (std::memcmp(section.data(), "7777", 4) == 0 || length < 5) break;
      if (section[4] == 3) {
        const std::size_t n = std::min<std::size_t>(section.size(), length);
        in.seekg(static_cast<std::streamoff>(s));
        if (!in.read(reinterpret_cast<char*>(section.data()), static_cast<std::streamsize>(n)))
          break;
        const auto octet = flags_octet(big_endian(section.data() + 12, 2));
        if (!octet || *octet > n)
          return fail(ErrorCode::unsupported,
                      "its grid is of a kind that is not read; choose one on a latitude, Lambert, "
                      "polar or Mercator grid");
        const bool follows = (section[*octet - 1] & kRelativeToGrid) != 0;
        if (all && *all != follows)
          return fail(ErrorCode::unsupported,
                      "some of its winds follow the grid and some do not; choose another file");
        all = follows;
      }
      s += length;
    }
    in.clear();
    at = end;
  }
  if (!all) return fail(ErrorCode::parse, "it holds no whole GRIB message; load it again");
  return *all;
}

// The place in the file's grid, and how far its north is turned from the grid's upward direction.
struct Spot {
  double col = 0, row = 0;
  double north_rad = 0;  // clockwise from the direction of falling rows
  double cell_m = 0;
};

Result<Spot> find_spot(GDALDataset& data, LonLat place) {
  const OGRSpatialReference* grid = data.GetSpatialRef();
  std::array<double, 6> to_map{}, to_grid{};
  if (!grid || data.GetGeoTransform(to_map.data()) != CE_None ||
      !GDALInvGeoTransform(to_map.data(), to_grid.data()))
    return fail(ErrorCode::unsupported, "it does not say where it lies; choose another file");
  auto wgs84 = make_srs("EPSG:4326");
  if (!wgs84) return std::move(wgs84.error());
  OGRSpatialReference target(*grid);
  target.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
  const std::unique_ptr<OGRCoordinateTransformation> transform(
      OGRCreateCoordinateTransformation(wgs84->get(), &target));
  constexpr double kNorth_deg = 0.01;
  std::array<double, 2> x = {place.lon, place.lon}, y = {place.lat, place.lat + kNorth_deg};
  if (!transform || !transform->Transform(2, x.data(), y.data()))
    return fail(ErrorCode::unsupported, "its grid cannot be laid over the property");
  if (target.IsGeographic() && x[0] < to_map[0]) x[0] += 360, x[1] += 360;
  Spot s;
  s.col = to_grid[0] + x[0] * to_grid[1] + y[0] * to_grid[2];
  s.row = to_grid[3] + x[0] * to_grid[4] + y[0] * to_grid[5];
  s.north_rad = std::atan2(x[1] - x[0], y[1] - y[0]);
  s.cell_m = std::abs(to_map[5]) * (target.IsGeographic() ? 111'200 : 1);
  if (!(s.col >= 0 && s.row >= 0 && s.col <= data.GetRasterXSize() &&
        s.row <= data.GetRasterYSize()))
    return fail(ErrorCode::invalid_argument,
                "it does not reach the property; choose a file of its region");
  return s;
}

// Bilinear between cell centres; nullopt beside a cell without a value.
std::optional<double> value_at(GDALRasterBand& band, const Spot& s) {
  const double col = std::clamp(s.col - 0.5, 0.0, band.GetXSize() - 1.0),
               row = std::clamp(s.row - 0.5, 0.0, band.GetYSize() - 1.0);
  const int c = std::min(static_cast<int>(col), std::max(0, band.GetXSize() - 2)),
            r = std::min(static_cast<int>(row), std::max(0, band.GetYSize() - 2));
  const int wide = std::min(2, band.GetXSize()), high = std::min(2, band.GetYSize());
  std::array<double, 4> v{};
  if (band.RasterIO(GF_Read, c, r, wide, high, v.data(), wide, high, GDT_Float64, 0,
                    2 * sizeof(double), nullptr) != CE_None)
    return std::nullopt;
  if (wide < 2) v[1] = v[0], v[3] = v[2];
  if (high < 2) v[2] = v[0], v[3] = v[1];
  int has = 0;
  const double none = band.GetNoDataValue(&has);
  for (const double x : v)
    if (!std::isfinite(x) || (has && x == none)) return std::nullopt;
  const double u = col - c, w = row - r;
  return (v[0] * (1 - u) + v[1] * u) * (1 - w) + (v[2] * (1 - u) + v[3] * u) * w;
}

struct Fields {
  std::optional<double> u, v, gust, cloud_pct, celsius;
};

std::string item(GDALRasterBand& band, const char* key) {
  const char* text = band.GetMetadataItem(key);
  return text ? text : "";
}

std::optional<Instant> time_of(GDALRasterBand& band, const char* key) {
  const std::string text = lowered(item(band, key));
  const auto seconds = number_of(text.substr(0, text.find(' ')));
  if (!seconds) return std::nullopt;
  return Instant{std::chrono::seconds(static_cast<long long>(*seconds))};
}

// Where the value of a field belongs; nullptr: a field that is not asked for.
std::optional<double>* slot_of(Fields& f, const std::string& element, const std::string& level) {
  if (element == "UGRD" && level == "10-HTGL") return &f.u;
  if (element == "VGRD" && level == "10-HTGL") return &f.v;
  if (element == "GUST" && (level == "0-SFC" || level == "10-HTGL")) return &f.gust;
  if (element == "TCDC" && (level == "0-EATM" || level == "0-SFC")) return &f.cloud_pct;
  if (element == "TMP" && level == "2-HTGL") return &f.celsius;
  return nullptr;
}

RawHour to_row(Instant at, const Fields& f, const Spot& s, bool follow_grid, Notes& notes) {
  RawHour row;
  row.at = at;
  const std::string where = to_iso8601(at);
  if (f.u && f.v) {
    const double turn = follow_grid ? s.north_rad : 0;  // from the grid's axes to east and north
    const double east = *f.u * std::cos(turn) - *f.v * std::sin(turn),
                 north = *f.u * std::sin(turn) + *f.v * std::cos(turn);
    row.speed_mps = checked_speed(std::hypot(east, north), where, notes);
    if (row.speed_mps && *row.speed_mps > 0)
      row.true_from_deg = wrap_360(std::atan2(-east, -north) * kDegPerRad);
  }
  if (f.gust) row.gust_mps = checked_speed(*f.gust, where, notes);
  if (f.cloud_pct) row.cloud = checked_cloud(*f.cloud_pct, where, notes);
  if (f.celsius) row.temperature_c = checked_temperature(*f.celsius, where, notes);
  return row;
}

}  // namespace

bool is_grib(const fs::path& path) {
  std::array<char, 4> head{};
  std::ifstream in(path, std::ios::binary);
  return in.read(head.data(), 4) && std::memcmp(head.data(), "GRIB", 4) == 0;
}

Result<RawForecast> read_forecast_grib(const fs::path& path, LonLat place, Notes& notes) {
  std::error_code ec;
  if (fs::file_size(path, ec) > kMostBytes || ec)
    return fail(ErrorCode::unsupported,
                "it is larger than 2 GB; cut it to the wind of your region");
  auto follow_grid = winds_follow_grid(path);
  if (!follow_grid) return std::move(follow_grid.error());
  auto data = open_grib(path);
  if (!data) return std::move(data.error());
  GdalMessages messages;
  auto spot = find_spot(**data, place);
  if (!spot) return std::move(spot.error());
  std::map<Instant, Fields> hours;
  RawForecast out{"GRIB2", {}, {}};
  for (int n = 1; n <= (*data)->GetRasterCount(); ++n) {
    GDALRasterBand& band = *(*data)->GetRasterBand(n);
    Fields unused;
    const std::string element = item(band, "GRIB_ELEMENT"), level = item(band, "GRIB_SHORT_NAME");
    const auto at = time_of(band, "GRIB_VALID_TIME");
    if (!slot_of(unused, element, level) || !at) continue;
    std::optional<double>& slot = *slot_of(hours[*at], element, level);
    if (!slot) slot = value_at(band, *spot);
    if (!out.issued) out.issued = time_of(band, "GRIB_REF_TIME");
  }
  if (hours.empty())
    return fail(ErrorCode::parse,
                "it holds no wind at 10 m (UGRD and VGRD); choose a file with those fields" +
                    (messages.text().empty() ? std::string() : " (" + messages.text() + ")"));
  if (spot->cell_m > kTooCoarse_m)
    notes.add("One value of the file stands for " +
              std::to_string(std::lround(spot->cell_m / 1000)) +
              " km of land: the wind of a valley or shore is not in it.");
  if (*follow_grid) notes.add("Its winds follow its own grid; they were turned to true north.");
  for (const auto& [at, fields] : hours)
    out.rows.push_back(to_row(at, fields, *spot, *follow_grid, notes));
  return out;
}

}  // namespace leeward::io
