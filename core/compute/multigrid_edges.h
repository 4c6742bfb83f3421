// What stands at the edge of a column solve's grid where that is not 0.
#pragma once

#include "core/compute/multigrid_levels.h"

namespace leeward::compute {

/// The share of the edge in the equation of the columns beside it, which a right-hand side gets.
class EdgeLoad {
 public:
  /// `values`: null, or by the grid's outermost columns; kept until the next.
  void set(const ColumnGrid& grid, const RatioLevels& matrix, const EdgeValues* values);
  /// Adds it to row j of a right-hand side, split by colour (multigrid_rows.h).
  template <class T>
  void add(const rows::Shape& s, int j, T* colour0, T* colour1) const {
    if (!values_ || j == 0 || j + 1 == s.ny) return;
    T* const of_colour[2] = {colour0, colour1};
    const auto at = [&](int i, int k) -> T& {
      return of_colour[(i + j) & 1][static_cast<size_t>(k) * s.line + static_cast<size_t>(i / 2)];
    };
    const auto index = [](int major, int count, int minor) {
      return static_cast<size_t>(major) * static_cast<size_t>(count) + static_cast<size_t>(minor);
    };
    for (int k = 0; k < s.active; ++k) {
      at(1, k) += static_cast<T>(load_.west[index(j, s.nz, k)]);
      at(s.nx - 2, k) += static_cast<T>(load_.east[index(j, s.nz, k)]);
      for (int i = 1; j == 1 && i + 1 < s.nx; ++i)
        at(i, k) += static_cast<T>(load_.south[index(k, s.nx, i)]);
      for (int i = 1; j == s.ny - 2 && i + 1 < s.nx; ++i)
        at(i, k) += static_cast<T>(load_.north[index(k, s.nx, i)]);
    }
  }
  /// Sets the edge of a solution, its lowest `levels`.
  void put(int levels, std::vector<double>& l) const;

 private:
  const ColumnGrid* grid_ = nullptr;
  const EdgeValues* values_ = nullptr;
  EdgeValues load_;  // of the columns one step inward
};

}  // namespace leeward::compute
