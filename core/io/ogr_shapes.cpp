#include "core/io/ogr_shapes.h"

#include <ogr_geometry.h>

namespace leeward::io {
namespace {

constexpr int kMaxNesting = 32;

void put_path(const Path& path, OGRSimpleCurve& out, bool close) {
  const int n = static_cast<int>(path.size());
  out.setNumPoints(n + (close ? 1 : 0));
  for (int i = 0; i < n; ++i)
    out.setPoint(i, path[static_cast<size_t>(i)].x, path[static_cast<size_t>(i)].y);
  if (close) out.setPoint(n, path[0].x, path[0].y);
}

Path take_path(const OGRSimpleCurve& curve, bool ring) {
  Path path;
  const int n = curve.getNumPoints();
  path.reserve(static_cast<size_t>(n));
  for (int i = 0; i < n; ++i) path.push_back({curve.getX(i), curve.getY(i)});
  if (ring && path.size() > 1 && path.front() == path.back()) path.pop_back();
  return path;
}

size_t vertices_of(const OGRGeometry& g, int nesting) {
  if (nesting > kMaxNesting) return SIZE_MAX / 2;
  switch (wkbFlatten(g.getGeometryType())) {
    case wkbPoint:
      return 1;
    case wkbLineString:
      return static_cast<size_t>(g.toLineString()->getNumPoints());
    case wkbPolygon: {
      size_t n = 0;
      for (const OGRLinearRing* ring : *g.toPolygon())
        n += static_cast<size_t>(ring->getNumPoints());
      return n;
    }
    case wkbMultiPoint:
    case wkbMultiLineString:
    case wkbMultiPolygon:
    case wkbGeometryCollection: {
      size_t n = 0;
      for (const OGRGeometry* part : *g.toGeometryCollection())
        n += vertices_of(*part, nesting + 1);
      return n;
    }
    default:
      return 0;
  }
}

void take(const OGRGeometry& g, std::vector<Shape>& out) {
  if (g.IsEmpty()) return;
  switch (wkbFlatten(g.getGeometryType())) {
    case wkbPoint:
      out.push_back(Shape::point({g.toPoint()->getX(), g.toPoint()->getY()}));
      break;
    case wkbLineString:
      out.push_back(Shape::line(take_path(*g.toLineString(), false)));
      break;
    case wkbPolygon: {
      Shape area;
      area.type = ShapeType::area;
      for (const OGRLinearRing* ring : *g.toPolygon()) {
        Path path = take_path(*ring, true);
        if (area.parts.empty() && path.empty()) return;
        if (!path.empty()) area.parts.push_back(std::move(path));
      }
      if (!area.parts.empty()) out.push_back(std::move(area));
      break;
    }
    case wkbMultiPoint:
    case wkbMultiLineString:
    case wkbMultiPolygon:
    case wkbGeometryCollection:
      for (const OGRGeometry* part : *g.toGeometryCollection()) take(*part, out);
      break;
    default:
      break;
  }
}

}  // namespace

void GeometryDeleter::operator()(OGRGeometry* geometry) const {
  OGRGeometryFactory::destroyGeometry(geometry);
}

GeometryPtr to_ogr(const Shape& shape) {
  switch (shape.type) {
    case ShapeType::point:
      return GeometryPtr(new OGRPoint(shape.position().x, shape.position().y));
    case ShapeType::line: {
      auto line = std::make_unique<OGRLineString>();
      put_path(shape.path(), *line, false);
      return GeometryPtr(line.release());
    }
    case ShapeType::area:
      break;
  }
  auto polygon = std::make_unique<OGRPolygon>();
  for (const Path& part : shape.parts) {
    auto ring = std::make_unique<OGRLinearRing>();
    put_path(part, *ring, true);
    polygon->addRingDirectly(ring.release());
  }
  return GeometryPtr(polygon.release());
}

ReadShapes from_ogr(const OGRGeometry& geometry, size_t max_vertices) {
  ReadShapes out;
  GeometryPtr straight;
  const OGRGeometry* g = &geometry;
  if (g->hasCurveGeometry()) {
    straight.reset(g->getLinearGeometry());
    if (!straight) return out;
    g = straight.get();
  }
  out.vertices = vertices_of(*g, 0);
  out.too_many = out.vertices > max_vertices;
  if (!out.too_many) take(*g, out.shapes);
  return out;
}

}  // namespace leeward::io
