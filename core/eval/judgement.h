// Every judgement constant of the exposure model, in one table: value, unit, source. None of them
// is a measurement of deer; they order ways and stands, they do not predict.
#pragma once

#include "core/model/property.h"

#include <array>
#include <string>
#include <vector>

namespace leeward {

struct Judgement {
  double scent_per_min = 0.6;        ///< Hazard a minute at relative exposure 1, deer present.
  double scent_exposure_cap = 3;     ///< Relative exposure beyond which more scent adds nothing.
  double sight_per_min = 0.5;        ///< At full sight, full light, a walker close by.
  double sight_distance_m = 60;      ///< Where the chance of being picked out has halved.
  double night_sight = 0.25;         ///< Of a deer's sight by day, on a dark night.
  double sitter_sight_share = 0.05;  ///< Of a walker's: somebody who sits still up a tree.
  /// Of the minutes of a sit that tell anew: the same air over the same deer for an hour is not
  /// sixty chances.
  double sit_share = 0.25;
  double sound_per_min = 0.4;    ///< Close by, in dry leaves, in still air.
  double sound_distance_m = 40;  ///< e-folding distance.
  double sound_wind_mps = 4;     ///< Wind that masks all but 1/e of it.
  /// A metre walked on a deer trail, a deer that is on it for an hour of what remains of the sit.
  double ground_scent_per_m = 0.01;
  double ground_scent_h = 4;     ///< How long it lasts.
  double creek_hides = 0.05;     ///< Sight and sound left of a walker in a bed below the land.
  double creek_depth_m = 1.5;    ///< Depth of bed that hides him so.
  double walker_height_m = 1.2;  ///< What a deer sees move.
  double deer_eye_m = 1.0;
  double nose_m = 1.0;
  double sitter_above_platform_m = 1.2;  ///< Eye, and where scent leaves.
  double timber_sd_deg = 25;             ///< Least spread of direction below the canopy.
  double timber_slope_air = 0.5;         ///< Share of slope air that flows under a canopy.
  double default_leaf_on_per_m = 0.06;   ///< Canopy without a cover patch.
  double default_leaf_off_per_m = 0.03;
  double barrier_density_per_m = 0.5;
  double band_factor = 2.5;      ///< Hazard may be this much larger or smaller.
  double balanced_s = 900;       ///< Detour that one unit of hazard is worth, seconds.
  double careful_s = 3600;       ///< The same, careful.
  double wading_slowness = 1.6;  ///< Times as slow as open woods.
  double rest_days = 4;          ///< After which two thirds of the harm of an entry are gone.
  double rest_least = 0.3;       ///< What an entry today leaves of a stand's worth.
  double ride_per_min = 0.02;    ///< Hazard of a vehicle where vehicles are routine.
  double ride_mps = 3;           ///< Its pace along paths and roads.
  double ride_detour = 1.3;      ///< Length of its way over the straight line.
  double usual_way =
      0.8;  ///< Of the deer between beds and food: to beds by morning, to food after.
  /// Times as hard for a deer on its way as level woods: open ground, water, slopes over 0.4.
  double deer_open = 2, deer_water = 10, deer_steep = 3;
  /// By CoverType: attenuation index of the wind below its top (air_field.h, surface_profile),
  /// walking slowness (1 = open ground) and noise of a step (1 = dry leaves).
  std::array<double, kCoverTypes> attenuation_leaf_on, attenuation_leaf_off, slowness,
      noise_leaf_on, noise_leaf_off;

  Judgement();
  double attenuation(CoverType type, bool leaf_on) const {
    return (leaf_on ? attenuation_leaf_on : attenuation_leaf_off)[static_cast<size_t>(type)];
  }
  double noise(CoverType type, bool leaf_on) const {
    return (leaf_on ? noise_leaf_on : noise_leaf_off)[static_cast<size_t>(type)];
  }
  double slowness_of(CoverType type) const { return slowness[static_cast<size_t>(type)]; }
  double trade_weight_s(Trade trade) const {
    return trade == Trade::quick ? 0 : trade == Trade::balanced ? balanced_s : careful_s;
  }
  friend bool operator==(const Judgement&, const Judgement&) = default;
};

struct JudgementRow {
  std::string key;    ///< For files and settings: "scent_per_min", "slowness.hinge cut".
  std::string words;  ///< For people.
  double* value = nullptr;
  const char* unit = "";
  const char* source = "";
};
/// The constants of `j`, each once, for reading and for setting.
std::vector<JudgementRow> judgement_rows(Judgement& j);

/// The usual constants with the user's own in place of some.
Judgement judgement_of(const Settings& settings);

}  // namespace leeward
