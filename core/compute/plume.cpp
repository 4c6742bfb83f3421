#include "core/compute/plume.h"

#include "core/base/multiversion.h"
#include "core/compute/fast_exp.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace leeward::compute {
namespace {

constexpr double kSigmaV = 0.5;            // m/s, lateral turbulence that never ceases
constexpr double kLeastHeightShare = 0.1;  // common practice, no source

// Vertical Gaussian with reflection, 1/m.
double vertical(double sz, double source_m, double nose_m) {
  const double a = (nose_m - source_m) / sz, b = (nose_m + source_m) / sz;
  return (std::exp(-0.5 * a * a) + std::exp(-0.5 * b * b)) / (std::sqrt(2 * kPi) * sz);
}

struct Radial {
  double peak, kappa, all_sides;
};

// Unit source; s/m3.
Radial radial(const PlumeSource& s, double r) {
  r = std::max(r, 1.0);
  Sigmas sigma = briggs(s.stability, r);
  sigma.z_m = std::max(sigma.z_m, 0.3);  // a body is not a point
  const double sd = std::hypot(s.direction_sd_rad, sigma.y_m / r);
  const double ue = std::sqrt(s.speed_mps * s.speed_mps + 2 * kSigmaV * kSigmaV);
  const double random_share = 2 * kSigmaV * kSigmaV / (ue * ue);
  const double v =
      std::max(vertical(sigma.z_m, s.height_m, s.nose_m),
               kLeastHeightShare * vertical(sigma.z_m, std::min(s.height_m, 1.0), s.nose_m));
  const double kappa = von_mises_kappa(sd);
  const double density_at_0 = 1.0 / (2 * kPi * bessel_i0_scaled(kappa));
  const double common = v / (ue * r);
  return {(1 - random_share) * common * density_at_0, kappa, random_share * common / (2 * kPi)};
}

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

double canopy_profile(double z_m, double h_m, double attenuation) {
  constexpr double kTopShare = 0.4424;
  if (z_m >= h_m) return kTopShare;
  return std::max(0.02, kTopShare * std::exp(attenuation * (z_m / h_m - 1)));
}

double reference_exposure() {
  static const double value = [] {
    PlumeSource s;
    s.direction_sd_rad = 10 * kRadPerDeg;
    const Radial r = radial(s, 25);
    return r.peak + r.all_sides;
  }();
  return value;
}

Plume::Plume(const PlumeSource& source, double reach_m) : reach_m_(reach_m) {
  const size_t n = static_cast<size_t>(std::ceil(reach_m)) + 2;
  peak_.resize(n);
  kappa_.resize(n);
  all_sides_.resize(n);
  const double scale = 1 / reference_exposure();
  for (size_t i = 0; i < n; ++i) {
    const Radial r = radial(source, static_cast<double>(i));
    peak_[i] = static_cast<float>(r.peak * scale);
    kappa_[i] = static_cast<float>(r.kappa);
    all_sides_[i] = static_cast<float>(r.all_sides * scale);
  }
}

double Plume::at(double dx, double dy, Bearing toward) const {
  const double r = std::hypot(dx, dy);
  if (r >= reach_m_) return 0;
  const size_t i = static_cast<size_t>(r);
  const float t = static_cast<float>(r - static_cast<double>(i));
  const double cos_phi = r > 0 ? (dx * toward.east() + dy * toward.north()) / r : 1;
  const double peak = static_cast<double>(peak_[i] + (peak_[i + 1] - peak_[i]) * t);
  const double kappa = static_cast<double>(kappa_[i] + (kappa_[i + 1] - kappa_[i]) * t);
  const double rest = static_cast<double>(all_sides_[i] + (all_sides_[i + 1] - all_sides_[i]) * t);
  return peak * std::exp(kappa * (cos_phi - 1)) + rest;
}

LEEWARD_CLONES void Plume::fill_row(float* out, int cols, float dx0, float cell, float dy, float wx,
                                    float wy) const {
  const float* peak = peak_.data();
  const float* kappa = kappa_.data();
  const float* rest = all_sides_.data();
  const float last = static_cast<float>(peak_.size() - 2);
  for (int c = 0; c < cols; ++c) {
    const float dx = dx0 + cell * static_cast<float>(c);
    const float r = std::sqrt(dx * dx + dy * dy);
    const float rr = r < last ? r : last;
    const int i = static_cast<int>(rr);
    const float t = rr - static_cast<float>(i);
    const float cos_phi = (dx * wx + dy * wy) / (r + 1e-6F);
    const float p = peak[i] + (peak[i + 1] - peak[i]) * t;
    const float k = kappa[i] + (kappa[i + 1] - kappa[i]) * t;
    const float a = rest[i] + (rest[i + 1] - rest[i]) * t;
    const float value = p * fast_exp(k * (cos_phi - 1.0F)) + a;
    out[c] = r < last ? value : 0.0F;
  }
}

void Plume::fill(Raster<float>& field, LocalXY source, Bearing toward) const {
  const GridSpec& g = field.spec;
  const float wx = static_cast<float>(toward.east()), wy = static_cast<float>(toward.north());
  const auto cell = [](double v, int n) {
    return std::clamp(static_cast<int>(std::floor(v)), 0, n);
  };
  const int c0 = cell(g.col_of(source.x - reach_m_), g.cols),
            c1 = cell(g.col_of(source.x + reach_m_) + 1, g.cols);
  const int r0 = cell(g.row_of(source.y + reach_m_), g.rows),
            r1 = cell(g.row_of(source.y - reach_m_) + 1, g.rows);
  std::fill(field.cells.begin(), field.cells.end(), 0.0F);
  if (c1 <= c0) return;
  const float dx0 = static_cast<float>(g.centre(c0, 0).x - source.x);
  for (int row = r0; row < r1; ++row) {
    const float dy = static_cast<float>(g.centre(0, row).y - source.y);
    fill_row(field.row(row) + c0, c1 - c0, dx0, static_cast<float>(g.cell_m), dy, wx, wy);
  }
}

}  // namespace leeward::compute
