// Shapes to and from OGR geometries.
#pragma once

#include "core/geo/shape.h"

#include <memory>
#include <vector>

class OGRGeometry;

namespace leeward::io {

struct GeometryDeleter {
  void operator()(OGRGeometry* geometry) const;
};
using GeometryPtr = std::unique_ptr<OGRGeometry, GeometryDeleter>;

/// Rings are closed; the numbers are the shape's own.
GeometryPtr to_ogr(const Shape& shape);

/// The simple shapes of a geometry: multi-parts and collections split, curves straightened, heights
/// dropped, rings opened, empty parts left out. Not validated. At most `max_vertices` are taken;
/// `too_many` tells when there were more (and then nothing is returned).
struct ReadShapes {
  std::vector<Shape> shapes;
  size_t vertices = 0;
  bool too_many = false;
};
ReadShapes from_ogr(const OGRGeometry& geometry, size_t max_vertices);

}  // namespace leeward::io
