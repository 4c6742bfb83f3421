// exp for the inner loops, in a form that the compiler turns into vector code.
#pragma once

#include <bit>
#include <cstdint>

namespace leeward::compute {

/// e^x in float; relative error below 3e-7 for x in [-87, 88]; smaller x give 0, larger are
/// clamped. Cody-Waite reduction with a degree-6 polynomial (Taylor remainder of 2^f on [-0.5, 0.5]
/// ln 2).
inline float fast_exp(float x) {
  const float clamped = x < -87.0F ? -87.0F : (x > 88.0F ? 88.0F : x);
  // Round to nearest by adding and taking off 1.5 * 2^23.
  const float shifted = clamped * 1.44269504F + 12582912.0F;
  const float n = shifted - 12582912.0F;
  const float f = (clamped - n * 0.693359375F) - n * -2.12194440e-4F;
  float p = 1.0F / 720.0F;
  p = p * f + 1.0F / 120.0F;
  p = p * f + 1.0F / 24.0F;
  p = p * f + 1.0F / 6.0F;
  p = p * f + 0.5F;
  p = p * f + 1.0F;
  p = p * f + 1.0F;
  const std::int32_t bits = (std::bit_cast<std::int32_t>(shifted) - 0x4B400000 + 127) << 23;
  const float scaled = p * std::bit_cast<float>(bits);
  return x < -87.0F ? 0.0F : scaled;
}

}  // namespace leeward::compute
