#include "core/compute/plume_line.h"

#include "core/base/multiversion.h"
#include "core/compute/fast_exp.h"
#include "core/compute/plume_parts.h"

#include <algorithm>

namespace leeward::compute {

using namespace plume;

// Mean of the flow at the middle of each of N parts of the line to (dx, dy).
template <int N>
[[gnu::always_inline]] inline void mean_of_parts(const Place& place, float dx, float dy,
                                                 Four& out) {
  const Place p = place;
  const float each_x = dx * p.per_m / N, each_y = dy * p.per_m / N;
  const Located<N> there(
      p, [&](int k, float& x, float& y) __attribute__((always_inline)) {
        x = p.x0 + (static_cast<float>(k) + 0.5F) * each_x;
        y = p.y0 - (static_cast<float>(k) + 0.5F) * each_y;
      });
  out = Four{};
  for (int k = 0; k < N; ++k) out += there.mean(p, k);
  out *= 1.0F / N;
}
LEEWARD_CLONES static Four mean_along(const Place& place, float dx, float dy, int parts) {
  Four out;
  if (parts == 8) {
    mean_of_parts<8>(place, dx, dy, out);
  } else if (parts == 16) {
    mean_of_parts<16>(place, dx, dy, out);
  } else {
    mean_of_parts<32>(place, dx, dy, out);
  }
  return out;
}

double exposure_along(const PlumeTable& table, const Flow::Cell& mean, float dx, float dy) {
  const float far = std::sqrt(dx * dx + dy * dy), r = std::max(far, kLeastDistance);
  const float ring = std::max(0.0F, ring_coordinate(r));
  const int i = std::min(static_cast<int>(ring), table.rings() - 2);
  const float place = std::clamp(fast_log2(mean.speed / kSlowest) * kSpeedStepsPerOctave, 0.0F,
                                 static_cast<float>(PlumeTable::kSpeeds) - 1.001F);
  const size_t c = static_cast<size_t>(place);
  const float w = place - static_cast<float>(c), t = ring - static_cast<float>(i);
  const auto in = [&](int at) {
    const float* row = table.row(at)[c].data();
    return mix_of(row, row + PlumeTable::kCell, w, mean.timber);
  };
  const Four said = mix(in(i), in(i + 1), t);  // log_peak, kappa, rest
  const float along = (dx * mean.east + dy * mean.north) /
                      (r * std::sqrt(mean.east * mean.east + mean.north * mean.north) + 1e-9F);
  const float value = fast_exp(said[0] + said[1] * ((far > 0 ? along : 1) - 1)) + said[2];
  return static_cast<double>(value / (r * r));
}

std::vector<double> exposures(const Flow& flow, const PlumeTable& table, LocalXY source,
                              const std::vector<LocalXY>& places, Run run) {
  const Place from = place_of(flow, source, run);
  std::vector<double> out(places.size(), 0.0);
  for (size_t k = 0; k < places.size(); ++k) {
    const float dx = static_cast<float>(places[k].x - source.x),
                dy = static_cast<float>(places[k].y - source.y);
    const float far = std::sqrt(dx * dx + dy * dy);
    if (static_cast<double>(far) >= table.reach_m()) continue;
    const Four wind = mean_along(from, dx, dy, parts_of_line(far));
    out[k] =
        exposure_along(table, {from.sign * wind[0], from.sign * wind[1], wind[2], wind[3]}, dx, dy);
  }
  return out;
}

}  // namespace leeward::compute
