// The land as the evaluators read it: cover burned into grids, and where a person may walk.
#pragma once

#include "core/compute/sight.h"
#include "core/compute/walk_graph.h"
#include "core/eval/cell_bands.h"
#include "core/eval/judgement.h"
#include "core/eval/results.h"

namespace leeward {

/// What of the land depends on the day. Lists are in the document's order of their kind; empty:
/// nothing is cut or open, and water is as confirmed.
struct LandDay {
  bool leaf_on = false;
  std::vector<std::uint8_t> cut;       ///< Cover that is cut by then.
  std::vector<std::uint8_t> walkable;  ///< Water that may be walked in.
  std::vector<std::uint8_t> open;      ///< Sanctuaries that may be entered that day.
  friend bool operator==(const LandDay&, const LandDay&) = default;
};
LandDay land_day(const Document& document, Instant at);

/// Fine grid of ground and cover; depends on terrain, cover, barriers, lanes, season.
struct CoverGrid {
  compute::SightLand fine;
};

/// Analysis grid (5 m): the same, sampled, with what a walker and the wind need.
struct AnalysisLand {
  compute::SightLand cells;
  Raster<float> noise;          ///< Of a step, 1 = dry leaves.
  Raster<std::uint8_t> timber;  ///< 1 under a canopy higher than 3 m.
  Raster<float> attenuation;    ///< Index of the wind below the cover's top; 0 in the open.
  Raster<float> hidden;         ///< Share of sight and sound left of who walks there, 0..1.
  Raster<float> slowness;       ///< Of cover alone; infinity where water cannot be waded.
};

/// The analysis grid of a property: its extent and 300 m around, snapped to 100 m so that an edit
/// at the rim seldom moves it; 5 m cells, coarser only for ground wider than 8 km.
GridSpec analysis_grid(const Document& document, const Terrain& terrain);

inline constexpr double kBarrierWidth_m = 3;  ///< Of felled trees, as they hide.

CoverGrid make_cover_grid(const Document& document, const Terrain& terrain,
                          const GridSpec& analysis, const LandDay& day, const Judgement& j);
/// Makes the cells of the windows anew, as make_cover_grid() of this document would. The windows
/// lie on the grid, none over another.
void burn_cover_grid(const Document& document, const Terrain& terrain, const LandDay& day,
                     const Judgement& j, const std::vector<CellBox>& windows, CoverGrid& out);

AnalysisLand make_analysis_land(const Document& document, const CoverGrid& cover,
                                const GridSpec& analysis, const LandDay& day, const Judgement& j);
/// The same for windows of the analysis grid.
void burn_analysis_land(const Document& document, const CoverGrid& cover, const LandDay& day,
                        const Judgement& j, const std::vector<CellBox>& windows, AnalysisLand& out);

/// Closed: sanctuary (but on a day that opens it), water that cannot be waded, barriers (save their
/// gaps), outside the boundary unless the settings say otherwise; by night steep ground and what
/// lies near a cliff too, by day that is slow (compute/steep_ground.h).
compute::WalkGraph make_property_graph(const Document& document, const AnalysisLand& land,
                                       const LandDay& day, bool night = false);
/// What the graph is made of; for windows of the analysis grid.
void burn_walk_cells(const Document& document, const AnalysisLand& land, const LandDay& day,
                     bool night, const std::vector<CellBox>& windows,
                     Raster<compute::WalkCell>& out);

/// How far a gap of a barrier reaches to each side, cells.
inline constexpr double kBarrierReach_cells = 1.6;
/// The pieces of a barrier between its gaps.
std::vector<Path> barrier_pieces(const Path& line, const std::vector<Gap>& gaps);

}  // namespace leeward
