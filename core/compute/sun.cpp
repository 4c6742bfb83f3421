#include "core/compute/sun.h"

#include <algorithm>
#include <cmath>

namespace leeward::compute {
namespace {

double sin_deg(double d) { return std::sin(d * kRadPerDeg); }
double cos_deg(double d) { return std::cos(d * kRadPerDeg); }
double tan_deg(double d) { return std::tan(d * kRadPerDeg); }

double julian_day(double unix_seconds) { return unix_seconds / 86400.0 + 2440587.5; }
double unix_of(Instant at) { return static_cast<double>(at.time_since_epoch().count()); }
Instant instant_of(double unix_seconds) {
  return Instant{std::chrono::seconds{std::llround(unix_seconds)}};
}

}  // namespace

SunTerms sun_terms(double jd) {
  const double t = (jd - 2451545.0) / 36525.0;
  const double l0 = 280.46646 + 36000.76983 * t + 0.0003032 * t * t;
  const double m = 357.52911 + 35999.05029 * t - 0.0001537 * t * t;
  const double e = 0.016708634 - 0.000042037 * t - 1.267e-7 * t * t;
  const double c = (1.914602 - 0.004817 * t - 1.4e-5 * t * t) * sin_deg(m) +
                   (0.019993 - 0.000101 * t) * sin_deg(2 * m) + 0.000289 * sin_deg(3 * m);
  const double omega = 125.04 - 1934.136 * t;
  const double lambda = l0 + c - 0.00569 - 0.00478 * sin_deg(omega);
  const double eps0 =
      23 + (26 + (21.448 - 46.815 * t - 0.00059 * t * t + 0.001813 * t * t * t) / 60) / 60;
  const double eps = eps0 + 0.00256 * cos_deg(omega);
  const double y = tan_deg(eps / 2) * tan_deg(eps / 2);
  const double eot =
      4 * kDegPerRad *
      (y * sin_deg(2 * l0) - 2 * e * sin_deg(m) + 4 * e * y * sin_deg(m) * cos_deg(2 * l0) -
       0.5 * y * y * sin_deg(4 * l0) - 1.25 * e * e * sin_deg(2 * m));
  SunTerms out{};
  out.apparent_longitude_deg = wrap_360(lambda);
  out.declination_deg = std::asin(sin_deg(eps) * sin_deg(lambda)) * kDegPerRad;
  out.right_ascension_deg =
      wrap_360(std::atan2(cos_deg(eps) * sin_deg(lambda), cos_deg(lambda)) * kDegPerRad);
  out.equation_of_time_min = eot;
  return out;
}

SunPosition sun_position(Instant at, LonLat place) {
  const double now = unix_of(at);
  const SunTerms s = sun_terms(julian_day(now));
  const double utc_min = std::fmod(now, 86400.0) / 60.0;
  const double true_solar_min = utc_min + s.equation_of_time_min + 4 * place.lon;
  const double hour_angle = wrap_180(true_solar_min / 4 - 180);
  const double sin_alt = sin_deg(place.lat) * sin_deg(s.declination_deg) +
                         cos_deg(place.lat) * cos_deg(s.declination_deg) * cos_deg(hour_angle);
  SunPosition out;
  out.altitude_deg = std::asin(std::clamp(sin_alt, -1.0, 1.0)) * kDegPerRad;
  out.azimuth_deg = wrap_360(
      std::atan2(sin_deg(hour_angle), cos_deg(hour_angle) * sin_deg(place.lat) -
                                          tan_deg(s.declination_deg) * cos_deg(place.lat)) *
          kDegPerRad +
      180);
  return out;
}

double refraction_deg(double e) {
  double arcsec = 0;
  if (e > 85) {
    arcsec = 0;
  } else if (e > 5) {
    const double t = tan_deg(e);
    arcsec = 58.1 / t - 0.07 / (t * t * t) + 0.000086 / std::pow(t, 5);
  } else if (e > -0.575) {
    arcsec = 1735 - 518.2 * e + 103.4 * e * e - 12.79 * e * e * e + 0.711 * e * e * e * e;
  } else {
    arcsec = -20.774 / tan_deg(e);
  }
  return arcsec / 3600;
}

Instant solar_noon(Instant at, LonLat place) {
  double t = unix_of(at);
  for (int i = 0; i < 3; ++i) {
    const SunTerms s = sun_terms(julian_day(t));
    const double utc_min = std::fmod(t, 86400.0) / 60.0;
    double off_min = utc_min + s.equation_of_time_min + 4 * place.lon - 720;  // past noon
    off_min = std::fmod(off_min + 7 * 720.0, 1440.0) - 720.0;
    t -= off_min * 60;
  }
  return instant_of(t);
}

std::optional<Instant> sun_event(Instant near_noon, LonLat place, double zenith_deg, bool rising) {
  const double noon = unix_of(solar_noon(near_noon, place));
  double t = noon;
  for (int i = 0; i < 5; ++i) {  // iterate declination and equation of time at the event
    const SunTerms s = sun_terms(julian_day(t));
    const double cos_h = cos_deg(zenith_deg) / (cos_deg(place.lat) * cos_deg(s.declination_deg)) -
                         tan_deg(place.lat) * tan_deg(s.declination_deg);
    if (!(std::abs(cos_h) <= 1)) return std::nullopt;
    const double h_min = std::acos(cos_h) * kDegPerRad * 4;
    const SunTerms at_noon = sun_terms(julian_day(noon));
    const double drift_min = s.equation_of_time_min - at_noon.equation_of_time_min;
    t = noon + (rising ? -h_min : h_min) * 60 - drift_min * 60;
  }
  return instant_of(t);
}

}  // namespace leeward::compute
