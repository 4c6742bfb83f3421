#include "core/compute/horizon_sun.h"

#include "core/base/parallel.h"
#include "core/compute/ground_walk.h"

#include <algorithm>

namespace leeward::compute {
namespace {

constexpr double kSunRadiusDeg = 16.0 / 60;
constexpr double kStepDeg = 360.0 / kHorizonAzimuths;

/// Highest rise over distance of one parabola of ground: at an end, or where the line from the eye
/// touches it. With z(d) = a + b d + c d^2 about the eye's level, z/d is stationary at
/// d = sqrt(a / c).
double steepest(const GroundPiece& p, double eye_z) {
  double best = std::max((p.start - eye_z) / p.from_m, (p.end - eye_z) / p.to_m);
  const double length = p.to_m - p.from_m;
  const double curve = 2 * (p.start - 2 * p.middle + p.end);
  const double c = curve / (length * length), slope = (p.end - p.start - curve) / length;
  const double b = slope - 2 * c * p.from_m;
  const double a = p.start - eye_z - (slope - c * p.from_m) * p.from_m;
  if (c < 0 && a < 0) {
    const double d = std::sqrt(a / c);
    if (d > p.from_m && d < p.to_m) best = std::max(best, a / d + b + c * d);
  }
  return best;
}

bool sun_in_sight(const HorizonProfile& horizon, const GridSun& sun) {
  return seen_limb_deg(sun.altitude_deg) > std::max(0.0, horizon.at(sun.toward));
}

}  // namespace

double HorizonProfile::at(Bearing b) const {
  if (angle_deg.empty()) return 0;
  const size_t n = angle_deg.size();
  const double place = b.degrees() * static_cast<double>(n) / 360;
  const size_t i = std::min(static_cast<size_t>(place), n - 1);
  const auto value = [&](size_t k) { return std::isnan(angle_deg[k]) ? 0.0 : angle_deg[k]; };
  const double u = place - static_cast<double>(i);
  return value(i) * (1 - u) + value((i + 1) % n) * u;
}

Result<HorizonProfile> terrain_horizon(const Raster<float>& ground, LocalXY place, double eye_m,
                                       std::stop_token stop) {
  const double eye_z = ground_height(ground, place) + eye_m;
  if (std::isnan(eye_z)) {
    return fail(ErrorCode::invalid_argument, "the ground at the place of the horizon is unknown");
  }
  HorizonProfile out;
  out.angle_deg.assign(kHorizonAzimuths, kUnknown);
  out.reach_m.assign(kHorizonAzimuths, 0.0);
  const bool done = for_each_index(
      kHorizonAzimuths,
      [&](int i) {
        GroundWalk walk(ground, place, Bearing::degrees(i * kStepDeg), ground.spec.cell_m / 2,
                        std::numeric_limits<double>::infinity());
        double best = -std::numeric_limits<double>::infinity();
        for (GroundPiece p; walk.next(p);) {
          if (!p.known()) continue;
          best = std::max(best, steepest(p, eye_z));
          walk.pass_below(eye_z, best);
        }
        if (std::isfinite(best)) {
          out.angle_deg[static_cast<size_t>(i)] = std::atan(best) * kDegPerRad;
        }
        out.reach_m[static_cast<size_t>(i)] = walk.at_m();
      },
      stop);
  if (!done) return fail(ErrorCode::cancelled, "cancelled");
  return out;
}

double seen_limb_deg(double geometric_altitude_deg) {
  const double limb = geometric_altitude_deg + kSunRadiusDeg;
  return limb + refraction_deg(limb);
}

GridSun grid_sun(Instant at, LonLat place, double convergence_deg) {
  const SunPosition sun = sun_position(at, place);
  return {Bearing::degrees(sun.azimuth_deg - convergence_deg), sun.altitude_deg};
}

SunMinutes sun_minutes(Instant near_noon, LonLat place, double convergence_deg) {
  using std::chrono::minutes;
  SunMinutes out;
  out.first = std::chrono::floor<minutes>(solar_noon(near_noon, place)) - minutes{720};
  for (int m = 0; m < 1440; ++m)
    out.suns.push_back(grid_sun(out.first + minutes{m}, place, convergence_deg));
  return out;
}

std::vector<SunSpan> direct_sun(const HorizonProfile& horizon, const SunMinutes& day) {
  using std::chrono::minutes;
  const auto at = [&](size_t minute) {
    return day.first + minutes{static_cast<minutes::rep>(minute)};
  };
  std::vector<SunSpan> out;
  bool lit = false;
  for (size_t m = 0; m < day.suns.size(); ++m) {
    const bool now = sun_in_sight(horizon, day.suns[m]);
    if (now && !lit) out.push_back({at(m), at(day.suns.size())});
    if (!now && lit) out.back().to = at(m);
    lit = now;
  }
  return out;
}

double glare_angle_deg(const SightLine& line, const GridSun& sun) {
  const double up = -line.depression_deg * kRadPerDeg, alt = sun.altitude_deg * kRadPerDeg;
  const double turn = turn_deg(line.toward, sun.toward) * kRadPerDeg;
  const double cosine =
      std::cos(up) * std::cos(alt) * std::cos(turn) + std::sin(up) * std::sin(alt);
  return std::acos(std::clamp(cosine, -1.0, 1.0)) * kDegPerRad;
}

std::vector<Glare> lines_in_glare(std::span<const SightLine> lines, const GridSun& sun,
                                  const HorizonProfile& horizon, const GlareLimits& limits) {
  std::vector<Glare> out;
  if (sun.altitude_deg > limits.low_sun_deg || !sun_in_sight(horizon, sun)) return out;
  for (size_t i = 0; i < lines.size(); ++i) {
    const double angle = glare_angle_deg(lines[i], sun);
    if (angle <= limits.within_deg) out.push_back({i, angle});
  }
  return out;
}

}  // namespace leeward::compute
