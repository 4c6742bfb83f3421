// What a straight leg costs, piece by piece. For walk_line.cpp alone.
#pragma once

#include "core/compute/walk_graph.h"

#include <span>

namespace leeward::compute {

/// Pieces a cell's width of a leg that is measured, and of one that is only tried.
inline constexpr int kFinePieces = 4, kRoughPieces = 1;

/// A straight leg in about `per_cell` pieces a cell's width. Heights are asked for in floats, in
/// cells from the centre of the north-west cell; cells in doubles, as no piece may slip into the
/// next.
struct LegPieces {
  const WalkGraph& graph;
  LocalXY a, b;
  int count;
  double run_m;  ///< Of each.
  float x, y, dx, dy;
  double col, row, across, down;

  LegPieces(const WalkGraph& graph, LocalXY a, LocalXY b, double length_m, int per_cell);
};

/// Sums a leg's pieces some at a time, so that it may be given up on the way.
class LegSum {
 public:
  /// `length_m`: from a to b. Keeps references to graph and hazard.
  LegSum(const WalkGraph& graph, const std::vector<float>* hazard_per_min, LocalXY a, LocalXY b,
         double length_m, int per_cell = kFinePieces);

  /// Adds the next pieces; false where there are none left.
  bool next();
  /// Ground at the ends of the pieces that were added last; NaN: unknown.
  std::span<const float> heights_m() const {
    return {batch_.ground_m, static_cast<size_t>(count_) + 1};
  }
  /// Of all pieces up to now: each only grows with the next.
  double seconds() const { return whole(sums_.pace) * line_.run_m; }
  double hazard() const { return hazard_ ? whole(sums_.danger) * line_.run_m / 60 : 0; }
  double cost_s(double weight_s) const { return seconds() + weight_s * hazard(); }

  static constexpr int kTogether = 64;
  /// What lies beyond the last piece repeats it and is left out of sums.
  struct Batch {
    float ground_m[kTogether + 1] = {};  ///< At the ends of the pieces.
    float pace[kTogether], danger[kTogether];
  };
  /// Eight partial sums, so that they vectorise without reordering.
  struct Sums {
    double pace[8] = {}, danger[8] = {};
  };

 private:
  void find_ground();
  static double whole(const double (&sum)[8]) {
    return ((sum[0] + sum[1]) + (sum[2] + sum[3])) + ((sum[4] + sum[5]) + (sum[6] + sum[7]));
  }

  const WalkGraph& graph_;
  const std::vector<float>* hazard_;
  LegPieces line_;
  Batch batch_;
  Sums sums_;
  int first_ = 0, count_ = 0;
};

}  // namespace leeward::compute
