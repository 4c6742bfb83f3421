#include "core/compute/shot.h"

#include <cmath>

namespace leeward::compute {

ShotLine shot_line(const Raster<float>& ground, LocalXY from, double eye_m, LocalXY to,
                   double aim_m) {
  const double za = static_cast<double>(sample(ground, from)),
               zb = static_cast<double>(sample(ground, to));
  const double fall = (std::isnan(za) || std::isnan(zb)) ? 0 : za - zb;
  const double drop = fall + eye_m - aim_m;
  ShotLine line;
  line.horizontal_m = distance_m(from, to);
  line.slant_m = std::hypot(line.horizontal_m, drop);
  line.depression_deg = std::atan2(drop, line.horizontal_m) * kDegPerRad;
  return line;
}

Path ring_points(LocalXY centre, double range_m) {
  Path out;
  out.reserve(kRingVertices);
  for (int i = 0; i < kRingVertices; ++i) {
    out.push_back(moved(centre, Bearing::degrees(i * 360.0 / kRingVertices), range_m));
  }
  return out;
}

}  // namespace leeward::compute
