#include "core/compute/plume_line.h"

#include "core/base/multiversion.h"

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
