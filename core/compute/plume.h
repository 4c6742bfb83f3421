// Scent as a plume near the ground, averaged over the spread of wind direction.
//
// In polar form about the source, with r the distance and phi the angle off the mean direction:
//   C(r, phi) = Q / (u r) * f(phi; s(r)) * V(r)
// V is the vertical Gaussian with ground reflection (Turner 1970, eq. 3.1), f a von Mises density
// whose circular spread joins the wandering of the wind and the plume's own width:
//   s^2 = direction_sd^2 + (sigma_y / r)^2
// and in light air a share F = 2 sv^2 / (2 sv^2 + u^2) goes to all sides alike (the random part
// used by regulatory models, Cimorelli et al. 2005, from memory), with u_e = sqrt(u^2 + 2 sv^2).
//
// Relative exposure 1 is what stands 25 m straight downwind of a person on the ground (source 1 m,
// nose 1 m) in class D, 2 m/s, direction spread 10 degrees. It compares; it does not say what a
// deer will notice: no published threshold exists.
#pragma once

#include "core/geo/raster.h"

#include <vector>

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
/// Speed under a closed canopy of height `h_m` at `z_m` over the 10 m airfield speed: 0.44 at the
/// top (airfield to forest through a 100 m blending height), exponential below with index `a`
/// (Inoue 1963; Cionco 1965). Never below 0.02.
double canopy_profile(double z_m, double h_m, double attenuation);

struct PlumeSource {
  double height_m = 1;   ///< Of the scent above ground.
  double speed_mps = 2;  ///< Of the wind that carries it (local, at about that height).
  double direction_sd_rad = 0.17;
  int stability = 3;
  double nose_m = 1;  ///< Height at which it is met.
};

/// Radial tables of a plume to `reach_m`, so that a cell costs one exp. A sitter above the ground
/// never counts for less than a tenth of the same person on the ground (downdraughts, stem wakes
/// and falling skin defeat the ideal air that would carry scent overhead).
class Plume {
 public:
  explicit Plume(const PlumeSource& source, double reach_m = 800);
  /// Relative exposure at offset (dx east, dy north) from the source; wind blows toward `toward`.
  double at(double dx, double dy, Bearing toward) const;
  /// The whole field on `spec`; cells beyond the reach are 0.
  void fill(Raster<float>& field, LocalXY source, Bearing toward) const;

  double reach_m() const { return reach_m_; }

 private:
  void fill_row(float* out, int cols, float dx0, float cell, float dy, float wx, float wy) const;
  double reach_m_;
  // Per metre of distance: amplitude of the directed part at phi = 0, kappa, the all-sides part.
  std::vector<float> peak_, kappa_, all_sides_;
};

/// The value of C that relative exposure 1 stands for (unit source), s/m3.
double reference_exposure();

}  // namespace leeward::compute
