// Burning features into windows of a grid. What a cell gets depends on the features that cover it
// and on their order alone, so that windows that are made anew are as in a grid that is.
#pragma once

#include "core/geo/shape.h"

#include <cstdint>
#include <functional>
#include <vector>

namespace leeward::burn {

inline bool flagged(const std::vector<std::uint8_t>& flags, size_t i) {
  return i < flags.size() && flags[i] != 0;
}

/// Whether cells of the window may lie within `grow_m` of the box.
inline bool near(const Box& box, double grow_m, const GridSpec& g, const CellBox& window) {
  const Box b = box.grown(grow_m + g.cell_m);
  return g.cell_col(b.min_x) < window.end_col() && g.cell_col(b.max_x) >= window.col &&
         g.cell_row(b.max_y) < window.end_row() && g.cell_row(b.min_y) >= window.row;
}

/// fn(cell) for the cells of a layer of the grid in the window that the area covers.
template <class T, class Fn>
void area(const Shape& area, const CellBox& window, Raster<T>& on, Fn fn) {
  for_each_span_in(area, on.spec, window, [&](int row, int first, int last) {
    T* cell = on.row(row);
    for (int c = first; c <= last; ++c) fn(cell[c], c, row);
  });
}

/// fn(col, row) for the cells of the window that the path passes through.
template <class Fn>
void path(const Path& path, const GridSpec& g, const CellBox& window, Fn fn) {
  if (!near(bounds(Shape::line(path)), 0, g, window)) return;
  for_each_cell_on(path, g, [&](int c, int r) {
    if (c >= window.col && c < window.end_col() && r >= window.row && r < window.end_row())
      fn(c, r);
  });
}

}  // namespace leeward::burn
