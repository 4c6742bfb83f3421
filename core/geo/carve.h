// Cutting and joining of shapes by what a hand draws over them. Pure; overlay is GEOS.
#pragma once

#include "core/geo/shape.h"

#include <vector>

namespace leeward {

/// Drawn ends that stop this close to an edge reach it: a snapped point lies off its edge by
/// rounding.
inline constexpr double kReachOfDrawnEnd_m = 0.05;

/// The pieces of a line or area, cut where `cut` crosses it; a line's in its own direction.
/// ERRORS: invalid_argument when the cut leaves it whole.
Result<std::vector<Shape>> split_by(const Shape& s, const Path& cut);

/// Metres along `line` of its crossings with `other`, rising, no two closer than a millimetre.
std::vector<double> crossings_m(const Path& line, const Path& other);

/// Two lines made one at their nearest ends, in the direction of `a`.
struct JoinedLines {
  Path path;
  bool b_first = false;     ///< `b` comes before `a`.
  bool b_reversed = false;  ///< `b` is walked backwards.
};
JoinedLines joined(const Path& a, const Path& b);

/// The areas as one. ERRORS: invalid_argument when they do not touch.
Result<Shape> merged(const std::vector<Shape>& areas);

/// An area without the ground inside `ring`: with a hole, smaller, or in pieces.
/// ERRORS: invalid_argument when the ring lies outside, or nothing is left.
Result<std::vector<Shape>> cut_out(const Shape& area, const Path& ring);

/// The strip of `width_m` along a line, square at its ends.
/// ERRORS: invalid_argument for a width that is not above 0.
Result<std::vector<Shape>> strip_along(const Path& line, double width_m);

/// A line or outer ring that follows `drawn` between its first and its last crossing with it. Of
/// the two areas that this may mean, the larger.
/// ERRORS: invalid_argument when it is not crossed twice, or what comes out crosses itself.
Result<Shape> reshaped(const Shape& s, const Path& drawn);

/// A line without the vertices that lie within `tolerance_m` of it (Douglas and Peucker 1973).
Path simplified(const Path& line, double tolerance_m);

}  // namespace leeward
