// What the files of the scent plume share: rings and angles, and the cells of a flow under points.
// For scent_plume.cpp, patch_plume.cpp, plume_*.cpp and polar_places.cpp alone.
#pragma once

#include "core/compute/scent_plume.h"

#include <algorithm>
#include <bit>
#include <cstring>

namespace leeward::compute::plume {

inline constexpr int kRays = 128, kFewRays = 48;
inline constexpr int kPerRay = 2;  // angles of the drawn ring for each ray
inline constexpr int kRayRow = kRays + 1;
inline constexpr int kAngles = kRays * kPerRay, kFewAngles = kFewRays * kPerRay;
inline constexpr int row_of(int angles) { return angles + 1; }
inline constexpr int kRow = row_of(kAngles);
// Rings at r = (i / kRingScale + sqrt(kRingStart))^2 - kRingStart: 3 m apart at the source, 12 m at
// 100 m, 31 m at 800 m.
inline constexpr float kRingScale = 1.8F, kRingStart = 4, kRingRoot = 2;
inline constexpr float kLeastDistance = 1.5F;   // m; a body is not a point
inline constexpr double kNearestInPatch = 0.9;  // standard deviations; nothing counts as nearer
inline constexpr double kLeastSpeed = 0.1, kMostSpeed = 16;
inline constexpr float kSlowest = static_cast<float>(kLeastSpeed);
inline const float kSpeedStepsPerOctave = static_cast<float>(
    std::log(2.0) * (PlumeTable::kSpeeds - 1) / std::log(kMostSpeed / kLeastSpeed));

inline float ring_coordinate(float distance) {
  return kRingScale * (std::sqrt(distance + kRingStart) - kRingRoot);
}

// Which rings of the table a plume has: each `near` up to the ring `bend`, each `far` beyond.
struct RingChoice {
  int near, bend, far;
  constexpr int table_ring(int n) const {
    return n * near <= bend ? n * near : bend + (n - bend / near) * far;
  }
  // Place among them of a ring of the table.
  [[gnu::always_inline]] inline float of(float ring) const {
    const float a = 1 / static_cast<float>(near), b = 1 / static_cast<float>(far),
                at = static_cast<float>(bend);
    return ring < at ? ring * a : at * a + (ring - at) * b;
  }
};
inline constexpr RingChoice kAllRings{1, 0, 1}, kPatchRings{2, 26, 4};

// log2 to 2e-4.
[[gnu::always_inline]] inline float fast_log2(float x) {
  const auto bits = std::bit_cast<std::uint32_t>(x);
  const float e = static_cast<float>(static_cast<int>(bits >> 23) - 127);
  const float m = std::bit_cast<float>((bits & 0x7FFFFFU) | 0x3F800000U) - 1;
  return e + m * (1.4413F + m * (-0.7090F + m * (0.4146F + m * (-0.1950F + m * 0.0481F))));
}

// atan2(y, x) in turns of a circle, 0..1, to 2e-6 of a turn; 0 at the origin.
[[gnu::always_inline]] inline float turns_of(float y, float x) {
  const float ax = std::abs(x), ay = std::abs(y);
  const float low = ax < ay ? ax : ay, high = ax < ay ? ay : ax;
  const float a = low / (high + 1e-20F), s = a * a;
  float t =
      a * (0.15915494F +
           s * (-0.05304984F +
                s * (0.0317636F +
                     s * (-0.0220424F + s * (0.0146183F + s * (-0.0073236F + s * 0.0018793F))))));
  t = ay > ax ? 0.25F - t : t;
  t = x < 0 ? 0.5F - t : t;
  return y < 0 ? 1 - t : t;
}

[[gnu::always_inline]] inline float mix(float a, float b, float t) { return a + (b - a) * t; }

static_assert(sizeof(PlumeTable::Row) == PlumeTable::kCell * PlumeTable::kSpeeds * sizeof(float));
static_assert(sizeof(Flow::Cell) == 4 * sizeof(float), "lines walk the cells as floats");

// Numbers side by side: four are one register on every machine, eight are two neighbours of four.
using Four [[gnu::vector_size(16)]] = float;
using Eight [[gnu::vector_size(32)]] = float;
[[gnu::always_inline]] inline Four four_at(const float* p) {
  Four v;
  std::memcpy(&v, p, sizeof v);
  return v;
}
[[gnu::always_inline]] inline Four mix(Four a, Four b, float t) { return a + (b - a) * t; }
// Between the eight at `a` and at `b` by `down`, then between the two fours of that by `right`.
[[gnu::always_inline]] inline Four mix_of(const float* a, const float* b, float down, float right) {
  Eight above, below;
  std::memcpy(&above, a, sizeof above);
  std::memcpy(&below, b, sizeof below);
  const Eight both = above + (below - above) * down;
  return mix(__builtin_shufflevector(both, both, 0, 1, 2, 3),
             __builtin_shufflevector(both, both, 4, 5, 6, 7), right);
}

struct Place {
  const float* cells;
  int cols, rows;
  float x0, y0, per_m;  // of the source in cells; cells a metre
  float sign;           // -1: against the wind
};
inline Place place_of(const Flow& flow, LocalXY source, Run run) {
  return {&flow.cells.front().east,
          flow.spec.cols,
          flow.spec.rows,
          static_cast<float>(flow.spec.col_of(source.x) - 0.5),
          static_cast<float>(flow.spec.row_of(source.y) - 0.5),
          static_cast<float>(1 / flow.spec.cell_m),
          run == Run::forward ? 1.0F : -1.0F};
}

// Cells in which N points stand, and how far they stand from their centres; place(k) says where, in
// cells from the centre of the north-west cell.
template <int N>
struct Located {
  alignas(64) int cell[N];  // of the north-west of four
  alignas(64) float right[N], down[N];

