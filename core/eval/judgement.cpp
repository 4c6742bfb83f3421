#include "core/eval/judgement.h"

namespace leeward {

std::vector<JudgementRow> judgement_rows(const Judgement& j) {
  static constexpr const char* kPractice = "common practice, no source";
  return {
      {"scent hazard", j.scent_per_min, "1/min at exposure 1", kPractice},
      {"scent exposure cap", j.scent_exposure_cap, "relative", kPractice},
      {"sight hazard", j.sight_per_min, "1/min", kPractice},
      {"sight half distance", j.sight_distance_m, "m", kPractice},
      {"sound hazard", j.sound_per_min, "1/min", kPractice},
      {"sound distance", j.sound_distance_m, "m", kPractice},
      {"sound masked by wind", j.sound_wind_mps, "m/s", kPractice},
      {"ground scent on a trail", j.ground_scent_per_min, "1/min", kPractice},
      {"walker's height", j.walker_height_m, "m", kPractice},
      {"deer's eye", j.deer_eye_m, "m", kPractice},
      {"deer's nose", j.nose_m, "m", kPractice},
      {"sitter above platform", j.sitter_above_platform_m, "m", kPractice},
      {"direction spread in timber", j.timber_sd_deg, "deg",
       "below canopy at least 25-40 deg, from memory"},
      {"slope air under a canopy", j.timber_slope_air, "share",
       "drainage of 0.1-0.5 m/s under closed canopy, from memory"},
      {"attenuation in hardwood, leaves on", attenuation_of(CoverType::hardwood, true), "-",
       "oak-gum 2.68, Cionco 1978, from memory"},
      {"attenuation in hardwood, leaves off", attenuation_of(CoverType::hardwood, false), "-",
       kPractice},
      {"attenuation in conifers", attenuation_of(CoverType::conifer, true), "-",
       "spruce 2.74, Cionco 1978, from memory"},
      {"attenuation in a standing crop", attenuation_of(CoverType::standing_crop, true), "-",
       "corn 1.97, Cionco 1978, from memory"},
      {"canopy density, leaves on", j.default_leaf_on_per_m, "1/m", kPractice},
      {"canopy density, leaves off", j.default_leaf_off_per_m, "1/m", kPractice},
      {"barrier density", j.barrier_density_per_m, "1/m", kPractice},
      {"band of the hazard", j.band_factor, "factor",
       "factor 2-3 of plume models on open ground (Prairie Grass)"},
      {"detour, balanced", j.trade_weight_s[1], "s per unit hazard", kPractice},
      {"detour, careful", j.trade_weight_s[2], "s per unit hazard", kPractice},
  };
}

double attenuation_of(CoverType type, bool leaf_on) {
  switch (type) {
    case CoverType::open:
      return 0;
    case CoverType::conifer:
      return 2.74;
    case CoverType::hardwood:
      return leaf_on ? 2.68 : 1.3;
    case CoverType::mixed:
      return leaf_on ? 2.7 : 2.0;
    case CoverType::standing_crop:
      return 1.97;
    case CoverType::brush:
    case CoverType::hinge_cut:
      return leaf_on ? 2.5 : 1.8;
    case CoverType::tall_grass:
      return 1.5;
  }
  return 1.3;
}

double slowness_of(CoverType type) {
  switch (type) {
    case CoverType::open:
      return 1.0;
    case CoverType::hardwood:
    case CoverType::mixed:
      return 1.2;
    case CoverType::conifer:
      return 1.3;
    case CoverType::tall_grass:
      return 1.5;
    case CoverType::standing_crop:
      return 1.6;
    case CoverType::brush:
      return 2.0;
    case CoverType::hinge_cut:
      return 3.5;
  }
  return 1.2;
}

double noise_of(CoverType type, bool leaf_on) {
  switch (type) {
    case CoverType::open:
      return 0.4;
    case CoverType::conifer:
      return 0.6;
    case CoverType::hardwood:
    case CoverType::mixed:
      return leaf_on ? 0.7 : 1.0;
    case CoverType::tall_grass:
      return 0.7;
    case CoverType::standing_crop:
      return 1.2;
    case CoverType::brush:
      return 1.1;
    case CoverType::hinge_cut:
      return 1.4;
  }
  return 1.0;
}

}  // namespace leeward
