// The coarse part of the preconditioner of compute/circulation.cpp: what a net of conductances does
// to voltages that are the same within each block of 4 x 4 cells (two-level additive Schwarz with
// piecewise constant blocks: Nicolaides 1987, SIAM J. Numer. Anal. 24:355, from memory). The matrix
// of the blocks holds the sums of the conductances between them and to the grounded cells; it is
// factored once (Cholesky within its band).
#pragma once

#include "core/geo/raster.h"

#include <array>
#include <cstdint>
#include <vector>

namespace leeward::compute {

class CirculationBlocks {
 public:
  /// By cell: whether its voltage is sought, and the conductances to its neighbours kNext
  /// (circulation.h). A conductance to a cell that is not sought is one to the ground.
  CirculationBlocks(const GridSpec& spec, const std::vector<std::uint8_t>& sought,
                    const std::vector<std::array<double, 4>>& conductance);

  /// Solves for `residual`, by cell, zero where nothing is sought. Returns the sum over the cells
  /// of residual times correction.
  double solve(const double* residual);
  /// The correction that solve() found, by column, for the cells of a row that are sought. Holds
  /// until the next call.
  const double* row(int r);

 private:
  static constexpr int kSide = 4;
  static constexpr std::size_t kNone = static_cast<std::size_t>(-1);

  std::size_t block_of(std::size_t cell) const;
  void number(const std::vector<std::uint8_t>& sought);
  void factor();

  GridSpec spec_;
  int cols_, rows_;                   // of blocks
  std::vector<std::size_t> unknown_;  // of each block, or kNone
  std::size_t band_ = 0;              // values kept of a column below the diagonal
  // Of each unknown: the column of the factor below its diagonal, and 1 / the diagonal (0: left
  // out). Room behind the last for a column's length.
  std::vector<double> below_, inverse_, x_;
  std::vector<double> line_;  // of cells: sums of a row of blocks, or its correction
  int row_of_line_ = -1;
};

}  // namespace leeward::compute
