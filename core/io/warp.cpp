#include "core/io/warp.h"

#include <cpl_conv.h>
#include <cpl_string.h>
#include <gdal_alg.h>
#include <gdal_priv.h>
#include <gdalwarper.h>
#include <ogr_spatialref.h>

#include <array>
#include <cmath>
#include <limits>
#include <memory>

namespace leeward::io {
namespace {

constexpr double kMaxErrorPx = 0.125;  // of the approximated transformation
constexpr double kWarpMemoryBytes = 48.0 * 1024 * 1024;

struct OptionsDeleter {
  void operator()(GDALWarpOptions* o) const { GDALDestroyWarpOptions(o); }
};
using OptionsPtr = std::unique_ptr<GDALWarpOptions, OptionsDeleter>;

struct TransformerDeleter {
  void operator()(void* t) const { GDALDestroyTransformer(t); }
};
using TransformerPtr = std::unique_ptr<void, TransformerDeleter>;

struct CoordinateDeleter {
  void operator()(OGRCoordinateTransformation* t) const {
    OGRCoordinateTransformation::DestroyCT(t);
  }
};

struct ProgressState {
  std::stop_token stop;
  const std::function<void(double)>* report;
};

int CPL_STDCALL on_progress(double share, const char*, void* data) {
  const auto& state = *static_cast<ProgressState*>(data);
  if (*state.report) (*state.report)(share);
  return state.stop.stop_requested() ? FALSE : TRUE;
}

GDALResampleAlg algorithm(Resampling r) {
  return r == Resampling::nearest    ? GRA_NearestNeighbour
         : r == Resampling::bilinear ? GRA_Bilinear
                                     : GRA_Average;
}

GDALDataType working_type(GDALDataset& source, const WarpRequest& r) {
  if (r.as_bytes) return GDT_Byte;
  const GDALDataType type = source.GetRasterBand(r.bands[0])->GetRasterDataType();
  return type == GDT_Float64 || type == GDT_Int32 || type == GDT_UInt32 ? GDT_Float64 : GDT_Float32;
}

double* doubles(const std::vector<double>& values) {
  auto* out = static_cast<double*>(CPLMalloc(values.size() * sizeof(double)));
  std::copy(values.begin(), values.end(), out);
  return out;
}

int* ints(size_t n, const std::function<int(size_t)>& value) {
  auto* out = static_cast<int*>(CPLMalloc(n * sizeof(int)));
  for (size_t i = 0; i < n; ++i) out[i] = value(i);
  return out;
}

void set_nodata(GDALWarpOptions& o, GDALDataset& source, const WarpRequest& r) {
  std::vector<double> nodata;
  for (const int band : r.bands) {
    int has = FALSE;
    nodata.push_back(source.GetRasterBand(band)->GetNoDataValue(&has));
    if (!has) nodata.clear();
    if (!has) break;
  }
  if (!nodata.empty()) {
    o.padfSrcNoDataReal = doubles(nodata);
    // A pixel is missing when all its bands are: white roofs are not holes.
    o.papszWarpOptions = CSLSetNameValue(o.papszWarpOptions, "UNIFIED_SRC_NODATA", "YES");
  }
  if (r.with_alpha) {
    o.papszWarpOptions = CSLSetNameValue(o.papszWarpOptions, "INIT_DEST", "0");
  } else {
    o.padfDstNoDataReal =
        doubles(std::vector<double>(r.bands.size(), std::numeric_limits<double>::quiet_NaN()));
    o.papszWarpOptions = CSLSetNameValue(o.papszWarpOptions, "INIT_DEST", "NO_DATA");
  }
}

OptionsPtr make_options(GDALDataset& source, GDALDataset& target, const WarpRequest& r) {
  OptionsPtr o(GDALCreateWarpOptions());
  const size_t n = r.bands.size();
  o->hSrcDS = &source;
  o->hDstDS = &target;
  o->eResampleAlg = algorithm(r.resampling);
  o->eWorkingDataType = working_type(source, r);
  o->dfWarpMemoryLimit = kWarpMemoryBytes;
  o->nBandCount = static_cast<int>(n);
  o->panSrcBands = ints(n, [&](size_t i) { return r.bands[i]; });
  o->panDstBands = ints(n, [](size_t i) { return static_cast<int>(i) + 1; });
  o->nSrcAlphaBand = r.alpha_band;
  o->nDstAlphaBand = r.with_alpha ? static_cast<int>(n) + 1 : 0;
  set_nodata(*o, source, r);
  return o;
}

DatasetPtr make_target(const WarpRequest& r) {
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("MEM");
  const int bands = static_cast<int>(r.bands.size()) + (r.with_alpha ? 1 : 0);
  DatasetPtr target(driver->Create("", r.width_px, r.height_px, bands,
                                   r.as_bytes ? GDT_Byte : GDT_Float32, nullptr));
  if (!target) return target;
  std::array<double, 6> place = {r.box.min_x, r.box.width_m() / r.width_px,   0, r.box.max_y,
                                 0,           -r.box.height_m() / r.height_px};
  target->SetGeoTransform(place.data());
  if (r.with_alpha) target->GetRasterBand(bands)->SetColorInterpretation(GCI_AlphaBand);
  return target;
}

}  // namespace

bool has_geotransform(GDALDataset& source) {
  std::array<double, 6> g{};
  if (source.GetGeoTransform(g.data()) != CE_None) return false;
  const double determinant = g[1] * g[5] - g[2] * g[4];
  for (const double v : g)
    if (!std::isfinite(v)) return false;
  return std::abs(determinant) > 1e-30;
}

bool has_crs(GDALDataset& source) {
  const OGRSpatialReference* srs = source.GetSpatialRef();
  return srs && !srs->IsEmpty() && !srs->IsLocal();
}

Result<DatasetPtr> warp_to_memory(GDALDataset& source, const WarpRequest& r, std::stop_token stop,
                                  const std::function<void(double)>& progress) {
  GdalMessages messages;
  DatasetPtr target = make_target(r);
  if (!target) return fail(ErrorCode::internal, "no memory for the picture: " + messages.text());
  CPLStringList how;
  // By what is asked alone: no lookups in other files.
  how.SetNameValue("METHOD", r.gcp_order > 0 ? "GCP_POLYNOMIAL" : "GEOTRANSFORM");
  if (r.gcp_order > 0) how.SetNameValue("MAX_GCP_ORDER", std::to_string(r.gcp_order).c_str());
  how.SetNameValue("DST_SRS", r.crs_wkt.c_str());
  TransformerPtr exact(GDALCreateGenImgProjTransformer2(&source, target.get(), how.List()));
  if (!exact) return fail(ErrorCode::parse, "it cannot be placed on the map: " + messages.text());
  TransformerPtr fast(
      GDALCreateApproxTransformer(GDALGenImgProjTransform, exact.get(), kMaxErrorPx));
  ProgressState state{stop, &progress};
  OptionsPtr options = make_options(source, *target, r);
  options->pTransformerArg = fast.get();
  options->pfnTransformer = GDALApproxTransform;
  options->pfnProgress = on_progress;
  options->pProgressArg = &state;
  GDALWarpOperation operation;
  CPLErr done = operation.Initialize(options.get());
  if (done == CE_None) done = operation.ChunkAndWarpImage(0, 0, r.width_px, r.height_px);
  if (stop.stop_requested()) return fail(ErrorCode::cancelled, "cancelled");
  if (done != CE_None)
    return fail(ErrorCode::parse, "its pixels cannot be read: " + messages.text());
  return target;
}

std::optional<Placement> placement_of(GDALDataset& source, const std::string& crs_wkt) {
  GdalMessages messages;
  if (!has_geotransform(source) || !has_crs(source)) return std::nullopt;
  OGRSpatialReference to;
  to.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
  if (to.importFromWkt(crs_wkt.c_str()) != OGRERR_NONE) return std::nullopt;
  const std::unique_ptr<OGRSpatialReference> from(source.GetSpatialRef()->Clone());
  from->SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
  const std::unique_ptr<OGRCoordinateTransformation, CoordinateDeleter> transform(
      OGRCreateCoordinateTransformation(from.get(), &to));
  if (!transform) return std::nullopt;
  std::array<double, 6> g{};
  source.GetGeoTransform(g.data());
  const double w = source.GetRasterXSize(), h = source.GetRasterYSize();
  Box corners;
  for (const auto& [c, r] : {std::pair{0.0, 0.0}, {w, 0.0}, {0.0, h}, {w, h}})
    corners.add(LocalXY{g[0] + c * g[1] + r * g[2], g[3] + c * g[4] + r * g[5]});
  Placement out;
  if (!transform->TransformBounds(corners.min_x, corners.min_y, corners.max_x, corners.max_y,
                                  &out.box.min_x, &out.box.min_y, &out.box.max_x, &out.box.max_y,
                                  21) ||
      !std::isfinite(out.box.width_m() + out.box.height_m()) || out.box.empty()) {
    return std::nullopt;
  }
  // One pixel right and one down from the middle.
  std::array<double, 3> x{}, y{};
  for (const size_t i : {0U, 1U, 2U}) {
    const double c = w / 2 + (i == 1 ? 1 : 0), r = h / 2 + (i == 2 ? 1 : 0);
    x[i] = g[0] + c * g[1] + r * g[2], y[i] = g[3] + c * g[4] + r * g[5];
  }
  if (!transform->Transform(3, x.data(), y.data())) return std::nullopt;
  out.cell_x_m = std::hypot(x[1] - x[0], y[1] - y[0]);
  out.cell_y_m = std::hypot(x[2] - x[0], y[2] - y[0]);
  if (!(out.cell_x_m > 0) || !(out.cell_y_m > 0)) return std::nullopt;
  out.aligned = g[2] == 0 && g[4] == 0 && g[1] > 0 && g[5] < 0 && from->IsSame(&to);
  return out;
}

}  // namespace leeward::io
