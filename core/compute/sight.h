// What can be seen from one eye over ground and through cover.
#pragma once

#include "core/base/result.h"
#include "core/geo/cell_box.h"
#include "core/geo/raster.h"

#include <cstdint>
#include <stop_token>
#include <vector>

namespace leeward::compute {

/// Ground, cover top and cover density of one cell.
struct SightCell {
  float ground_m = 0;       ///< Above sea; NaN unknown: never seen, never blocks.
  float top_m = 0;          ///< Cover height above ground; 0 none.
  float density_per_m = 0;  ///< Beer-Lambert coefficient of the cover, 1/m.
};

/// What sight looks over: a grid of SightCells, kept layer by layer, for rings of cells are cut
/// from it layer by layer, most of them from the ground alone.
class SightLand {
 public:
  GridSpec spec;
  Raster<float> ground_m, top_m, density_per_m;

  SightLand() = default;
  explicit SightLand(const GridSpec& s, const SightCell& fill = {})
      : spec(s),
        ground_m(s, fill.ground_m),
        top_m(s, fill.top_m),
        density_per_m(s, fill.density_per_m) {}

  bool empty() const { return spec.empty(); }
  /// A cell of the land, to be read and written.
  struct CellRef {
    float &ground_m, &top_m, &density_per_m;
    operator SightCell() const { return {ground_m, top_m, density_per_m}; }
    const CellRef& operator=(const SightCell& cell) const {
      ground_m = cell.ground_m, top_m = cell.top_m, density_per_m = cell.density_per_m;
      return *this;
    }
  };
  CellRef at(int col, int row) {
    return {ground_m.at(col, row), top_m.at(col, row), density_per_m.at(col, row)};
  }
  SightCell at(int col, int row) const {
    return {ground_m.at(col, row), top_m.at(col, row), density_per_m.at(col, row)};
  }
  SightCell value_or(LocalXY p, const SightCell& otherwise) const {
    return spec.contains(p) ? at(spec.cell_col(p.x), spec.cell_row(p.y)) : otherwise;
  }
};

inline bool same_cells(const SightLand& a, const SightLand& b, int col, int row, int count) {
  return leeward::same_cells(a.ground_m, b.ground_m, col, row, count) &&
         leeward::same_cells(a.top_m, b.top_m, col, row, count) &&
         leeward::same_cells(a.density_per_m, b.density_per_m, col, row, count);
}

struct SightOptions {
  double eye_m = 1.6;     ///< Above the ground at the eye.
  double target_m = 0.8;  ///< Above the ground at each cell.
  double reach_m = 400;
  double cleared_m = 0;  ///< Cells centred nearer to the eye do not dim (trimmed limbs).
};

// What a line of sight meets, in all functions here:
// - Ground stands at the cell centres. The line is looked at wherever it passes a row of centres
//   (a column, if it runs more along the rows); ground there is linear between the two centres on
//   its sides, and what rises above the line hides all behind it. Ends never hide themselves.
//   Where either centre is unknown, nothing hides.
// - Cover is the cell's own: from row to row the line is dimmed by Beer-Lambert with the density
//   of the cell whose centre it passes nearest, where it lies below the top of that cover; half a
//   step at each end.
// - All of it is the same from either end. Curvature and refraction are ignored (below 0.02 m at
//   400 m).

/// Share of sight (0..255) that reaches a target in each cell around `eye`, on the cells of `land`
/// within the reach; the result's grid is that part of `land`'s grid. The eye stands at the centre
/// of its cell.
///
/// The quick pass, for answers while a stand is dragged: lines of sight are not followed; each ring
/// of cells takes the horizon of the ring inside it, and cover dims by a sample of lines, mixed
/// between. Rims of shadow smear by a cell or two.
///
/// REQUIRES: `eye` lies inside `land` on known ground (else the result is all 0).
/// THREADS: pure. ERRORS: cancelled.
Result<Raster<std::uint8_t>> sight_from(const SightLand& land, LocalXY eye,
                                        const SightOptions& options, std::stop_token stop = {});

/// The same by the whole walk of the line to every cell: `sight_between` for all cells at once, but
/// for the rounding to 0..255. Time grows with the cube of the reach.
Result<Raster<std::uint8_t>> sight_exact(const SightLand& land, LocalXY eye,
                                         const SightOptions& options, std::stop_token stop = {});

/// sight_from() of a land that differs from another in the boxes of `changed` (in its cells) only,
/// by `before`, the answer there for the same eye and options: octants around the eye in which
/// nothing changed are not swept again. REQUIRES: `before` is of the same grid. ERRORS: cancelled.
Result<Raster<std::uint8_t>> sight_from_again(const SightLand& land, LocalXY eye,
                                              const SightOptions& options,
                                              const Raster<std::uint8_t>& before,
                                              const std::vector<CellBox>& changed,
                                              std::stop_token stop = {});

/// A box of cells that changed, and how.
struct CoverChange : CellBox {
  float top_m = 0;    ///< Above sea: the highest top of its cover before and after.
  bool more = false;  ///< No cell has a lower or thinner cover than before.
};
/// `boxes`: where `now` differs from `before`. Where ground differs, no line passes above and
/// nothing is more. REQUIRES: one grid.
std::vector<CoverChange> cover_changes(const SightLand& before, const SightLand& now,
                                       const std::vector<CellBox>& boxes);

/// sight_exact() of a land that differs from another in the boxes of `changed` (in its cells) only,
/// by `before`, the answer there for the same eye and options: lines that pass none of them, or
/// above their cover, and lines that were dark where cover only grew, are not walked again.
/// REQUIRES: `before` is of the same grid. ERRORS: cancelled.
Result<Raster<std::uint8_t>> sight_exact_again(const SightLand& land, LocalXY eye,
                                               const SightOptions& options,
                                               const Raster<std::uint8_t>& before,
                                               const std::vector<CoverChange>& changed,
                                               std::stop_token stop = {});

/// About which share of the work of sight_exact() sight_exact_again() has, 0..1, where no line is
/// spared: the directions in which something changed, by how near it is.
double sight_again_share(const GridSpec& land, LocalXY eye, double reach_m,
                         const std::vector<CoverChange>& changed);

/// Share of sight (0..1) between two heights above ground at two places along the one exact line.
/// Ground under an end is bilinear between cell centres.
double sight_between(const SightLand& land, LocalXY a, double a_height_m, LocalXY b,
                     double b_height_m, double cleared_m = 0);

/// Share (0..1) of the line from a watcher through a head that goes on to the sky: 0 where ground
/// or cover stands behind the head, 1 where nothing does. The line is followed up to `beyond_m`
/// past the head, less where known land ends; cover within `cleared_m` of the head does not count.
/// NaN: ground unknown at an end.
double sky_behind(const SightLand& land, LocalXY watcher, double watcher_m, LocalXY head,
                  double head_m, double cleared_m = 0, double beyond_m = 400);

}  // namespace leeward::compute
