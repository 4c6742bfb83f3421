#include "core/io/map_export.h"
#include "core/io/store_paths.h"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <fstream>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;

json position(const Frame& frame, LocalXY p) {
  const LonLat at = frame.to_wgs84(p);
  const auto rounded = [](double deg) { return std::round(deg * 1e8) / 1e8; };  // a millimetre
  return {rounded(at.lon), rounded(at.lat)};
}

json positions(const Frame& frame, const Path& path, bool closed) {
  json out = json::array();
  for (const LocalXY p : path) out.push_back(position(frame, p));
  if (closed) out.push_back(out.front());
  return out;
}

/// RFC 7946, 3.1.6: outer rings anticlockwise, holes clockwise.
Path turned(Path ring, bool anticlockwise) {
  double twice = 0;
  for (size_t i = 0; i < ring.size(); ++i)
    twice += cross(ring[i] - ring[0], ring[(i + 1) % ring.size()] - ring[0]);
  if ((twice > 0) != anticlockwise) std::reverse(ring.begin(), ring.end());
  return ring;
}

json geometry(const Frame& frame, const Shape& s) {
  switch (s.type) {
    case ShapeType::point:
      return {{"type", "Point"}, {"coordinates", position(frame, s.position())}};
    case ShapeType::line:
      return {{"type", "LineString"}, {"coordinates", positions(frame, s.path(), false)}};
    case ShapeType::area:
      break;
  }
  json rings = json::array();
  for (size_t i = 0; i < s.parts.size(); ++i)
    rings.push_back(positions(frame, turned(s.parts[i], i == 0), true));
  return {{"type", "Polygon"}, {"coordinates", rings}};
}

}  // namespace

Status write_geojson(const fs::path& path, const Frame& frame, const ExportMap& map) {
  json features = json::array();
  const auto add = [&](json shape, const char* kind, const std::string& name,
                       const std::string& remarks) {
    features.push_back({{"type", "Feature"},
                        {"geometry", std::move(shape)},
                        {"properties", {{"kind", kind}, {"name", name}, {"remarks", remarks}}}});
  };
  for (const auto& f : map.features)
    add(geometry(frame, f->shape), info(f->kind()).table, f->name, f->remarks);
  for (const GpxTrack& way : map.ways)
    add({{"type", "LineString"}, {"coordinates", positions(frame, way.points, false)}}, "way",
        way.name, way.remarks);
  if (features.empty())
    return fail(ErrorCode::invalid_argument, path.string() + ": there is nothing to write");
  const json all = {
      {"type", "FeatureCollection"}, {"name", map.name}, {"features", std::move(features)}};
  const fs::path temporary = temporary_beside(path);
  {
    std::ofstream out(temporary, std::ios::binary);
    out << all.dump(1, ' ', false, json::error_handler_t::replace) << "\n";
    if (out) out.close();
    if (!out) {
      std::error_code ec;
      fs::remove(temporary, ec);
      return fail(
          ErrorCode::io,
          path.string() + ": cannot be written; check the folder and the space on the disk");
    }
  }
  return rename_file(temporary, path, true);
}

}  // namespace leeward::io
