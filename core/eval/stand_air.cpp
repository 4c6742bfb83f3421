#include "core/eval/stand_air.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace leeward {
namespace {

constexpr double kTrailStep_m = 5;
constexpr std::array<double, 6> kSwings_deg = {10, 20, 30, 45, 60, 90};  // to either side
constexpr double kWidestBand = 3.2;                                      // 2.5 to the power of 1.28
constexpr double kSeenEnough = 0.5;
constexpr double kDrains_mps = 0.1;
constexpr double kShadeReach_m = 2000;

// The areas that some wind from `at` would give more than `limit`.
std::vector<const DeerArea*> in_danger(const std::vector<DeerArea>& areas,
                                       const compute::PlumeTable& table, LocalXY at, double limit) {
  std::vector<const DeerArea*> out;
  for (const DeerArea& a : areas) {
    double most = 0;
    if (a.occupancy > 0)
      for (const LocalXY p : a.samples) most += table.most_at(distance_m(at, p));
    if (a.occupancy * most > limit * static_cast<double>(a.samples.size())) out.push_back(&a);
  }
  return out;
}

std::vector<LocalXY> samples_of(const std::vector<const DeerArea*>& areas) {
  std::vector<LocalXY> out;
  for (const DeerArea* a : areas) out.insert(out.end(), a->samples.begin(), a->samples.end());
  return out;
}

// What deer in each area get, in the order of `areas`: mean over its samples times occupancy.
std::vector<double> felt(const std::vector<double>& exposure,
                         const std::vector<const DeerArea*>& areas) {
  std::vector<double> out;
  size_t at = 0;
  for (const DeerArea* a : areas) {
    double sum = 0;
    for (size_t n = 0; n < a->samples.size(); ++n) sum += exposure[at++];
    out.push_back(a->occupancy * sum / static_cast<double>(a->samples.size()));
  }
  return out;
}

struct Passed {
  double swing_deg = SwingMargin::kMost_deg;
  Uid area;
};

// `before` and `after`: what the areas get at the swings `from` and `to`.
void first_passed(const std::vector<double>& before, const std::vector<double>& after, double from,
                  double to, const std::vector<const DeerArea*>& areas, double limit, Passed& out) {
  for (size_t a = 0; a < areas.size(); ++a) {
    if (after[a] <= limit) continue;
    const double low = std::log(std::max(before[a], limit * 1e-3)), high = std::log(after[a]);
    const double t = std::clamp((std::log(limit) - low) / (high - low), 0.0, 1.0);
    const double swing = from + t * (to - from);
    if (out.area.empty() || swing < out.swing_deg) out = {swing, areas[a]->uid};
  }
}

bool ground_hides(const Raster<float>& ground, LocalXY at, const compute::Sun& sun) {
  if (sun.altitude_deg <= 0) return true;
  const float here = sample(ground, at);
  if (std::isnan(here)) return false;
  const double rise = std::tan(sun.altitude_deg * kRadPerDeg);
  const LocalXY step{ground.spec.cell_m * sun.toward.east(),
                     ground.spec.cell_m * sun.toward.north()};
  LocalXY p = at;
  for (int n = 1; n * ground.spec.cell_m < kShadeReach_m; ++n) {
    p = p + step;
    if (!ground.spec.contains(p)) return false;
    // NaN over unknown ground compares false.
    if (static_cast<double>(ground.value_or(p, kUnknown) - here) > rise * n * ground.spec.cell_m)
      return true;
  }
  return false;
}

}  // namespace

std::vector<LocalXY> centres_of(const AreaCells& area_cells, const GridSpec& grid) {
  std::vector<LocalXY> out;
  const size_t cols = static_cast<size_t>(grid.cols);
  for (const auto& cells : area_cells)
    for (const size_t i : cells)
      out.push_back(grid.centre(static_cast<int>(i % cols), static_cast<int>(i / cols)));
  return out;
}

// Adds up and finds the largest of `count` values, four at a time.
static void add_up(const float* values, size_t count, ScentOn& on) {
  std::array<double, 4> sum = {};
  std::array<float, 4> worst = {};
  size_t i = 0;
  for (; i + 4 <= count; i += 4)
    for (size_t k = 0; k < 4; ++k) {
      sum[k] += static_cast<double>(values[i + k]);
      worst[k] = std::max(worst[k], values[i + k]);
    }
  for (; i < count; ++i) {
    sum[0] += static_cast<double>(values[i]);
    worst[0] = std::max(worst[0], values[i]);
  }
  on.exposure = (sum[0] + sum[1]) + (sum[2] + sum[3]);
  on.worst = static_cast<double>(*std::max_element(worst.begin(), worst.end()));
}

