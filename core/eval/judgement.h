// Every judgement constant of the exposure model, in one table: value, unit, source. None of them
// is a measurement of deer; they order ways and stands, they do not predict.
#pragma once

#include "core/model/property.h"

#include <array>
#include <string>

namespace leeward {

struct Judgement {
  double scent_per_min = 0.6;         ///< Hazard a minute at relative exposure 1, deer present.
  double scent_exposure_cap = 3;      ///< Relative exposure beyond which more scent adds nothing.
  double sight_per_min = 0.5;         ///< At full sight, full light, a walker close by.
  double sight_distance_m = 60;       ///< Where the chance of being picked out has halved.
  double sound_per_min = 0.4;         ///< Close by, in dry leaves, in still air.
  double sound_distance_m = 40;       ///< e-folding distance.
  double sound_wind_mps = 4;          ///< Wind that masks all but 1/e of it.
  double ground_scent_per_min = 0.3;  ///< While walking on a deer trail that deer use.
  double walker_height_m = 1.2;       ///< What a deer sees move.
  double deer_eye_m = 1.0;
  double nose_m = 1.0;
  double sitter_above_platform_m = 1.2;  ///< Eye, and where scent leaves.
  double timber_sd_deg = 25;             ///< Least spread of direction below the canopy.
  double timber_slope_air = 0.5;         ///< Share of slope air that flows under a canopy.
  double default_leaf_on_per_m = 0.06;   ///< Canopy without a cover patch.
  double default_leaf_off_per_m = 0.03;
  double barrier_density_per_m = 0.5;
  double band_factor = 2.5;  ///< Hazard may be this much larger or smaller.
  std::array<double, kTradeCount> trade_weight_s = {
      0, 900, 3600};  ///< Detour that one unit of hazard is worth.
  friend bool operator==(const Judgement&, const Judgement&) = default;
};

struct JudgementRow {
  const char* name;
  double value;
  const char* unit;
  const char* source;
};
/// The same constants as rows for people.
std::vector<JudgementRow> judgement_rows(const Judgement& j);

/// Walking slowness and noise by cover (1 = open woods pace / dry leaves); common practice, no
/// source.
/// Attenuation index of the wind below the top of a cover (air_field.h, surface_profile).
/// Oak-gum 2.68, spruce 2.74, corn 1.97 (Cionco 1978, from memory); leaf-off hardwood 1 to 1.5 and
/// the rest common practice, no source.
double attenuation_of(CoverType type, bool leaf_on);
double slowness_of(CoverType type);
double noise_of(CoverType type, bool leaf_on);

}  // namespace leeward
