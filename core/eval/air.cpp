#include "core/eval/air.h"

#include "core/compute/plume.h"
#include "core/compute/sun.h"
#include "core/eval/explain.h"

#include <algorithm>
#include <cmath>

namespace leeward {
namespace {

using std::chrono::minutes;

Instant floor_minute(Instant t) { return std::chrono::floor<minutes>(t); }
Instant ceil_minute(Instant t) { return std::chrono::ceil<minutes>(t); }

// A stated range of speed, and gusts above the mean, widen the direction as well: a quarter of the
// relative range in radians, at most half a radian. Common practice, no source.
double range_sd_deg(const WindHour& h) {
  if (!h.speed_mps || *h.speed_mps <= 0) return 0;
  double relative = h.speed_range_mps ? *h.speed_range_mps / *h.speed_mps : 0;
  if (h.gust_mps) relative = std::max(relative, *h.gust_mps / *h.speed_mps - 1);
  return std::clamp(0.25 * relative, 0.0, 0.5) * kDegPerRad;
}

bool has_direction(const WindHour& h) {
  return h.from_deg && !(h.speed_mps && *h.speed_mps < kCalmBelow_mps);
}

void set_wind(AirNow& air, double from_deg, double convergence_deg) {
  air.from = WindFrom(Bearing::degrees(from_deg));
  air.from_true_deg = wrap_360(from_deg + convergence_deg);
}

void take_hand_wind(AirNow& air, const HandWind& wind, double convergence_deg) {
  air.known = true;
  air.source = "by hand";
  air.speed_10m_mps = wind.speed_mps;
  air.cloud = wind.cloud;
  set_wind(air, wind.from_deg, convergence_deg);
}

void take_cloud(AirNow& air, const std::optional<double>& cloud) {
  air.cloud = cloud.value_or(kAssumedCloud);
  if (!cloud)
    air.doubts.emplace_back(
        "Cloud is not known for this hour: a sky half covered is assumed for the stability.");
}

void take_gust(AirNow& air, const WindHour& hour) {
  if (!hour.gust_mps) return;
  // What a forecast rounds differently is no contradiction: 0.3 m/s is half a knot and a bit.
  if (hour.speed_mps && *hour.gust_mps < *hour.speed_mps - 0.3) {
    air.doubts.emplace_back(
        "The gusts of this hour are given as less than its mean wind and are not used.");
    return;
  }
  air.gust_mps = hour.gust_mps;
}

void take_hour(AirNow& air, const Document& document, const WindHour& hour,
               double convergence_deg) {
  air.source = "forecast";
  for (const auto& f : *document.forecasts) {
    if (f->uid != hour.forecast) continue;
    air.source = f->source;
    if (f->issued && hour.at - *f->issued >= kFarAhead)
      air.doubts.push_back("This hour was forecast " +
                           std::to_string((hour.at - *f->issued) / std::chrono::hours(24)) +
                           " days ahead: look at a newer forecast before you go.");
  }
  take_cloud(air, hour.cloud);
  take_gust(air, hour);
  if (!hour.speed_mps) {
    air.source += ", speed not given";
    air.doubts.emplace_back("The forecast gives no wind speed for this hour.");
    return;
  }
  air.speed_10m_mps = *hour.speed_mps;
  const bool calm = *hour.speed_mps < kCalmBelow_mps;
  air.known = hour.from_deg.has_value() || calm;
  if (hour.from_deg) set_wind(air, *hour.from_deg, convergence_deg);
  if (!air.known) {
    air.source += ", direction not given";
    air.doubts.emplace_back(
        "The forecast gives no wind direction for this hour (unknown or variable).");
  } else if (!calm) {
    air.extra_sd_deg = std::hypot(range_sd_deg(hour), turn_sd_deg(document, hour));
  }
}

void take_nothing(AirNow& air, const Document& document, Instant at) {
  take_cloud(air, std::nullopt);
  if (document.wind_hours->empty()) {
    air.source = "no wind entered";
    return;
  }
  air.source = "the forecast does not cover this hour";
  const std::string& zone = document.settings->time_zone;
  std::string before, after;
  for (const auto& h : *document.wind_hours) {
    const std::string when = date_text(h->at, zone) + " " + clock_text(h->at, zone);
    if (h->at <= at) before = when;
    if (h->at > at && after.empty()) after = when;
  }
  std::string text = "The forecast does not cover this hour: ";
  if (!before.empty()) text += "the last hour before it is " + before;
  if (!before.empty() && !after.empty()) text += ", ";
  if (!after.empty()) text += "the next hour after it is " + after;
  air.doubts.push_back(text + ".");
}

}  // namespace

SunDay sun_day_of(Instant at, LonLat place, const Settings& settings) {
  const CivilDay day = civil_day(at, settings.time_zone);
  const Instant noon = compute::solar_noon(day.start + (day.end - day.start) / 2, place);
  SunDay out;
  out.civil_dawn = compute::sun_event(noon, place, compute::kCivilZenithDeg, true);
  out.rise = compute::sun_event(noon, place, compute::kRiseSetZenithDeg, true);
  out.set = compute::sun_event(noon, place, compute::kRiseSetZenithDeg, false);
  out.civil_dusk = compute::sun_event(noon, place, compute::kCivilZenithDeg, false);
  // Rounded inward: a minute late in the morning, a minute early in the evening.
  if (out.rise && settings.legal_before_sunrise_min)
    out.legal_start = ceil_minute(*out.rise - minutes{*settings.legal_before_sunrise_min});
  if (out.set && settings.legal_after_sunset_min)
    out.legal_end = floor_minute(*out.set + minutes{*settings.legal_after_sunset_min});
  return out;
}

SunNow sun_now(Instant at, LonLat place) {
  const compute::SunPosition p = compute::sun_position(at, place);
  SunNow out;
  out.altitude_deg = p.altitude_deg;
  out.azimuth_deg = p.azimuth_deg;
  const bool morning = p.azimuth_deg < 180;
  out.phase = p.altitude_deg > -0.833 ? LightPhase::day
              : p.altitude_deg > -6   ? (morning ? LightPhase::dawn : LightPhase::dusk)
                                      : LightPhase::night;
  // From dark (-8 degrees) to full (2 degrees above the horizon), smoothly; common practice, no
  // source.
  const double t = std::clamp((p.altitude_deg + 8) / 10, 0.0, 1.0);
  out.light = 0.03 + 0.97 * t * t * (3 - 2 * t);
  return out;
}

Ref<WindHour> hour_at(const Document& document, Instant at) {
  Ref<WindHour> best;
  for (const auto& h : *document.wind_hours) {
    if (h->at > at) break;
    if (at < h->at + std::chrono::hours{1}) best = h;
  }
  return best;
}

double stability_index(double speed_10m_mps, double sun_altitude_deg, double cloud) {
  constexpr double kWindow_deg = 6, kStep_deg = 0.1;
  constexpr int kSteps = 60;  // to each side
  double sum = 0, weights = 0;
  for (int i = -kSteps; i <= kSteps; ++i) {
    const double weight = kWindow_deg - std::abs(i * kStep_deg);
    const double altitude_deg = std::clamp(sun_altitude_deg + i * kStep_deg, -90.0, 90.0);
    sum += weight * compute::turner_stability(speed_10m_mps, altitude_deg, cloud);
    weights += weight;
  }
  return sum / weights;
}

double turn_sd_deg(const Document& document, const WindHour& hour) {
  constexpr std::chrono::minutes kNear{65};
  if (!has_direction(hour)) return 0;
  Ref<WindHour> before, after;
  for (const auto& h : *document.wind_hours) {
    if (h->at < hour.at && hour.at - h->at <= kNear) before = h;
    if (h->at > hour.at && h->at - hour.at <= kNear && (!after || h->at == after->at)) after = h;
  }
  double squares = 0;
  int sides = 0;
  for (const auto& h : {before, after}) {
    if (!h || !has_direction(*h)) continue;
    const double half_deg = wrap_180(*h->from_deg - *hour.from_deg) / 2;
    squares += half_deg * half_deg / 3;  // an even sweep from 0 to half the turn
    ++sides;
  }
  return sides > 0 ? std::sqrt(squares / sides) : 0;
}

AirNow air_of(const Document& document, Instant at, const SunNow& sun, double convergence_deg) {
  AirNow air;
  const Settings& settings = *document.settings;
  if (settings.use_hand_wind) {
    take_hand_wind(air, settings.hand_wind, convergence_deg);
  } else if (const Ref<WindHour> hour = hour_at(document, at)) {
    take_hour(air, document, *hour, convergence_deg);
  } else {
    take_nothing(air, document, at);
  }
  const bool calm = air.known && air.speed_10m_mps < kCalmBelow_mps;
  if (calm) {
    air.doubts.emplace_back(
        "The wind is calm (below 0.5 m/s): no direction is used, and scent is spread to all "
        "sides.");
  }
  if (!air.known) {
    air.speed_10m_mps = std::max(air.speed_10m_mps, 1.0);
    air.doubts.emplace_back(
        "The wind is not known for this hour: scent is spread to all sides, in at least 1 m/s of "
        "wind at 10 m.");
  }
  air.speed_2m_mps = air.speed_10m_mps * compute::log_profile(2);
  air.stability_by_hand = settings.stability.has_value();
  air.stability_index = settings.stability
                            ? std::clamp(*settings.stability, 0, 5)
                            : stability_index(air.speed_10m_mps, sun.altitude_deg, air.cloud);
  air.stability = static_cast<Stability>(std::lround(air.stability_index));
  air.direction_sd_deg = air.known && !calm
                             ? compute::direction_sd_deg(air.speed_10m_mps, air.extra_sd_deg)
                             : kAnyDirectionSd_deg;
  return air;
}

bool leaf_on_at(Instant at, const std::string& time_zone) {
  const int month = to_civil(at, time_zone).month;
  return month >= 5 && month <= 10;
}

}  // namespace leeward
