// The wind over the land, the flows that carry scent, and the sky ahead.
#include "core/base/parallel.h"
#include "core/eval/air.h"
#include "core/eval/engine_run.h"

#include <algorithm>

namespace leeward {

Ref<Raster<float>> Evaluation::wind_cover() {
  const Ref<Raster<float>> now = *cache_.wind_cover.get(
      land_, [&]() -> Result<Raster<float>> { return land_wind_cover(*land_); });
  Ref<Raster<float>>& same = cache_.same_wind_cover;
  if (!same || !(same->spec == now->spec) || same->cells != now->cells) same = now;
  return same;
}

Status Evaluation::find_winds(const std::vector<size_t>& ratios) {
  const EngineCache::WindKey key{run_.in.terrain, wind_cover(), grid_};
  std::vector<size_t> missing;
  for (const size_t n : ratios)
    if (!cache_.wind[n].turn.holds(key)) missing.push_back(n);
  std::vector<LandTurn> solved;
  if (run_.in.in_full && !missing.empty()) {
    const Ref<Raster<float>> ground = *cache_.wind_ground.get(
        {run_.in.terrain, grid_},
        [&]() -> Result<Raster<float>> { return land_wind_ground(*run_.in.terrain, grid_); });
    const auto solver = cache_.wind_solver.get(
        {ground, grid_, missing}, [&] { return land_wind_solver(*ground, grid_, missing); });
    if (!solver) return solver.error();
    auto turns = solve_land_turns(**solver, *std::get<1>(key), grid_, run_.stop);
    if (!turns) return std::move(turns.error());
    solved = *std::move(turns);
  }
  for (const size_t n : ratios) {
    auto& known = cache_.wind[n];
    const auto at = std::find(missing.begin(), missing.end(), n);
    if (at != missing.end() && solved.empty()) {
      results_.wind_pending = results_.interim = true;
      const bool same_ground =
          known.last && std::get<0>(known.of) == run_.in.terrain && std::get<2>(known.of) == grid_;
      if (same_ground) turn_[n] = known.last;
      continue;
    }
    turn_[n] = known.last = *known.turn.get(key, [&]() -> Result<LandTurn> {
      return std::move(solved[static_cast<size_t>(at - missing.begin())]);
    });
    known.of = key;
  }
  return ok();
}

AirInputs Evaluation::air_inputs(size_t side) const {
  return {*air_ground_, *air_cover_, turn_, slope_[side].get(), air_at(side), j_};
}

EngineCache::FlowKey Evaluation::flow_key(size_t side) const {
  return {air_ground_, air_cover_, turn_, slope_[side], key_of(air_at(side))};
}

Status Evaluation::make_air() {
  auto ground = cache_.air_ground.get({run_.in.terrain, grid_}, [&] {
    return make_air_ground(*run_.in.terrain, grid_, run_.stop);
  });
  if (!ground) return std::move(ground.error());
  air_ground_ = *ground;
  std::vector<size_t> ratios;
  for (size_t ratio = 0; ratio < kRatioCount && !air_ground_->ground.empty(); ++ratio)
    if (ratio_weights(results_.air.stability_index)[ratio] > 0 ||
        ratio_weights(results_.air_leave.stability_index)[ratio] > 0)
      ratios.push_back(ratio);
  if (!ratios.empty())
    if (Status found = find_winds(ratios); !found) return found;
  // A quick answer keeps the whole of the last wind, not only what the land does to it.
  const Ref<AirCover> last = cache_.last_air_cover;
  if (results_.wind_pending && last && last->timber.spec == air_grid(grid_)) {
    air_cover_ = last;
  } else {
    air_cover_ = cache_.last_air_cover =
        *cache_.air_cover.get(land_, [&]() -> Result<AirCover> { return make_air_cover(*land_); });
  }
  for (size_t side = 0; side < 2; ++side) {
    const SunNow& sun = side == 0 ? results_.sun : results_.sun_leave;
    const HourSky sky = hour_sky(air_at(side), sun, hour_before_[side], cache_.convergence_deg);
    if (air_ground_->ground.empty() || compute::ambient_share(sky.slope.ambient_mps) <= 0) continue;
    auto slope = cache_.slope[side].get(
        {air_ground_, sky}, [&] { return hour_slope_air(*air_ground_, sky, run_.stop); });
    if (!slope) return std::move(slope.error());
    slope_[side] = *slope;
  }
  make_flows();
  make_sitters();
  look_ahead();
  return run_.stop.stop_requested() ? Status(fail(ErrorCode::cancelled, "cancelled")) : ok();
}

void Evaluation::make_flows() {
  std::array<bool, kCarryHeights_m.size()> sat = {};  // heights at which somebody sits
  for (const auto& f : run_.doc().of(Kind::stand)) sat[carry_height(scent_height(*f))] = true;
  constexpr int kHeights = static_cast<int>(kCarryHeights_m.size());
  for_each_index(kHeights + 1, [&](int i) {
    const size_t side = i == kHeights ? 1 : 0, height = i == kHeights ? 0 : static_cast<size_t>(i);
    if (height > 0 && !sat[height]) return;
    const AirNow& air = air_at(side);
    response_[side][height] = *cache_.response[side][height].get(
        {air_ground_, air_cover_, turn_, slope_[side], air.stability_index},
        [&]() -> Result<compute::WindResponse> { return wind_response(air_inputs(side), height); });
    flow_[side][height] =
        *cache_.flow[side][height].get(flow_key(side), [&]() -> Result<compute::Flow> {
          return response_[side][height]->flow(upwind_mps(air, air.from));
        });
    if (height > 0) return;
    const compute::PlumeAir plume = plume_air(air_at(side), 1.0, j_);
    walker_[side] = *cache_.walker[side].get(plume, [&]() -> Result<compute::PlumeTable> {
      return compute::PlumeTable(plume, kWalkerScentReach_m);
    });
  });
  const std::tuple map_key{flow_key(0), results_.sun.altitude_deg};
  results_.air_map = *cache_.air_map.get(map_key, [&]() -> Result<AirMap> {
    return make_air_map(air_inputs(0), *flow_[0][0], results_.sun);
  });
}

void Evaluation::make_sitters() {
  std::vector<double> heights;
  for (const auto& f : run_.doc().of(Kind::stand)) heights.push_back(scent_height(*f));
  std::sort(heights.begin(), heights.end());
  heights.erase(std::unique(heights.begin(), heights.end()), heights.end());
  std::erase_if(cache_.sitters, [&](const auto& e) {
    return !std::binary_search(heights.begin(), heights.end(), e.first);
  });
  for (const double h : heights) cache_.sitters[h], sitters_[h];
  for_each_index(static_cast<int>(heights.size()), [&](int i) {
    const double height_m = heights[static_cast<size_t>(i)];
    const compute::PlumeAir air = plume_air(results_.air, height_m, j_);
    sitters_.at(height_m) = *cache_.sitters.at(height_m).get(
        air, [&]() -> Result<compute::PlumeTable> { return compute::PlumeTable(air); });
  });
}

void Evaluation::look_ahead() {
  const Document& d = run_.doc();
  const Settings& settings = *d.settings;
  const Instant arrive = run_.in.scene.arrive;
  sky_ahead_ = *cache_.sky_ahead.get(
      {arrive, cache_.place, cache_.convergence_deg, d.wind_hours, settings.use_hand_wind,
       settings.hand_wind.speed_mps, settings.hand_wind.cloud},
      [&]() -> Result<SkyAhead> {
        SkyAhead out;
        for (int step = 0; step <= kSkySteps; ++step) {
          const Instant at = arrive + step * kSkyStep;
          const SunNow sun = sun_now(at, cache_.place);
          const AirNow air = air_of(d, at, sun, cache_.convergence_deg);
          out.moments.push_back(
              {at,
               {sun.altitude_deg, Bearing::degrees(sun.azimuth_deg - cache_.convergence_deg)},
               air.speed_10m_mps,
               air.cloud});
        }
        return out;
      });
}

}  // namespace leeward
