#include "core/compute/moon.h"

#include <algorithm>
#include <cmath>

namespace leeward::compute {
namespace {

constexpr double kSynodicDays = 29.530588;
constexpr double kEarthRadiusKm = 6378.14;
constexpr int kStepS = 600;

double sin_deg(double d) { return std::sin(d * kRadPerDeg); }
double cos_deg(double d) { return std::cos(d * kRadPerDeg); }

double julian_day(Instant at) {
  return static_cast<double>(at.time_since_epoch().count()) / 86400.0 + 2440587.5;
}
double centuries(double jd) { return (jd - 2451545.0) / 36525.0; }

/// Degrees, not wrapped.
struct Arguments {
  double mean_longitude, elongation, sun_anomaly, moon_anomaly, node_distance;
  explicit Arguments(double t)
      : mean_longitude(218.3164477 + 481267.88123421 * t - 0.0015786 * t * t),
        elongation(297.8501921 + 445267.1114034 * t - 0.0018819 * t * t),
        sun_anomaly(357.5291092 + 35999.0502909 * t - 0.0001536 * t * t),
        moon_anomaly(134.9633964 + 477198.8675055 * t + 0.0087414 * t * t),
        node_distance(93.2720950 + 483202.0175233 * t - 0.0036539 * t * t) {}
};

/// Multiples of D, M, M', F; 1e-6 degrees of longitude (sine), metres of distance (cosine).
struct LongTerm {
  int d, m, mp, f;
  double longitude, distance;
};
constexpr LongTerm kLong[] = {
    {0, 0, 1, 0, 6288774, -20905355}, {2, 0, -1, 0, 1274027, -3699111},
    {2, 0, 0, 0, 658314, -2955968},   {0, 0, 2, 0, 213618, -569925},
    {0, 1, 0, 0, -185116, 48888},     {0, 0, 0, 2, -114332, -3149},
    {2, 0, -2, 0, 58793, 246158},     {2, -1, -1, 0, 57066, -152138},
    {2, 0, 1, 0, 53322, -170733},     {2, -1, 0, 0, 45758, -204586},
    {0, 1, -1, 0, -40923, -129620},   {1, 0, 0, 0, -34720, 108743},
    {0, 1, 1, 0, -30383, 104755},     {2, 0, 0, -2, 15327, 10321},
    {0, 0, 1, 2, -12528, 0},          {0, 0, 1, -2, 10980, 79661},
    {4, 0, -1, 0, 10675, -34782},     {0, 0, 3, 0, 10034, -23210},
    {4, 0, -2, 0, 8548, -21636},      {2, 1, -1, 0, -7888, 24208},
    {2, 1, 0, 0, -6766, 30824},       {1, 0, -1, 0, -5163, -8379},
    {1, 1, 0, 0, 4987, -16675},       {2, -1, 1, 0, 4036, -12831},
    {2, 0, 2, 0, 3994, -10445},       {4, 0, 0, 0, 3861, -11650},
    {2, 0, -3, 0, 3665, 14403},
};
struct LatitudeTerm {
  int d, m, mp, f;
  double latitude;
};
constexpr LatitudeTerm kLatitude[] = {
    {0, 0, 0, 1, 5128122}, {0, 0, 1, 1, 280602},  {0, 0, 1, -1, 277693}, {2, 0, 0, -1, 173237},
    {2, 0, -1, 1, 55413},  {2, 0, -1, -1, 46271}, {2, 0, 0, 1, 32573},   {0, 0, 2, 1, 17198},
    {2, 0, 1, -1, 9266},   {0, 0, 2, -1, 8822},   {2, -1, 0, -1, 8216},  {2, 0, -2, -1, 4324},
    {2, 0, 1, 1, 4200},    {2, 1, 0, -1, -3359},
};

/// Terms with the sun's anomaly shrink with the eccentricity of the Earth's orbit.
double eccentricity_factor(int m, double t) {
  return m == 0 ? 1.0 : 1 - 0.002516 * t - 0.0000074 * t * t;
}

/// Geocentric altitude of the centre less the altitude at which the upper limb is on the horizon.
double above_horizon_deg(Instant at, LonLat place) {
  const double jd = julian_day(at);
  const MoonPosition moon = moon_position(jd);
  const double t = centuries(jd);
  const double sidereal =
      280.46061837 + 360.98564736629 * (jd - 2451545.0) + 0.000387933 * t * t + place.lon;
  const double hour_angle = wrap_360(sidereal) - moon.right_ascension_deg;
  const double sine = sin_deg(place.lat) * sin_deg(moon.declination_deg) +
                      cos_deg(place.lat) * cos_deg(moon.declination_deg) * cos_deg(hour_angle);
  const double altitude = std::asin(std::clamp(sine, -1.0, 1.0)) * kDegPerRad;
  const double parallax = std::asin(kEarthRadiusKm / moon.distance_km) * kDegPerRad;
  return altitude - (0.7275 * parallax - 34.0 / 60);
}

}  // namespace

MoonPosition moon_position(double jd) {
  const double t = centuries(jd);
  const Arguments a(t);
  const auto argument = [&](const auto& term) {
    return term.d * a.elongation + term.m * a.sun_anomaly + term.mp * a.moon_anomaly +
           term.f * a.node_distance;
  };
  double longitude = 0, distance = 0, latitude = 0;
  for (const LongTerm& term : kLong) {
    const double e = eccentricity_factor(term.m, t), angle = argument(term);
    longitude += term.longitude * e * sin_deg(angle);
    distance += term.distance * e * cos_deg(angle);
  }
  for (const LatitudeTerm& term : kLatitude)
    latitude += term.latitude * eccentricity_factor(term.m, t) * sin_deg(argument(term));
  // Venus and the flattening of the Earth.
  longitude +=
      3958 * sin_deg(119.75 + 131.849 * t) + 1962 * sin_deg(a.mean_longitude - a.node_distance);
  latitude -= 2235 * sin_deg(a.mean_longitude);
  MoonPosition out;
  out.longitude_deg = wrap_360(a.mean_longitude + longitude * 1e-6);
  out.latitude_deg = latitude * 1e-6;
  out.distance_km = 385000.56 + distance * 1e-3;
  const double tilt = 23.4392911 - 0.0130042 * t;
  const double sl = sin_deg(out.longitude_deg), cl = cos_deg(out.longitude_deg);
  const double sb = sin_deg(out.latitude_deg), cb = cos_deg(out.latitude_deg);
  out.right_ascension_deg =
      wrap_360(std::atan2(sl * cb * cos_deg(tilt) - sb * sin_deg(tilt), cl * cb) * kDegPerRad);
  out.declination_deg = std::asin(sb * cos_deg(tilt) + cb * sin_deg(tilt) * sl) * kDegPerRad;
  return out;
}

MoonPhase moon_phase(Instant at) {
  const Arguments a(centuries(julian_day(at)));
  const double d = a.elongation, m = a.sun_anomaly, mp = a.moon_anomaly;
  const double phase_angle = 180 - d - 6.289 * sin_deg(mp) + 2.100 * sin_deg(m) -
                             1.274 * sin_deg(2 * d - mp) - 0.658 * sin_deg(2 * d) -
                             0.214 * sin_deg(2 * mp) - 0.110 * sin_deg(d);
  MoonPhase out;
  out.illuminated = (1 + cos_deg(phase_angle)) / 2;
  out.age_days = wrap_360(d) / 360 * kSynodicDays;
  out.waxing = sin_deg(phase_angle) > 0;
  return out;
}

MoonTimes moon_times(Instant start, Instant end, LonLat place) {
  MoonTimes out;
  bool up = above_horizon_deg(start, place) > 0;
  out.up_at_start = up;
  for (Instant t = start; t < end;) {
    const Instant next = std::min(end, t + std::chrono::seconds{kStepS});
    const bool up_next = above_horizon_deg(next, place) > 0;
    std::optional<Instant>& event = up_next ? out.rise : out.set;
    if (up_next != up && !event) {
      Instant before = t, after = next;
      while (after - before > std::chrono::seconds{1}) {
        const Instant middle = before + (after - before) / 2;
        ((above_horizon_deg(middle, place) > 0) == up ? before : after) = middle;
      }
      event = after;
    }
    up = up_next, t = next;
  }
  return out;
}

}  // namespace leeward::compute
