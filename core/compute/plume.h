// Parts of plume models: spread curves, stability, wind profiles, the von Mises distribution.
#pragma once

#include "core/base/units.h"

namespace leeward::compute {

/// Pasquill class, 0 = A .. 5 = F.
struct Sigmas {
  double y_m = 0, z_m = 0;
};
/// Briggs (1973) open-country curves. Stated for 100 m to 10 km; below 100 m an extrapolation.
Sigmas briggs(int stability, double distance_m);

/// Turner's objective key (Turner 1964): stability 0..5 (A..F) from 10 m wind, sun altitude and
/// cloud 0..1. Low overcast is taken when cloud > 0.95. Class 7 (G) is merged into F.
int turner_stability(double speed_10m_mps, double sun_altitude_deg, double cloud);

/// Spread of wind direction over an hour, degrees, from 10 m speed: sigma_v / u with a floor of
/// sigma_v = 0.5 m/s (Hanna, from memory) joined to 3.7 degrees in strong wind (Joffre & Laurila
/// 1988), at most 104 degrees (uniform); `extra_deg` (gusts, a stated range) is added in
/// quadrature.
double direction_sd_deg(double speed_10m_mps, double extra_deg = 0);

/// Concentration parameter of a von Mises distribution with circular sd `sd_rad` (R = exp(-sd^2/2);
/// kappa by the approximation of Fisher 1993, within 1.5 % of the exact inverse).
double von_mises_kappa(double sd_rad);
/// exp(-x) I0(x), the scaled modified Bessel function (Abramowitz & Stegun 9.8.1, 9.8.2).
double bessel_i0_scaled(double x);

/// Logarithmic profile: speed at `z_m` over that at 10 m, roughness z0, no displacement.
double log_profile(double z_m, double roughness_m = 0.03);

}  // namespace leeward::compute
