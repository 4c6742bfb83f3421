// The matrix of the column solver on each of its grids (multigrid.h), the finest first.
#pragma once

#include "core/compute/multigrid.h"
#include "core/compute/multigrid_rows.h"

#include <span>

namespace leeward::compute {

/// What is the same for every ratio.
struct ColumnLevels {
  struct Level {
    rows::Shape shape;
    rows::Columns<float> columns;
  };
  std::vector<Level> levels;
  rows::Columns<double> exact;  ///< Of the finest.

  explicit ColumnLevels(const ColumnGrid& grid);
};

/// What a ratio adds. REQUIRES: outlived by the ColumnLevels.
class RatioLevels {
 public:
  RatioLevels(const ColumnLevels& ground, const ColumnGrid& grid, double ratio);
  rows::Row<float> row(size_t level, int j, int c) const;
  rows::Row<double> exact_row(int j, int c) const;
  const float* inverse(size_t level, int j, int c) const { return inverse_[level].at(j, c); }
  const rows::Shape& shape(size_t level) const { return ground_->levels[level].shape; }
  size_t count() const { return ground_->levels.size(); }

 private:
  const ColumnLevels* ground_;
  rows::Factors<float> factors_;
  rows::Factors<double> exact_factors_;
  std::vector<rows::Strips<float>> inverse_;  // of the pivots
};

}  // namespace leeward::compute
