// Spread of a plume at 10 to 400 m from the turbulence itself, the surface layer it comes from, and
// the two published peers it is judged against (tests/validation/prairie_grass.cpp).
//
// Crosswind, the statistical method (Draxler 1976, Atmos. Environ. 10, 99; constants from memory):
//   sigma_y = s x f(t), f = 1 / (1 + 0.9 sqrt(t / T)), t = x / u, T = 300 s (surface release),
// s the spread of wind direction in the averaging time. The plume's own width and the wandering
// within that time are both in s: do not add the spread of direction again.
//
// Vertical, for a release near the ground (Venkatram 1992, as used by the regulatory model of
// Cimorelli et al. 2005, J. Appl. Meteor. 44, 682; from memory), with u* and L of the surface
// layer:
//   stable    sigma_z = sqrt(2/pi) (u* x / u) (1 + 0.7 x / L)^(-1/3)
//   unstable  sigma_z = sqrt(2/pi) (u* x / u) (1 + 0.006 (x / L)^2)^(1/2)
// The statistical form is no good for this part from ground sources in unstable air (Draxler 1976
// says so; on the odd Prairie Grass runs it put 71 % within a factor two, this form 95 %). Its
// authors knew the Prairie Grass measurements, so that experiment is not an independent proof of
// it.
#pragma once

#include "core/compute/plume.h"

namespace leeward::compute {

/// Draxler's f for a travel time and time scale, seconds.
double draxler_f(double travel_s, double scale_s);

/// Monin-Obukhov surface layer.
struct SurfaceLayer {
  double friction_mps = 0;          ///< u*
  double inverse_length_per_m = 0;  ///< 1/L: 0 neutral, below 0 unstable, above 0 stable.
};
/// 1/L at the middle of a Pasquill class (0 = A .. 5 = F, linear between) over a roughness, and the
/// class whose middle is nearest (Golder 1972, Bound.-Layer Meteor. 3, 47; straight-line fits in
/// handbooks, from memory).
double golder_inverse_length(double stability, double roughness_m);
int golder_stability(double inverse_length_per_m, double roughness_m);
/// The surface layer of a class with this speed at a height: u* = 0.4 u / (ln(z/z0) - psi(z/L)),
/// psi after Businger-Dyer (-5 z/L when stable).
SurfaceLayer surface_layer(double stability, double speed_mps, double height_m, double roughness_m);

/// Spread of direction over ten minutes to an hour where nobody measured it, radians:
/// sigma_v / u with sigma_v = u* (12 - 0.5 zi / L)^(1/3) in unstable air (Panofsky et al. 1977,
/// Bound.-Layer Meteor. 11, 355; from memory) and the neutral value of it otherwise.
/// `mixing_height_m` of 1000 m is common practice, no source. Meander in light wind is not in it.
double turbulent_direction_sd_rad(const SurfaceLayer& layer, double speed_mps,
                                  double mixing_height_m = 1000);

struct NearFieldAir {
  double speed_mps = 2;            ///< Of the wind that carries it, at about 2 m. Above 0.
  double direction_sd_rad = 0.17;  ///< Spread of direction in the averaging time.
  SurfaceLayer layer;
};
Sigmas near_field_sigmas(const NearFieldAir& air, double distance_m);
/// The same to 100 m, Briggs from 400 m on, between them a blend of the logarithms (smooth step in
/// log distance): for places where nothing but the class is known far out. Measured turbulence does
/// better unblended.
Sigmas joined_sigmas(const NearFieldAir& air, double stability, double distance_m);

/// Pasquill-Gifford curves, the fit of EPA-454/B-95-003b. Bands of sigma_z beyond 1 km are left
/// out.
Sigmas pasquill_gifford(int stability, double distance_m);

/// Gaussian plume with reflection at the ground (Turner 1970, eq. 3.1), per unit source strength:
/// s/m3. `across_m` is the distance off the axis.
double plume_concentration(const Sigmas& sigma, double speed_mps, double across_m, double nose_m,
                           double source_m);

}  // namespace leeward::compute
