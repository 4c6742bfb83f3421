// The steps out of a cell as the search takes them: lanes of four floats, the order in which rows
// of a grid come into registers. For walk_*.cpp alone.
#pragma once

#include "core/compute/walk_times.h"

#if defined(__SSE2__)
#include <emmintrin.h>
#endif

#include <bit>
#include <cstring>

namespace leeward::compute::steps {

using Floats = float __attribute__((vector_size(16)));
using Ints = std::int32_t __attribute__((vector_size(16)));
using LooseFloats = float __attribute__((vector_size(16), aligned(4), may_alias));

inline Floats load(const float* from) { return *reinterpret_cast<const LooseFloats*>(from); }
inline Ints bits_of(Floats v) { return std::bit_cast<Ints>(v); }
inline Floats of_bits(Ints v) { return std::bit_cast<Floats>(v); }
inline Floats magnitude(Floats v) { return of_bits(bits_of(v) & 0x7FFFFFFF); }

#if defined(__SSE2__)
inline Floats smaller(Floats a, Floats b) {
  return std::bit_cast<Floats>(_mm_min_ps(std::bit_cast<__m128>(a), std::bit_cast<__m128>(b)));
}
inline Floats larger(Floats a, Floats b) {
  return std::bit_cast<Floats>(_mm_max_ps(std::bit_cast<__m128>(a), std::bit_cast<__m128>(b)));
}
/// One bit a lane.
inline std::uint32_t flags(Ints a, Ints b, Ints c, Ints d) {
  const auto pair = [](Ints x, Ints y) {
    return _mm_packs_epi32(std::bit_cast<__m128i>(x), std::bit_cast<__m128i>(y));
  };
  return static_cast<std::uint32_t>(_mm_movemask_epi8(_mm_packs_epi16(pair(a, b), pair(c, d))));
}
#else
inline Floats smaller(Floats a, Floats b) { return a < b ? a : b; }
inline Floats larger(Floats a, Floats b) { return a > b ? a : b; }
inline std::uint32_t flags(Ints a, Ints b, Ints c, Ints d) {
  std::uint32_t out = 0;
  for (int k = 0; k < 4; ++k)
    out |= (a[k] & 1U) << k | (b[k] & 1U) << (4 + k) | (c[k] & 1U) << (8 + k) |
           (d[k] & 1U) << (12 + k);
  return out;
}
#endif

/// Two neighbours in memory for each lane, in one load each.
inline void load_pairs(const float* from, Ints at, Floats& first, Floats& second) {
  using Doubles = double __attribute__((vector_size(16)));
  const auto pair = [&](int lane) {
    double two;
    std::memcpy(&two, from + at[lane], sizeof two);
    return two;
  };
  const Doubles ab = {pair(0), pair(1)}, cd = {pair(2), pair(3)};
  const auto low = std::bit_cast<Floats>(ab), high = std::bit_cast<Floats>(cd);
  first = __builtin_shufflevector(low, high, 0, 2, 4, 6);
  second = __builtin_shufflevector(low, high, 1, 3, 5, 7);
}

/// PaceTable::at of four slopes, from its pairs().
inline Floats paces(const float* pairs, Floats slope) {
  constexpr float kMost = PaceTable::kSteepest * PaceTable::kPerUnit;
  slope = of_bits(bits_of(slope) & (slope == slope));  // NaN is level
  const Floats x = smaller(larger(slope, Floats{} - kMost), Floats{} + kMost) + PaceTable::kMiddle;
  const Ints node = __builtin_convertvector(x, Ints);
  Floats value, rise;
  load_pairs(pairs, 2 * node, value, rise);
  return value + (x - __builtin_convertvector(node, Floats)) * rise;
}

/// Eight neighbours: three rows of three; the fourth lane of each row and the middle stand idle.
struct Eight {
  static constexpr int kRows = 3, kReach = 1;
  static constexpr std::array<Step, 16> kLanes = {{{-1, -1},
                                                   {0, -1},
                                                   {1, -1},
                                                   {0, 0},
                                                   {-1, 0},
                                                   {0, 0},
                                                   {1, 0},
                                                   {0, 0},
                                                   {-1, 1},
                                                   {0, 1},
                                                   {1, 1},
                                                   {0, 0},
                                                   {0, 0},
                                                   {0, 0},
                                                   {0, 0},
                                                   {0, 0}}};
  static void gather(const float* at, std::ptrdiff_t cols, Floats (&out)[kRows]) {
    out[0] = load(at - cols - 1);
    out[1] = load(at - 1);
    out[2] = load(at + cols - 1);
  }
  /// Slowness of the cells to that of the steps from a cell of `own`.
  static void mean(float own, Floats (&slowness)[kRows]) {
    for (auto& s : slowness) s = 0.5F * (own + s);
  }
};

/// Sixteen: four of each near row, the outer rows, and what is left of the middle columns.
struct Sixteen {
  static constexpr int kRows = 4, kReach = 2;
  static constexpr std::array<Step, 16> kLanes = {{{-2, -1},
                                                   {-1, -1},
                                                   {0, -1},
                                                   {1, -1},
                                                   {-2, 1},
                                                   {-1, 1},
                                                   {0, 1},
                                                   {1, 1},
                                                   {-1, -2},
                                                   {1, -2},
                                                   {-1, 2},
                                                   {1, 2},
                                                   {-1, 0},
                                                   {1, 0},
                                                   {2, -1},
                                                   {2, 1}}};
  static void gather(const float* at, std::ptrdiff_t cols, Floats (&out)[kRows]) {
    out[0] = load(at - cols - 2);
    out[1] = load(at + cols - 2);
    out[2] = __builtin_shufflevector(load(at - 2 * cols - 1), load(at + 2 * cols - 1), 0, 2, 4, 6);
    const Floats right = {at[2 - cols], at[2 + cols], 0, 0};
    out[3] = __builtin_shufflevector(load(at - 1), right, 0, 2, 4, 5);
  }
  /// As above; a knight's move counts the two cells between as well.
  static void mean(float own, Floats (&slowness)[kRows]) {
    const Floats up = slowness[0], down = slowness[1], side = slowness[3];
    Floats ends[kRows], between[kRows];
    for (int r = 0; r < kRows; ++r) ends[r] = between[r] = own + slowness[r];
    between[0][0] = side[0] + up[1];
    between[1][0] = side[0] + down[1];
    between[2] = __builtin_shufflevector(up, down, 2, 2, 6, 6) +
                 __builtin_shufflevector(up, down, 1, 3, 5, 7);
    between[3][2] = side[1] + up[3];
    between[3][3] = side[1] + down[3];
    for (int r = 0; r < kRows; ++r) slowness[r] = 0.25F * (ends[r] + between[r]);
  }
};

inline const std::array<Step, 16>& lanes(int directions) {
  return directions == 8 ? Eight::kLanes : Sixteen::kLanes;
}
inline bool idle(Step s) { return s.dc == 0 && s.dr == 0; }
/// A knight's move passes between from + long_half and to - long_half; {0, 0} for other steps.
inline Step long_half(Step s) { return {s.dc / 2, s.dr / 2}; }

/// What a step costs, one at a time, in the same operations as the search's lanes and so to the
/// same bit.
class StepPrice {
 public:
  /// `backward`: of walking the step the other way.
  StepPrice(const WalkGraph& graph, const std::vector<float>* hazard_per_min, double weight_s,
            bool backward);

