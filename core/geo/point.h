// Plane shapes in the property's frame: metres east and north of its projected CRS (grid axes).
#pragma once

#include "core/base/units.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

namespace leeward {

struct LocalXY {
  double x = 0;  ///< Easting, metres.
  double y = 0;  ///< Northing, metres.
  friend bool operator==(const LocalXY&, const LocalXY&) = default;
  friend LocalXY operator+(LocalXY a, LocalXY b) { return {a.x + b.x, a.y + b.y}; }
  friend LocalXY operator-(LocalXY a, LocalXY b) { return {a.x - b.x, a.y - b.y}; }
  friend LocalXY operator*(LocalXY a, double k) { return {a.x * k, a.y * k}; }
};

inline double dot(LocalXY a, LocalXY b) { return a.x * b.x + a.y * b.y; }
inline double cross(LocalXY a, LocalXY b) { return a.x * b.y - a.y * b.x; }
// Not std::hypot: metres on the Earth neither overflow nor vanish, and it takes ten times as long.
inline double length_m(LocalXY a) { return std::sqrt(a.x * a.x + a.y * a.y); }
inline double distance_m(LocalXY a, LocalXY b) { return length_m(b - a); }
inline Bearing bearing(LocalXY from, LocalXY to) {
  return Bearing::of(to.x - from.x, to.y - from.y);
}
inline LocalXY moved(LocalXY from, Bearing toward, double metres) {
  return {from.x + metres * toward.east(), from.y + metres * toward.north()};
}

/// WGS 84 degrees (or the datum of the property's CRS; see Frame).
struct LonLat {
  double lon = 0;
  double lat = 0;
  friend bool operator==(const LonLat&, const LonLat&) = default;
};

struct Box {
  double min_x = std::numeric_limits<double>::infinity();
  double min_y = std::numeric_limits<double>::infinity();
  double max_x = -std::numeric_limits<double>::infinity();
  double max_y = -std::numeric_limits<double>::infinity();
  bool empty() const { return !(min_x <= max_x && min_y <= max_y); }
  double width_m() const { return empty() ? 0 : max_x - min_x; }
  double height_m() const { return empty() ? 0 : max_y - min_y; }
  LocalXY centre() const { return {(min_x + max_x) / 2, (min_y + max_y) / 2}; }
  void add(LocalXY p) {
    min_x = std::min(min_x, p.x), max_x = std::max(max_x, p.x);
    min_y = std::min(min_y, p.y), max_y = std::max(max_y, p.y);
  }
  void add(const Box& b) {
    if (!b.empty()) add(LocalXY{b.min_x, b.min_y}), add(LocalXY{b.max_x, b.max_y});
  }
  Box grown(double m) const { return {min_x - m, min_y - m, max_x + m, max_y + m}; }
  bool contains(LocalXY p) const {
    return p.x >= min_x && p.x <= max_x && p.y >= min_y && p.y <= max_y;
  }
  bool overlaps(const Box& b) const {
    return min_x <= b.max_x && b.min_x <= max_x && min_y <= b.max_y && b.min_y <= max_y;
  }
  friend bool operator==(const Box&, const Box&) = default;
};

using Path = std::vector<LocalXY>;

inline Box bounds(const Path& path) {
  Box b;
  for (const LocalXY p : path) b.add(p);
  return b;
}
/// Length along an open path, metres.
inline double path_length_m(const Path& path) {
  double sum = 0;
  for (size_t i = 1; i < path.size(); ++i) sum += distance_m(path[i - 1], path[i]);
  return sum;
}
/// The point `at_m` metres along the path (clamped to its ends). REQUIRES: path is not empty.
LocalXY point_along(const Path& path, double at_m);
/// The part of a path between two distances along it; the vertices between are kept.
Path stretch(const Path& line, double from_m, double to_m);
/// Nearest point of a path: distance to it and metres along. REQUIRES: path is not empty.
struct NearestOnPath {
  double distance_m = 0;
  double at_m = 0;
  LocalXY point;
};
NearestOnPath nearest_on_path(const Path& path, LocalXY p);
/// Points no more than `step_m` apart along the path, the vertices included.
Path densified(const Path& path, double step_m);

}  // namespace leeward
