// CellBox: a rectangle of cells of a grid, and what lists of them are good for.
#pragma once

#include <algorithm>

namespace leeward {

/// Cells of a grid, `cols` by `rows` from the north-western one.
struct CellBox {
  int col = 0, row = 0, cols = 0, rows = 0;

  bool empty() const { return cols <= 0 || rows <= 0; }
  int end_col() const { return col + cols; }
  int end_row() const { return row + rows; }
  /// From one cell to the cell past another.
  static CellBox between(int col, int row, int end_col, int end_row) {
    return {col, row, end_col - col, end_row - row};
  }
  CellBox grown(int by) const { return {col - by, row - by, cols + 2 * by, rows + 2 * by}; }
  /// What both hold; empty() if nothing.
  CellBox within(const CellBox& o) const {
    return between(std::max(col, o.col), std::max(row, o.row), std::min(end_col(), o.end_col()),
                   std::min(end_row(), o.end_row()));
  }
  /// Whether a cell of it is centred within `reach_cells` of that of another.
  bool reaches(int from_col, int from_row, double reach_cells) const {
    const double dc = std::clamp(from_col, col, end_col() - 1) - from_col,
                 dr = std::clamp(from_row, row, end_row() - 1) - from_row;
    return dc * dc + dr * dr <= reach_cells * reach_cells;
  }
  friend bool operator==(const CellBox&, const CellBox&) = default;
};

}  // namespace leeward
