// What holds at each stand.
#include "core/base/parallel.h"
#include "core/eval/engine_run.h"

#include <algorithm>

namespace leeward {

void Evaluation::hold_stands() {
  const auto& stands = run_.doc().of(Kind::stand);
  std::erase_if(cache_.stands, [&](const auto& e) {
    return std::none_of(stands.begin(), stands.end(),
                        [&](const Ref<Feature>& f) { return f->uid == e.first; });
  });
  for (const auto& f : stands) cache_.stands[f->uid];
}

Status Evaluation::make_stands() {
  const auto& stands = run_.doc().of(Kind::stand);
  results_.stands.resize(stands.size());
  // A single stand that moved gets the whole pool for its sight; many share it out below.
  std::vector<Ref<Feature>> moved;
  for (const auto& f : stands) {
    StandCache& cache = cache_.stands.at(f->uid);
    const SightKey key = sight_key(*f, cache);
    if (cache.sight.holds(key)) continue;
    const bool quick = !run_.in.in_full && !walks_again(cache, key);
    if (quick) results_.interim = true;
    if (!quick || !cache.quick_sight.holds(key)) moved.push_back(f);
  }
  if (moved.size() == 1) {
    const Ref<Feature>& moved_stand = moved[0];
    const Feature& f = *moved_stand;
    StandCache& cache = cache_.stands.at(f.uid);
    auto seen = sight_of(f, cache);
    if (!seen) return std::move(seen.error());
    for_each_index(2 * kTradeCount + 2, [&](int i) {
      if (i == 0) {
        find_air(f, cache);
        meetings_of(f, cache, scent_of(f, cache), *seen);
      } else if (i == 1) {
        in_reach_of(moved_stand, cache, *seen);
      } else {
        way_of(f, cache, static_cast<size_t>(i % 2), static_cast<size_t>(i / 2 - 1));
      }
    });
  }
  const bool done = for_each_index(
      static_cast<int>(stands.size()),
      [&](int i) {
        const Ref<Feature>& f = stands[static_cast<size_t>(i)];
        results_.stands[static_cast<size_t>(i)] = make_stand(f, cache_.stands.at(f->uid));
      },
      run_.stop);
  return done ? ok() : Status(fail(ErrorCode::cancelled, "cancelled"));
}

SightKey Evaluation::sight_key(const Feature& f, StandCache& cache) const {
  const LocalXY at = f.shape.position();
  const GridSpec& g = cover_->fine.spec;
  const int col = g.cell_col(at.x), row = g.cell_row(at.y);
  const double reach = kStandSightReach_m / g.cell_m + 2;
  if (cache.watched_from != at) cache.cover = {}, cache.watched_from = at;
  const auto touched = cache_.land.cover_changes().touched(
      cache.cover, [&](const CellBox& box) { return box.reaches(col, row, reach); });
  return {touched, at, f.as<StandAttrs>()};
}

bool Evaluation::same_eye(const StandCache& cache, const SightMemo& of, const SightKey& key) const {
  const SightKey* last = of.key();
  return last && std::get<1>(*last) == std::get<1>(key) && std::get<2>(*last) == std::get<2>(key) &&
         cache_.land.cover_changes().knows_since(last_right(cache, of));
}

std::vector<compute::CoverChange> Evaluation::changes_since(const StandCache& cache,
                                                            const SightMemo& of) const {
  return cache_.land.cover_changes().boxes_since(last_right(cache, of));
}

bool Evaluation::walks_again(const StandCache& cache, const SightKey& key) const {
  constexpr double kQuickPass = 0.12;  // of the exact pass
  return same_eye(cache, cache.sight, key) &&
         (run_.in.in_full ||
          compute::sight_again_share(cover_->fine.spec, std::get<1>(key), kStandSightReach_m,
                                     changes_since(cache, cache.sight)) < kQuickPass);
}

Result<Ref<Raster<std::uint8_t>>> Evaluation::sight_of(const Feature& f, StandCache& cache) {
  const LocalXY at = f.shape.position();
  const compute::SightOptions options = stand_sight_options(f.as<StandAttrs>(), j_);
  const SightKey key = sight_key(f, cache);
  if (cache.sight.holds(key)) return cache.sight.value();
  if (walks_again(cache, key)) {
    return cache.sight.get_or_keep(key, [&] {
      return compute::sight_exact_again(cover_->fine, at, options, *cache.sight.value(),
                                        changes_since(cache, cache.sight), run_.stop);
    });
  }
  if (run_.in.in_full)
    return cache.sight.get(
        key, [&] { return compute::sight_exact(cover_->fine, at, options, run_.stop); });
  if (same_eye(cache, cache.quick_sight, key)) {
    return cache.quick_sight.get_or_keep(key, [&] {
      const auto changed = changes_since(cache, cache.quick_sight);
      return compute::sight_from_again(cover_->fine, at, options, *cache.quick_sight.value(),
                                       {changed.begin(), changed.end()}, run_.stop);
    });
  }
  return cache.quick_sight.get(
      key, [&] { return compute::sight_from(cover_->fine, at, options, run_.stop); });
}

Ref<compute::ScentPlume> Evaluation::scent_of(const Feature& f, StandCache& cache) {
  const LocalXY at = f.shape.position();
  const Ref<compute::PlumeTable>& table = sitters_.at(scent_height(f));
  const Ref<compute::Flow>& flow = flow_[0][carry_height(scent_height(f))];
  return *cache.scent.get({flow, table, at}, [&]() -> Result<compute::ScentPlume> {
    return compute::ScentPlume(*flow, *table, at);
  });
}

Ref<std::vector<ScentOn>> Evaluation::scent_on_of(const Ref<compute::ScentPlume>& scent,
                                                  StandCache& cache) {
  const StandCache::ScentOnKey* last = cache.scent_on.key();
  return *cache.scent_on.get({scent, deer_[0], area_cells_}, [&]() -> Result<std::vector<ScentOn>> {
    if (last && std::get<0>(*last) == scent)
      return scent_on_again(*scent, *deer_[0], *area_cells_, grid_, *std::get<1>(*last),
                            *cache.scent_on.value());
    const Ref<compute::PolarPlaces> where =
        *cache.around.get({scent->source(), area_cells_}, [&]() -> Result<compute::PolarPlaces> {
          return compute::PolarPlaces(*area_centres_, scent->source());
        });
    return scent_on_areas(*scent, *deer_[0], *area_cells_, *where);
  });
}

SwingMargin Evaluation::margin_of(const Feature& f, StandCache& cache,
                                  const Ref<std::vector<ScentOn>>& scent_on) {
  const double limit = run_.doc().settings->scent_limit;
  const double height = scent_height(f);
  const Ref<compute::WindResponse>& response = response_[0][carry_height(height)];
  const Ref<compute::PlumeTable>& table = sitters_.at(height);
  return **cache.margin.get({scent_on, response, table, key_of(results_.air), limit},
                            [&]() -> Result<SwingMargin> {
                              return swing_margin(*scent_on, *response, *table, results_.air,
                                                  f.shape.position(), *deer_[0], limit);
                            });
}

std::optional<Instant> Evaluation::drains_of(const Feature& f, StandCache& cache) {
  const LocalXY at = f.shape.position();
  return **cache.drains.get({air_ground_, sky_ahead_, at}, [&]() -> Result<std::optional<Instant>> {
    return drains_from(*air_ground_, at, *sky_ahead_);
  });
}

Ref<std::vector<TrailMeeting>> Evaluation::meetings_of(const Feature& f, StandCache& cache,
                                                       const Ref<compute::ScentPlume>& scent,
                                                       const Ref<Raster<std::uint8_t>>& sight) {
  const Document& d = run_.doc();
  const double limit = d.settings->scent_limit;
  double reach_m = 0;
  for (const auto& w : d.weapons_of(f.as<StandAttrs>())) reach_m = std::max(reach_m, w->outer_m);
  return *cache.meetings.get(
      {scent, sight, trail_places_, reach_m, limit}, [&]() -> Result<std::vector<TrailMeeting>> {
        const LocalXY at = scent->source();
        const Ref<compute::PolarPlaces> where =
            *cache.around_trails.get({at, trail_places_}, [&]() -> Result<compute::PolarPlaces> {
              return compute::PolarPlaces(trail_places_->at, at);
            });
        return trail_meetings(*trail_places_, scent->at(*where), *sight, at, reach_m, limit);
      });
}

Ref<std::vector<InReach>> Evaluation::in_reach_of(const Ref<Feature>& f, StandCache& cache,
                                                  const Ref<Raster<std::uint8_t>>& sight) {
  const Document& d = run_.doc();
  const Rows<Weapon> weapons = d.weapons_of(f->as<StandAttrs>());
  const Rows<Feature> near = near_stand(d, f->shape.position(), outer_reach_m(weapons));
  const ChangeLog::Number cover = std::get<0>(sight_key(*f, cache));
  return *cache.in_reach.get(
      {sight, run_.in.terrain, cover, f, weapons, near, d.settings->deer_pace_mps},
      [&]() -> Result<std::vector<InReach>> {
        return stand_in_reach(near, *run_.in.terrain, *cover_, *sight, *f, scent_height(*f),
                              d.settings->deer_pace_mps, weapons);
      });
}

void Evaluation::find_air(const Feature& f, StandCache& cache) {
  margin_of(f, cache, scent_on_of(scent_of(f, cache), cache));
  drains_of(f, cache);
}

void Evaluation::add_air(const Feature& f, const Ref<compute::ScentPlume>& scent,
                         const Ref<std::vector<ScentOn>>& scent_on, StandCache& cache,
                         StandResult& out) {
  const LocalXY at = f.shape.position();
  const size_t height = carry_height(scent_height(f));
  const compute::PlumeAir plume = plume_air(results_.air, scent_height(f), j_);
  out.air =
      **cache.air.get({flow_[0][height], results_.air_map, plume, at}, [&]() -> Result<LocalAir> {
        return local_air(*flow_[0][height], *results_.air_map, plume, at);
      });
  out.air.drains_from = drains_of(f, cache);
  if (const auto down = downhill(*air_ground_, at)) {
    out.air.drains_toward = *down;
    out.air.drains_on = area_toward(*deer_[0], at, *down);
  }
  out.margin = margin_of(f, cache, scent_on);
  out.meetings = *meetings_of(f, cache, scent, out.sight);
}

StandResult Evaluation::make_stand(const Ref<Feature>& stand_row, StandCache& cache) {
  const Feature& f = *stand_row;
  const Document& d = run_.doc();
  const Terrain& terrain = *run_.in.terrain;
  const auto& stand = f.as<StandAttrs>();
  const LocalXY at = f.shape.position();
  StandResult out;
  out.stand = f.uid;
  out.ground_m = static_cast<double>(sample(terrain.ground, at));
  out.eye_m = stand.platform_m + j_.sitter_above_platform_m;
  auto sight = sight_of(f, cache);
  if (!sight) return out;
  out.sight = *sight;
  const Rows<Weapon> weapons = d.weapons_of(stand);
  out.rings = **cache.rings.get({*sight, run_.in.terrain, at, out.eye_m, weapons},
                                [&]() -> Result<std::vector<Ring>> {
                                  return stand_rings(terrain, **sight, at, out.eye_m, weapons);
                                });
  out.in_reach = *in_reach_of(stand_row, cache, out.sight);
  const Ref<compute::ScentPlume> scent = out.scent = scent_of(f, cache);
  const Ref<std::vector<ScentOn>> scent_on = scent_on_of(scent, cache);
  out.scent_on = *scent_on;
  add_air(f, scent, scent_on, cache, out);
  out.seen_from = **cache.seen_from.get(
      {*sight, deer_[0], at},
      [&]() -> Result<std::vector<SeenFrom>> { return areas_that_see(**sight, at, *deer_[0]); });
  out.sit_hazard_per_min = sit_hazard_per_min(out.scent_on, out.seen_from, hazard_[0]->light, j_);
  add_ways(f, at, cache, out);
  add_fire(f, cache, weapons, out);
  add_light(stand_row, cache, out);
  return out;
}

void Evaluation::add_fire(const Feature& f, StandCache& cache, const Rows<Weapon>& weapons,
                          StandResult& out) {
  const LocalXY at = f.shape.position();
  auto lines = cache.fire_lines.get({run_.in.terrain, at, out.eye_m, weapons}, [&] {
    return fire_lines(*run_.in.terrain, at, out.eye_m, weapons, run_.stop);
  });
  if (!lines) return;
  out.fire = **cache.fire.get(
      {out.sight,
       *lines,
       at,
       out.drawn_path,
       {run_.rows(Kind::dwelling), run_.rows(Kind::road), run_.rows(Kind::boundary),
        run_.rows(Kind::stand), run_.rows(Kind::gate), run_.rows(Kind::human_path)}},
      [&]() -> Result<std::vector<WeaponFire>> {
        return stand_fire(run_.doc(), f, weapons, out.drawn_path, **lines, *out.sight);
      });
}

void Evaluation::add_light(const Ref<Feature>& f, StandCache& cache, StandResult& out) {
  const LocalXY at = f->shape.position();
  const std::tuple key{run_.in.terrain, at, out.eye_m};
  if (std::isnan(out.ground_m) || (!run_.in.in_full && !cache.horizon.holds(key))) return;
  auto horizon = cache.horizon.get(key, [&] {
    return compute::terrain_horizon(run_.in.terrain->ground, at, out.eye_m, run_.stop);
  });
  if (!horizon) return;
  const Ref<std::vector<compute::SunSpan>> sun =
      *cache.sun.get({*horizon, sun_minutes_}, [&]() -> Result<std::vector<compute::SunSpan>> {
        return compute::direct_sun(**horizon, *sun_minutes_);
      });
  const Ref<std::vector<InReach>> in_reach = in_reach_of(f, cache, out.sight);
  const Scene& scene = run_.in.scene;
  const double within_deg = run_.doc().settings->glare_within_deg;
  const LonLat place = cache_.place;
  const double convergence_deg = cache_.convergence_deg;
  out.light = **cache.light.get(
      {*horizon, sun, in_reach, place, convergence_deg, within_deg, scene.arrive, scene.leave},
      [&]() -> Result<StandLight> {
        return stand_light(**horizon, *sun, place, convergence_deg, *in_reach, within_deg,
                           scene.arrive, scene.leave);
      });
}

}  // namespace leeward
