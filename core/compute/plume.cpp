#include "core/compute/plume.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace leeward::compute {
namespace {

constexpr double kSigmaV = 0.5;  // m/s, lateral turbulence that never ceases

}  // namespace

Sigmas briggs(int stability, double x) {
  const double wide = 1 / std::sqrt(1 + 0.0001 * x);
  switch (stability) {
    case 0:
      return {0.22 * x * wide, 0.20 * x};
    case 1:
      return {0.16 * x * wide, 0.12 * x};
    case 2:
      return {0.11 * x * wide, 0.08 * x / std::sqrt(1 + 0.0002 * x)};
    case 3:
      return {0.08 * x * wide, 0.06 * x / std::sqrt(1 + 0.0015 * x)};
    case 4:
      return {0.06 * x * wide, 0.03 * x / (1 + 0.0003 * x)};
    default:
      return {0.04 * x * wide, 0.016 * x / (1 + 0.0003 * x)};
  }
}

int turner_stability(double speed, double altitude, double cloud) {
  // Rows by wind, columns by net radiation index 4 .. -2; 1 = A .. 7 = G.
  static constexpr std::array<double, 9> kUpTo = {0.75, 1.85, 2.85, 3.35, 3.85,
                                                  4.85, 5.45, 5.95, 1e9};
  static constexpr int kClass[9][7] = {
      {1, 1, 2, 3, 4, 6, 7}, {1, 2, 2, 3, 4, 6, 7}, {1, 2, 3, 4, 4, 5, 6},
      {2, 2, 3, 4, 4, 5, 6}, {2, 2, 3, 4, 4, 4, 5}, {2, 3, 3, 4, 4, 4, 5},
      {3, 3, 4, 4, 4, 4, 5}, {3, 3, 4, 4, 4, 4, 4}, {3, 4, 4, 4, 4, 4, 4}};
  int index = 0;
  if (cloud > 0.95) {
    index = 0;
  } else if (altitude <= 0) {
    index = cloud <= 0.4 ? -2 : -1;
  } else {
    index = altitude > 60 ? 4 : altitude > 35 ? 3 : altitude > 15 ? 2 : 1;
    if (cloud > 0.5) index = std::max(1, index - 1);  // ceiling unknown: the middle case of the key
  }
  size_t row = 0;
  while (speed >= kUpTo[row]) ++row;
  return std::min(kClass[row][4 - index], 6) - 1;
}

double direction_sd_deg(double speed, double extra_deg) {
  const double base = std::hypot(kSigmaV / std::max(speed, 0.05), 0.065) * kDegPerRad;
  return std::min(104.0, std::hypot(base, extra_deg));
}

double von_mises_kappa(double sd_rad) {
  const double r = std::exp(-0.5 * sd_rad * sd_rad);
  if (r < 1e-6) return 0;
  if (r < 0.53) return 2 * r + r * r * r + 5 * std::pow(r, 5) / 6;
  if (r < 0.85) return -0.4 + 1.39 * r + 0.43 / (1 - r);
  return 1 / (r * r * r - 4 * r * r + 3 * r);
}

double bessel_i0_scaled(double x) {
  if (x < 3.75) {
    const double t = (x / 3.75) * (x / 3.75);
    return std::exp(-x) *
           (1 + t * (3.5156229 +
                     t * (3.0899424 +
                          t * (1.2067492 + t * (0.2659732 + t * (0.0360768 + t * 0.0045813))))));
  }
  const double t = 3.75 / x;
  return (0.39894228 +
          t * (0.01328592 +
               t * (0.00225319 +
                    t * (-0.00157565 +
                         t * (0.00916281 +
                              t * (-0.02057706 +
                                   t * (0.02635537 + t * (-0.01647633 + t * 0.00392377)))))))) /
         std::sqrt(x);
}

double log_profile(double z_m, double z0) {
  return std::log(std::max(z_m, 2 * z0) / z0) / std::log(10.0 / z0);
}

}  // namespace leeward::compute
