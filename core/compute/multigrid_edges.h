// What stands at the edge of a column solve's grid where that is not 0.
#pragma once

#include "core/compute/multigrid_levels.h"

namespace leeward::compute {

/// The share of the edge in the equation of the columns beside it, which a right-hand side gets.
class EdgeLoad {
 public:
  /// `values`: null, or by the grid's outermost columns; kept until the next.
  void set(const ColumnGrid& grid, const RatioLevels& matrix, const EdgeValues* values);
  /// Row j of nodes of a right-hand side with its share; `source` itself where there is none. Good
  /// until the next call.
  const double* row(int j, const double* source);
  /// Sets the edge of a solution, its lowest `levels`.
  void put(int levels, std::vector<double>& l) const;

 private:
  const ColumnGrid* grid_ = nullptr;
  const EdgeValues* values_ = nullptr;
  EdgeValues load_;  // of the columns one step inward
  std::vector<double> row_;
};

}  // namespace leeward::compute
