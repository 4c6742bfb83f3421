#include "core/geo/point.h"

#include <cassert>

namespace leeward {

LocalXY point_along(const Path& path, double at_m) {
  assert(!path.empty());
  for (size_t i = 1; i < path.size(); ++i) {
    const double d = distance_m(path[i - 1], path[i]);
    if (at_m <= d && d > 0)
      return path[i - 1] + (path[i] - path[i - 1]) * (std::max(0.0, at_m) / d);
    at_m -= d;
  }
  return path.back();
}

Path stretch(const Path& line, double from_m, double to_m) {
  Path out{point_along(line, from_m)};
  constexpr double kSame_m = 1e-3;
  double at_m = 0;
  for (size_t i = 1; i + 1 < line.size(); ++i) {
    at_m += distance_m(line[i - 1], line[i]);
    if (at_m > from_m + kSame_m && at_m < to_m - kSame_m) out.push_back(line[i]);
  }
  out.push_back(point_along(line, to_m));
  return out;
}

NearestOnPath nearest_on_path(const Path& path, LocalXY p) {
  assert(!path.empty());
  NearestOnPath best{distance_m(path[0], p), 0, path[0]};
  double along = 0;
  for (size_t i = 1; i < path.size(); ++i) {
    const LocalXY d = path[i] - path[i - 1];
    const double len2 = dot(d, d);
    const double t = len2 > 0 ? std::clamp(dot(p - path[i - 1], d) / len2, 0.0, 1.0) : 0.0;
    const LocalXY q = path[i - 1] + d * t;
    const double dist = distance_m(q, p);
    if (dist < best.distance_m) best = {dist, along + t * std::sqrt(len2), q};
    along += std::sqrt(len2);
  }
  return best;
}

Path densified(const Path& path, double step_m) {
  assert(step_m > 0);
  Path out;
  for (size_t i = 0; i + 1 < path.size(); ++i) {
    const double d = distance_m(path[i], path[i + 1]);
    const int pieces = std::max(1, static_cast<int>(std::ceil(d / step_m)));
    for (int k = 0; k < pieces; ++k) {
      out.push_back(path[i] + (path[i + 1] - path[i]) * (static_cast<double>(k) / pieces));
    }
  }
  if (!path.empty()) out.push_back(path.back());
  return out;
}

}  // namespace leeward
