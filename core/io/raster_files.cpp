#include "core/io/raster_files.h"

#include "core/io/gdal_gate.h"
#include "core/io/gdal_open.h"
#include "core/io/layer_reader.h"
#include "core/io/store_paths.h"
#include "core/io/warp.h"

#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include <array>
#include <cmath>
#include <memory>

namespace leeward::io {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

/// Metres for one unit of the elevations, from the band's unit or a vertical CRS.
double metres_per_unit_of(GDALDataset& d) {
  std::string unit = d.GetRasterBand(1)->GetUnitType();
  for (char& c : unit) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  if (unit.find("us survey") != std::string::npos || unit == "us-ft" || unit == "ftus" ||
      unit == "us_survey_foot" || unit == "foot_us") {
    return kMetresPerUsSurveyFoot;
  }
  if (unit == "ft" || unit == "feet" || unit == "foot") return kMetresPerFoot;
  const OGRSpatialReference* srs = d.GetSpatialRef();
  if (unit.empty() && srs && srs->IsVertical()) {
    const double metres = srs->GetTargetLinearUnits("COMPD_CS|VERT_CS", nullptr);
    if (metres > 0.1 && metres < 10) return metres;
  }
  return 1;
}

LonLat centre_of(GDALDataset& d) {
  OGRSpatialReference to;
  to.SetWellKnownGeogCS("WGS84");
  to.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
  const std::unique_ptr<OGRSpatialReference> from(d.GetSpatialRef()->Clone());
  from->SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
  OGRCoordinateTransformation* transform = OGRCreateCoordinateTransformation(from.get(), &to);
  if (!transform) return {kNan, kNan};
  std::array<double, 6> g{};
  d.GetGeoTransform(g.data());
  const double c = d.GetRasterXSize() / 2.0, r = d.GetRasterYSize() / 2.0;
  double x = g[0] + c * g[1] + r * g[2], y = g[3] + c * g[4] + r * g[5];
  const bool fine = transform->Transform(1, &x, &y) != FALSE && std::isfinite(x + y);
  OGRCoordinateTransformation::DestroyCT(transform);
  return fine ? LonLat{x, y} : LonLat{kNan, kNan};
}

void place(GDALDataset& d, const CrsId& crs, RasterFacts& facts) {
  facts.centre_wgs84 = centre_of(d);
  if (!std::isfinite(facts.centre_wgs84.lon)) return;
  CrsId frame_crs = crs;
  if (frame_crs.empty()) {
    auto utm = utm_crs_for(facts.centre_wgs84);
    if (!utm) return;
    frame_crs = *utm;
  }
  auto frame = Frame::make(frame_crs);
  if (!frame) return;
  const auto placement = placement_of(d, frame->wkt());
  if (!placement) return;
  facts.cell_m = std::sqrt(placement->cell_x_m * placement->cell_y_m);
  if (!crs.empty()) facts.box = placement->box;
}

}  // namespace

Result<RasterFacts> inspect_raster(const std::filesystem::path& path, const CrsId& crs) {
  auto dataset = open_raster(path);
  if (!dataset) return std::move(dataset.error());
  GdalMessages messages;
  GDALDataset& d = **dataset;
  RasterFacts out;
  out.driver = d.GetDriverName();
  out.width_px = d.GetRasterXSize();
  out.height_px = d.GetRasterYSize();
  out.bands = d.GetRasterCount();
  out.has_crs = has_crs(d);
  out.georeferenced = has_geotransform(d);
  if (out.has_crs) {
    const char* name = d.GetSpatialRef()->GetName();
    out.crs_name = name ? name : "";
  }
  out.metres_per_unit = metres_per_unit_of(d);
  const GDALDataType type = d.GetRasterBand(1)->GetRasterDataType();
  const bool whole_bytes = type == GDT_Byte;
  out.looks_like_elevation = out.bands == 1 && !whole_bytes;
  out.centre_wgs84 = {kNan, kNan};
  if (out.has_crs && out.georeferenced) place(d, crs, out);
  return out;
}

Result<Picture> render_layer(const RasterLayer& layer, const std::filesystem::path& property_file,
                             const CrsId& crs, const Box& box, int width_px, int height_px,
                             std::stop_token stop) {
  enter_gdal();
  auto frame = Frame::make(crs);
  if (!frame) return std::move(frame.error());
  auto reader = LayerReader::open(raster_file(layer, property_file), frame->wkt());
  if (!reader) return std::move(reader.error());
  auto picture = reader->render(box, width_px, height_px, stop);
  if (!picture || !picture->empty()) return picture;
  Picture blank{width_px, height_px, {}};
  blank.argb.assign(static_cast<size_t>(width_px) * static_cast<size_t>(height_px), 0);
  return blank;
}

}  // namespace leeward::io
