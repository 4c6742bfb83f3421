#include "core/compute/near_field.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace leeward::compute {
namespace {

constexpr double kScale = 300;                    // s, Draxler's surface release
constexpr double kJoinFrom = 100, kJoinTo = 400;  // m

double psi(double z_over_l) {
  if (z_over_l >= 0) return -5 * z_over_l;
  const double x = std::pow(1 - 16 * z_over_l, 0.25);
  return 2 * std::log((1 + x) / 2) + std::log((1 + x * x) / 2) - 2 * std::atan(x) + kPi / 2;
}

struct Band {
  double up_to_km, a, b;
};
// EPA-454/B-95-003b, table of sigma_z = a x^b, x in km.
constexpr std::array<std::array<Band, 7>, 6> kBands = {{
    {{{.10, 122.8, .9447},
      {.15, 158.08, 1.0542},
      {.20, 170.22, 1.0932},
      {.25, 179.52, 1.1262},
      {.30, 217.41, 1.2644},
      {.40, 258.89, 1.4094},
      {.50, 346.75, 1.7283}}},
    {{{.20, 90.673, .93198}, {.40, 98.483, .98332}, {1e9, 109.3, 1.0971}}},
    {{{1e9, 61.141, .91465}}},
    {{{.30, 34.459, .86974}, {1e9, 32.093, .81066}}},
    {{{.10, 24.26, .8366}, {.30, 23.331, .81956}, {1e9, 21.628, .7566}}},
    {{{.20, 15.209, .81558}, {.70, 14.457, .78407}, {1e9, 13.953, .68465}}},
}};
constexpr Band kFarA = {1e9, 453.85, 2.1166};  // the last band of class A

}  // namespace

double draxler_f(double travel_s, double scale_s) {
  return 1 / (1 + 0.9 * std::sqrt(travel_s / scale_s));
}

double golder_inverse_length(double stability, double roughness_m) {
  static constexpr double kA[6] = {-0.096, -0.037, -0.002, 0, 0.004, 0.035};
  static constexpr double kB[6] = {0.029, 0.029, 0.018, 0, -0.018, -0.036};
  const double s = std::clamp(stability, 0.0, 5.0);
  const int n = std::min(static_cast<int>(s), 4);
  const double t = s - n;
  // The lines were drawn for 0.001 to 0.5 m; beyond, they would cross neutral.
  const double log_z0 = std::log10(std::clamp(roughness_m, 0.001, 0.5));
  return (1 - t) * (kA[n] + kB[n] * log_z0) + t * (kA[n + 1] + kB[n + 1] * log_z0);
}

int golder_stability(double inverse_length_per_m, double roughness_m) {
  int best = 0;
  for (int n = 1; n < 6; ++n) {
    const auto apart = [&](int c) {
      return std::abs(inverse_length_per_m - golder_inverse_length(c, roughness_m));
    };
    if (apart(n) < apart(best)) best = n;
  }
  return best;
}

SurfaceLayer surface_layer(double stability, double speed_mps, double height_m,
                           double roughness_m) {
  SurfaceLayer out;
  out.inverse_length_per_m = golder_inverse_length(stability, roughness_m);
  const double z = std::max(height_m, 2 * roughness_m);
  const double profile = std::log(z / roughness_m) - psi(z * out.inverse_length_per_m);
  out.friction_mps = 0.4 * speed_mps / std::max(profile, 0.5);
  return out;
}

double turbulent_direction_sd_rad(const SurfaceLayer& layer, double speed, double mixing_height) {
  const double heating = std::max(0.0, -0.5 * mixing_height * layer.inverse_length_per_m);
  return layer.friction_mps * std::cbrt(12 + heating) / speed;
}

Sigmas near_field_sigmas(const NearFieldAir& air, double x) {
  const double y = air.direction_sd_rad * x * draxler_f(x / air.speed_mps, kScale);
  const double z = std::sqrt(2 / kPi) * air.layer.friction_mps * x / air.speed_mps;
  const double q = x * air.layer.inverse_length_per_m;
  return {y, q > 0 ? z / std::cbrt(1 + 0.7 * q) : z * std::sqrt(1 + 0.006 * q * q)};
}

Sigmas joined_sigmas(const NearFieldAir& air, double stability, double x) {
  const int n = std::clamp(static_cast<int>(stability), 0, 4);
  const Sigmas near = near_field_sigmas(air, x), a = briggs(n, x), b = briggs(n + 1, x);
  const double between = std::clamp(stability - n, 0.0, 1.0);
  const Sigmas far = {a.y_m * std::pow(b.y_m / a.y_m, between),
                      a.z_m * std::pow(b.z_m / a.z_m, between)};
  const double t = std::clamp(std::log(x / kJoinFrom) / std::log(kJoinTo / kJoinFrom), 0.0, 1.0);
  const double w = t * t * (3 - 2 * t);
  return {near.y_m * std::pow(far.y_m / near.y_m, w), near.z_m * std::pow(far.z_m / near.z_m, w)};
}

Sigmas pasquill_gifford(int stability, double distance_m) {
  static constexpr double kC[6] = {24.1670, 18.3330, 12.5000, 8.3330, 6.2500, 4.1667};
  static constexpr double kD[6] = {2.5334, 1.8096, 1.0857, .72382, .54287, .36191};
  const size_t n = static_cast<size_t>(std::clamp(stability, 0, 5));
  const double km = distance_m / 1000;
  const double y = 465.11628 * km * std::tan(0.017453293 * (kC[n] - kD[n] * std::log(km)));
  for (const Band& b : kBands[n])
    if (b.a > 0 && km <= b.up_to_km) return {y, std::min(b.a * std::pow(km, b.b), 5000.0)};
  return {y, std::min(kFarA.a * std::pow(km, kFarA.b), 5000.0)};
}

double plume_concentration(const Sigmas& s, double speed, double across, double nose,
                           double source) {
  const double y = across / s.y_m, below = (nose - source) / s.z_m, above = (nose + source) / s.z_m;
  return std::exp(-0.5 * y * y) *
         (std::exp(-0.5 * below * below) + std::exp(-0.5 * above * above)) /
         (2 * kPi * speed * s.y_m * s.z_m);
}

}  // namespace leeward::compute
