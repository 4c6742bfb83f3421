// GridSpec and Raster<T>: north-up grids in the property's frame. Row 0 is the north row. A value
// belongs to a cell; `centre(col,row)` is where point samples stand.
#pragma once

#include "core/geo/point.h"

#include <cassert>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <limits>
#include <type_traits>
#include <vector>

namespace leeward {

struct GridSpec {
  double west = 0;    ///< Easting of the west edge, metres.
  double north = 0;   ///< Northing of the north edge, metres.
  double cell_m = 1;  ///< Square cells.
  int cols = 0;
  int rows = 0;

  bool empty() const { return cols <= 0 || rows <= 0; }
  size_t size() const { return static_cast<size_t>(cols) * static_cast<size_t>(rows); }
  double east() const { return west + cols * cell_m; }
  double south() const { return north - rows * cell_m; }
  Box box() const { return {west, south(), east(), north}; }
  /// Column and row as real numbers; cell centres are at half integers.
  double col_of(double x) const { return (x - west) / cell_m; }
  double row_of(double y) const { return (north - y) / cell_m; }
  int cell_col(double x) const { return static_cast<int>(std::floor(col_of(x))); }
  int cell_row(double y) const { return static_cast<int>(std::floor(row_of(y))); }
  bool has(int col, int row) const { return col >= 0 && row >= 0 && col < cols && row < rows; }
  bool contains(LocalXY p) const { return has(cell_col(p.x), cell_row(p.y)); }
  LocalXY centre(int col, int row) const {
    return {west + (col + 0.5) * cell_m, north - (row + 0.5) * cell_m};
  }
  size_t index(int col, int row) const {
    return static_cast<size_t>(row) * static_cast<size_t>(cols) + static_cast<size_t>(col);
  }
  /// The grid of `cell_m` that covers `box`, its edges on multiples of the cell.
  static GridSpec covering(const Box& box, double cell_m) {
    GridSpec g;
    g.cell_m = cell_m;
    g.west = std::floor(box.min_x / cell_m) * cell_m;
    g.north = std::ceil(box.max_y / cell_m) * cell_m;
    g.cols = static_cast<int>(std::ceil((box.max_x - g.west) / cell_m - 1e-9));
    g.rows = static_cast<int>(std::ceil((g.north - box.min_y) / cell_m - 1e-9));
    return g;
  }
  friend bool operator==(const GridSpec&, const GridSpec&) = default;
};

template <class T>
struct Raster {
  GridSpec spec;
  std::vector<T> cells;

  Raster() = default;
  explicit Raster(const GridSpec& s, T fill = T{}) : spec(s), cells(s.size(), fill) {}

  bool empty() const { return cells.empty(); }
  T& at(int col, int row) { return assert(spec.has(col, row)), cells[spec.index(col, row)]; }
  const T& at(int col, int row) const {
    return assert(spec.has(col, row)), cells[spec.index(col, row)];
  }
  const T* row(int r) const { return cells.data() + spec.index(0, r); }
  T* row(int r) { return cells.data() + spec.index(0, r); }
  /// Value of the cell that holds `p`, or `outside`.
  T value_or(LocalXY p, T outside) const {
    const int c = spec.cell_col(p.x), r = spec.cell_row(p.y);
    return spec.has(c, r) ? at(c, r) : outside;
  }
  friend bool operator==(const Raster&, const Raster&) = default;
};

/// Whether `count` cells of a row, from (col, row) on, are the same to the last byte.
template <class T>
bool same_cells(const Raster<T>& a, const Raster<T>& b, int col, int row, int count) {
  static_assert(std::is_trivially_copyable_v<T>);
  return std::memcmp(a.row(row) + col, b.row(row) + col,
                     static_cast<std::size_t>(count) * sizeof(T)) == 0;
}

inline constexpr float kUnknown = std::numeric_limits<float>::quiet_NaN();

/// Bilinear sample between cell centres. Unknown (NaN) or outside: falls back to the nearest known
/// of the four cells, else NaN.
float sample(const Raster<float>& r, LocalXY p);

/// Mean of the known samples over each cell of `spec` (at most 8 x 8 a cell); NaN if none.
Raster<float> cell_means(const Raster<float>& r, const GridSpec& spec);

}  // namespace leeward
