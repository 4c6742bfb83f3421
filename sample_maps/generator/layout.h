// The demo's layout: every kind of feature, weapons and settings, as edits on an empty document.
#pragma once

#include "core/model/edit.h"

namespace leeward::demo {

/// Features in the demo's own story; reproducible uids.
std::vector<Feature> make_features();
std::vector<Weapon> make_weapons();
std::vector<Visit> make_visits();
Settings make_settings();
/// Seven days of hourly wind as CSV in the documented columns, from local midnight of 12 November
/// 2026.
std::string make_forecast_csv();

}  // namespace leeward::demo