namespace {

// `exposure`: at each cell of the area.
ScentOn scent_on_area(const compute::ScentPlume& plume, const DeerArea& a, const float* exposure,
                      size_t cells) {
  ScentOn on{a.uid, a.kind, a.occupancy, 0, 0, 0, 0};
  add_up(exposure, cells, on);
  if (cells > 0) on.exposure /= static_cast<double>(cells);
  double middle = 0, low = 0, high = 0;
  for (const DeerPatch& p : a.patches) {
    const compute::ScentBand b = plume.band_at(p.middle);
    middle += b.exposure, low += b.low, high += b.high;
  }
  // Patches beyond the reach say nothing: the widest factor of ScentPlume::band_at.
  on.low = on.exposure * (middle > 0 ? low / middle : 1 / kWidestBand);
  on.high = on.exposure * (middle > 0 ? high / middle : kWidestBand);
  return on;
}

void put_worst_first(std::vector<ScentOn>& list) {
  std::stable_sort(list.begin(), list.end(), [](const ScentOn& a, const ScentOn& b) {
    return a.exposure * a.occupancy > b.exposure * b.occupancy;
  });
}

bool same_ground(const DeerArea& a, const DeerArea& b) {
  return a.feature == b.feature && a.uid == b.uid && a.samples == b.samples &&
         a.patches == b.patches;
}

}  // namespace

std::vector<ScentOn> scent_on_areas(const compute::ScentPlume& plume,
                                    const std::vector<DeerArea>& areas, const AreaCells& area_cells,
                                    const compute::PolarPlaces& where) {
  const std::vector<float> exposure = plume.at(where);
  const float* next = exposure.data();
  std::vector<ScentOn> out;
  out.reserve(areas.size());
  for (size_t n = 0; n < areas.size(); ++n) {
    out.push_back(scent_on_area(plume, areas[n], next, area_cells[n].size()));
    next += area_cells[n].size();
  }
  put_worst_first(out);
  return out;
}

std::vector<ScentOn> scent_on_again(const compute::ScentPlume& plume,
                                    const std::vector<DeerArea>& areas, const AreaCells& cells,
                                    const GridSpec& grid, const std::vector<DeerArea>& areas_before,
                                    const std::vector<ScentOn>& before) {
  std::map<Uid, const ScentOn*> known;
  for (const ScentOn& on : before) known[on.area] = &on;
  std::vector<ScentOn> out;
  out.reserve(areas.size());
  for (size_t n = 0; n < areas.size(); ++n) {
    const DeerArea& a = areas[n];
    const bool in_place = n < areas_before.size() && areas_before[n].uid == a.uid;
    const auto was = in_place ? areas_before.begin() + static_cast<std::ptrdiff_t>(n)
                              : std::find_if(areas_before.begin(), areas_before.end(),
                                             [&](const DeerArea& b) { return b.uid == a.uid; });
    if (was != areas_before.end() && same_ground(*was, a)) {
      out.push_back(*known.at(a.uid));
      out.back().occupancy = a.occupancy;
    } else {
      const std::vector<float> exposure =
          plume.at(compute::PolarPlaces(centres_of({cells[n]}, grid), plume.source()));
      out.push_back(scent_on_area(plume, a, exposure.data(), exposure.size()));
    }
  }
  put_worst_first(out);
  return out;
}

SwingMargin swing_margin(const std::vector<ScentOn>& now, const compute::WindResponse& response,
                         const compute::PlumeTable& table, const AirNow& air, LocalXY at,
                         const std::vector<DeerArea>& all, double limit) {
  SwingMargin out;
  const auto unturned_of = [&](const DeerArea& a) {
    const auto s =
        std::find_if(now.begin(), now.end(), [&](const ScentOn& on) { return on.area == a.uid; });
    return s == now.end() ? 0 : s->exposure * s->occupancy;
  };
  std::vector<double> unturned;
  const auto over = [&](const ScentOn& on) { return on.exposure * on.occupancy > limit; };
  if (std::any_of(now.begin(), now.end(), over))
    for (const DeerArea& a : all)
      if (unturned_of(a) > limit) return {true, 0, 0, a.uid, a.uid};
  const std::vector<const DeerArea*> areas = in_danger(all, table, at, limit);
  for (const DeerArea* a : areas) unturned.push_back(unturned_of(*a));
  const compute::TurnedLines lines(response, table, at, samples_of(areas));
  for (const double sign : {1.0, -1.0}) {
    Passed passed;
    std::vector<double> before = unturned;
    double from = 0;
    for (const double to : kSwings_deg) {
      const WindFrom turned(air.from.source().turned_deg(sign * to));
      std::vector<double> after = felt(lines.exposures(upwind_mps(air, turned)), areas);
      first_passed(before, after, from, to, areas, limit, passed);
      if (!passed.area.empty()) break;
      before = std::move(after);
      from = to;
    }
    (sign > 0 ? out.veer_deg : out.back_deg) = passed.swing_deg;
    (sign > 0 ? out.veer_area : out.back_area) = passed.area;
  }
  return out;
}

TrailPlaces trail_places(const Rows<Feature>& trails) {
  TrailPlaces out;
  for (const auto& f : trails) {
    const Path line = densified(f->shape.path(), kTrailStep_m);
    const size_t begin = out.at.size();
    double length_m = 0;
    for (size_t i = 0; i < line.size(); ++i) {
      if (i > 0) length_m += distance_m(line[i - 1], line[i]);
      out.at.push_back(line[i]);
      out.along_m.push_back(length_m);
    }
    out.trails.push_back({f->uid, f->as<DeerTrailAttrs>().direction, begin, out.at.size()});
  }
  return out;
}

