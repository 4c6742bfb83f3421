// Strength and spread of a plume.
#include "core/compute/near_field.h"
#include "core/compute/plume_parts.h"

#include <algorithm>

namespace leeward::compute {

using namespace plume;

namespace {

constexpr double kOpenWander = 0.5, kTimberWander = 0.15;  // m/s
constexpr double kUniform_rad = 104 * kRadPerDeg;
constexpr double kLeastHeightShare = 0.1;

// Vertical Gaussian with reflection, 1/m.
double vertical(double sz, double source_m, double nose_m) {
  const double a = (nose_m - source_m) / sz, b = (nose_m + source_m) / sz;
  return (std::exp(-0.5 * a * a) + std::exp(-0.5 * b * b)) / (std::sqrt(2 * kPi) * sz);
}

struct Spread {
  double circular_rad, z_m;
};

Spread spread_at(const PlumeAir& air, bool timber, double l, double speed) {
  Sigmas sigma;
  double turbulent;
  if (timber) {
    // Elevation angle of 0.2 rad, mixed below the crowns from about 60 m on: common practice, no
    // source. Measured trunk-space plumes reach 30 m only (Peterson et al. 2010).
    constexpr double kDepth = 12;
    sigma = {air.timber_sd_rad * l, kDepth * (1 - std::exp(-0.2 * l / kDepth))};
    turbulent = 0;  // light wind's wandering comes on top
  } else {
    NearFieldAir near;
    near.speed_mps = speed;
    near.layer = surface_layer(air.stability, speed, air.transport_m, air.roughness_m);
    turbulent = near.direction_sd_rad = turbulent_direction_sd_rad(near.layer, speed);
    sigma = joined_sigmas(near, air.stability, l);
  }
  const double sideways = (timber ? kTimberWander : kOpenWander) / speed;
  const double wander_sq = std::max(0.0, sideways * sideways - turbulent * turbulent);
  const double sd =
      std::sqrt(sigma.y_m * sigma.y_m / (l * l) + wander_sq + air.extra_sd_rad * air.extra_sd_rad);
  return {std::min(sd, kUniform_rad), std::max(sigma.z_m, 0.3)};
}

struct Strength {
  double peak, kappa, rest;  // s/m3
};

Strength strength(const PlumeAir& air, bool timber, double length, double speed) {
  const double l = std::max(length, 1.0);
  const Spread spread = spread_at(air, timber, l, speed);
  const double sv = timber ? kTimberWander : kOpenWander;
  const double effective = std::sqrt(speed * speed + 2 * sv * sv);
  const double random_share = 2 * sv * sv / (effective * effective);
  const double v =
      std::max(vertical(spread.z_m, air.source_m, air.nose_m),
               kLeastHeightShare * vertical(spread.z_m, std::min(air.source_m, 1.0), air.nose_m));
  const double kappa =
      spread.circular_rad < kUniform_rad ? von_mises_kappa(spread.circular_rad) : 0;
  const double common = v / (effective * l);
  static const double burst = peak_to_mean(3600, 5) / peak_to_mean(600, 5);
  return {(1 - random_share) * common / (2 * kPi * bessel_i0_scaled(kappa)), kappa,
          random_share * burst * common / (2 * kPi)};
}

double reference_strength() {
  static const double value = [] {
    const Strength s = strength(PlumeAir{}, false, 25, 2);
    return s.peak + s.rest;
  }();
  return value;
}

double log_speed_step() { return std::log(kMostSpeed / kLeastSpeed); }

}  // namespace

double plume_spread_rad(const PlumeAir& air, double speed, double timber) {
  const double v = std::max(speed, kLeastSpeed);
  const double open = spread_at(air, false, 50, v).circular_rad,
               closed = spread_at(air, true, 50, v).circular_rad;
  return std::sqrt((1 - timber) * open * open + timber * closed * closed);
}

double peak_to_mean(double mean_s, double peak_s) { return std::pow(mean_s / peak_s, 6.0 / 17); }

double PlumeTable::ring_m(int ring) {
  const double root = ring / static_cast<double>(kRingScale) + static_cast<double>(kRingRoot);
  return root * root - static_cast<double>(kRingStart);
}

PlumeTable::PlumeTable(const PlumeAir& air, double reach_m)
    : reach_m_(reach_m),
      rings_(static_cast<int>(std::ceil(ring_coordinate(static_cast<float>(reach_m)))) + 2) {
  const auto last = [&] { return kPatchRings.of(static_cast<float>(rings_ - 1)); };
  while (last() > std::floor(last())) ++rings_;  // the last is a patch's as well
  rows_.resize(static_cast<size_t>(rings_));
  const double scale = 1 / reference_strength();
  for (int ring = 0; ring < rings_; ++ring) {
    const double l = std::max(ring_m(ring), 1.0);
    for (size_t k = 0; k < kSpeeds; ++k) {
      const double speed =
          kLeastSpeed * std::exp(log_speed_step() * static_cast<double>(k) / (kSpeeds - 1));
      float* said = rows_[static_cast<size_t>(ring)][k].data();
      for (const bool timber : {false, true}) {
        const Strength s = strength(air, timber, l, speed);
        *said++ = static_cast<float>(std::log(s.peak * scale * l * l));
        *said++ = static_cast<float>(s.kappa);
        *said++ = static_cast<float>(s.rest * scale * l * l);
        *said++ = 0;
      }
    }
  }
  // What lies between is mixed from the logarithm and the rest of both rings.
  std::vector<double> log_peak(static_cast<size_t>(rings_), -1e9), rest(log_peak.size(), 0.0);
  for (size_t ring = 0; ring < rows_.size(); ++ring)
    for (const auto& said : rows_[ring])
      for (const size_t setting : {size_t{0}, size_t{4}}) {
        log_peak[ring] = std::max(log_peak[ring], static_cast<double>(said[setting]));
        rest[ring] = std::max(rest[ring], static_cast<double>(said[setting + 2]));
      }
  for (size_t ring = 0; ring + 1 < rows_.size(); ++ring)
    most_.push_back(std::exp(std::max(log_peak[ring], log_peak[ring + 1])) +
                    std::max(rest[ring], rest[ring + 1]));
}

double PlumeTable::most_at(double distance_m) const {
  if (distance_m >= reach_m_) return 0;
  const double r = std::max(distance_m, static_cast<double>(kLeastDistance));
  const auto ring = static_cast<size_t>(ring_coordinate(static_cast<float>(r)));
  return 1.00001 * most_[std::min(ring, most_.size() - 1)] / (r * r);  // for float's last digits
}

}  // namespace leeward::compute
