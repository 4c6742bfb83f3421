// Deer areas and the hazard of walking past them.
#include "core/base/parallel.h"
#include "core/eval/deer_use.h"
#include "core/eval/engine_run.h"

#include <algorithm>
#include <atomic>

namespace leeward {

bool Evaluation::make_senses(const DeerArea& a, size_t at, Senses& out) {
  AreaCache& cache = cache_.of_area.at(a.uid);
  const GridSpec coarse = coarse_grid(grid_);
  std::vector<AreaCache::SampleSight> from;
  cache.from_sample.resize(a.samples.size());
  for (size_t n = 0; n < a.samples.size(); ++n) {
    auto seen =
        cache.from_sample[n].from(a.samples[n], *land_, cache_.land.land_changes(), j_, run_.stop);
    if (!seen) return false;
    from.push_back(*seen);
  }
  out.sight[at] = *cache.sight.get({from, a.samples}, [&]() -> Result<AreaSight> {
    return make_area_sight(grid_, a, from, j_);
  });
  out.sound[at] = *cache.sound.get({a.feature, a.samples, coarse}, [&]() -> Result<AreaSound> {
    return make_area_sound(coarse, a, j_);
  });
  const Ref<AreaPlaces> places = *cache.places.get(
      {a.patches, coarse},
      [&]() -> Result<AreaPlaces> { return area_places(coarse, a, kWalkerScentReach_m); });
  const auto key = [&](size_t side) {
    return AreaCache::ScentKey{flow_[side][0], walker_[side], places};
  };
  std::array<AreaScent, 2> both;
  const bool turned = !cache.scent[0].holds(key(0)) && !cache.scent[1].holds(key(1));
  if (turned)
    both =
        make_both_area_scents({flow_[0][0], flow_[1][0]}, walker_, *places, j_.scent_exposure_cap);
  for (size_t side = 0; side < 2; ++side)
    out.scent[side][at] = *cache.scent[side].get(key(side), [&]() -> Result<AreaScent> {
      if (turned) return std::move(both[side]);
      return make_area_scent(*flow_[side][0], *walker_[side], *places, j_.scent_exposure_cap);
    });
  return true;
}

EngineCache::GapKey Evaluation::gap_key() const {
  return {land_, run_.rows(Kind::bedding), run_.rows(Kind::food), run_.rows(Kind::barrier)};
}

Status Evaluation::count_gaps() {
  const auto counted = cache_.gaps.get_or_keep(
      gap_key(), [&] { return gap_uses(run_.doc(), *land_, j_, run_.stop); });
  return counted ? ok() : Status(counted.error());
}

Status Evaluation::find_gaps() {
  if (run_.in.in_full && !cache_.gaps.value())
    if (Status counted = count_gaps(); !counted) return counted;
  gaps_ = cache_.gaps.value() ? cache_.gaps.value() : make_ref<std::vector<GapUse>>();
  gaps_due_ = !cache_.gaps.holds(gap_key());
  if (!gaps_due_) return ok();
  if (!run_.in.in_full) results_.gaps_pending = results_.interim = true;
  // What was drawn since may have taken a barrier or a gap away.
  std::vector<GapUse> still;
  for (const GapUse& g : *gaps_) {
    const Ref<Feature> f = run_.doc().find(g.barrier);
    if (f && f->kind() == Kind::barrier && g.gap < f->as<BarrierAttrs>().gaps.size())
      still.push_back(g);
  }
  if (still.size() != gaps_->size()) gaps_ = make_ref<std::vector<GapUse>>(std::move(still));
  return ok();
}

Status Evaluation::make_hazards() {
  if (Status found = find_gaps(); !found) return found;
  results_.gaps = *gaps_;
  auto areas = cache_.areas.get_or_keep(
      {run_.rows(Kind::bedding), run_.rows(Kind::food), run_.rows(Kind::deer_trail),
       run_.rows(Kind::barrier), gaps_},
      [&]() -> Result<std::vector<DeerArea>> { return deer_areas(run_.doc(), *gaps_); });
  if (!areas) return std::move(areas.error());
  const std::vector<DeerArea>& list = **areas;
  area_cells_ = *cache_.area_cells.get_or_keep(
      {*areas, grid_}, [&]() -> Result<AreaCells> { return area_cells(list, grid_); });
  area_centres_ = *cache_.area_centres.get(area_cells_, [&]() -> Result<std::vector<LocalXY>> {
    return centres_of(*area_cells_, grid_);
  });
  trail_places_ = *cache_.trail_places.get(
      run_.rows(Kind::deer_trail),
      [&]() -> Result<TrailPlaces> { return trail_places(run_.doc().of(Kind::deer_trail)); });
  std::erase_if(cache_.of_area, [&](const auto& e) {
    return std::none_of(list.begin(), list.end(),
                        [&](const DeerArea& a) { return a.uid == e.first; });
  });
  for (const DeerArea& a : list) cache_.of_area[a.uid];
  Senses senses(list.size());
  std::atomic<bool> made = true;
  for_each_index(
      static_cast<int>(list.size()),
      [&](int i) {
        const size_t n = static_cast<size_t>(i);
        if (!make_senses(list[n], n, senses)) made = false;
      },
      run_.stop);
  if (!made || run_.stop.stop_requested()) return fail(ErrorCode::cancelled, "cancelled");
  std::array<std::vector<double>, 2> occupancies;
  for (size_t side = 0; side < 2; ++side) {
    occupancies[side] = occupancies_of(side, list);
    deer_[side] = areas_with_deer(side, *areas, occupancies[side]);
  }
  auto still = cache_.still.get({land_, occupancies, senses.sight, senses.sound, area_cells_}, [&] {
    return make_hazard_still(*land_, deer_, *area_cells_, senses.sight, senses.sound, run_.stop);
  });
  if (!still) return std::move(still.error());
  for (size_t side = 0; side < 2; ++side) {
    HazardInputs h;
    h.land = land_;
    h.air = air_at(side);
    h.sun = side == 0 ? results_.sun : results_.sun_leave;
    h.judgement = j_;
    h.areas = deer_[side];
    h.sight = senses.sight;
    h.scent = senses.scent[side];
    h.still = Ref<HazardStill>(*still, &(**still)[side]);
    auto model = cache_.hazard[side].get(
        {h.still, h.air.speed_10m_mps, h.sun.light, occupancies[side], h.scent},
        [&] { return make_hazard(h, run_.stop); });
    if (!model) return std::move(model.error());
    hazard_[side] = *model;
  }
  results_.hazard_in = Ref<Raster<float>>(hazard_[0], &hazard_[0]->total);
  results_.hazard_out = Ref<Raster<float>>(hazard_[1], &hazard_[1]->total);
  return ok();
}

std::vector<double> Evaluation::occupancies_of(size_t side,
                                               const std::vector<DeerArea>& areas) const {
  const Settings& settings = *run_.doc().settings;
  const Instant at = side == 0 ? run_.in.scene.arrive : run_.in.scene.leave;
  const SunDay& day = side == 0 ? results_.sun_day : leave_day_;
  const DeerTime time = deer_time(at, day, settings);
  const std::vector<DeerStep> ground_scent =
      deer_steps(at, ground_scent_until(side), day, settings);
  std::vector<double> out;
  for (const DeerArea& a : areas) {
    const bool crossed = a.kind == Kind::deer_trail || a.kind == Kind::barrier;
    out.push_back(a.use * occupancy(*a.feature, time, settings));
    out.push_back(crossed ? a.use * traffic_h(*a.feature, ground_scent, settings) : 0);
  }
  return out;
}

Ref<std::vector<DeerArea>> Evaluation::areas_with_deer(size_t side,
                                                       const Ref<std::vector<DeerArea>>& areas,
                                                       const std::vector<double>& occupancies) {
  return *cache_.deer[side].get({areas, occupancies}, [&]() -> Result<std::vector<DeerArea>> {
    std::vector<DeerArea> out = *areas;
    for (size_t i = 0; i < out.size(); ++i)
      out[i].occupancy = occupancies[2 * i], out[i].traffic_h = occupancies[2 * i + 1];
    return out;
  });
}

Instant Evaluation::ground_scent_until(size_t side) const {
  const Scene& scene = run_.in.scene;
  const std::chrono::seconds lasts(static_cast<long>(3600 * j_.ground_scent_h));
  if (side == 0) return std::min(scene.leave, scene.arrive + lasts);
  return scene.leave + std::min<std::chrono::seconds>(lasts, std::chrono::hours(1));
}

}  // namespace leeward
