// Walking times between neighbouring cells, 16 directions, and the cheapest ways over them.
#pragma once

#include "core/base/result.h"
#include "core/geo/raster.h"

#include <array>
#include <cstdint>
#include <limits>
#include <stop_token>
#include <vector>

namespace leeward::compute {

inline constexpr int kDirections = 16;
struct Step {
  int dc, dr;
};
/// Eight neighbours, then eight knight's moves; direction d + its opposite are pairs (see
/// opposite()).
inline constexpr std::array<Step, kDirections> kSteps = {{{1, 0},
                                                          {-1, 0},
                                                          {0, 1},
                                                          {0, -1},
                                                          {1, 1},
                                                          {-1, -1},
                                                          {1, -1},
                                                          {-1, 1},
                                                          {2, 1},
                                                          {-2, -1},
                                                          {1, 2},
                                                          {-1, -2},
                                                          {2, -1},
                                                          {-2, 1},
                                                          {1, -2},
                                                          {-1, 2}}};
inline constexpr int opposite(int direction) { return direction ^ 1; }

/// How one cell is walked.
struct WalkCell {
  float ground_m = 0;    ///< NaN: taken as level with its neighbour.
  float slowness = 1;    ///< Time factor of the cover (1 open woods on foot); infinity: no entry.
  bool on_path = false;  ///< On a path: Tobler's path speed.
};

/// Seconds of every step, kept as rows of 16 a cell. A step is blocked (infinity) when it enters,
/// leaves or squeezes past a cell of no entry; a knight's move also needs both cells that it passes
/// between.
struct WalkGraph {
  GridSpec spec;
  std::vector<float> seconds;       ///< seconds[cell * 16 + d]: from the cell along d.
  std::vector<float> seconds_back;  ///< From the cell's neighbour along d, to the cell.
  std::vector<std::uint8_t> open;   ///< 1 where a person may stand.
};
WalkGraph make_walk_graph(const Raster<WalkCell>& cells);

/// Cheapest cost from a set of starts to every cell (or, with `toward_starts`, from every cell to
/// the nearest start): sum of seconds * (1 + weight * hazard_per_min/60), hazard taken as the mean
/// of both ends. Exact: a label-correcting search over cost buckets (delta stepping, Meyer &
/// Sanders 2003).
struct CostField {
  GridSpec spec;
  std::vector<float> cost;  ///< Infinity where there is no way.
  std::vector<std::int8_t>
      via;  ///< Direction of the step at the cell that leads back toward the start; -1.
};
struct CostQuery {
  std::vector<std::size_t> starts;                     ///< Cell indices.
  const std::vector<float>* hazard_per_min = nullptr;  ///< A value a cell, >= 0.
  double weight_s = 0;  ///< Seconds of detour that one unit of hazard is worth.
  bool toward_starts = false;
};
/// ERRORS: cancelled.
Result<CostField> cheapest_ways(const WalkGraph& graph, const CostQuery& query,
                                std::stop_token stop = {});

/// Cells from the start to `cell` (or, for toward_starts, from `cell` to the start), in walking
/// order; empty if there is no way.
std::vector<std::size_t> trace_way(const CostField& field, std::size_t cell, bool toward_starts);

/// The nearest open cell within `most_m` of p, or size_t(-1).
std::size_t nearest_open(const WalkGraph& graph, LocalXY p, double most_m);

}  // namespace leeward::compute
