// Hazard per minute for a walker in each cell: scent + sight + sound + ground scent, each toward
// every deer area by its occupancy. Independent hazards add; the chance of going unnoticed is
// exp(-sum of hazard x time).
#pragma once

#include "core/compute/patch_plume.h"
#include "core/eval/deer.h"
#include "core/eval/judgement.h"
#include "core/eval/land.h"

#include <array>
#include <vector>

namespace leeward {

/// How a deer looks at a walker: up to 250 m.
compute::SightOptions walker_sight_options(const Judgement& j);
/// The share of sight from a deer to a walker on each cell around it, 255 all. ERRORS: cancelled.
Result<Raster<std::uint8_t>> sight_on_walker(const AnalysisLand& land, LocalXY deer,
                                             const Judgement& j, std::stop_token stop);

/// How far deer in one area see a walker: mean over the area's samples of the share of sight times
/// the fall-off with distance, 0..1, on a patch of the analysis grid.
using AreaSight = Raster<float>;
/// `from_samples`: sight_on_walker() of each sample.
AreaSight make_area_sight(const GridSpec& analysis, const DeerArea& area,
                          const std::vector<Ref<Raster<std::uint8_t>>>& from_samples,
                          const Judgement& j);

/// Twice the cell: of the analysis grid, where scent and sound are spread.
GridSpec coarse_grid(const GridSpec& grid);
/// The part of a grid within reach of points.
GridSpec patch_around(const GridSpec& grid, const std::vector<LocalXY>& points, double reach_m);
/// Exposure that a person at a place causes to deer in one area: the plume of each of the area's
/// patches run backward, mean over them, each at most the cap. The sum of two parts, on a patch of
/// the coarse grid near the area and, where the field is smooth, on one of cells twice as wide.
struct AreaScent {
  Raster<float> near, far;
  /// Bilinear between cells.
  double at(LocalXY p) const;
};
/// Where the cells of those patches stand around each of the area's patches: the same in every
/// wind.
struct AreaPlaces {
  GridSpec near_grid, far_grid;
  std::vector<DeerPatch> patches;
  std::vector<compute::PatchCells> near, far;  ///< In the order of patches.
};
AreaPlaces area_places(const GridSpec& coarse, const DeerArea& area, double reach_m);
AreaScent make_area_scent(const compute::Flow& flow, const compute::PlumeTable& table,
                          const AreaPlaces& places, double cap);
/// The same on the way in and out at once, in less time than one after the other.
std::array<AreaScent, 2> make_both_area_scents(const std::array<Ref<compute::Flow>, 2>& flow,
                                               const std::array<Ref<compute::PlumeTable>, 2>& table,
                                               const AreaPlaces& places, double cap);
inline constexpr double kWalkerScentReach_m = 600;

/// Sound of a step of noise 1 in still air that deer on one area hear: mean over the cells that it
/// covers, of a wall its used gaps; on a patch of the coarse grid, empty where the area lies beside
/// it.
using AreaSound = Raster<float>;
AreaSound make_area_sound(const GridSpec& coarse, const DeerArea& area, const Judgement& j);

/// What of a moment's hazard does not turn with the wind, of all areas by their occupancy.
struct HazardStill {
  Raster<float> seen;   ///< Sight, times what the place leaves of it, 0..; analysis grid.
  Raster<float> heard;  ///< Sound of a step of noise 1 in still air; coarse_grid().
  /// Trails under each cell, as index into areas + 1; 0 none.
  Ref<Raster<std::uint16_t>> trail;
};
/// The same areas with their occupancy on the way in and on the way out.
using BothWays = std::array<Ref<std::vector<DeerArea>>, 2>;
/// In and out; `cells`, `sight` and `sound` in the order of the areas. ERRORS: cancelled.
Result<std::array<HazardStill, 2>> make_hazard_still(const AnalysisLand& land,
                                                     const BothWays& areas, const AreaCells& cells,
                                                     const std::vector<Ref<AreaSight>>& sight,
                                                     const std::vector<Ref<AreaSound>>& sound,
                                                     std::stop_token stop);

/// Everything that the hazard of one moment is made of; kept for HazardParts.
struct HazardModel {
  Ref<AnalysisLand> land;
  Judgement judgement;
  GridSpec grid;                      ///< Analysis grid.
  GridSpec coarse;                    ///< coarse_grid().
  std::vector<DeerArea> areas;        ///< With occupancy.
  std::vector<Ref<AreaSight>> sight;  ///< In the order of areas.
  std::vector<Ref<AreaScent>> scent;  ///< In the order of areas.
  Ref<HazardStill> still;
  std::vector<Box> heard_within;  ///< In the order of areas.
  double light = 1;               ///< What a deer sees by: never below that of a night.
  double sound_mask = 1;          ///< By wind.
  Raster<float> total;            ///< Per minute.
};

struct HazardInputs {
  Ref<AnalysisLand> land;
  AirNow air;
  SunNow sun;
  Judgement judgement;
  Ref<std::vector<DeerArea>> areas;  ///< With occupancy.
  std::vector<Ref<AreaSight>> sight;
  std::vector<Ref<AreaScent>> scent;
  Ref<HazardStill> still;  ///< Of the same areas and sight.
};
/// ERRORS: cancelled.
Result<HazardModel> make_hazard(const HazardInputs& in, std::stop_token stop);

/// Takes the hazard at points of one walk apart by area and sense, by the same numbers that made
/// the field. Area by area, for each has fields of its own. REQUIRES: the model outlives it.
class HazardParts {
 public:
  using BySense = std::array<double, kSenseCount>;  ///< Per minute.
  /// Of points inside `where`.
  HazardParts(const HazardModel& model, const Box& where);
  /// Indices into the model's areas: those used, whose scent, sight or sound carries to `where`.
  const std::vector<size_t>& areas() const { return areas_; }

  /// What all areas share of a point; outside the land nothing is left of any sense.
  struct Place {
    LocalXY at;
    bool inside = false;
    double noise = 0, hidden = 0;
    size_t trail = 0;
  };
  Place place(LocalXY p) const;
  /// Of one of areas().
  BySense of(size_t area, const Place& place) const;

 private:
  double sound(size_t area, LocalXY p) const;

  const HazardModel& model_;
  const AnalysisLand& land_;
  const Judgement& j_;
  std::vector<size_t> areas_;
};

}  // namespace leeward
