#include "core/io/gdal_gate.h"
#include "core/io/gdal_open.h"
#include "core/io/map_export.h"
#include "core/io/store_paths.h"

#include <cpl_string.h>
#include <cpl_vsi.h>
#include <gdal_priv.h>
#include <ogr_spatialref.h>
#include <ogrsf_frmts.h>

#include <cstdio>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;

/// The picture with its place, in memory, four bands.
DatasetPtr in_memory(const GroundPicture& map, const OGRSpatialReference& srs) {
  const Picture& p = map.picture;
  GDALDriver* memory = GetGDALDriverManager()->GetDriverByName("MEM");
  DatasetPtr out(memory->Create("", p.width_px, p.height_px, 4, GDT_Byte, nullptr));
  if (!out) return nullptr;
  double place[6] = {map.box.min_x,
                     map.box.width_m() / p.width_px,
                     0,
                     map.box.max_y,
                     0,
                     -map.box.height_m() / p.height_px};
  bool fine = out->SetGeoTransform(place) == CE_None && out->SetSpatialRef(&srs) == CE_None;
  std::vector<std::uint8_t> plane(p.argb.size());
  for (int b = 0; fine && b < 4; ++b) {
    const int shift = b == 3 ? 24 : 16 - 8 * b;
    for (size_t i = 0; i < plane.size(); ++i)
      plane[i] = static_cast<std::uint8_t>(p.argb[i] >> shift & 255U);
    GDALRasterBand* band = out->GetRasterBand(b + 1);
    band->SetColorInterpretation(b == 3 ? GCI_AlphaBand
                                        : static_cast<GDALColorInterp>(GCI_RedBand + b));
    fine = band->RasterIO(GF_Write, 0, 0, p.width_px, p.height_px, plane.data(), p.width_px,
                          p.height_px, GDT_Byte, 0, 0, nullptr) == CE_None;
  }
  return fine ? std::move(out) : nullptr;
}

bool add_lower_zooms(GDALDataset& tiles) {
  std::vector<int> factors;
  for (int f = 2; std::max(tiles.GetRasterXSize(), tiles.GetRasterYSize()) / f >= kTilePx / 2;
       f *= 2)
    factors.push_back(f);
  return factors.empty() ||
         tiles.BuildOverviews("AVERAGE", static_cast<int>(factors.size()), factors.data(), 0,
                              nullptr, nullptr, nullptr, nullptr) == CE_None;
}

/// GDAL says that the tiles begin at zoom 0, and not where their middle is: rows of MBTiles 1.3
/// that a map program opens at. Said through a database of its own in memory, to which the file is
/// attached.
bool say_zooms(const fs::path& path, const LonLat& middle) {
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPKG");
  const std::string name = "/vsimem/leeward_rows_" + Uid::random().str() + ".gpkg";
  DatasetPtr rows(driver->Create(name.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
  if (!rows) return false;
  CPLErrorReset();
  const auto say = [&](const std::string& sql) {
    if (OGRLayer* answer = rows->ExecuteSQL(sql.c_str(), nullptr, nullptr))
      rows->ReleaseResultSet(answer);
  };
  std::string file = path.string();
  for (size_t at = 0; (at = file.find('\'', at)) != std::string::npos; at += 2)
    file.insert(at, 1, '\'');
  char where[96];
  std::snprintf(where, sizeof where, "%.6f,%.6f,", middle.lon, middle.lat);
  const std::string lowest = "(SELECT min(zoom_level) FROM map.tiles)";
  say("ATTACH DATABASE '" + file + "' AS map");
  say("UPDATE map.metadata SET value = " + lowest + " WHERE name = 'minzoom'");
  say("INSERT INTO map.metadata (name, value) VALUES ('center', '" + std::string(where) + "' || " +
      lowest + ")");
  say("DETACH DATABASE map");
  rows.reset();
  VSIUnlink(name.c_str());
  return CPLGetLastErrorType() < CE_Failure;
}

}  // namespace

Status write_mbtiles(const fs::path& path, const std::string& name, const GroundPicture& map,
                     const CrsId& crs) {
  if (map.picture.empty())
    return fail(ErrorCode::invalid_argument, path.string() + ": there is nothing to write");
  auto srs = make_srs(crs);
  if (!srs) return std::move(srs.error());
  auto frame = Frame::make(crs);
  if (!frame) return std::move(frame.error());
  GdalMessages messages;
  fs::path temporary = temporary_beside(path);
  temporary.replace_extension(".mbtiles");
  const DatasetPtr source = in_memory(map, **srs);
  CPLStringList options;
  options.SetNameValue("NAME", name.c_str());
  options.SetNameValue("DESCRIPTION", "Property map");
  options.SetNameValue("TILE_FORMAT", "PNG");
  options.SetNameValue("RESAMPLING", "BILINEAR");
  options.SetNameValue("ZOOM_LEVEL_STRATEGY", "UPPER");
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("MBTiles");
  DatasetPtr tiles(source ? driver->CreateCopy(temporary.c_str(), source.get(), false,
                                               options.List(), nullptr, nullptr)
                          : nullptr);
  bool fine = tiles && add_lower_zooms(*tiles);
  CPLErrorReset();
  tiles.reset();
  fine = fine && CPLGetLastErrorType() < CE_Failure &&
         say_zooms(temporary, frame->to_wgs84(map.box.centre()));
  return put_in_place(fine, temporary, path, messages.text());
}

Status write_map_gpx(const fs::path& path, const Frame& frame, const ExportMap& map) {
  std::vector<GpxPoint> points;
  for (const auto& f : map.features)
    if (f->shape.type == ShapeType::point)
      points.push_back({display_name(*f), f->remarks, f->shape.position(), info(f->kind()).noun});
  return write_gpx(path, frame, points, map.ways);
}

}  // namespace leeward::io
