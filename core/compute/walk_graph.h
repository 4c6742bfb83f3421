// Walking times between neighbouring cells, and the cheapest ways over them.
#pragma once

#include "core/base/result.h"
#include "core/compute/walking.h"
#include "core/geo/cell_box.h"
#include "core/geo/raster.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <functional>
#include <limits>
#include <memory>
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
  bool on_path = false;  ///< On a path: WalkOptions::path_factor in place of the slowness.
};

struct WalkOptions {
  int directions = kDirections;  ///< 8 (neighbours alone) or 16.
  /// Seconds a horizontal metre at a slope (rise over run in walking direction), off paths with
  /// slowness 1. Read at slopes a 1024th apart and taken as straight between them.
  std::function<double(double)> pace_s_per_m = off_path_pace_s_per_m;
  double path_factor = kPathFactor;  ///< What the slowness is on a path, whatever grows there.
};

/// The pace at slopes within kSteepest; steeper is taken as kSteepest.
class PaceTable {
 public:
  static constexpr float kSteepest = 1.2F, kPerUnit = 1024, kMiddle = 1280;
  explicit PaceTable(const std::function<double(double)>& pace_s_per_m);
  /// `slope` is in units of 1 / kPerUnit; NaN is level.
  float at(float slope) const {
    constexpr float kMost = kSteepest * kPerUnit;
    if (std::isnan(slope)) slope = 0;
    const float x = std::clamp(slope, -kMost, kMost) + kMiddle;
    const int i = static_cast<int>(x);
    const float* two = &pairs_[2 * static_cast<size_t>(i)];
    return two[0] + (x - static_cast<float>(i)) * two[1];
  }
  /// Value at a node and rise to the next, side by side.
  const float* pairs() const { return pairs_.data(); }

 private:
  std::vector<float> pairs_;
};

/// Ground that may be walked, a little under 11 bytes a cell: the times of its steps are worked out
/// as they are asked for. A step is blocked when it enters, leaves or squeezes past a cell of no
/// entry; a knight's move also needs both cells that it passes between. A step takes
/// length * pace(slope) * mean slowness of its two ends, a knight's move of the two cells between
/// as well.
struct WalkGraph {
  GridSpec spec;
  int directions = kDirections;
  std::vector<float> slowness;       ///< Of cover or path; infinity: no entry.
  Raster<float> ground_m;            ///< NaN: level with its neighbour.
  std::vector<std::uint16_t> steps;  ///< Steps that may be taken; read it through allows().
  PaceTable pace{off_path_pace_s_per_m};
  bool level = false;  ///< No two known cells differ in height.

  bool open(size_t cell) const { return slowness[cell] < std::numeric_limits<float>::infinity(); }
  /// The bit of kSteps[d] in `steps`, -1 if it is not among the directions.
  int lane(int d) const;
  /// Whether a person may step from the cell along kSteps[d].
  bool allows(size_t cell, int d) const;
  /// Seconds of that step, infinity where it may not be taken.
  float seconds(size_t cell, int d) const;
  /// Seconds from a cell to another that is one step away.
  float seconds_between(size_t from, size_t to) const;
};
WalkGraph make_walk_graph(const Raster<WalkCell>& cells, const WalkOptions& options = {});
/// Makes of a graph of other cells that of these, which differ from them in the windows alone and
/// in their ground nowhere. REQUIRES: the grid and the options that the graph was made with.
void remake_walk_graph(const Raster<WalkCell>& cells, const std::vector<CellBox>& windows,
                       const WalkOptions& options, WalkGraph& graph);

/// Cheapest cost from a set of starts to every cell (or, with `toward_starts`, from every cell to
/// the nearest start): sum of seconds * (1 + weight * hazard_per_min/60), hazard taken as the mean
/// of both ends.
struct CostField {
  GridSpec spec;
  std::vector<float> cost;  ///< Infinity where there is no way.
  double weight_s = 0;      ///< As it was asked.
  bool toward_starts = false;
};
class StepTimes;
struct CostQuery {
  std::vector<std::size_t> starts;                     ///< Cell indices.
  const std::vector<float>* hazard_per_min = nullptr;  ///< A value a cell, >= 0.
  double weight_s = 0;  ///< Seconds of detour that one unit of hazard is worth.
  bool toward_starts = false;
  int shares = 0;  ///< Threads that share the work; 0: as the grid and the machine suggest. The
                   ///< answer is the same to the last bit for every number.
  const StepTimes* times = nullptr;  ///< Of this graph and direction: the same answer, sooner.
};
/// Exact: a label-correcting search over cost buckets (delta stepping, Meyer & Sanders 2003).
/// Ground is dealt out to the shares in strips; a step over the edge of a strip is posted and
/// counted in the next round. Every step adds at least the smallest difference of a float, so that
/// costs rise along every way. ERRORS: cancelled.
Result<CostField> cheapest_ways(const WalkGraph& graph, const CostQuery& query,
                                std::stop_token stop = {});

/// A field and what it was solved on; `hazard_per_min` as in its query.
struct FieldBefore {
  const WalkGraph& graph;
  const std::vector<float>* hazard_per_min;
  const CostField& field;
};
/// The same as cheapest_ways(), to the last bit, from a field of the same query on other ground or
/// another hazard: where few cells differ, what rests on them alone is solved again. REQUIRES: the
/// same grid, directions, pace, starts, weight and sense.
Result<CostField> cheapest_ways_again(const WalkGraph& graph, const CostQuery& query,
                                      const FieldBefore& before, std::stop_token stop = {});

/// Cells from the start to `cell` (or, for toward_starts, from `cell` to the start), in walking
/// order; empty if there is no way. `hazard_per_min` is what the field was solved with. Of equally
/// good steps the first of kSteps is taken.
std::vector<std::size_t> trace_way(const WalkGraph& graph, const CostField& field,
                                   const std::vector<float>* hazard_per_min, std::size_t cell);

/// The nearest open cell within `most_m` of p, or size_t(-1).
std::size_t nearest_open(const WalkGraph& graph, LocalXY p, double most_m);

}  // namespace leeward::compute
