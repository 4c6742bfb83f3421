// A property, or a part of it, as files for phones and receivers: KML and KMZ (OGC 07-147r2),
// GeoJSON (RFC 7946), MBTiles 1.3, Shapefiles; GPX 1.1 is gpx_write.h. Each is written beside its
// target and renamed over it. No file names a user, a folder or a program's path.
#pragma once

#include "core/io/gpx_write.h"
#include "core/io/raster_files.h"

#include <array>
#include <optional>

namespace leeward::io {

struct ExportMap {
  std::string name;
  Rows<Feature> features;
  std::vector<GpxTrack> ways;
  /// By Kind, 0xAARRGGBB; lines and fills of KML.
  std::array<std::uint32_t, kKindCount> line_argb{}, fill_argb{};
};

/// Waypoints of its points (names cut as gpx_write.h says), tracks of its ways.
Status write_map_gpx(const std::filesystem::path& path, const Frame& frame, const ExportMap& map);

/// A FeatureCollection in WGS 84; rings turn right-handed; properties: kind, name, remarks.
Status write_geojson(const std::filesystem::path& path, const Frame& frame, const ExportMap& map);

/// Shapefiles in one zip, in the property's CRS: layers "stand_point", "trail_line", "way_line",
/// ... with kind, name, remarks (UTF-8, 254 bytes at most). ERRORS: invalid_argument for nothing to
/// write; io.
Status write_shapefiles(const std::filesystem::path& path, const CrsId& crs, const ExportMap& map);

/// A picture under the map, in the property's frame.
struct GroundPicture {
  Picture picture;
  Box box;
};
/// A KML by the ending, else a KMZ with the picture inside. ERRORS: invalid_argument for a picture
/// in a .kml, or nothing to write.
Status write_kml(const std::filesystem::path& path, const Frame& frame, const ExportMap& map,
                 const std::optional<GroundPicture>& under);

/// The picture in web Mercator tiles of PNG, with lower zooms.
Status write_mbtiles(const std::filesystem::path& path, const std::string& name,
                     const GroundPicture& map, const CrsId& crs);

/// A picture of the frame resampled to even steps of longitude and latitude; transparent beyond it.
struct LonLatPicture {
  Picture picture;
  double west = 0, south = 0, east = 0, north = 0;
};
LonLatPicture to_lon_lat(const GroundPicture& in, const Frame& frame);

}  // namespace leeward::io
