// A traced way as a line that a person can walk: few straight legs, each with what a person needs
// to follow it.
#pragma once

#include "core/compute/walk_graph.h"

namespace leeward::compute {

/// One straight leg, or a sum of legs.
struct WalkLeg {
  Bearing toward;       ///< Grid bearing in walking direction.
  double length_m = 0;  ///< Horizontal.
  double climb_m = 0;   ///< Sum of all that rises on it,
  double drop_m = 0;    ///< and of all that falls; both >= 0.
  double seconds = 0;
  double hazard = 0;  ///< Hazard a minute times minutes; 0 where none is given.

  /// Seconds and hazard as one sum, as cheapest_ways() weighs them.
  double cost_s(double weight_s) const { return seconds + weight_s * hazard; }
};

/// The straight walk from a to b over the ground of the graph: its cells' slowness and hazard, and
/// the slope of the bilinear ground, at points a quarter of a cell apart. Unknown ground is level.
/// REQUIRES: walks_straight(graph, a, b).
WalkLeg walk_leg(const WalkGraph& graph, const std::vector<float>* hazard_per_min, LocalXY a,
                 LocalXY b);

/// Whether the straight line from a to b stays on the grid and touches no cell of no entry, not
/// even at a corner.
bool walks_straight(const WalkGraph& graph, LocalXY a, LocalXY b);

struct WalkLineOptions {
  /// What a leg may cost more than the stretch of way in whose place it stands, as a share.
  double most_dearer = 0.01;
};

/// `points` are centres of cells in the property's frame, in walking order; legs[i] leads from
/// points[i] to points[i + 1].
struct WalkLine {
  Path points;
  std::vector<WalkLeg> legs;

  /// The legs together; `toward` leads from the first point to the last.
  WalkLeg whole() const;
};

/// The way of `cells` (steps of the graph in walking order, as trace_way() gives them) with its
/// needless turns left out. Begins and ends where the way does; every leg walks_straight() and
/// costs at most `most_dearer` more than the way between its ends, both measured by walk_leg().
/// Turns stand where the line is cheapest, always on the way. Long legs that at a look once a cell
/// seem dearer than they may be are not measured (on a property of 2 km lines cost 0.1 % less by it
/// and have 2 % more legs). Fewer than two cells: no legs.
WalkLine walk_line(const WalkGraph& graph, const std::vector<std::size_t>& cells,
                   const std::vector<float>* hazard_per_min, double weight_s,
                   const WalkLineOptions& options = {});

}  // namespace leeward::compute
