// Fire, light and the moon as JSON.
#pragma once

#include "core/eval/results.h"

#include <nlohmann/json_fwd.hpp>

namespace leeward::batch {

/// By weapon: what is not entered, the closed arcs, who and what closes them, the ground behind.
nlohmann::json fire_json(const Document& document, const std::vector<WeaponFire>& fire);
/// Null where nothing is known of the line.
nlohmann::json line_json(const compute::LineOfFire& line);
nlohmann::json light_json(const Document& document, const StandLight& light);
nlohmann::json moon_json(const MoonDay& moon);

}  // namespace leeward::batch