  float run_m(int lane) const { return run_m_[static_cast<size_t>(lane)]; }
  /// Turns a difference of heights into the slope that PaceTable::at takes.
  float per_m(int lane) const { return per_m_[static_cast<size_t>(lane)]; }
  float half_weight() const { return half_weight_; }
  bool weighted() const { return hazard_ != nullptr; }
  const float* hazard() const { return hazard_; }

  float operator()(size_t from, size_t to, int lane) const;
  /// Cost after a step of that price: larger by at least the smallest difference of a float.
  static float after(float cost, float price) {
    const float next = std::bit_cast<float>(std::bit_cast<std::uint32_t>(cost) + 1);
    return std::max(cost + price, next);
  }

 private:
  const WalkGraph& graph_;
  const float* hazard_;
  float half_weight_;  // per minute, and mean of two
  std::array<float, 16> run_m_{}, per_m_{};
  std::array<std::ptrdiff_t, 16> long_half_{};
};

/// Cells around which all that the lanes load lies on the grid.
struct LaneCells {
  std::uint32_t first, count = 0;
  explicit LaneCells(const WalkGraph& graph) {
    const std::uint32_t reach = graph.directions == 8 ? 1 : 2;
    const auto size = static_cast<std::uint32_t>(graph.spec.size());
    first = reach * static_cast<std::uint32_t>(graph.spec.cols) + reach;
    if (size > 2 * first + 2) count = size - 2 * first - 2;
  }
  bool has(std::uint32_t cell) const { return cell - first < count; }
};

/// The times of all steps out of a cell, StepPrice without hazard. L: the lanes of the steps.
/// Sloped: some ground is not level.
template <class L, bool Sloped>
class LaneTimes {
 public:
  LaneTimes(const WalkGraph& graph, const StepPrice& price)
      : graph_(graph), cols_(graph.spec.cols) {
    for (int k = 0; k < 4 * L::kRows; ++k) {
      run_m_[k / 4][k % 4] = price.run_m(k);
      per_m_[k / 4][k % 4] = price.per_m(k);
    }
    level_pace_ = graph.pace.at(0);
  }
  void prefetch(std::uint32_t cell) const {
    for (std::ptrdiff_t r = -L::kReach; r <= L::kReach; ++r) {
      __builtin_prefetch(graph_.slowness.data() + cell + r * cols_);
      if constexpr (Sloped) __builtin_prefetch(graph_.ground_m.cells.data() + cell + r * cols_);
    }
  }
  void operator()(std::uint32_t cell, Floats (&time)[L::kRows]) const {
    const float* slowness = graph_.slowness.data() + cell;
    L::gather(slowness, cols_, time);
    L::mean(*slowness, time);
    for (int r = 0; r < L::kRows; ++r) time[r] *= run_m_[r];
    if constexpr (Sloped) {
      const float* ground_m = graph_.ground_m.cells.data() + cell;
      Floats at[L::kRows];
      L::gather(ground_m, cols_, at);
      for (int r = 0; r < L::kRows; ++r)
        time[r] *= paces(graph_.pace.pairs(), (at[r] - *ground_m) * per_m_[r]);
    } else {
      for (int r = 0; r < L::kRows; ++r) time[r] *= level_pace_;
    }
  }

 private:
  const WalkGraph& graph_;
  std::ptrdiff_t cols_;
  Floats run_m_[L::kRows]{}, per_m_[L::kRows]{};
  float level_pace_ = 1;
};

/// The same, as they were worked out before.
template <class L>
class HeldTimes {
 public:
  explicit HeldTimes(const StepTimes& times) : times_(times) {}
  void prefetch(std::uint32_t cell) const { __builtin_prefetch(times_.of(cell)); }
  void operator()(std::uint32_t cell, Floats (&time)[L::kRows]) const {
    for (int r = 0; r < L::kRows; ++r) time[r] = load(times_.of(cell) + 4 * r);
  }

 private:
  const StepTimes& times_;
};

}  // namespace leeward::compute::steps
