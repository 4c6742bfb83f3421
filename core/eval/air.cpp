#include "core/eval/air.h"

#include "core/compute/plume.h"
#include "core/compute/sun.h"

#include <algorithm>
#include <cmath>

namespace leeward {
namespace {

using std::chrono::minutes;

Instant floor_minute(Instant t) { return std::chrono::floor<minutes>(t); }
Instant ceil_minute(Instant t) { return std::chrono::ceil<minutes>(t); }

// A stated range of speed, and gusts above the mean, widen the direction as well: half the relative
// range as an angle. Common practice, no source.
double extra_sd_deg(const WindHour& h) {
  if (!h.speed_mps || *h.speed_mps <= 0) return 0;
  double relative = h.speed_range_mps ? *h.speed_range_mps / *h.speed_mps : 0;
  if (h.gust_mps) relative = std::max(relative, *h.gust_mps / *h.speed_mps - 1);
  return std::clamp(0.25 * relative, 0.0, 0.5) * kDegPerRad;
}

void set_wind(AirNow& air, double from_deg, double convergence_deg) {
  air.from = WindFrom(Bearing::degrees(from_deg));
  air.from_true_deg = wrap_360(from_deg + convergence_deg);
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

AirNow air_of(const Document& document, Instant at, const SunNow& sun, double convergence_deg) {
  AirNow air;
  double extra_deg = 0;
  bool direction_known = false;
  const Settings& settings = *document.settings;
  if (settings.use_hand_wind) {
    air.known = true;
    direction_known = true;
    air.source = "by hand";
    air.speed_10m_mps = settings.hand_wind.speed_mps;
    air.cloud = settings.hand_wind.cloud;
    set_wind(air, settings.hand_wind.from_deg, convergence_deg);
  } else if (const Ref<WindHour> h = hour_at(document, at)) {
    air.source = "forecast";
    for (const auto& f : *document.forecasts)
      if (f->uid == h->forecast) air.source = f->source;
    air.cloud = h->cloud.value_or(0.5);
    air.gust_mps = h->gust_mps;
    extra_deg = extra_sd_deg(*h);
    if (h->speed_mps) {
      air.speed_10m_mps = *h->speed_mps;
      direction_known = h->from_deg.has_value();
      air.known = direction_known || *h->speed_mps < 0.5;
      if (direction_known) set_wind(air, *h->from_deg, convergence_deg);
      if (!air.known) air.source += ", direction not given";
    } else {
      air.source += ", speed not given";
    }
  } else {
    air.source =
        document.wind_hours->empty() ? "no wind entered" : "the forecast does not cover this hour";
  }
  if (!air.known) air.speed_10m_mps = std::max(air.speed_10m_mps, 1.0);
  air.speed_2m_mps = air.speed_10m_mps * compute::log_profile(2);
  air.stability = static_cast<Stability>(
      compute::turner_stability(air.speed_10m_mps, sun.altitude_deg, air.cloud));
  air.direction_sd_deg =
      direction_known ? compute::direction_sd_deg(air.speed_10m_mps, extra_deg) : 104.0;
  return air;
}

bool leaf_on_at(Instant at, const std::string& time_zone) {
  const int month = to_civil(at, time_zone).month;
  return month >= 5 && month <= 10;
}

}  // namespace leeward
