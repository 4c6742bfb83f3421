// Straight walks over ground that is bilinear between cell centres (as leeward::sample reads it, in
// double). Between two crossings of the lines that join cell centres the ground along a straight
// line is exactly a parabola in distance: a walk hands these pieces out one by one, so that what is
// asked of them (where does a line meet the ground, how high does it stand) has an exact answer
// without a step length.
#pragma once

#include "core/geo/raster.h"

#include <limits>

namespace leeward::compute {

/// Ground heights, metres above sea, at the start, the middle and the end of one piece. All NaN
/// where one of the four cells about it is unknown: unknown ground is never made up.
struct GroundPiece {
  double from_m = 0, to_m = 0;  ///< Horizontal distance from where the walk began.
  double start = 0, middle = 0, end = 0;
  bool known() const { return !std::isnan(middle); }
};

class GroundWalk {
 public:
  /// From `begin_m` to `end_m` along the bearing; it ends early where the grid ends (the edge of
  /// its outer cells, whose outer halves are level outward). The ground must outlive the walk.
  GroundWalk(const Raster<float>& ground, LocalXY from, Bearing toward, double begin_m,
             double end_m);
  /// False at the end of the walk.
  bool next(GroundPiece& piece);
  /// From here on known ground whose four cells lie below the line z(d) = z + slope d is passed
  /// over: next() does not tell of it.
  void pass_below(double z, double slope) { line_z_ = z, line_slope_ = slope; }
  /// Where the walk stands, and whether that is `end_m`.
  double at_m() const { return at_; }
  bool complete() const { return at_ >= wanted_; }

 private:
  const Raster<float>& ground_;
  double col_, row_;            // of the start, in cells between centres
  double col_step_, row_step_;  // a metre
  double next_col_, next_row_;  // the lines crossed next
  double at_, stop_, wanted_;
  double line_z_ = -std::numeric_limits<double>::infinity(), line_slope_ = 0;
};

/// Bilinear ground in double, NaN outside the grid or with an unknown cell among the four.
double ground_height(const Raster<float>& ground, LocalXY p);
/// Its slope: rise a metre toward east (x) and north (y). NaN likewise.
LocalXY ground_slope(const Raster<float>& ground, LocalXY p);

}  // namespace leeward::compute
