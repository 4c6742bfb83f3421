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
/// Trails, food, the stand's own lanes, scrapes and cameras that may come within `reach_m`.
Rows<Feature> near_stand(const Document& document, LocalXY at, double reach_m);
/// The longest outer reach.
double outer_reach_m(const Rows<Weapon>& weapons);
/// Trails, food edges, scrapes, cameras and the ends of the stand's own lanes within the longest
/// outer reach, of those `near` it. Cover is read within kStandSightReach_m.
std::vector<InReach> stand_in_reach(const Rows<Feature>& near, const Terrain& terrain,
                                    const CoverGrid& cover, const Raster<std::uint8_t>& sight,
                                    const Feature& stand, double eye_m, double deer_pace_mps,
                                    const Rows<Weapon>& weapons);
/// Deer areas within sight of the sitter, those with less than a hundredth of sight left out.
std::vector<SeenFrom> areas_that_see(const Raster<std::uint8_t>& sight, LocalXY at,
                                     const std::vector<DeerArea>& areas);
/// Hazard a minute of sitting: by scent, and by sight of somebody who keeps still.
double sit_hazard_per_min(const std::vector<ScentOn>& on, const std::vector<SeenFrom>& seen,
                          double light, const Judgement& j);

}  // namespace leeward
