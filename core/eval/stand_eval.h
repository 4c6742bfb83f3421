// What a stand sees, reaches and smells like at a moment.
#pragma once

#include "core/eval/hazard.h"
#include "core/eval/land.h"

namespace leeward {

inline constexpr double kStandSightReach_m = 400;

/// Eye, target, reach and trimmed limbs of a stand's sight (compute/sight.h).
compute::SightOptions stand_sight_options(const StandAttrs& stand, const Judgement& j);
/// Rings of every weapon of the stand, equal ranges once.
std::vector<Ring> stand_rings(const Terrain& terrain, const Raster<std::uint8_t>& sight, LocalXY at,
                              double eye_m, const Rows<Weapon>& weapons);
/// Trails, food edges, scrapes, cameras and the ends of the stand's own lanes within the longest
/// outer reach.
std::vector<InReach> stand_in_reach(const Document& document, const Terrain& terrain,
                                    const CoverGrid& cover, const Raster<std::uint8_t>& sight,
                                    const Feature& stand, double eye_m,
                                    const Rows<Weapon>& weapons);
/// Deer areas within sight of the sitter, those with less than a hundredth of sight left out.
std::vector<SeenFrom> areas_that_see(const Raster<std::uint8_t>& sight, LocalXY at,
                                     const std::vector<DeerArea>& areas);
/// Hazard a minute of sitting: by scent, and by sight of somebody who keeps still.
double sit_hazard_per_min(const std::vector<ScentOn>& on, const std::vector<SeenFrom>& seen,
                          double light, const Judgement& j);

}  // namespace leeward
