// The wind at one height over the land as a sum: what the land makes of each part of the upwind
// wind, and what it adds by itself.
//
// Frame: the property's grid axes, metres; winds point where the air goes.
#pragma once

#include "core/compute/scent_plume.h"

namespace leeward::compute {

/// The same for every direction and strength of wind.
struct WindResponse {
  struct Cell {
    float east_of_east, north_of_east;    ///< Of an upwind wind of 1 m/s toward east.
    float east_of_north, north_of_north;  ///< Of one toward north.
    float east, north;                    ///< Whatever the wind: slope air, m/s.
    float timber;                         ///< Share under canopy.
    float filler;
  };
  GridSpec spec;
  UnsetVector<Cell> cells;

  Flow flow(LocalXY upwind_mps) const;
};

/// Straight lines from a source to some places, over which the wind is turned about: the land is
/// looked up once for all winds. Lines are cut into up to 32 parts, 25 m long or less, and as
/// exposures() follows them; but the speed of a part is that of its mixed wind.
class TurnedLines {
 public:
  /// REQUIRES: the table outlives it.
  TurnedLines(const WindResponse& response, const PlumeTable& table, LocalXY source,
              const std::vector<LocalXY>& places);
  /// Exposure at each place, forward from the source; 0 beyond the table's reach.
  std::vector<double> exposures(LocalXY upwind_mps) const;

  static constexpr int kMostParts = 32, kValues = 6;

 private:
  struct Line {
    float dx, dy;
    int parts = 0;              ///< 0: beyond the reach.
    std::array<float, 8> mean;  ///< As a cell.
    /// By value of a cell but timber, `parts` of each.
    alignas(32) std::array<float, kMostParts * kValues> by_part;
  };
  const PlumeTable& table_;
  std::vector<Line> lines_;
};

}  // namespace leeward::compute
