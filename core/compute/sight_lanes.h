// Eight floats side by side, in the compiler's vector extension: the same bits on every machine,
// one register under AVX. All functions here take references and are inlined into their caller, so
// that each clone of a multiversioned function gets its own.
#pragma once

#include <cstdint>

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

}  // namespace leeward::compute::lanes
