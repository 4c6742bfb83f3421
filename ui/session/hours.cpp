#include "ui/session/hours.h"

#include "core/eval/air.h"

namespace leeward::ui {

std::vector<HourTick> hourTicks(const CivilDay& day, const std::string& time_zone) {
  std::vector<HourTick> ticks;
  for (Instant at = day.start; at < day.end; at += std::chrono::hours{1}) {
    const CivilTime c = to_civil(at, time_zone);
    ticks.push_back({at, c.hour, c.repeated});
  }
  return ticks;
}

std::optional<WindHour> windAt(const Document& document, Instant at) {
  const Settings& s = *document.settings;
  if (s.use_hand_wind) {
    WindHour hour;
    hour.at = at;
    hour.from_deg = s.hand_wind.from_deg;
    hour.speed_mps = s.hand_wind.speed_mps;
    hour.cloud = s.hand_wind.cloud;
    return hour;
  }
  const Ref<WindHour> hour = hour_at(document, at);
  if (!hour) return std::nullopt;
  return *hour;
}

std::vector<Instant> plannedDays(const Document& document, Instant today) {
  const std::string& zone = document.settings->time_zone;
  std::vector<Instant> days;
  if (document.wind_hours->empty()) {
    Instant at = civil_day(today, zone).start;
    for (int i = 0; i < 7; ++i) {
      days.push_back(at);
      at = civil_day(at, zone).end;
    }
    return days;
  }
  for (const auto& hour : hours_to_come(document)) {
    if (!days.empty() && hour->at < civil_day(days.back(), zone).end) continue;
    days.push_back(civil_day(hour->at, zone).start);
  }
  return days;
}

Instant firstSit(const Document& document, Instant today) {
  const std::string& zone = document.settings->time_zone;
  const std::vector<Instant> days = plannedDays(document, today);
  const Instant day = days.empty() ? civil_day(today, zone).start : days.front();
  const CivilTime c = to_civil(day, zone);
  const auto at = from_civil(c.year, c.month, c.day, 15, 0, zone);
  return at ? *at : day + std::chrono::hours{15};
}

}  // namespace leeward::ui