  template <class At>
  [[gnu::always_inline]] inline Located(const Place& p, At at) {
    const float most_x = static_cast<float>(p.cols - 1) - 0.001F,
                most_y = static_cast<float>(p.rows - 1) - 0.001F;
    const int cols = p.cols;
    for (int k = 0; k < N; ++k) {
      float x, y;
      at(k, x, y);
      x = x < 0 ? 0 : x > most_x ? most_x : x;
      y = y < 0 ? 0 : y > most_y ? most_y : y;
      const int c = static_cast<int>(x), r = static_cast<int>(y);
      right[k] = x - static_cast<float>(c);
      down[k] = y - static_cast<float>(r);
      cell[k] = 4 * (r * cols + c);
    }
  }
  [[gnu::always_inline]] inline Four mean(const Place& p, int k) const {
    const float* a = p.cells + cell[k];
    return mix_of(a, a + 4 * p.cols, down[k], right[k]);
  }
};

// Calls visit(row, first column, end column) for the rows of a grid that come within reach.
template <class Visit>
inline void each_row_within(const GridSpec& g, LocalXY at, double reach_m, Visit visit) {
  const auto cell = [](double v, int n) {
    return std::clamp(static_cast<int>(std::floor(v)), 0, n);
  };
  const int end = cell(g.row_of(at.y - reach_m) + 1, g.rows);
  for (int row = cell(g.row_of(at.y + reach_m), g.rows); row < end; ++row) {
    const double dy = g.centre(0, row).y - at.y;
    const double half = std::sqrt(std::max(0.0, reach_m * reach_m - dy * dy));
    const int first = cell(g.col_of(at.x - half), g.cols),
              last = cell(g.col_of(at.x + half) + 1, g.cols);
    if (first < last) visit(row, first, last);
  }
}

// How places around a source are counted in rings and angles.
struct Drawn {
  float reach, least;  // metres
  int angles;
  RingChoice rings;
};

// Where a place stands: ring times angles, and angle; how far beyond them, and what the square of
// its distance takes off.
struct Placed {
  int place;
  float outward, around, scale;

  [[gnu::always_inline]] Placed(float dx, float dy, const Drawn& drawn) {
    const float far = std::sqrt(dx * dx + dy * dy);
    const float within = far < drawn.reach ? far : drawn.reach;
    const float r = within < drawn.least ? drawn.least : within;
    const float ring = drawn.rings.of(ring_coordinate(r));
    const float all = static_cast<float>(drawn.angles);
    float angle = turns_of(dy, dx) * all;
    angle = angle < all - 0.001F ? angle : 0;
    const int i = static_cast<int>(ring), j = static_cast<int>(angle);
    outward = ring - static_cast<float>(i);
    around = angle - static_cast<float>(j);
    place = i * row_of(drawn.angles) + j;
    scale = far < drawn.reach ? 1 / (r * r) : 0.0F;
  }
};

}  // namespace leeward::compute::plume
