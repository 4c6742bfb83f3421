// A straight line that scent takes from a source to a place. For scent_plume.cpp and
// wind_response.cpp alone.
#pragma once

#include "core/compute/fast_exp.h"
#include "core/compute/plume_parts.h"

#include <algorithm>

namespace leeward::compute {

inline constexpr float kLongestPart_m = 25;
/// A line is followed in 8, 16 or 32 parts.
inline int parts_of_line(float length_m) {
  return length_m <= 8 * kLongestPart_m ? 8 : length_m <= 16 * kLongestPart_m ? 16 : 32;
}

/// Exposure at the end of a line (dx, dy) from the source, over which the wind is `mean` (as a cell
/// of a Flow; toward where the scent goes).
[[gnu::always_inline]] inline double exposure_along(const PlumeTable& table, const Flow::Cell& mean,
                                                    float dx, float dy) {
  using namespace plume;
  const float far = std::sqrt(dx * dx + dy * dy), r = std::max(far, kLeastDistance);
  const float ring = std::max(0.0F, ring_coordinate(r));
  const int i = std::min(static_cast<int>(ring), table.rings() - 2);
  const float place = std::clamp(fast_log2(mean.speed / kSlowest) * kSpeedStepsPerOctave, 0.0F,
                                 static_cast<float>(PlumeTable::kSpeeds) - 1.001F);
  const size_t c = static_cast<size_t>(place);
  const float w = place - static_cast<float>(c), t = ring - static_cast<float>(i);
  const auto in = [&](int at) __attribute__((always_inline)) {
    const float* row = table.row(at)[c].data();
    return mix_of(row, row + PlumeTable::kCell, w, mean.timber);
  };
  const Four said = mix(in(i), in(i + 1), t);  // log_peak, kappa, rest
  const float along = (dx * mean.east + dy * mean.north) /
                      (r * std::sqrt(mean.east * mean.east + mean.north * mean.north) + 1e-9F);
  const float value = fast_exp(said[0] + said[1] * ((far > 0 ? along : 1) - 1)) + said[2];
  return static_cast<double>(value / (r * r));
}

}  // namespace leeward::compute
