#include "core/geo/frame.h"

#include <proj.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <memory>
#include <optional>

namespace leeward {
namespace {

// Zone with the Norway and Svalbard exceptions of the UTM/MGRS definition.
int utm_zone_of(LonLat p) {
  if (p.lat >= 56 && p.lat < 64 && p.lon >= 3 && p.lon < 12) return 32;
  if (p.lat >= 72 && p.lat < 84) {
    if (p.lon >= 0 && p.lon < 9) return 31;
    if (p.lon >= 9 && p.lon < 21) return 33;
    if (p.lon >= 21 && p.lon < 33) return 35;
    if (p.lon >= 33 && p.lon < 42) return 37;
  }
  return std::clamp(static_cast<int>(std::floor((p.lon + 180.0) / 6.0)) + 1, 1, 60);
}

}  // namespace

struct Frame::Impl {
  PJ_CONTEXT* context = nullptr;
  PJ* to_lonlat = nullptr;  // CRS -> WGS 84 lon, lat (degrees)
  PJ* crs_object = nullptr;
  CrsId crs;
  std::string name, wkt;
  int zone = 0;

  Impl() = default;
  Impl(const Impl&) = delete;
  Impl& operator=(const Impl&) = delete;
  ~Impl() {
    proj_destroy(to_lonlat);
    proj_destroy(crs_object);
    proj_context_destroy(context);
  }
};

Frame::Frame(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
Frame::Frame(Frame&&) noexcept = default;
Frame& Frame::operator=(Frame&&) noexcept = default;
Frame::~Frame() = default;

Result<CrsId> utm_crs_for(LonLat p) {
  if (!std::isfinite(p.lon) || !std::isfinite(p.lat) || p.lat > 84 || p.lat < -80) {
    return fail(ErrorCode::unsupported,
                "the place lies beyond 84 N or 80 S, where there is no UTM grid");
  }
  if (std::abs(p.lon) > 179) {
    return fail(ErrorCode::unsupported,
                "the place lies at the antimeridian, which is not supported");
  }
  char text[24];
  std::snprintf(text, sizeof text, "EPSG:%d", (p.lat >= 0 ? 32600 : 32700) + utm_zone_of(p));
  return CrsId(text);
}

Result<Frame> Frame::make(const CrsId& crs) {
  auto impl = std::make_unique<Impl>();
  impl->crs = crs;
  impl->context = proj_context_create();
  proj_context_set_enable_network(impl->context, 0);
  proj_log_level(impl->context, PJ_LOG_NONE);
  const auto bad = [&](const char* why) {
    return fail(ErrorCode::invalid_argument,
                "coordinate system '" + crs.substr(0, 60) + "' cannot be used: " + why);
  };
  impl->crs_object = proj_create(impl->context, crs.c_str());
  if (!impl->crs_object) return bad("PROJ does not know it");
  PJ_TYPE type = proj_get_type(impl->crs_object);
  if (type == PJ_TYPE_COMPOUND_CRS) {
    PJ* horizontal = proj_crs_get_sub_crs(impl->context, impl->crs_object, 0);
    proj_destroy(impl->crs_object);
    impl->crs_object = horizontal;
    type = proj_get_type(horizontal);
  }
  if (type == PJ_TYPE_BOUND_CRS) {
    PJ* source = proj_get_source_crs(impl->context, impl->crs_object);
    proj_destroy(impl->crs_object);
    impl->crs_object = source;
    type = proj_get_type(source);
  }
  if (type != PJ_TYPE_PROJECTED_CRS) return bad("it is not projected; choose a UTM zone");
  PJ* axes = proj_crs_get_coordinate_system(impl->context, impl->crs_object);
  double to_metres = 0;
  proj_cs_get_axis_info(impl->context, axes, 0, nullptr, nullptr, nullptr, &to_metres, nullptr,
                        nullptr, nullptr);
  proj_destroy(axes);
  if (std::abs(to_metres - 1.0) > 1e-12) return bad("its axes are not in metres");
  PJ* raw = proj_create_crs_to_crs(impl->context, crs.c_str(), "EPSG:4326", nullptr);
  if (!raw) return bad("PROJ has no way from it to WGS 84");
  impl->to_lonlat = proj_normalize_for_visualization(impl->context, raw);
  proj_destroy(raw);
  if (!impl->to_lonlat) return bad("PROJ has no way from it to WGS 84");
  const char* name = proj_get_name(impl->crs_object);
  impl->name = name ? name : crs;
  const char* wkt = proj_as_wkt(impl->context, impl->crs_object, PJ_WKT1_GDAL, nullptr);
  impl->wkt = wkt ? wkt : "";
  std::string compact;  // the multi-line form of PROJ, on one line
  for (size_t i = 0; i < impl->wkt.size(); ++i) {
    if (impl->wkt[i] == '\n') {
      while (i + 1 < impl->wkt.size() && impl->wkt[i + 1] == ' ') ++i;
    } else {
      compact += impl->wkt[i];
    }
  }
  impl->wkt = std::move(compact);
  int zone = 0;
  const size_t at = impl->name.find("UTM zone ");
  if (at != std::string::npos) std::sscanf(impl->name.c_str() + at + 9, "%d", &zone);
  impl->zone = zone;
  return Frame(std::move(impl));
}

const CrsId& Frame::crs() const { return impl_->crs; }
const std::string& Frame::name() const { return impl_->name; }
const std::string& Frame::wkt() const { return impl_->wkt; }
int Frame::utm_zone() const { return impl_->zone; }

LocalXY Frame::to_local(LonLat p) const {
  const PJ_COORD c = proj_trans(impl_->to_lonlat, PJ_INV, proj_coord(p.lon, p.lat, 0, 0));
  if (c.xy.x == HUGE_VAL || !std::isfinite(c.xy.x)) return {std::nan(""), std::nan("")};
  return {c.xy.x, c.xy.y};
}

LonLat Frame::to_wgs84(LocalXY p) const {
  const PJ_COORD c = proj_trans(impl_->to_lonlat, PJ_FWD, proj_coord(p.x, p.y, 0, 0));
  if (c.xy.x == HUGE_VAL || !std::isfinite(c.xy.x)) return {std::nan(""), std::nan("")};
  return {c.xy.x, c.xy.y};
}

double Frame::convergence_deg(LocalXY p) const {
  const LonLat g = to_wgs84(p);
  const PJ_FACTORS f =
      proj_factors(impl_->crs_object, proj_coord(g.lon * kRadPerDeg, g.lat * kRadPerDeg, 0, 0));
  return f.meridian_convergence * kDegPerRad;
}

double Frame::scale_factor(LocalXY p) const {
  const LonLat g = to_wgs84(p);
  const PJ_FACTORS f =
      proj_factors(impl_->crs_object, proj_coord(g.lon * kRadPerDeg, g.lat * kRadPerDeg, 0, 0));
  return f.meridional_scale;
}

namespace {

struct UtmPlace {
  int zone = 0;
  char band = 'X';
  long e = 0, n = 0;  ///< Whole metres.
};

std::optional<UtmPlace> utm_place(LonLat p) {
  if (!std::isfinite(p.lat) || p.lat > 84 || p.lat < -80 || std::abs(p.lon) > 180)
    return std::nullopt;
  static thread_local std::unique_ptr<Frame> cached;
  UtmPlace out;
  out.zone = utm_zone_of(p);
  char crs[24];
  std::snprintf(crs, sizeof crs, "EPSG:%d", (p.lat >= 0 ? 32600 : 32700) + out.zone);
  if (!cached || cached->crs() != crs) {
    auto made = Frame::make(crs);
    if (!made) return std::nullopt;
    cached = std::make_unique<Frame>(*std::move(made));
  }
  const LocalXY xy = cached->to_local(p);
  static constexpr char kBands[] = "CDEFGHJKLMNPQRSTUVWXX";
  out.band = kBands[std::clamp(static_cast<int>(std::floor((p.lat + 80) / 8)), 0, 20)];
  // The nudge keeps a coordinate that PROJ returns 1e-9 m short of a metre from losing that metre.
  out.e = static_cast<long>(std::floor(xy.x + 1e-6));
  out.n = static_cast<long>(std::floor(xy.y + 1e-6));
  return out;
}

}  // namespace

std::string utm_text(LonLat p) {
  const auto place = utm_place(p);
  if (!place) return {};
  char text[64];
  std::snprintf(text, sizeof text, "%d%c %ld E %ld N", place->zone, place->band, place->e,
                place->n);
  return text;
}

std::string usng(LonLat p, int digits) {
  const auto place = utm_place(p);
  if (!place) return {};
  const auto [zone, band, e, n] = *place;
  static constexpr const char* kColumns[3] = {"ABCDEFGH", "JKLMNPQR", "STUVWXYZ"};
  static constexpr char kRows[] = "ABCDEFGHJKLMNPQRSTUV";
  const long column = e / 100000;
  if (column < 1 || column > 8) return {};
  const char square_e = kColumns[(zone - 1) % 3][column - 1];
  const char square_n = kRows[(n / 100000 + (zone % 2 == 0 ? 5 : 0)) % 20];
  long divisor = 1;
  for (int i = digits; i < 5; ++i) divisor *= 10;
  char text[48];
  std::snprintf(text, sizeof text, "%d%c %c%c %0*ld %0*ld", zone, band, square_e, square_n, digits,
                (e % 100000) / divisor, digits, (n % 100000) / divisor);
  return text;
}

}  // namespace leeward
