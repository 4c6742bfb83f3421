#include "core/io/photo_tie.h"

#include "core/io/gdal_gate.h"
#include "core/io/warp.h"

#include <gdal_alg.h>
#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>

namespace leeward::io {
namespace {

constexpr int kMostSide_px = 8000;

int order_of(TieFit fit) { return static_cast<int>(fit) + 1; }

// GDAL's control points, about the middle of the given ones so that large coordinates lose nothing.
struct Points {
  LocalXY origin;
  std::vector<GDAL_GCP> list;

  Points(const std::vector<ControlPoint>& points, double px_scale) {
    Box box;
    for (const ControlPoint& p : points) box.add(p.ground);
    origin = box.centre();
    list.resize(points.size());
    GDALInitGCPs(static_cast<int>(list.size()), list.data());
    for (size_t i = 0; i < points.size(); ++i) {
      list[i].dfGCPPixel = points[i].px_x * px_scale;
      list[i].dfGCPLine = points[i].px_y * px_scale;
      list[i].dfGCPX = points[i].ground.x - origin.x;
      list[i].dfGCPY = points[i].ground.y - origin.y;
    }
  }
  ~Points() { GDALDeinitGCPs(static_cast<int>(list.size()), list.data()); }
  Points(const Points&) = delete;
  Points& operator=(const Points&) = delete;
};

struct GcpDeleter {
  void operator()(void* t) const { GDALDestroyGCPTransformer(t); }
};
using GcpTransformer = std::unique_ptr<void, GcpDeleter>;

// From pixels to the ground; NaN where the fit has no answer.
LocalXY to_ground(void* transformer, LocalXY origin, double px_x, double px_y) {
  double x = px_x, y = px_y, z = 0;
  int good = FALSE;
  if (!GDALGCPTransform(transformer, FALSE, 1, &x, &y, &z, &good) || !good) return {NAN, NAN};
  return {x + origin.x, y + origin.y};
}

// Twice the signed area of three corners, for the ground that a picture's patch comes to lie on.
double turn_of(LocalXY a, LocalXY b, LocalXY c) {
  return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

// Whether the points lie so near to one line (or place) that nothing is known across it.
bool on_one_line(const std::vector<LocalXY>& points) {
  LocalXY mean;
  for (const LocalXY p : points) mean = mean + p * (1.0 / static_cast<double>(points.size()));
  double xx = 0, xy = 0, yy = 0;
  for (const LocalXY p : points) {
    const LocalXY d = p - mean;
    xx += d.x * d.x, xy += d.x * d.y, yy += d.y * d.y;
  }
  const double half = (xx + yy) / 2, spread = std::hypot((xx - yy) / 2, xy);
  return half - spread < 1e-4 * (half + spread);  // a hundredth as wide as long
}

}  // namespace

Result<PictureTie> fit_picture(const std::vector<ControlPoint>& points, TieFit fit, int width_px,
                               int height_px) {
  const auto bad = [](std::string words) {
    return fail(ErrorCode::invalid_argument, std::move(words));
  };
  const size_t least = least_points(fit);
  if (points.size() < least)
    return bad("this fit needs " + std::to_string(least) + " points; " +
               std::to_string(least - points.size()) + " more to set");
  std::vector<LocalXY> pixels, places;
  for (const ControlPoint& p : points)
    pixels.push_back({p.px_x, p.px_y}), places.push_back(p.ground);
  if (on_one_line(pixels) || on_one_line(places))
    return bad("the points lie on one line; set another well away from it");
  enter_gdal();
  GdalMessages messages;
  const Points gcps(points, 1);
  const GcpTransformer transformer(GDALCreateGCPTransformer(
      static_cast<int>(gcps.list.size()), gcps.list.data(), order_of(fit), FALSE));
  if (!transformer) return bad("the points do not carry this fit; spread them over the picture");
  const auto ground = [&](double x, double y) {
    return to_ground(transformer.get(), gcps.origin, x, y);
  };
  PictureTie out;
  double squares = 0;
  for (const ControlPoint& p : points) {
    out.lands.push_back(ground(p.px_x, p.px_y));
    out.miss_m.push_back(distance_m(out.lands.back(), p.ground));
    squares += out.miss_m.back() * out.miss_m.back();
  }
  out.rms_m = std::sqrt(squares / static_cast<double>(points.size()));
  constexpr int kSteps = 16;  // patches a side, each of which must keep its way round
  const double dx = static_cast<double>(width_px) / kSteps,
               dy = static_cast<double>(height_px) / kSteps;
  for (int r = 0; r < kSteps; ++r)
    for (int c = 0; c < kSteps; ++c) {
      const LocalXY a = ground(c * dx, r * dy), b = ground((c + 1) * dx, r * dy),
                    d = ground(c * dx, (r + 1) * dy), e = ground((c + 1) * dx, (r + 1) * dy);
      for (const LocalXY p : {a, b, d, e}) {
        if (!std::isfinite(p.x + p.y))
          return bad("the points do not carry this fit; spread them over the picture");
        out.box.add(p);
      }
      // Pixels run down, northings up: a picture that lies right is turned round once.
      if (turn_of(a, b, d) >= 0 || turn_of(e, d, b) >= 0)
        return bad(fit == TieFit::affine
                       ? "the picture would lie mirrored: two points are swapped"
                       : "the picture would fold over itself: take a simpler fit, or set points "
                         "nearer to its corners");
    }
  const double side[4][2] = {{0, 0}, {1, 0}, {1, 1}, {0, 1}};
  for (int n = 0; n < 4; ++n)
    for (int k = 0; k < kSteps; ++k) {
      const double t = static_cast<double>(k) / kSteps;
      const double* from = side[n];
      const double* to = side[(n + 1) % 4];
      out.outline.push_back(ground(width_px * (from[0] + (to[0] - from[0]) * t),
                                   height_px * (from[1] + (to[1] - from[1]) * t)));
    }
  const double x = width_px / 2.0, y = height_px / 2.0;
  out.cell_m = std::sqrt(std::abs(turn_of(ground(x, y), ground(x + 1, y), ground(x, y + 1))));
  return out;
}

namespace {

struct Plan {
  bool palette = false;
  std::vector<int> bands;  // red, green, blue or one grey
  int alpha = 0;
};
Result<Plan> plan_of(GDALDataset& d, const std::filesystem::path& path) {
  if (d.GetRasterBand(1)->GetRasterDataType() != GDT_Byte)
    return fail(ErrorCode::unsupported,
                shown(path) + ": only pictures of 8 bits a colour can be tied; save it as such");
  Plan out;
  const int n = std::min(d.GetRasterCount(), 4);
  for (int i = 2; i <= n; ++i)
    if (d.GetRasterBand(i)->GetColorInterpretation() == GCI_AlphaBand) out.alpha = i;
  out.palette = n == 1 && d.GetRasterBand(1)->GetColorTable() != nullptr;
  out.bands = n - (out.alpha > 0 ? 1 : 0) >= 3 ? std::vector<int>{1, 2, 3} : std::vector<int>{1};
  return out;
}

// Colours and alpha of a picture, straight, one plane after the other.
struct Planes {
  int width = 0, height = 0, full_width = 0, full_height = 0;
  std::array<std::vector<std::uint8_t>, 4> of;
};
Result<Planes> read_planes(const std::filesystem::path& path, int most_px) {
  enter_gdal();
  auto dataset = open_raster(path);
  if (!dataset) return std::move(dataset.error());
  GdalMessages messages;
  GDALDataset& d = **dataset;
  auto plan = plan_of(d, path);
  if (!plan) return std::move(plan.error());
  Planes out;
  out.full_width = d.GetRasterXSize(), out.full_height = d.GetRasterYSize();
  const double shrink =
      std::max(1.0, static_cast<double>(std::max(out.full_width, out.full_height)) / most_px);
  out.width = std::max(1, static_cast<int>(std::lround(out.full_width / shrink)));
  out.height = std::max(1, static_cast<int>(std::lround(out.full_height / shrink)));
  const size_t n = static_cast<size_t>(out.width) * static_cast<size_t>(out.height);
  GDALRasterIOExtraArg how;
  INIT_RASTERIO_EXTRA_ARG(how);
  how.eResampleAlg = plan->palette ? GRIORA_NearestNeighbour : GRIORA_Average;
  const auto read = [&](int band, std::vector<std::uint8_t>& plane) {
    plane.resize(n);
    return d.GetRasterBand(band)->RasterIO(GF_Read, 0, 0, out.full_width, out.full_height,
                                           plane.data(), out.width, out.height, GDT_Byte, 0, 0,
                                           &how) == CE_None;
  };
  bool fine = true;
  for (size_t b = 0; b < 3; ++b) {
    if (b < plan->bands.size())
      fine = fine && read(plan->bands[b], out.of[b]);
    else
      out.of[b] = out.of[0];
  }
  if (plan->alpha > 0)
    fine = fine && read(plan->alpha, out.of[3]);
  else
    out.of[3].assign(n, 255);
  if (!fine)
    return fail(ErrorCode::parse, shown(path) + ": its pixels cannot be read: " + messages.text());
  if (plan->palette) {
    const GDALColorTable& table = *d.GetRasterBand(1)->GetColorTable();
    for (size_t i = 0; i < n; ++i) {
      const GDALColorEntry* e = table.GetColorEntry(out.of[0][i]);
      const std::array<short, 4> rgba =
          e ? std::array<short, 4>{e->c1, e->c2, e->c3, e->c4} : std::array<short, 4>{};
      for (size_t b = 0; b < 4; ++b) out.of[b][i] = static_cast<std::uint8_t>(rgba[b]);
    }
  }
  return out;
}

Picture picture_of(const Planes& planes) {
  Picture out{planes.width, planes.height, {}};
  out.argb.resize(planes.of[0].size());
  for (size_t i = 0; i < out.argb.size(); ++i) {
    const unsigned a = planes.of[3][i];
    const auto part = [&](size_t b) { return (planes.of[b][i] * a + 127U) / 255U; };
    out.argb[i] = a << 24U | part(0) << 16U | part(1) << 8U | part(2);
  }
  return out;
}

// The picture in memory, with its control points.
DatasetPtr in_memory(const Planes& planes, const Points& gcps, const OGRSpatialReference& srs) {
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("MEM");
  DatasetPtr out(driver->Create("", planes.width, planes.height, 4, GDT_Byte, nullptr));
  if (!out) return out;
  for (size_t b = 0; b < 4; ++b) {
    GDALRasterBand& band = *out->GetRasterBand(static_cast<int>(b) + 1);
    std::vector<std::uint8_t> plane = planes.of[b];
    if (band.RasterIO(GF_Write, 0, 0, planes.width, planes.height, plane.data(), planes.width,
                      planes.height, GDT_Byte, 0, 0, nullptr) != CE_None) {
      return nullptr;
    }
  }
  out->GetRasterBand(4)->SetColorInterpretation(GCI_AlphaBand);
  out->SetGCPs(static_cast<int>(gcps.list.size()), gcps.list.data(), &srs);
  return out;
}

}  // namespace

Result<PlainPicture> read_plain_picture(const std::filesystem::path& path, int most_px) {
  auto planes = read_planes(path, most_px);
  if (!planes) return std::move(planes.error());
  return PlainPicture{picture_of(*planes), planes->full_width, planes->full_height};
}

Status write_tied_picture(const std::filesystem::path& picture,
                          const std::vector<ControlPoint>& points, TieFit fit, const CrsId& crs,
                          const std::filesystem::path& to, std::stop_token stop,
                          const std::function<void(double)>& progress) {
  auto planes = read_planes(picture, kMostSide_px);
  if (!planes) return std::move(planes.error());
  auto tie = fit_picture(points, fit, planes->full_width, planes->full_height);
  if (!tie) return std::move(tie.error());
  auto srs = make_srs(crs);
  if (!srs) return std::move(srs.error());
  GdalMessages messages;
  const double shrink = static_cast<double>(planes->width) / planes->full_width;
  const Points gcps(points, shrink);
  const DatasetPtr source = in_memory(*planes, gcps, **srs);
  if (!source) return fail(ErrorCode::internal, "no memory for the picture: " + messages.text());
  WarpRequest request;
  request.bands = {1, 2, 3};
  request.alpha_band = 4;
  request.gcp_order = order_of(fit);
  char* wkt = nullptr;
  (*srs)->exportToWkt(&wkt);
  request.crs_wkt = wkt;
  CPLFree(wkt);
  const Box box = tie->box;
  const double cell_m =
      std::max(tie->cell_m / shrink, std::max(box.width_m(), box.height_m()) / kMostSide_px);
  request.width_px = std::max(1, static_cast<int>(std::ceil(box.width_m() / cell_m)));
  request.height_px = std::max(1, static_cast<int>(std::ceil(box.height_m() / cell_m)));
  const LocalXY low{box.min_x, box.max_y - request.height_px * cell_m};
  const Box covered{low.x, low.y, low.x + request.width_px * cell_m, box.max_y};
  request.box = {covered.min_x - gcps.origin.x, covered.min_y - gcps.origin.y,
                 covered.max_x - gcps.origin.x, covered.max_y - gcps.origin.y};
  auto warped = warp_to_memory(*source, request, stop, progress);
  if (!warped) return std::move(warped.error());
  Planes out;
  out.width = request.width_px, out.height = request.height_px;
  for (size_t b = 0; b < 4; ++b) {
    out.of[b].resize(static_cast<size_t>(out.width) * static_cast<size_t>(out.height));
    if ((*warped)
            ->GetRasterBand(static_cast<int>(b) + 1)
            ->RasterIO(GF_Read, 0, 0, out.width, out.height, out.of[b].data(), out.width,
                       out.height, GDT_Byte, 0, 0, nullptr) != CE_None) {
      return fail(ErrorCode::internal, "the tied picture cannot be read: " + messages.text());
    }
  }
  return write_rgba_geotiff(to, picture_of(out), covered, crs);
}

}  // namespace leeward::io