std::vector<TrailMeeting> trail_meetings(const TrailPlaces& places, const std::vector<float>& scent,
                                         const Raster<std::uint8_t>& sight, LocalXY at,
                                         double reach_m, double limit) {
  std::vector<TrailMeeting> out;
  for (const TrailPlaces::Trail& trail : places.trails) {
    // Metres from the start to the first and last place of each.
    struct Found {
      std::optional<double> first, last;
      void at(double along_m) {
        if (!first) first = along_m;
        last = along_m;
      }
    } reach, smell;
    for (size_t i = trail.begin; i < trail.end; ++i) {
      const LocalXY p = places.at[i], d = p - at;
      if (d.x * d.x + d.y * d.y <= reach_m * reach_m && sight.value_or(p, 0) >= kSeenEnough * 255)
        reach.at(places.along_m[i]);
      if (static_cast<double>(scent[i]) > limit) smell.at(places.along_m[i]);
    }
    if (!reach.first && !smell.first) continue;
    for (const bool from_start : {true, false}) {
      if (trail.direction ==
          (from_start ? TrailDirection::toward_start : TrailDirection::toward_end))
        continue;
      TrailMeeting m{trail.uid, from_start, TrailMeeting::First::neither, 0};
      // How much later they are smelt than in reach.
      double later_m = 0;
      if (reach.first && smell.first) {
        later_m = from_start ? *smell.first - *reach.first : *reach.last - *smell.last;
        m.before_m = std::abs(later_m);
      }
      m.first = !smell.first                ? TrailMeeting::First::reach
                : !reach.first              ? TrailMeeting::First::scent
                : m.before_m < kTrailStep_m ? TrailMeeting::First::together
                : later_m > 0               ? TrailMeeting::First::reach
                                            : TrailMeeting::First::scent;
      out.push_back(m);
    }
  }
  return out;
}

LocalAir local_air(const compute::Flow& flow, const AirMap& map, const compute::PlumeAir& air,
                   LocalXY at) {
  LocalAir out;
  const compute::Flow::Cell here = flow.at(at);
  out.speed_mps = std::hypot(static_cast<double>(here.east), static_cast<double>(here.north));
  out.toward = Bearing::of(static_cast<double>(here.east), static_cast<double>(here.north));
  out.spread_deg =
      compute::plume_spread_rad(air, out.speed_mps, static_cast<double>(here.timber)) * kDegPerRad;
  const float se = sample(map.slope_east, at), sn = sample(map.slope_north, at);
  if (!std::isnan(se) && !std::isnan(sn)) {
    out.slope_mps = std::hypot(static_cast<double>(se), static_cast<double>(sn));
    out.slope_toward = Bearing::of(static_cast<double>(se), static_cast<double>(sn));
  }
  out.doubt = map.doubt.value_or(at, 0);
  return out;
}

std::optional<Bearing> downhill(const AirGround& ground, LocalXY at) {
  if (ground.ground.empty()) return std::nullopt;
  const float e = sample(ground.places.slope_east, at), n = sample(ground.places.slope_north, at);
  if (std::isnan(e) || std::isnan(n) || std::hypot(e, n) < 0.01F) return std::nullopt;
  return Bearing::of(-static_cast<double>(e), -static_cast<double>(n));
}

std::optional<Instant> drains_from(const AirGround& ground, LocalXY at, const SkyAhead& sky) {
  if (!downhill(ground, at)) return std::nullopt;
  const double e = static_cast<double>(sample(ground.places.slope_east, at)),
               n = static_cast<double>(sample(ground.places.slope_north, at));
  const double tangent = std::hypot(e, n);
  const double to_ridge = static_cast<double>(sample(ground.places.to_ridge_m, at)),
               ridge = static_cast<double>(sample(ground.places.ridge_height_m, at));
  const auto drains = [&](const SkyAhead::Moment& m) {
    const double heat =
        compute::sensible_heat_w_m2(compute::sunlight_w_m2(compute::sunshine(m.sun, m.cloud), e, n,
                                                           ground_hides(ground.ground, at, m.sun)),
                                    m.cloud);
    return compute::ambient_share(m.speed_10m_mps) *
               compute::downslope_speed(heat, to_ridge, ridge, tangent / std::hypot(1, tangent)) >
           kDrains_mps;
  };
  const auto first = std::find_if(sky.moments.begin(), sky.moments.end(), drains);
  if (first == sky.moments.begin() || first == sky.moments.end()) return std::nullopt;
  return first->at;
}

Uid area_toward(const std::vector<DeerArea>& areas, LocalXY at, Bearing toward) {
  Uid best;
  double best_m = 400;
  for (const DeerArea& a : areas)
    for (const LocalXY p : a.samples) {
      const double d = distance_m(at, p);
      if (d >= best_m || d < 1 || std::abs(turn_deg(toward, bearing(at, p))) > 45) continue;
      best_m = d;
      best = a.uid;
    }
  return best;
}

}  // namespace leeward
