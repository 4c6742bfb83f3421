// Elliptic equation of the mass-consistent wind on terrain-following columns, and its solver.
//
// Nodes stand in columns above a square horizontal grid. With s in [0, 1] a node's height is
//   z(i, j, k) = h(i, j) + s_k (top - h(i, j)),
// so the lowest nodes lie on the ground and the highest in the flat lid. The unknown L minimises
//   E = 1/2 sum vol (L_x^2 + L_y^2 + r^2 L_z^2) - b L,   r = a1/a2 (terrain_wind.h),
// where the sum runs over the eight corners of every cell and the gradient at a corner is taken
// along the three edges that meet there: trilinear finite elements with the corner (trapezoidal)
// rule. The matrix is symmetric and positive; a node couples to 14 others, and every weight is a
// product of a value of the column and a value of the level, so no matrix is stored.
//
// Solver. Cells are far flatter than wide near the ground, so whole columns are solved at once
// (tridiagonal) in two colours like a chessboard's: a column of one colour touches columns of the
// other only. The columns of colour 0 are eliminated by their own solves; conjugate gradients run
// on colour 1 alone, preconditioned by one symmetric multigrid V-cycle that coarsens only the
// horizontal grid. The method is textbook (Trottenberg, Oosterlee & Schueller, Multigrid, 2001,
// chapter 5: line relaxation with semi-coarsening; Saad, Iterative methods for sparse linear
// systems, 2003, section 12.4: red-black elimination). Directions, steps and products of the matrix
// are float, the solution is double. Each time the residual has fallen by three digits it is
// computed afresh in double and the gradients go on from there (van der Vorst & Ye 2000, SIAM J.
// Sci. Comput. 22, 835: residual replacement, from memory); so is the one that is reported. Where
// no more than five digits are asked for, all is float, that residual too (on six lands the largest
// error of a wind at 3e-4 was that of the double answer to 1e-6 of the speed).
//
// Speed is that of memory, so what an iteration does to a row is done while the row and those
// beside it are in cache: three passes over the grid an iteration. One right-hand side is one
// thread's work from end to end; results do not depend on the number of threads.
#pragma once

#include "core/base/result.h"

#include <array>
#include <memory>
#include <stop_token>
#include <vector>

namespace leeward::compute {

/// Frame: i grows to the east, j to the north (j = 0 is the south row), k upward.
struct ColumnGrid {
  int nx = 0, ny = 0;            ///< Node columns.
  double spacing_m = 25;         ///< Between columns, both ways.
  std::vector<double> ground_m;  ///< nx * ny, i fastest. Known everywhere.
  double top_m = 0;              ///< Height of the lid above sea, higher than all ground.
  std::vector<double> level;     ///< s_k: 0 first, 1 last, increasing.
  double ratio = 1;              ///< r = a1/a2.
  /// An open face lets air through (L = 0 there); a closed one has no flow across it. The ground is
  /// always closed.
  bool open_x = true, open_y = true, open_top = true;

  int nz() const { return static_cast<int>(level.size()); }
  size_t column(int i, int j) const {
    return static_cast<size_t>(j) * static_cast<size_t>(nx) + static_cast<size_t>(i);
  }
  size_t node_count() const {
    return static_cast<size_t>(nx) * static_cast<size_t>(ny) * level.size();
  }
  /// Index of a node in vectors of nodes: by row, then level, then column. Vectors of layers (the
  /// intervals between levels, nz - 1 of them) use `layer`.
  size_t node(int i, int j, int k) const {
    return (static_cast<size_t>(j) * level.size() + static_cast<size_t>(k)) *
               static_cast<size_t>(nx) +
           static_cast<size_t>(i);
  }
  size_t layer(int i, int j, int k) const {
    return (static_cast<size_t>(j) * (level.size() - 1) + static_cast<size_t>(k)) *
               static_cast<size_t>(nx) +
           static_cast<size_t>(i);
  }
  double ground(int i, int j) const { return ground_m[column(i, j)]; }
  double depth(int i, int j) const { return top_m - ground(i, j); }
  /// Cells beside a column along x or y: 1 at an edge, else 2.
  int cells_x(int i) const { return (i > 0) + (i + 1 < nx); }
  int cells_y(int j) const { return (j > 0) + (j + 1 < ny); }
  /// The volume a node stands for, m3.
  double node_volume(int i, int j, int k) const;
};

/// The smallest count of intervals >= `least` (and >= 4) of the form m 2^halvings.
int padded_intervals(int least, int halvings);
/// Halvings that leave at least `coarsest` intervals of the shorter side.
int halvings_for(int least_intervals, int coarsest = 4);

struct ColumnSolution {
  std::array<std::vector<double>, 2> l;  ///< By node, for each right-hand side.
  int iterations = 0;
  /// Largest |residual| / node volume at the end, of the two: the divergence left at a node, per
  /// second for a right-hand side in m3/s.
  double residual_per_volume = 0;
};

/// L at the outermost columns, for one right-hand side.
struct EdgeValues {
  int nx = 0, nz = 0;
  std::vector<double> south, north;  ///< By level, then column from the west.
  std::vector<double> west, east;    ///< By row from the south, then level.

  EdgeValues() = default;
  explicit EdgeValues(const ColumnGrid& grid);  ///< 0 everywhere.
};

/// Solves the equation for two right-hand sides (the two unit winds) and one or more ratios.
/// What a solve works in is kept for the next: that of as many right-hand sides as ran at once.
/// REQUIRES: nx - 1 and ny - 1 even and at least 8, nz >= 3, at least one face open.
/// COST: see tests/bench/wind_bench.cpp. THREADS: fans out through base/parallel, over the ratios
/// and right-hand sides; may be called from any thread.
class ColumnSolver {
 public:
  explicit ColumnSolver(const ColumnGrid& grid);  ///< For the grid's ratio.
  ColumnSolver(const ColumnGrid& grid, const std::vector<double>& ratios);
  ~ColumnSolver();
  ColumnSolver(ColumnSolver&&) noexcept;
  ColumnSolver& operator=(ColumnSolver&&) noexcept;

  /// Until residual_per_volume < `tolerance`, for each ratio. A ratio's solution does not depend on
  /// what others are asked for. ERRORS: cancelled; internal when 60 iterations do not suffice.
  Result<std::vector<ColumnSolution>> solve_each(const std::array<std::vector<double>, 2>& rhs,
                                                 double tolerance, std::stop_token stop = {}) const;
  /// The same into `out`, whose memory is used again; of a solution's levels the lowest `levels`
  /// alone are set. `edges`: empty, or what stands at the open sides, by ratio and right-hand side;
  /// 0 under an open lid.
  Status solve_into(const std::array<std::vector<double>, 2>& rhs,
                    const std::vector<std::array<EdgeValues, 2>>& edges, double tolerance,
                    int levels, std::vector<ColumnSolution>& out, std::stop_token stop = {}) const;
  /// Of the first ratio alone.
  Result<ColumnSolution> solve(const std::array<std::vector<double>, 2>& rhs, double tolerance,
                               std::stop_token stop = {}) const;

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
};

}  // namespace leeward::compute
