#include "core/eval/stand_light.h"

#include "core/eval/results.h"

#include <algorithm>

namespace leeward {
namespace {

constexpr std::chrono::minutes kStep{5};

// The lines that lie against the low sun at one instant, into spans.
void note(std::vector<GlareOn>& out, const std::vector<InReach>& in_reach,
          const std::vector<compute::Glare>& found, Instant at) {
  for (const compute::Glare& g : found) {
    const Uid& uid = in_reach[g.line].feature;
    const auto it =
        std::find_if(out.begin(), out.end(), [&](const GlareOn& o) { return o.feature == uid; });
    if (it == out.end()) {
      out.push_back({uid, g.angle_deg, at, at});
    } else {
      it->until = at;
      it->angle_deg = std::min(it->angle_deg, g.angle_deg);
    }
  }
}

}  // namespace

StandLight stand_light(const compute::HorizonProfile& horizon,
                       const std::vector<compute::SunSpan>& sun, LonLat place,
                       double convergence_deg, const std::vector<InReach>& in_reach,
                       double glare_within_deg, Instant arrive, Instant leave) {
  StandLight out;
  out.known = true;
  out.sun = sun;
  std::vector<compute::SightLine> lines;
  for (const InReach& r : in_reach) lines.push_back({r.bearing, r.depression_deg});
  compute::GlareLimits dazzle, lit;
  dazzle.within_deg = glare_within_deg;
  lit.within_deg = kLitWithin_deg;
  for (Instant t = arrive; t <= leave; t += kStep) {
    const compute::GridSun now = compute::grid_sun(t, place, convergence_deg);
    if (now.altitude_deg < -1 || now.altitude_deg > dazzle.low_sun_deg) continue;
    note(out.glare, in_reach, compute::lines_in_glare(lines, now, horizon, dazzle), t);
    note(out.lit, in_reach, compute::lines_in_glare(lines, now, horizon, lit), t);
  }
  return out;
}

MoonDay moon_of(Instant at, const std::string& time_zone, LonLat place) {
  const CivilDay day = civil_day(at, time_zone);
  return {compute::moon_phase(at), compute::moon_times(day.start, day.end, place)};
}

}  // namespace leeward
