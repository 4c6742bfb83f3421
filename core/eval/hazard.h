// Hazard per minute for a walker in each cell: scent + sight + sound + ground scent, each toward
// every deer area by its occupancy. Independent hazards add; the chance of going unnoticed is
// exp(-sum of hazard x time).
#pragma once

#include "core/compute/plume.h"
#include "core/compute/spread.h"
#include "core/eval/deer.h"
#include "core/eval/judgement.h"
#include "core/eval/land.h"

#include <array>

namespace leeward {

/// How far deer in one area see a walker: mean over the area's samples of the share of sight times
/// the fall-off with distance, 0..1, on a patch of the analysis grid.
using AreaSight = Raster<float>;
Result<AreaSight> make_area_sight(const AnalysisLand& land, const DeerArea& area,
                                  const Judgement& j, std::stop_token stop);

/// Two settings of the air: open ground, and below a canopy.
enum class Setting { open, timber };

/// Where a person stands, for the plume.
compute::PlumeSource plume_source(const AirNow& air, Setting setting, double height_m,
                                  double canopy_m, bool leaf_on, const Judgement& j);

/// Everything that the hazard of one moment is made of; kept so that a walk's reasons can be taken
/// apart by the same numbers that made the field.
struct HazardModel {
  GridSpec grid;                      ///< Analysis grid.
  GridSpec coarse;                    ///< Twice the cell: where scent and sound are spread.
  std::vector<DeerArea> areas;        ///< With occupancy.
  std::vector<Ref<AreaSight>> sight;  ///< In the order of areas.
  std::array<compute::Stencil, 2>
      scent;  ///< By Setting: exposure at (receptor - person), coarse cells.
  double light = 1;
  double sound_mask = 1;  ///< By wind.
  double exposure_cap = 3;
  Raster<float> total;  ///< Per minute.
  /// Trails under each cell, as index into areas + 1; 0 none.
  Raster<std::uint16_t> trail;
};

struct HazardInputs {
  Ref<AnalysisLand> land;
  AirNow air;
  SunNow sun;
  bool leaf_on = false;
  Judgement judgement;
  std::vector<DeerArea> areas;  ///< With occupancy.
  std::vector<Ref<AreaSight>> sight;
};
/// ERRORS: cancelled.
Result<HazardModel> make_hazard(const HazardInputs& in, std::stop_token stop);

/// The parts of the hazard at a point, per minute, by area: [area][sense].
std::vector<std::array<double, kSenseCount>> hazard_parts(const HazardModel& model,
                                                          const AnalysisLand& land, LocalXY p,
                                                          const Judgement& j);

}  // namespace leeward
