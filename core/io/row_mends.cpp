#include "core/io/row_mends.h"

#include <cstdio>
#include <optional>

namespace leeward::io {

std::string mend(WindHour& hour) {
  std::string problem;
  const auto within = [&](const char* column, std::optional<double>& v, double low, double high) {
    if (!v || (*v >= low && *v <= high)) return;
    char text[80];
    std::snprintf(text, sizeof text, "%s %.6g does not lie between %g and %g", column, *v, low,
                  high);
    if (problem.empty()) problem = text;
    v.reset();
  };
  within("from_deg", hour.from_deg, 0, 360);
  within("speed_mps", hour.speed_mps, 0, 120);
  within("speed_range_mps", hour.speed_range_mps, 0, 120);
  within("gust_mps", hour.gust_mps, 0, 150);
  within("cloud", hour.cloud, 0, 1);
  within("temperature_c", hour.temperature_c, -95, 65);
  return problem;
}

void mend(Settings& s, std::vector<std::string>& notes) {
  const Settings usual;
  const auto within = [&](const char* what, auto& v, auto low, auto high, auto instead) {
    if (v >= low && v <= high) return;  // NaN does not
    char text[120];
    std::snprintf(text, sizeof text, "Settings: %s %.6g is not usable; %.6g stands in for it.",
                  what, static_cast<double>(v), static_cast<double>(instead));
    v = instead;
    notes.emplace_back(text);
  };
  if (s.stability && (*s.stability < 0 || *s.stability > 5)) {
    notes.push_back("Settings: stability " + std::to_string(*s.stability) +
                    " is none of 0 (A) to 5 (F); it is taken from wind, cloud and sun.");
    s.stability.reset();
  }
  within("the scent limit", s.scent_limit, 0.0, 100.0, usual.scent_limit);
  within("the pace of a deer", s.deer_pace_mps, 0.1, 20.0, usual.deer_pace_mps);
  within("the angle of glare", s.glare_within_deg, 0.0, 90.0, usual.glare_within_deg);
  within("the sit's length in minutes", s.sit_minutes, 10, 1440, usual.sit_minutes);
  within("the direction of the wind by hand", s.hand_wind.from_deg, 0.0, 360.0,
         usual.hand_wind.from_deg);
  within("the speed of the wind by hand", s.hand_wind.speed_mps, 0.0, 120.0,
         usual.hand_wind.speed_mps);
  within("the cloud by hand", s.hand_wind.cloud, 0.0, 1.0, usual.hand_wind.cloud);
}

}  // namespace leeward::io
