// Shape: the one geometry type of features. Validated at the edge: inside the program an area is
// closed and simple, a line has two points or more, nothing is NaN.
#pragma once

#include "core/base/result.h"
#include "core/geo/cell_box.h"
#include "core/geo/point.h"
#include "core/geo/raster.h"

#include <functional>
#include <string>
#include <vector>

namespace leeward {

enum class ShapeType { point, line, area };

/// `parts[0]` is the point, the line, or the outer ring; further parts are holes of an area.
/// Rings are stored open (the first vertex is not repeated).
struct Shape {
  ShapeType type = ShapeType::point;
  std::vector<Path> parts;

  static Shape point(LocalXY p) { return {ShapeType::point, {{p}}}; }
  static Shape line(Path p) { return {ShapeType::line, {std::move(p)}}; }
  static Shape area(Path ring) { return {ShapeType::area, {std::move(ring)}}; }

  LocalXY position() const { return parts.at(0).at(0); }  ///< REQUIRES: a point.
  const Path& path() const { return parts.at(0); }        ///< Line, or outer ring.
  friend bool operator==(const Shape&, const Shape&) = default;
};

Box bounds(const Shape& s);
/// Square metres on the grid, holes taken out; 0 for points and lines.
double area_m2(const Shape& s);
/// Length of a line, perimeter of an area's outer ring, 0 for a point.
double length_m(const Shape& s);
/// True inside an area (even-odd, holes out). Points exactly on an edge may go either way.
bool contains(const Shape& area, LocalXY p);
/// 0 inside an area, else the distance to the nearest edge or point.
double distance_m(const Shape& s, LocalXY p);
/// A point inside (area), half way (line) or the point: where a label goes. (GEOS interior point.)
LocalXY anchor(const Shape& s);

/// What is wrong with the shape in words, or empty. (GEOS validity for areas.)
std::string shape_problem(const Shape& s);
/// A valid shape as near to `s` as GEOS can make it, as one or more pieces; and what was done in
/// words (empty if nothing was).
struct Repaired {
  std::vector<Shape> pieces;
  std::string note;
};
Result<Repaired> repaired(const Shape& s);
/// Offset outline of any shape (round caps), GEOS buffer.
Result<std::vector<Shape>> buffered(const Shape& s, double distance_m);
/// The parts of a line that lie inside (or, with inside=false, outside) an area.
std::vector<Path> clipped(const Path& line, const Shape& area, bool inside);

/// Calls fn(col,row) for every cell of `spec` whose centre lies inside the area.
void for_each_cell_in(const Shape& area, const GridSpec& spec,
                      const std::function<void(int, int)>& fn);
/// The same, but for the cells of `window` alone, as spans: fn(row, first col, last col).
void for_each_span_in(const Shape& area, const GridSpec& spec, const CellBox& window,
                      const std::function<void(int, int, int)>& fn);
/// Calls fn(col,row) once for every cell that the path passes through, in order (supercover walk).
void for_each_cell_on(const Path& path, const GridSpec& spec,
                      const std::function<void(int, int)>& fn);

}  // namespace leeward
