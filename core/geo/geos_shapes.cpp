#include "core/geo/geos_shapes.h"

#include <geos_c.h>

namespace leeward::geos {
namespace {

GEOSCoordSequence* sequence(const Context& context, const Path& path, bool close) {
  const unsigned n = static_cast<unsigned>(path.size()) + (close ? 1 : 0);
  GEOSCoordSequence* seq = GEOSCoordSeq_create_r(context.handle(), n, 2);
  for (unsigned i = 0; seq && i < n; ++i) {
    const LocalXY p = path[i % path.size()];
    GEOSCoordSeq_setXY_r(context.handle(), seq, i, p.x, p.y);
  }
  return seq;
}

Path from_sequence(const Context& context, const GEOSGeometry* line, bool open) {
  Path out;
  const GEOSCoordSequence* seq = GEOSGeom_getCoordSeq_r(context.handle(), line);
  unsigned n = 0;
  GEOSCoordSeq_getSize_r(context.handle(), seq, &n);
  for (unsigned i = 0; i + (open ? 1 : 0) < n; ++i) {
    LocalXY p;
    GEOSCoordSeq_getXY_r(context.handle(), seq, i, &p.x, &p.y);
    out.push_back(p);
  }
  return out;
}

}  // namespace

Context::Context() : handle_(GEOS_init_r()) {
  GEOSContext_setErrorMessageHandler_r(
      handle_,
      [](const char* message, void* self) { static_cast<Context*>(self)->message_ = message; },
      this);
}

Context::~Context() { GEOS_finish_r(handle_); }

Error Context::error(const char* what) const {
  return fail(ErrorCode::invalid_argument, std::string(what) + ": " + message_);
}

void GeomDeleter::operator()(GEOSGeom_t* g) const { GEOSGeom_destroy_r(handle, g); }

Geom own(const Context& context, GEOSGeom_t* g) { return Geom(g, GeomDeleter{context.handle()}); }

Geom to_geos(const Context& context, const Shape& s) {
  const auto h = context.handle();
  if (s.parts.empty() || s.parts[0].empty()) return own(context, nullptr);
  if (s.type == ShapeType::point) {
    return own(context, GEOSGeom_createPointFromXY_r(h, s.parts[0][0].x, s.parts[0][0].y));
  }
  if (s.type == ShapeType::line) {
    return own(context, GEOSGeom_createLineString_r(h, sequence(context, s.parts[0], false)));
  }
  std::vector<GEOSGeometry*> holes;
  for (size_t i = 1; i < s.parts.size(); ++i) {
    if (s.parts[i].size() < 3) continue;
    holes.push_back(GEOSGeom_createLinearRing_r(h, sequence(context, s.parts[i], true)));
  }
  GEOSGeometry* shell = s.parts[0].size() < 3
                            ? nullptr
                            : GEOSGeom_createLinearRing_r(h, sequence(context, s.parts[0], true));
  if (!shell) return own(context, nullptr);
  return own(context,
             GEOSGeom_createPolygon_r(h, shell, holes.data(), static_cast<unsigned>(holes.size())));
}

void collect(const Context& context, const GEOSGeometry* g, std::vector<Shape>& out) {
  const auto h = context.handle();
  if (GEOSisEmpty_r(h, g) == 1) return;
  switch (GEOSGeomTypeId_r(h, g)) {
    case GEOS_POLYGON: {
      Shape s{ShapeType::area, {from_sequence(context, GEOSGetExteriorRing_r(h, g), true)}};
      for (int i = 0; i < GEOSGetNumInteriorRings_r(h, g); ++i) {
        s.parts.push_back(from_sequence(context, GEOSGetInteriorRingN_r(h, g, i), true));
      }
      out.push_back(std::move(s));
      break;
    }
    case GEOS_LINESTRING:
    case GEOS_LINEARRING:
      out.push_back(Shape::line(from_sequence(context, g, false)));
      break;
    case GEOS_POINT: {
      LocalXY p;
      GEOSGeomGetX_r(h, g, &p.x);
      GEOSGeomGetY_r(h, g, &p.y);
      out.push_back(Shape::point(p));
      break;
    }
    default:
      for (int i = 0; i < GEOSGetNumGeometries_r(h, g); ++i)
        collect(context, GEOSGetGeometryN_r(h, g, i), out);
  }
}

}  // namespace leeward::geos
