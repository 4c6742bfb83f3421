// Seeded slowness and ground for tests and benchmarks of walking. tests/bench/walk_peers.py makes
// the same grids for the peers, to the last bit of a float.
#pragma once

#include "core/geo/raster.h"

#include <array>

namespace leeward::testing {

/// A hash of two counts in 32 bits.
inline std::uint32_t mixed(int a, int b) {
  std::uint32_t h =
      (static_cast<std::uint32_t>(a) * 73856093U) ^ (static_cast<std::uint32_t>(b) * 19349663U);
  h ^= h >> 13;
  h *= 0x5BD1E995U;
  return h ^ (h >> 15);
}

/// 1 to 10, each cell by itself.
inline float noise_cost(int c, int r) {
  return static_cast<float>(1 + 9 * static_cast<double>(mixed(c, r) & 0xFFFFU) / 65536);
}

/// Squares of 40 cells of one cover each (1, 1.2, 1.5, 2, 3 or 4), every cell up to a quarter more.
inline float patch_cost(int c, int r) {
  constexpr std::array<double, 6> kCover = {1, 1.2, 1.5, 2, 3, 4};
  return static_cast<float>(kCover[mixed(c / 40, r / 40) % 6] *
                            (1 + 0.25 * static_cast<double>(mixed(c, r) & 0xFFFFU) / 65536));
}

/// Hills of about +-20 m about 200 m with slopes to 50 %; x east, y south of the north-west corner.
inline float hill_m(int c, int r, double cell_m) {
  const double x = (c + 0.5) * cell_m, y = (r + 0.5) * cell_m;
  return static_cast<float>(200 + (9 * std::sin(x / 83) + 7 * std::cos(y / 61) +
                                   4 * std::sin((x + y) / 37) + 3 * std::cos((x - 2 * y) / 53)));
}

}  // namespace leeward::testing
