// The ground and the trees of the invented demo property.
//
// Scenario: a family of our own invention keeps 250 ha of wooded ridge, draws, creek bottom and
// fields. The place is drawn on open lake water, so that nobody's land is meant.
#pragma once

#include "core/geo/raster.h"
#include "core/geo/shape.h"

#include <cstdint>

namespace leeward::demo {

inline constexpr double kWest = 500000, kSouth = 4870000;  ///< EPSG:32616, over open water.
inline constexpr double kSide_m = 2200;
inline constexpr std::uint32_t kSeed = 20261114;

inline LocalXY at(double x, double y) { return {kWest + x, kSouth + y}; }
inline Path line(std::initializer_list<LocalXY> points) {
  Path out;
  for (const LocalXY p : points) out.push_back(at(p.x, p.y));
  return out;
}

/// Lines that shape the ground.
const Path& ridge();
const Path& creek();

/// Metres above sea on 1 m cells: a ridge with spurs, three draws, a creek in its bottom, rolling
/// fields.
Raster<float> make_ground();

/// A tree's crown, one for each lattice cell of woods.
struct Crown {
  double distance_m = 1e9;  ///< From the point to the crown's middle.
  double radius_m = 1;
  double height_m = 0;
  double offset_x = 0, offset_y = 0;  ///< From the middle to the point, metres.
  double tint = 0;                    ///< 0..1, for its colour.
  bool evergreen = false;
};
/// The crown that covers a point, if trees stood everywhere; `spacing_m` between lattice cells.
Crown crown_at(LocalXY p, double spacing_m, double evergreen_share);

}  // namespace leeward::demo
