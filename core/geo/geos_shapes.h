// Shapes to and from GEOS, for the .cpp files of core/geo. GEOS's types are only named here.
#pragma once

#include "core/geo/shape.h"

#include <memory>
#include <string>
#include <vector>

struct GEOSGeom_t;
struct GEOSContextHandle_HS;

namespace leeward::geos {

/// One context per call chain: cheap, and it belongs to the thread that made it.
class Context {
 public:
  Context();
  ~Context();
  Context(const Context&) = delete;
  Context& operator=(const Context&) = delete;
  GEOSContextHandle_HS* handle() const { return handle_; }
  /// What GEOS said last, behind `what`.
  Error error(const char* what) const;

 private:
  GEOSContextHandle_HS* handle_;
  std::string message_ = "unknown reason";
};

struct GeomDeleter {
  GEOSContextHandle_HS* handle;
  void operator()(GEOSGeom_t* g) const;
};
using Geom = std::unique_ptr<GEOSGeom_t, GeomDeleter>;
/// Takes over what a GEOS call returned; it may be null.
Geom own(const Context& context, GEOSGeom_t* g);

/// nullptr for a shape without enough points.
Geom to_geos(const Context& context, const Shape& s);
/// Appends the simple shapes of a geometry, multi-parts split.
void collect(const Context& context, const GEOSGeom_t* g, std::vector<Shape>& out);

}  // namespace leeward::geos
