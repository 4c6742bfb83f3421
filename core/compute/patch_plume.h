// Scent of a person at any place near deer on a patch of ground: a plume from the patch, run
// backward.
//
// Frame: the property's grid axes, metres.
#pragma once

#include "core/compute/scent_plume.h"

namespace leeward::compute {

/// Where the cells of a grid within reach stand around a patch, whose places lie `sd_m` from its
/// middle, as standard deviation along each axis. Worked out once for the plumes of many winds.
/// Eight bytes a cell, which are read with every wind: shares between rings and angles and what the
/// square of the distance takes off, each to a 256th of itself.
struct PatchCells {
  /// The part of the exposure that fades away, or in, between two distances from the middle: a near
  /// and a far part add up to the whole, so that each may have cells of its own size.
  struct Fade {
    enum class Part { whole, near, far } part = Part::whole;
    double from_m = 0, to_m = 1;
  };
  PatchCells(const GridSpec& grid, LocalXY middle, double sd_m, double reach_m, const Fade& fade);

  /// Cells of a row within reach: the first in the grid, the first below, and their number.
  struct Span {
    size_t cell, from;
    int count;
  };
  GridSpec grid;
  LocalXY middle;
  double sd_m, reach_m;
  std::vector<Span> spans;
  /// A float, the share from a ring to the next, whose low half is the place: twice ring times
  /// angles and angle.
  std::vector<std::uint32_t> outward;
  /// A float, what distance and fading leave, whose low half is the high one of another, the share
  /// from an angle to the next.
  std::vector<std::uint32_t> scale;
};

/// The plume of deer on a patch of ground run backward: what a person in a place causes to them.
/// Of fewer rays, rings and parts of rays than ScentPlume (over chequered timber 1.7 % from 128
/// rays, all rings and parts of 4 m where the exposure is above 0.05, 5 % above 0.003; root mean
/// square); a patch is seen from afar under an angle that widens the plume, and from within on all
/// sides: a mean over its places to a few percent from its edge on.
class PatchPlume {
 public:
  PatchPlume(const Flow& flow, const PlumeTable& table, LocalXY middle, double sd_m);
  /// field += weight * min(cap, exposure). REQUIRES: `where` of this patch and the field's grid.
  void add_to(Raster<float>& field, const PatchCells& where, float weight, float cap) const;

  /// The same of two plumes of the patch, each to its own field: where cells stand is read once.
  using Pair = std::array<const PatchPlume*, 2>;
  using Fields = std::array<Raster<float>*, 2>;
  static void add_both(const Pair& plumes, const Fields& fields, const PatchCells& where,
                       float weight, float cap);

 private:
  bool fits(const PatchCells& where, const Raster<float>& field) const;

  LocalXY middle_;
  double sd_m_, reach_m_;
  // By ring and angle, the first again at the end: exposure times the squared distance there, and
  // on the next ring.
  UnsetVector<float> pairs_;
};

}  // namespace leeward::compute
