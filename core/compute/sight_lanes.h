// Eight floats side by side, in the compiler's vector extension: the same bits on every machine,
// one register under AVX. All functions here take references and are inlined into their caller, so
// that each clone of a multiversioned function gets its own.
#pragma once

#include <cstdint>
#include <cstring>

namespace leeward::compute::lanes {

inline constexpr int kLanes = 8;
using Floats = float __attribute__((vector_size(32)));
using Ints = std::int32_t __attribute__((vector_size(32)));
// May stand at any float.
using LooseFloats = float __attribute__((vector_size(32), aligned(4), may_alias));
using LooseInts = std::int32_t __attribute__((vector_size(32), aligned(4), may_alias));

#define LEEWARD_INLINE [[gnu::always_inline]] inline

LEEWARD_INLINE void load(Floats& out, const float* from) {
  out = *reinterpret_cast<const LooseFloats*>(from);
}
LEEWARD_INLINE void store(float* to, const Floats& from) {
  *reinterpret_cast<LooseFloats*>(to) = from;
}
LEEWARD_INLINE void load(Ints& out, const std::int32_t* from) {
  out = *reinterpret_cast<const LooseInts*>(from);
}
LEEWARD_INLINE void store(std::int32_t* to, const Ints& from) {
  *reinterpret_cast<LooseInts*>(to) = from;
}

LEEWARD_INLINE bool any_set(const Ints& of) {
  std::uint64_t bits[4];
  static_assert(sizeof bits == sizeof of);
  std::memcpy(bits, &of, sizeof bits);
  return ((bits[0] | bits[1]) | (bits[2] | bits[3])) != 0;
}

inline constexpr int kBytes = 4 * kLanes;
using Bytes = std::uint8_t __attribute__((vector_size(kBytes)));
// The low bytes of four times eight, one after the other: a conversion is taken apart lane by lane.
LEEWARD_INLINE void low_bytes(const Ints (&of)[4], Bytes& out) {
  // Of four bytes in each of four lanes, the first of each lane come first, and so on.
  constexpr Bytes kByCell = {0,  4,  8,  12, 1,  5,  9,  13, 2,  6,  10, 14, 3,  7,  11, 15,
                             16, 20, 24, 28, 17, 21, 25, 29, 18, 22, 26, 30, 19, 23, 27, 31};
  constexpr Ints kHalves = {0, 4, 1, 5, 2, 6, 3, 7};
  const Ints joined =
      (of[0] & 0xFF) | ((of[1] & 0xFF) << 8) | ((of[2] & 0xFF) << 16) | (of[3] << 24);
  const Bytes by_cell = __builtin_shuffle(reinterpret_cast<Bytes>(joined), kByCell);
  out = reinterpret_cast<Bytes>(__builtin_shuffle(reinterpret_cast<Ints>(by_cell), kHalves));
}

}  // namespace leeward::compute::lanes
