// Where a grid may differ from what it was: kept as one stretch of columns for each band of rows,
// so that a long thin change that lies aslant stays thin.
#pragma once

#include "core/geo/cell_box.h"
#include "core/geo/raster.h"

#include <utility>
#include <vector>

namespace leeward {

class CellBands {
 public:
  CellBands() = default;
  explicit CellBands(const GridSpec& spec);

  /// All cells within `grow_m` of the piece from a to b, and a cell more.
  void add(LocalXY a, LocalXY b, double grow_m = 0);
  void add(const CellBox& box);
  /// Another grid's cells: those of this grid that they touch.
  void add(const CellBox& box, const GridSpec& of);
  void add_all() { add(CellBox{0, 0, spec_.cols, spec_.rows}); }
  void clear() { bands_.clear(); }
  bool empty() const { return bands_.empty(); }
  /// On the grid, none over another, from north to south.
  std::vector<CellBox> boxes() const;

 private:
  void add_band(int band, int first_col, int end_col);

  GridSpec spec_;
  std::vector<std::pair<int, int>> bands_;  // first and end column; empty: nothing yet
};

/// The whole grid in the boxes that CellBands gives.
std::vector<CellBox> all_bands(const GridSpec& spec);

namespace detail {

// The smallest box of the cells of `part` that differ.
template <class Grid>
CellBox differing_part(const Grid& a, const Grid& b, const CellBox& part) {
  int c0 = part.end_col(), c1 = part.col, r0 = part.end_row(), r1 = part.row;
  for (int r = part.row; r < part.end_row(); ++r) {
    if (same_cells(a, b, part.col, r, part.cols)) continue;
    r0 = std::min(r0, r), r1 = r + 1;
    for (int c = part.col; c < part.end_col(); ++c)
      if (!same_cells(a, b, c, r, 1)) c0 = std::min(c0, c), c1 = std::max(c1, c + 1);
  }
  return CellBox::between(c0, r0, c1, r1);
}

}  // namespace detail

/// Boxes of at most 16 columns, or rows of whole ones joined, that hold all cells of `windows` in
/// which the rasters differ by a byte. REQUIRES: one grid.
template <class Grid>
std::vector<CellBox> differing(const Grid& a, const Grid& b, const std::vector<CellBox>& windows) {
  constexpr int kCols = 16;
  std::vector<CellBox> out;
  for (const CellBox& w : windows)
    for (int c = w.col; c < w.end_col(); c += kCols) {
      const CellBox part =
          detail::differing_part(a, b, {c, w.row, std::min(kCols, w.end_col() - c), w.rows});
      if (part.empty()) continue;
      if (!out.empty() && out.back().end_col() == part.col && out.back().row == part.row &&
          out.back().rows == part.rows)
        out.back().cols += part.cols;
      else
        out.push_back(part);
    }
  return out;
}

/// Whether the rasters are the same in all of `windows`.
template <class Grid>
bool same_in(const Grid& a, const Grid& b, const std::vector<CellBox>& windows) {
  for (const CellBox& w : windows)
    for (int r = w.row; r < w.end_row(); ++r)
      if (!same_cells(a, b, w.col, r, w.cols)) return false;
  return true;
}

}  // namespace leeward
