// Simple measures are ours; validity, repair, buffer and clipping are GEOS through its reentrant C
// API. GEOS objects and errors never leave core/geo.
#include "core/geo/shape.h"

#include "core/geo/geos_shapes.h"

#include <geos_c.h>

#include <algorithm>
#include <cmath>
#include <cstdarg>
#include <cstdio>
#include <memory>

namespace leeward {
namespace {

using geos::collect;
using geos::Geom;
using geos::own;
using geos::to_geos;

double ring_area_m2(const Path& ring) {
  double twice = 0;
  for (size_t i = 0, n = ring.size(); i < n; ++i) {
    twice += cross(ring[i] - ring[0], ring[(i + 1) % n] - ring[0]);
  }
  return std::abs(twice) / 2;
}

bool ring_contains(const Path& ring, LocalXY p) {
  bool inside = false;
  for (size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
    if ((ring[i].y > p.y) != (ring[j].y > p.y) &&
        p.x < (ring[j].x - ring[i].x) * (p.y - ring[i].y) / (ring[j].y - ring[i].y) + ring[i].x) {
      inside = !inside;
    }
  }
  return inside;
}

}  // namespace

Box bounds(const Shape& s) {
  Box b;
  for (const Path& p : s.parts) b.add(bounds(p));
  return b;
}

double area_m2(const Shape& s) {
  if (s.type != ShapeType::area || s.parts.empty()) return 0;
  double a = ring_area_m2(s.parts[0]);
  for (size_t i = 1; i < s.parts.size(); ++i) a -= ring_area_m2(s.parts[i]);
  return std::max(0.0, a);
}

double length_m(const Shape& s) {
  if (s.type == ShapeType::point || s.parts.empty() || s.parts[0].empty()) return 0;
  const double open = path_length_m(s.parts[0]);
  return s.type == ShapeType::line ? open
                                   : open + distance_m(s.parts[0].back(), s.parts[0].front());
}

bool contains(const Shape& area, LocalXY p) {
  if (area.type != ShapeType::area) return false;
  bool inside = false;
  for (const Path& ring : area.parts) {
    if (ring.size() >= 3 && ring_contains(ring, p)) inside = !inside;
  }
  return inside;
}

double distance_m(const Shape& s, LocalXY p) {
  if (s.type == ShapeType::point) return distance_m(s.position(), p);
  if (s.type == ShapeType::line) return nearest_on_path(s.path(), p).distance_m;
  if (contains(s, p)) return 0;
  double best = std::numeric_limits<double>::infinity();
  for (Path ring : s.parts) {
    if (ring.empty()) continue;
    ring.push_back(ring.front());
    best = std::min(best, nearest_on_path(ring, p).distance_m);
  }
  return best;
}

LocalXY anchor(const Shape& s) {
  if (s.type == ShapeType::point) return s.position();
  if (s.type == ShapeType::line) return point_along(s.path(), path_length_m(s.path()) / 2);
  const geos::Context geos;
  const Geom g = to_geos(geos, s);
  if (g) {
    const Geom inside = own(geos, GEOSPointOnSurface_r(geos.handle(), g.get()));
    LocalXY p;
    if (inside && GEOSGeomGetX_r(geos.handle(), inside.get(), &p.x) == 1 &&
        GEOSGeomGetY_r(geos.handle(), inside.get(), &p.y) == 1) {
      return p;
    }
  }
  return bounds(s).centre();
}

std::string shape_problem(const Shape& s) {
  const size_t need = s.type == ShapeType::point ? 1 : s.type == ShapeType::line ? 2 : 3;
  if (s.parts.empty() || s.parts[0].size() < need) {
    return s.type == ShapeType::point  ? "it has no position"
           : s.type == ShapeType::line ? "a line needs at least two points"
                                       : "an area needs at least three corners";
  }
  for (const Path& part : s.parts) {
    for (const LocalXY p : part) {
      if (!std::isfinite(p.x) || !std::isfinite(p.y)) return "a coordinate is not a number";
      if (std::abs(p.x) > 1e8 || std::abs(p.y) > 1e8) return "a coordinate lies off the Earth";
    }
  }
  if (s.type == ShapeType::line && length_m(s) <= 0) return "the line has no length";
  if (s.type != ShapeType::area) return {};
  const geos::Context geos;
  const Geom g = to_geos(geos, s);
  if (!g) return "an area needs at least three corners";
  char* reason = nullptr;
  GEOSGeometry* where = nullptr;
  const char valid = GEOSisValidDetail_r(geos.handle(), g.get(), 0, &reason, &where);
  std::string text;
  if (valid != 1) {
    text = reason ? reason : "the area is not valid";
    LocalXY p;
    if (where && GEOSGeomGetX_r(geos.handle(), where, &p.x) == 1 &&
        GEOSGeomGetY_r(geos.handle(), where, &p.y) == 1) {
      char at[80];
      std::snprintf(at, sizeof at, " at E %.1f N %.1f", p.x, p.y);
      text += at;
    }
  } else if (area_m2(s) <= 0) {
    text = "the area is empty";
  }
  if (reason) GEOSFree_r(geos.handle(), reason);
  if (where) GEOSGeom_destroy_r(geos.handle(), where);
  return text;
}

Result<Repaired> repaired(const Shape& s) {
  const std::string problem = shape_problem(s);
  if (problem.empty()) return Repaired{{s}, {}};
  if (s.type != ShapeType::area || s.parts.empty() || s.parts[0].size() < 3) {
    return fail(ErrorCode::invalid_argument, problem);
  }
  for (const Path& part : s.parts) {
    for (const LocalXY p : part) {
      if (!std::isfinite(p.x) || !std::isfinite(p.y) || std::abs(p.x) > 1e8 ||
          std::abs(p.y) > 1e8) {
        return fail(ErrorCode::invalid_argument, problem);
      }
    }
  }
  const geos::Context geos;
  const Geom g = to_geos(geos, s);
  if (!g) return fail(ErrorCode::invalid_argument, problem);
  const Geom fixed = own(geos, GEOSMakeValid_r(geos.handle(), g.get()));
  if (!fixed) return geos.error("the area could not be repaired");
  Repaired out;
  std::vector<Shape> all;
  collect(geos, fixed.get(), all);
  for (Shape& piece : all) {
    if (piece.type == ShapeType::area && area_m2(piece) > 0) out.pieces.push_back(std::move(piece));
  }
  if (out.pieces.empty()) return fail(ErrorCode::invalid_argument, problem);
  out.note = "repaired (" + problem + ")";
  if (out.pieces.size() > 1) out.note += " into " + std::to_string(out.pieces.size()) + " pieces";
  return out;
}

Result<std::vector<Shape>> buffered(const Shape& s, double distance) {
  const geos::Context geos;
  const Geom g = to_geos(geos, s);
  if (!g) return fail(ErrorCode::invalid_argument, shape_problem(s));
  const Geom grown = own(geos, GEOSBuffer_r(geos.handle(), g.get(), distance, 8));
  if (!grown) return geos.error("buffer failed");
  std::vector<Shape> out;
  collect(geos, grown.get(), out);
  return out;
}

std::vector<Path> clipped(const Path& line, const Shape& area, bool inside) {
  const geos::Context geos;
  const Geom l = to_geos(geos, Shape::line(line)), a = to_geos(geos, area);
  if (!l) return {};
  if (!a) return inside ? std::vector<Path>{} : std::vector<Path>{line};
  const Geom cut = own(geos, inside ? GEOSIntersection_r(geos.handle(), l.get(), a.get())
                                    : GEOSDifference_r(geos.handle(), l.get(), a.get()));
  std::vector<Shape> pieces;
  if (cut) collect(geos, cut.get(), pieces);
  std::vector<Path> out;
  for (Shape& piece : pieces) {
    if (piece.type == ShapeType::line) out.push_back(std::move(piece.parts[0]));
  }
  return out;
}

void for_each_cell_in(const Shape& area, const GridSpec& spec,
                      const std::function<void(int, int)>& fn) {
  for_each_span_in(area, spec, {0, 0, spec.cols, spec.rows}, [&](int row, int first, int last) {
    for (int c = first; c <= last; ++c) fn(c, row);
  });
}

void for_each_span_in(const Shape& area, const GridSpec& spec, const CellBox& window,
                      const std::function<void(int, int, int)>& fn) {
  const CellBox part = window.within({0, 0, spec.cols, spec.rows});
  if (area.type != ShapeType::area || part.empty()) return;
  const Box box = bounds(area);
  const int first = std::max(part.row, spec.cell_row(box.max_y)),
            last = std::min(part.end_row() - 1, spec.cell_row(box.min_y));
  std::vector<double> crossings;
  for (int row = first; row <= last; ++row) {
    const double y = spec.centre(0, row).y;
    crossings.clear();
    for (const Path& ring : area.parts) {
      for (size_t i = 0, j = ring.size() - 1; i < ring.size(); j = i++) {
        if ((ring[i].y > y) != (ring[j].y > y)) {
          crossings.push_back((ring[j].x - ring[i].x) * (y - ring[i].y) / (ring[j].y - ring[i].y) +
                              ring[i].x);
        }
      }
    }
    std::sort(crossings.begin(), crossings.end());
    for (size_t k = 0; k + 1 < crossings.size(); k += 2) {
      const int c0 =
          std::max(part.col, static_cast<int>(std::ceil(spec.col_of(crossings[k]) - 0.5)));
      const int c1 = std::min(part.end_col() - 1,
                              static_cast<int>(std::ceil(spec.col_of(crossings[k + 1]) - 0.5)) - 1);
      if (c0 <= c1) fn(row, c0, c1);
    }
  }
}

void for_each_cell_on(const Path& path, const GridSpec& spec,
                      const std::function<void(int, int)>& fn) {
  int last_c = std::numeric_limits<int>::min(), last_r = last_c;
  const auto visit = [&](int c, int r) {
    if (c == last_c && r == last_r) return;
    last_c = c, last_r = r;
    if (spec.has(c, r)) fn(c, r);
  };
  if (path.size() == 1) visit(spec.cell_col(path[0].x), spec.cell_row(path[0].y));
  for (size_t i = 1; i < path.size(); ++i) {
    // Amanatides & Woo (1987) grid traversal.
    const double x0 = spec.col_of(path[i - 1].x), y0 = spec.row_of(path[i - 1].y);
    const double x1 = spec.col_of(path[i].x), y1 = spec.row_of(path[i].y);
    const double dx = x1 - x0, dy = y1 - y0;
    int c = static_cast<int>(std::floor(x0)), r = static_cast<int>(std::floor(y0));
    const int end_c = static_cast<int>(std::floor(x1)), end_r = static_cast<int>(std::floor(y1));
    const int step_c = dx > 0 ? 1 : -1, step_r = dy > 0 ? 1 : -1;
    const double inf = std::numeric_limits<double>::infinity();
    double t_c = dx != 0 ? ((c + (dx > 0 ? 1 : 0)) - x0) / dx : inf;
    double t_r = dy != 0 ? ((r + (dy > 0 ? 1 : 0)) - y0) / dy : inf;
    const double d_c = dx != 0 ? step_c / dx : inf, d_r = dy != 0 ? step_r / dy : inf;
    const int most = std::abs(end_c - c) + std::abs(end_r - r);
    visit(c, r);
    for (int k = 0; k < most; ++k) {
      if (t_c < t_r) {
        c += step_c, t_c += d_c;
      } else {
        r += step_r, t_r += d_r;
      }
      visit(c, r);
    }
  }
}

}  // namespace leeward
