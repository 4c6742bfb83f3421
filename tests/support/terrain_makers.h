// Seeded terrain for tests and benchmarks: smooth ridges and draws with known relief.
#pragma once

#include "core/geo/raster.h"

#include <cmath>
#include <cstdint>

namespace leeward::testing {

/// Ground by a formula, height(place) at each cell's centre.
template <class Height>
Raster<float> ground_by(const GridSpec& spec, Height height) {
  Raster<float> out(spec);
  for (int r = 0; r < spec.rows; ++r)
    for (int c = 0; c < spec.cols; ++c)
      out.at(c, r) = static_cast<float>(height(spec.centre(c, r)));
  return out;
}

/// Sum of eight seeded sine waves of falling size: about +-20 m, wavelengths 60-900 m.
inline Raster<float> seeded_ground(const GridSpec& spec, std::uint32_t seed) {
  Raster<float> out(spec);
  struct Wave {
    double kx, ky, phase, amplitude;
  } waves[8];
  std::uint32_t s = seed * 2654435761U + 12345U;
  const auto next = [&] {
    s = s * 1664525U + 1013904223U;
    return static_cast<double>(s >> 8) / 16777216.0;
  };
  for (int i = 0; i < 8; ++i) {
    const double length_m = 900 / std::pow(1.47, i), angle = next() * 2 * kPi;
    waves[i] = {2 * kPi * std::cos(angle) / length_m, 2 * kPi * std::sin(angle) / length_m,
                next() * 2 * kPi, 0.012 * length_m};
  }
  for (int r = 0; r < spec.rows; ++r) {
    for (int c = 0; c < spec.cols; ++c) {
      const LocalXY p = spec.centre(c, r);
      double z = 200;
      for (const Wave& w : waves) z += w.amplitude * std::sin(w.kx * p.x + w.ky * p.y + w.phase);
      out.at(c, r) = static_cast<float>(z);
    }
  }
  return out;
}

}  // namespace leeward::testing
