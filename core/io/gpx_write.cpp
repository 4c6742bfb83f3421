#include "core/io/gpx_write.h"

#include "core/io/gdal_gate.h"
#include "core/io/gdal_open.h"
#include "core/io/store_paths.h"

#include <cpl_error.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;

/// At most kGpxName characters of UTF-8.
std::string shortened(const std::string& name) {
  size_t letters = 0;
  for (size_t i = 0; i < name.size(); ++i) {
    if ((static_cast<unsigned char>(name[i]) & 0xC0) == 0x80) continue;
    if (letters++ == kGpxName) return name.substr(0, i);
  }
  return name;
}

bool add_row(OGRLayer* layer, const std::string& name, const std::string& remarks,
             const std::string& kind, const OGRGeometry& shape) {
  if (!layer) return false;
  OGRFeature row(layer->GetLayerDefn());
  row.SetField("name", shortened(name).c_str());
  if (!remarks.empty()) row.SetField("desc", remarks.c_str());
  if (!kind.empty()) row.SetField("type", kind.c_str());
  row.SetGeometry(&shape);
  return layer->CreateFeature(&row) == OGRERR_NONE;
}

bool write_all(GDALDataset& dataset, const Frame& frame, OGRSpatialReference& wgs84,
               const std::vector<GpxPoint>& points, const std::vector<GpxTrack>& tracks) {
  OGRLayer* spots =
      points.empty() ? nullptr : dataset.CreateLayer("waypoints", &wgs84, wkbPoint, nullptr);
  for (const GpxPoint& p : points) {
    const LonLat at = frame.to_wgs84(p.at);
    if (!add_row(spots, p.name, p.remarks, p.kind, OGRPoint(at.lon, at.lat))) return false;
  }
  OGRLayer* lines =
      tracks.empty() ? nullptr : dataset.CreateLayer("tracks", &wgs84, wkbMultiLineString, nullptr);
  for (const GpxTrack& t : tracks) {
    OGRLineString line;
    for (const LocalXY p : t.points) {
      const LonLat at = frame.to_wgs84(p);
      line.addPoint(at.lon, at.lat);
    }
    OGRMultiLineString whole;
    whole.addGeometry(&line);
    if (!add_row(lines, t.name, t.remarks, {}, whole)) return false;
  }
  return true;
}

}  // namespace

Status write_gpx(const fs::path& path, const Frame& frame, const std::vector<GpxPoint>& points,
                 const std::vector<GpxTrack>& tracks) {
  if (points.empty() && tracks.empty())
    return fail(ErrorCode::invalid_argument, path.string() + ": there is nothing to write");
  enter_gdal();
  GdalMessages messages;
  auto wgs84 = make_srs("EPSG:4326");
  if (!wgs84) return std::move(wgs84.error());
  fs::path temporary = temporary_beside(path);
  temporary.replace_extension(".gpx");
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPX");
  DatasetPtr dataset(driver->Create(temporary.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
  bool fine = dataset && write_all(*dataset, frame, **wgs84, points, tracks);
  CPLErrorReset();
  dataset.reset();
  fine = fine && CPLGetLastErrorType() < CE_Failure;
  Status done =
      fine ? rename_file(temporary, path, true)
           : Status(fail(ErrorCode::io, path.string() + ": cannot be written: " + messages.text() +
                                            "; check the folder and the space on the "
                                            "disk"));
  std::error_code ec;
  if (!done) fs::remove(temporary, ec);
  return done;
}

}  // namespace leeward::io
