// Seeded noise for the demo's ground and picture.
#pragma once

#include <cmath>
#include <cstdint>

namespace leeward::demo {

/// A well-mixed hash of a lattice point, in [0, 1).
inline double hash01(int x, int y, std::uint32_t seed) {
  std::uint32_t h = static_cast<std::uint32_t>(x) * 0x8DA6B343U ^
                    static_cast<std::uint32_t>(y) * 0xD8163841U ^ seed * 0xCB1AB31FU;
  h ^= h >> 15;
  h *= 0x2C1B3C6DU;
  h ^= h >> 12;
  h *= 0x297A2D39U;
  h ^= h >> 15;
  return h * (1.0 / 4294967296.0);
}

/// Smooth value noise in [-1, 1], one lattice cell a unit.
inline double value_noise(double x, double y, std::uint32_t seed) {
  const double fx = std::floor(x), fy = std::floor(y);
  const int ix = static_cast<int>(fx), iy = static_cast<int>(fy);
  double u = x - fx, v = y - fy;
  u = u * u * (3 - 2 * u);
  v = v * v * (3 - 2 * v);
  const double a = hash01(ix, iy, seed), b = hash01(ix + 1, iy, seed);
  const double c = hash01(ix, iy + 1, seed), d = hash01(ix + 1, iy + 1, seed);
  return 2 * (a + (b - a) * u + (c + (d - c) * u - a - (b - a) * u) * v) - 1;
}

/// Octaves of value noise, each half as large and half as long as the last; about [-1, 1].
inline double fractal_noise(double x, double y, int octaves, std::uint32_t seed) {
  double sum = 0, amplitude = 0.5;
  for (int i = 0; i < octaves; ++i) {
    sum += amplitude * value_noise(x, y, seed + static_cast<std::uint32_t>(i) * 17U);
    x *= 2.03, y *= 2.03, amplitude *= 0.5;
  }
  return sum;
}

}  // namespace leeward::demo
