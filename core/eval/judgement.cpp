#include "core/eval/judgement.h"

#include <algorithm>

namespace leeward {
namespace {

constexpr const char* kPractice = "common practice, no source";

constexpr size_t at(CoverType type) { return static_cast<size_t>(type); }

}  // namespace

// Attenuation: oak-gum 2.68, spruce 2.74, corn 1.97 (Cionco 1978, from memory); leaf-off hardwood 1
// to 1.5 and the rest common practice, no source; so are slowness and noise.
Judgement::Judgement() {
  struct Row {
    CoverType type;
    double attenuation_on, attenuation_off, slow, noise_on, noise_off;
  };
  constexpr Row kRows[] = {
      {CoverType::hardwood, 2.68, 1.3, 1.2, 0.7, 1.0},
      {CoverType::conifer, 2.74, 2.74, 1.3, 0.6, 0.6},
      {CoverType::mixed, 2.7, 2.0, 1.2, 0.7, 1.0},
      {CoverType::brush, 2.5, 1.8, 2.0, 1.1, 1.1},
      {CoverType::tall_grass, 1.5, 1.5, 1.5, 0.7, 0.7},
      {CoverType::standing_crop, 1.97, 1.97, 1.6, 1.2, 1.2},
      {CoverType::hinge_cut, 2.5, 1.8, 3.5, 1.4, 1.4},
      {CoverType::open, 0, 0, 1.0, 0.4, 0.4},
  };
  for (const Row& r : kRows) {
    attenuation_leaf_on[at(r.type)] = r.attenuation_on;
    attenuation_leaf_off[at(r.type)] = r.attenuation_off;
    slowness[at(r.type)] = r.slow;
    noise_leaf_on[at(r.type)] = r.noise_on;
    noise_leaf_off[at(r.type)] = r.noise_off;
  }
}

std::vector<JudgementRow> judgement_rows(Judgement& j) {
  std::vector<JudgementRow> out = {
      {"scent_per_min", "scent hazard", &j.scent_per_min, "1/min at exposure 1", kPractice},
      {"scent_exposure_cap", "scent exposure cap", &j.scent_exposure_cap, "relative", kPractice},
      {"sight_per_min", "sight hazard", &j.sight_per_min, "1/min", kPractice},
      {"sight_distance_m", "sight half distance", &j.sight_distance_m, "m", kPractice},
      {"night_sight", "sight left at night", &j.night_sight, "share", kPractice},
      {"sitter_sight_share", "sitter who keeps still, of a walker", &j.sitter_sight_share, "share",
       kPractice},
      {"sit_share", "minutes of a sit that tell anew", &j.sit_share, "share", kPractice},
      {"sound_per_min", "sound hazard", &j.sound_per_min, "1/min", kPractice},
      {"sound_distance_m", "sound distance", &j.sound_distance_m, "m", kPractice},
      {"sound_wind_mps", "sound masked by wind", &j.sound_wind_mps, "m/s", kPractice},
      {"ground_scent_per_m", "ground scent on a trail", &j.ground_scent_per_m, "1/m and deer-hour",
       kPractice},
      {"ground_scent_h", "ground scent lasts", &j.ground_scent_h, "h", kPractice},
      {"creek_hides", "seen and heard in a deep creek bed", &j.creek_hides, "share", kPractice},
      {"creek_depth_m", "creek bed that hides", &j.creek_depth_m, "m", kPractice},
      {"walker_height_m", "walker's height", &j.walker_height_m, "m", kPractice},
      {"deer_eye_m", "deer's eye", &j.deer_eye_m, "m", kPractice},
      {"nose_m", "deer's nose", &j.nose_m, "m", kPractice},
      {"sitter_above_platform_m", "sitter above platform", &j.sitter_above_platform_m, "m",
       kPractice},
      {"timber_sd_deg", "direction spread in timber", &j.timber_sd_deg, "deg",
       "below canopy at least 25-40 deg, from memory"},
      {"timber_slope_air", "slope air under a canopy", &j.timber_slope_air, "share",
       "drainage of 0.1-0.5 m/s under closed canopy, from memory"},
      {"default_leaf_on_per_m", "canopy density, leaves on", &j.default_leaf_on_per_m, "1/m",
       kPractice},
      {"default_leaf_off_per_m", "canopy density, leaves off", &j.default_leaf_off_per_m, "1/m",
       kPractice},
      {"barrier_density_per_m", "barrier density", &j.barrier_density_per_m, "1/m", kPractice},
      {"band_factor", "band of the hazard", &j.band_factor, "factor",
       "factor 2-3 of plume models on open ground (Prairie Grass)"},
      {"balanced_s", "detour, balanced", &j.balanced_s, "s per unit hazard", kPractice},
      {"careful_s", "detour, careful", &j.careful_s, "s per unit hazard", kPractice},
      {"wading_slowness", "wading", &j.wading_slowness, "times as slow", kPractice},
      {"rest_days", "rest after an entry", &j.rest_days, "days",
       "does avoided stands in the days after a sit (Sullivan 2018); the number is common "
       "practice, "
       "no source"},
      {"rest_least", "worth on the day of an entry", &j.rest_least, "share", kPractice},
      {"ride_per_min", "pick-up by vehicle", &j.ride_per_min, "1/min", kPractice},
      {"ride_mps", "pick-up's pace", &j.ride_mps, "m/s", kPractice},
      {"ride_detour", "way of a pick-up over the straight line", &j.ride_detour, "factor",
       kPractice},
      {"usual_way", "deer that walk to beds by morning and to food after midday", &j.usual_way,
       "share", kPractice},
      {"deer_open", "deer on open ground", &j.deer_open, "times woods", kPractice},
      {"deer_water", "deer through water", &j.deer_water, "times woods", kPractice},
      {"deer_steep", "deer on steep ground", &j.deer_steep, "times woods", kPractice},
  };
  const auto table = [&](const char* key, const char* words,
                         std::array<double, kCoverTypes>& values, const char* unit,
                         const char* published) {
    for (const auto& [type, name] : EnumWords<CoverType>::words) {
      const bool measured = type == CoverType::hardwood || type == CoverType::conifer ||
                            type == CoverType::standing_crop;
      out.push_back({std::string(key) + "." + name, std::string(words) + ", " + name,
                     &values[at(type)], unit, measured && *published ? published : kPractice});
    }
  };
  table("attenuation_on", "wind below the top, leaves on", j.attenuation_leaf_on, "-",
        "oak-gum 2.68, spruce 2.74, corn 1.97: Cionco 1978, from memory");
  table("attenuation_off", "wind below the top, leaves off", j.attenuation_leaf_off, "-", "");
  table("slowness", "walking, times as slow", j.slowness, "-", "");
  table("noise_on", "noise of a step, leaves on", j.noise_leaf_on, "dry leaves = 1", "");
  table("noise_off", "noise of a step, leaves off", j.noise_leaf_off, "dry leaves = 1", "");
  return out;
}

Judgement judgement_of(const Settings& settings) {
  Judgement j;
  if (settings.constants.empty()) return j;
  const std::vector<JudgementRow> rows = judgement_rows(j);
  for (const NamedValue& own : settings.constants) {
    const auto row = std::find_if(rows.begin(), rows.end(),
                                  [&](const JudgementRow& r) { return r.key == own.name; });
    if (row != rows.end()) *row->value = own.value;
  }
  return j;
}

}  // namespace leeward
