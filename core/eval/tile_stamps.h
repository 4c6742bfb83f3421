// TileStamps: which parts of a raster have changed from one to the next, as numbers a tile. Two
// answers of stamps() that are equal mean that all cells in the box are equal, so that a result
// that rests on a part of a large grid needs no new run when the grid changes elsewhere.
#pragma once

#include "core/base/parallel.h"
#include "core/geo/raster.h"

#include <algorithm>
#include <cstring>
#include <memory>
#include <vector>

namespace leeward {

/// THREADS: stamps() from any while nobody calls update(). Cells are compared byte by byte.
template <class T>
class TileStamps {
 public:
  using Stamps = std::vector<std::uint32_t>;
  explicit TileStamps(int cells_a_side) : tile_(cells_a_side) {}

  /// `now` belongs to `owner`, which is kept until the next update.
  void update(const std::shared_ptr<const void>& owner, const Raster<T>& now) {
    static_assert(std::is_trivially_copyable_v<T>);
    if (owner == owner_) return;
    const bool comparable = raster_ && raster_->spec == now.spec;
    cols_ = (now.spec.cols + tile_ - 1) / tile_;
    rows_ = (now.spec.rows + tile_ - 1) / tile_;
    if (!comparable) numbers_.assign(static_cast<size_t>(cols_) * static_cast<size_t>(rows_), 0);
    ++newest_;
    for_each_index(rows_, [&](int r) {
      for (int c = 0; c < cols_; ++c)
        if (!comparable || differs(now, c, r)) numbers_[index(c, r)] = newest_;
    });
    owner_ = owner;
    raster_ = &now;
  }

  /// Of all tiles that touch the box.
  Stamps stamps(const Box& box) const {
    Stamps out;
    each_tile(box, [&](int c, int r) { out.push_back(numbers_[index(c, r)]); });
    return out;
  }

  /// The tiles whose stamp is another than in `before`, stamps() of the same box at another time,
  /// as `visit(col, row, cols, rows)` in cells of the raster.
  template <class Visit>
  void each_changed(const Box& box, const Stamps& before, Visit visit) const {
    size_t n = 0;
    each_tile(box, [&](int c, int r) {
      if (numbers_[index(c, r)] != before[n++]) visit(c * tile_, r * tile_, tile_, tile_);
    });
  }

 private:
  int tile(int cell, int tiles) const { return std::clamp(cell / tile_, 0, tiles - 1); }
  template <class Visit>
  void each_tile(const Box& box, Visit visit) const {
    const GridSpec& g = raster_->spec;
    const int c0 = tile(g.cell_col(box.min_x), cols_), c1 = tile(g.cell_col(box.max_x), cols_),
              r0 = tile(g.cell_row(box.max_y), rows_), r1 = tile(g.cell_row(box.min_y), rows_);
    for (int r = r0; r <= r1; ++r)
      for (int c = c0; c <= c1; ++c) visit(c, r);
  }
  size_t index(int c, int r) const {
    return static_cast<size_t>(r) * static_cast<size_t>(cols_) + static_cast<size_t>(c);
  }
  bool differs(const Raster<T>& now, int tile_col, int tile_row) const {
    const int c0 = tile_col * tile_, width = std::min(tile_, now.spec.cols - c0);
    const int end = std::min((tile_row + 1) * tile_, now.spec.rows);
    for (int r = tile_row * tile_; r < end; ++r)
      if (std::memcmp(now.row(r) + c0, raster_->row(r) + c0,
                      static_cast<size_t>(width) * sizeof(T)) != 0)
        return true;
    return false;
  }

  int tile_;
  std::shared_ptr<const void> owner_;
  const Raster<T>* raster_ = nullptr;
  int cols_ = 0, rows_ = 0;
  std::uint32_t newest_ = 0;
  std::vector<std::uint32_t> numbers_;
};

}  // namespace leeward
