// Directions in which a shot would come nearer to a place than it may: arcs about a shooter, from
// shapes and the setback distance the user entered for each.
//
// A direction is in an arc when the straight path from the shooter out to a travel comes within the
// setback of the shape. The path is taken on the plane: ground, trees and drop are not looked at.
// Call once with the reach of the ring and once with the farthest travel: the first says what the
// shot itself would pass, the second what a miss would.
//
// Distances are exact. About one edge of a shape the directions form one arc about its nearest
// point (the land within the setback of an edge is convex, and so is the disc of the travel), so
// its two ends are found by halving; each end is then moved outward to the side that is still
// clear. Arcs are therefore never too narrow, and wider by less than kArcEdgeDeg at each end.
// Directions outside all arcs are not said to be free of anything but these shapes.
#pragma once

#include "core/geo/shape.h"

#include <span>
#include <vector>

namespace leeward::compute {

inline constexpr double kArcEdgeDeg = 0.1;

/// A point (dwelling), line (road, boundary, path) or area, and how near a shot may come to it.
struct Setback {
  Shape shape;
  double distance_m = 0;  ///< User's entry, not below 0.
};

/// Indices of the setbacks that the path in one direction comes into. REQUIRES: travel not below 0.
std::vector<int> setbacks_met(LocalXY shooter, Bearing toward, double travel_m,
                              std::span<const Setback> setbacks);

struct SetbackArc {
  Bearing from, to;           ///< Clockwise; grid bearings, both ends belong to the arc.
  bool whole_circle = false;  ///< The ends mean nothing then.
  std::vector<int> setbacks;  ///< Indices of those that make the arc, rising.

  double width_deg() const { return whole_circle ? 360.0 : wrap_360(turn_deg(from, to)); }
  bool contains(Bearing b) const {
    return whole_circle || wrap_360(turn_deg(from, b)) <= width_deg();
  }
};

/// Arcs that overlap or touch are one arc. In order from grid north; an arc across north is last.
std::vector<SetbackArc> setback_arcs(LocalXY shooter, double travel_m,
                                     std::span<const Setback> setbacks);

/// Arcs of several origins as one list, in the same order; `setbacks` is left empty.
std::vector<SetbackArc> together(std::span<const SetbackArc> arcs);

/// Degrees of the circle inside the arcs, 0 to 360.
double covered_deg(std::span<const SetbackArc> arcs);

}  // namespace leeward::compute
