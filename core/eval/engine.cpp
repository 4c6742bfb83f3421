// The whole graph, written out as one function. Each stage is a Memo (engine_cache.h); its key
// names all that it reads.
#include "core/eval/engine.h"

#include "core/base/parallel.h"
#include "core/eval/air.h"
#include "core/eval/deer_use.h"
#include "core/eval/engine_cache.h"
#include "core/eval/ways.h"

#include <algorithm>
#include <atomic>
#include <functional>

namespace leeward {
namespace {

AirKey key_of(const AirNow& a) {
  return {a.from.source().degrees(), a.speed_10m_mps, a.stability_index, a.known};
}

// One evaluation: the snapshot, the cache and what is made on the way.
struct Run {
  const Snapshot& in;
  std::stop_token stop;
  const Progress& progress;

  const Document& doc() const { return *in.document; }
  const FeatureRows& rows(Kind k) const { return in.document->features[static_cast<size_t>(k)]; }
  void step(double share, const char* what) const {
    if (progress) progress(share, what);
  }
};

void note_missing(const Run& run, Results& out) {
  const Document& d = run.doc();
  for (const auto& n : run.in.terrain->notes) out.notes.push_back(n);
  if (run.in.terrain->ground.empty() && run.in.terrain->notes.empty())
    out.notes.push_back("No elevation: the ground is taken as flat.");
  if (d.of(Kind::gate).empty())
    out.notes.push_back("No gate is drawn: ways in and out cannot be found.");
  if (d.of(Kind::bedding).empty() && d.of(Kind::food).empty() && d.of(Kind::deer_trail).empty()) {
    out.notes.push_back(
        "No bedding, food or trail is drawn: exposure has nothing to be measured against.");
  }
  if (!out.air.known)
    out.notes.push_back("Wind at arrival is unknown (" + out.air.source +
                        "): scent is spread to all sides.");
  if (!out.air_leave.known)
    out.notes.push_back("Wind at leaving is unknown (" + out.air_leave.source + ").");
  if (d.weapons->empty()) out.notes.push_back("No weapon is entered: no rings.");
}

}  // namespace

Scene scene_at(const Document& document, Instant arrive, Trade trade) {
  return {arrive, arrive + std::chrono::minutes{document.settings->sit_minutes}, trade};
}

Engine::Engine() : cache_(std::make_unique<Cache>()) {}
Engine::~Engine() = default;
Engine::Engine(Engine&&) noexcept = default;
Engine& Engine::operator=(Engine&&) noexcept = default;

Engine::Counts Engine::counts() const {
  Counts n;
  n.cover = cache_->land.cover_runs();
  for (const auto& w : cache_->wind) n.wind += w.turn.runs();
  for (const auto& [uid, s] : cache_->stands)
    n.sight += s.sight.runs() + s.quick_sight.runs(), n.scent += s.scent.runs();
  for (const auto& [uid, s] : cache_->stands)
    for (const auto& side : s.line)
      for (const auto& line : side) n.lines += line.runs();
  for (const auto& [uid, a] : cache_->of_area)
    for (const auto& one : a.from_sample) n.area_sight += one.runs();
  for (const auto& h : cache_->hazard) n.hazard += h.runs();
  for (const auto& side : cache_->field)
    for (const auto& f : side) n.access += f.runs();
  return n;
}

namespace {

// A template only because the cache's type is private to Engine.
template <class Cache>
class Evaluation {
 public:
  Evaluation(const Run& run, Cache& cache) : run_(run), cache_(cache), j_(cache.judgement) {}

  Result<Ref<Results>> all() {
    results_.revision = run_.doc().revision;
    results_.scene = run_.in.scene;
    sun_and_air();
    run_.step(0.05, "cover");
    Status s = make_land();
    if (s) run_.step(0.1, "wind over the land");
    if (s) s = make_air();
    if (s) run_.step(0.25, "deer areas");
    if (s) s = make_hazards();
    if (s) run_.step(0.45, "ways");
    if (s) s = solve_fields();
    if (s) run_.step(0.65, "stands");
    if (s) s = make_stands();
    if (ways_left_out_) results_.interim = true;
    if (s) add_sitters();
    if (!s) return std::move(s.error());
    add_checks({run_.doc(), cover_, graph_[0], gates_[0], cache_.place, cache_.convergence_deg},
               cache_.checks, results_);
    note_missing(run_, results_);
    run_.step(1, "done");
    return make_ref<Results>(std::move(results_));
  }

 private:
  void sun_and_air() {
    const Document& d = run_.doc();
    if (cache_.crs != d.settings->crs) {
      cache_.crs = d.settings->crs;
      auto frame = Frame::make(cache_.crs);
      cache_.frame = frame ? std::make_unique<Frame>(*std::move(frame)) : nullptr;
      cache_.centre.reset();
      cache_.place = {-90, 40};
      cache_.convergence_deg = 0;
    }
    grid_ = analysis_grid(d, *run_.in.terrain);
    if (cache_.frame && cache_.centre != grid_.box().centre()) {  // PROJ takes milliseconds
      cache_.centre = grid_.box().centre();
      cache_.place = cache_.frame->to_wgs84(*cache_.centre);
      cache_.convergence_deg = cache_.frame->convergence_deg(*cache_.centre);
    }
    const LonLat place = cache_.place;
    const double convergence = cache_.convergence_deg;
    const Scene& scene = run_.in.scene;
    results_.sun_day = sun_day_of(scene.arrive, place, *d.settings);
    leave_day_ = sun_day_of(scene.leave, place, *d.settings);
    results_.sun = sun_now(scene.arrive, place);
    results_.sun_leave = sun_now(scene.leave, place);
    const std::chrono::hours hour{1};
    hour_before_ = {sun_now(scene.arrive - hour, place), sun_now(scene.leave - hour, place)};
    results_.air = air_of(d, scene.arrive, results_.sun, convergence);
    results_.air_leave = air_of(d, scene.leave, results_.sun_leave, convergence);
    results_.moon = **cache_.moon.get(
        {scene.arrive, d.settings->time_zone, place},
        [&]() -> Result<MoonDay> { return moon_of(scene.arrive, d.settings->time_zone, place); });
    results_.leaf_on = leaf_on_at(scene.arrive, d.settings->time_zone);
    const Instant noon = noon_of(scene.arrive);
    sun_minutes_ =
        *cache_.sun_minutes.get({noon, place, convergence}, [&]() -> Result<compute::SunMinutes> {
          return compute::sun_minutes(noon, place, convergence);
        });
  }

  Status make_land() {
    const Document& d = run_.doc();
    day_ = land_day(d, run_.in.scene.arrive);
    const LandCache::Asked asked{d, run_.in.terrain, grid_, day_, j_};
    cache_.land.update(asked);
    cover_ = cache_.land.cover();
    land_ = cache_.land.land();
    for (size_t side = 0; side < 2; ++side) {
      const SunNow& sun = side == 0 ? results_.sun : results_.sun_leave;
      graph_[side] = cache_.land.graph(asked, sun.phase == LightPhase::night);
      gates_[side] = gate_cells(d, *graph_[side]);
    }
    return run_.stop.stop_requested() ? Status(fail(ErrorCode::cancelled, "cancelled")) : ok();
  }

  // What the wind over the land has of the cover: another object only where it differs.
  Ref<Raster<float>> wind_cover() {
    const Ref<Raster<float>> now = *cache_.wind_cover.get(
        land_, [&]() -> Result<Raster<float>> { return land_wind_cover(*land_); });
    Ref<Raster<float>>& same = cache_.same_wind_cover;
    if (!same || !(same->spec == now->spec) || same->cells != now->cells) same = now;
    return same;
  }

  // The winds of the ratios that the land bends: solved, last known, or none.
  Status find_winds(const std::vector<size_t>& ratios) {
    const typename Cache::WindKey key{run_.in.terrain, wind_cover(), grid_};
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
        const bool same_ground = known.last && std::get<0>(known.of) == run_.in.terrain &&
                                 std::get<2>(known.of) == grid_;
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

  AirInputs air_inputs(size_t side) const {
    return {*air_ground_, *air_cover_, turn_, slope_[side].get(), air_at(side), j_};
  }
  const AirNow& air_at(size_t side) const { return side == 0 ? results_.air : results_.air_leave; }
  typename Cache::FlowKey flow_key(size_t side) const {
    return {air_ground_, air_cover_, turn_, slope_[side], key_of(air_at(side))};
  }

  Status make_air() {
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
      air_cover_ = cache_.last_air_cover = *cache_.air_cover.get(
          land_, [&]() -> Result<AirCover> { return make_air_cover(*land_); });
    }
    for (size_t side = 0; side < 2; ++side) {
      const SunNow& sun = side == 0 ? results_.sun : results_.sun_leave;
      const HourSky sky = hour_sky(air_at(side), sun, hour_before_[side], cache_.convergence_deg);
      if (air_ground_->ground.empty() || compute::ambient_share(sky.slope.ambient_mps) <= 0)
        continue;
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

  void make_flows() {
    std::array<bool, kCarryHeights_m.size()> sat = {};  // heights at which somebody sits
    for (const auto& f : run_.doc().of(Kind::stand)) sat[carry_height(scent_height(*f))] = true;
    constexpr int kHeights = static_cast<int>(kCarryHeights_m.size());
    for_each_index(kHeights + 1, [&](int i) {
      const size_t side = i == kHeights ? 1 : 0,
                   height = i == kHeights ? 0 : static_cast<size_t>(i);
      if (height > 0 && !sat[height]) return;
      const AirNow& air = air_at(side);
      response_[side][height] = *cache_.response[side][height].get(
          {air_ground_, air_cover_, turn_, slope_[side], air.stability_index},
          [&]() -> Result<compute::WindResponse> {
            return wind_response(air_inputs(side), height);
          });
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

  // The plumes of sitters by the height of their scent, which most stands share.
  void make_sitters() {
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

  void look_ahead() {
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

  double scent_height(const Feature& stand) const {
    return stand.as<StandAttrs>().platform_m + j_.sitter_above_platform_m;
  }

  using Gaps = Ref<std::vector<GapUse>>;

  // What of an area the hazard is made of, by area.
  struct Senses {
    std::vector<Ref<AreaSight>> sight;
    std::vector<Ref<AreaSound>> sound;
    std::array<std::vector<Ref<AreaScent>>, 2> scent;
    explicit Senses(size_t count) : sight(count), sound(count) {
      for (auto& side : scent) side.resize(count);
    }
  };

  // Of one area; false if it was cancelled.
  bool make_senses(const DeerArea& a, size_t at, Senses& out) {
    AreaCache& cache = cache_.of_area.at(a.uid);
    const GridSpec coarse = coarse_grid(grid_);
    std::vector<AreaCache::SampleSight> from;
    cache.from_sample.resize(a.samples.size());
    for (size_t n = 0; n < a.samples.size(); ++n) {
      auto seen = cache.from_sample[n].from(a.samples[n], *land_, cache_.land.land_changes(), j_,
                                            run_.stop);
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
    for (size_t side = 0; side < 2; ++side) {
      const Ref<compute::Flow>& flow = flow_[side][0];
      const Ref<compute::PlumeTable>& table = walker_[side];
      out.scent[side][at] =
          *cache.scent[side].get({flow, table, places}, [&]() -> Result<AreaScent> {
            return make_area_scent(*flow, *table, *places, j_.scent_exposure_cap);
          });
    }
    return true;
  }

  // The gaps that deer pass. Their net is one thread's work: areas that do not rest on it are made
  // beside it.
  Result<Gaps> find_gaps() {
    const typename Cache::GapKey key{land_, run_.rows(Kind::bedding), run_.rows(Kind::food),
                                     run_.rows(Kind::barrier)};
    if (cache_.gaps.holds(key)) return cache_.gaps.value();
    const std::vector<DeerArea> others = deer_areas(run_.doc(), {});
    for (const DeerArea& a : others) cache_.of_area[a.uid];
    Senses senses(others.size());
    Result<Gaps> found = fail(ErrorCode::cancelled, "cancelled");
    for_each_index(
        static_cast<int>(others.size()) + 1,
        [&](int i) {
          const size_t n = static_cast<size_t>(i);
          if (i > 0) {
            make_senses(others[n - 1], n - 1, senses);
            return;
          }
          found = cache_.gaps.get_or_keep(
              key, [&] { return gap_uses(run_.doc(), *land_, j_, run_.stop); });
        },
        run_.stop);
    return found;
  }

  Status make_hazards() {
    const Result<Gaps> gaps = find_gaps();
    if (!gaps) return gaps.error();
    results_.gaps = **gaps;
    auto areas = cache_.areas.get_or_keep(
        {run_.rows(Kind::bedding), run_.rows(Kind::food), run_.rows(Kind::deer_trail),
         run_.rows(Kind::barrier), *gaps},
        [&]() -> Result<std::vector<DeerArea>> { return deer_areas(run_.doc(), **gaps); });
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
    auto still =
        cache_.still.get({land_, occupancies, senses.sight, senses.sound, area_cells_}, [&] {
          return make_hazard_still(*land_, deer_, *area_cells_, senses.sight, senses.sound,
                                   run_.stop);
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

  /// Of each area the occupancy on the way in or out, and the traffic over its ground scent.
  std::vector<double> occupancies_of(size_t side, const std::vector<DeerArea>& areas) const {
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

  Ref<std::vector<DeerArea>> areas_with_deer(size_t side, const Ref<std::vector<DeerArea>>& areas,
                                             const std::vector<double>& occupancies) {
    return *cache_.deer[side].get({areas, occupancies}, [&]() -> Result<std::vector<DeerArea>> {
      std::vector<DeerArea> out = *areas;
      for (size_t i = 0; i < out.size(); ++i)
        out[i].occupancy = occupancies[2 * i], out[i].traffic_h = occupancies[2 * i + 1];
      return out;
    });
  }

  /// Ground scent of the way in is met during the sit, that of the way out in the hour after it.
  Instant ground_scent_until(size_t side) const {
    const Scene& scene = run_.in.scene;
    const std::chrono::seconds lasts(static_cast<long>(3600 * j_.ground_scent_h));
    if (side == 0) return std::min(scene.leave, scene.arrive + lasts);
    return scene.leave + std::min<std::chrono::seconds>(lasts, std::chrono::hours(1));
  }

  Status solve_fields() {
    if (!run_.in.ways) return ok();
    std::array<std::vector<size_t>, 2> starts;
    for (size_t side = 0; side < 2; ++side)
      for (const GateCell& g : gates_[side]) starts[side].push_back(g.cell);
    struct Task {
      size_t side, trade;
      typename Cache::FieldKey key;
    };
    std::vector<Task> tasks;
    for (size_t trade = 0; trade < kTradeCount; ++trade) {
      for (size_t side = 0; side < 2; ++side) {
        // Without weight the hazard does not matter: the quickest way is the same in every wind.
        const double weight = j_.trade_weight_s(static_cast<Trade>(trade));
        typename Cache::FieldKey key{graph_[side], weight > 0 ? hazard_[side] : nullptr,
                                     starts[side], weight};
        if (run_.in.in_full || trade == static_cast<size_t>(run_.in.scene.trade) ||
            cache_.field[side][trade].holds(key)) {
          tasks.push_back({side, trade, std::move(key)});
        } else {
          results_.interim = true;
        }
      }
    }
    std::array<const compute::StepTimes*, 2> times = {};
    for (const Task& task : tasks)
      if (!cache_.field[task.side][task.trade].holds(task.key))
        times[task.side] =
            cache_.step_times[task.side].of(graph_[task.side], task.side == 1, run_.in.in_full);
    const bool done = for_each_index(
        static_cast<int>(tasks.size()),
        [&](int i) {
          const Task& task = tasks[static_cast<size_t>(i)];
          auto field = cache_.field[task.side][task.trade].get(task.key, [&] {
            compute::CostQuery q;
            q.starts = starts[task.side];
            q.hazard_per_min = &hazard_[task.side]->total.cells;
            q.weight_s = j_.trade_weight_s(static_cast<Trade>(task.trade));
            q.toward_starts = task.side == 1;
            q.times = times[task.side];
            if (tasks.size() > 1) q.shares = 1;  // the threads share out the fields
            return compute::cheapest_ways(*graph_[task.side], q, run_.stop);
          });
          if (field) field_[task.side][task.trade] = *field;
        },
        run_.stop);
    return done ? ok() : Status(fail(ErrorCode::cancelled, "cancelled"));
  }

  Status make_stands() {
    const auto& stands = run_.doc().of(Kind::stand);
    std::erase_if(cache_.stands, [&](const auto& e) {
      return std::none_of(stands.begin(), stands.end(),
                          [&](const Ref<Feature>& f) { return f->uid == e.first; });
    });
    for (const auto& f : stands) cache_.stands[f->uid];
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
          const Ref<compute::ScentPlume> scent = scent_of(f, cache);
          margin_of(f, cache, scent_on_of(scent, cache));
          meetings_of(f, cache, scent, *seen);
        } else if (i == 1) {
          in_reach_of(moved_stand, cache, *seen);
          drains_of(f, cache);
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

  SightKey sight_key(const Feature& f, StandCache& cache) const {
    const LocalXY at = f.shape.position();
    const GridSpec& g = cover_->fine.spec;
    const int col = g.cell_col(at.x), row = g.cell_row(at.y);
    const double reach = kStandSightReach_m / g.cell_m + 2;
    if (cache.watched_from != at) cache.cover = {}, cache.watched_from = at;
    const auto touched = cache_.land.cover_changes().touched(
        cache.cover, [&](const CellBox& box) { return box.reaches(col, row, reach); });
    return {touched, at, f.as<StandAttrs>()};
  }
  // Whether it was of the same eye, so that only lines over changed ground have to be walked again.
  bool same_eye(const StandCache& cache, const SightMemo& of, const SightKey& key) const {
    const SightKey* last = of.key();
    return last && std::get<1>(*last) == std::get<1>(key) &&
           std::get<2>(*last) == std::get<2>(key) &&
           cache_.land.cover_changes().knows_since(last_right(cache, of));
  }
  static ChangeLog::Number last_right(const StandCache& cache, const SightMemo& of) {
    return ChangeLog::right_until(cache.cover, std::get<0>(*of.key()));
  }
  std::vector<compute::CoverChange> changes_since(const StandCache& cache,
                                                  const SightMemo& of) const {
    return cache_.land.cover_changes().boxes_since(last_right(cache, of));
  }
  // A quick answer takes the quick pass where as much would have to be walked again as that takes.
  bool walks_again(const StandCache& cache, const SightKey& key) const {
    constexpr double kQuickPass = 0.12;  // of the exact pass
    return same_eye(cache, cache.sight, key) &&
           (run_.in.in_full ||
            compute::sight_again_share(cover_->fine.spec, std::get<1>(key), kStandSightReach_m,
                                       changes_since(cache, cache.sight)) < kQuickPass);
  }

  Result<Ref<Raster<std::uint8_t>>> sight_of(const Feature& f, StandCache& cache) {
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

  Ref<compute::ScentPlume> scent_of(const Feature& f, StandCache& cache) {
    const LocalXY at = f.shape.position();
    const Ref<compute::PlumeTable>& table = sitters_.at(scent_height(f));
    const Ref<compute::Flow>& flow = flow_[0][carry_height(scent_height(f))];
    return *cache.scent.get({flow, table, at}, [&]() -> Result<compute::ScentPlume> {
      return compute::ScentPlume(*flow, *table, at);
    });
  }

  Ref<std::vector<ScentOn>> scent_on_of(const Ref<compute::ScentPlume>& scent, StandCache& cache) {
    return *cache.scent_on.get(
        {scent, deer_[0], area_cells_}, [&]() -> Result<std::vector<ScentOn>> {
          const Ref<compute::PolarPlaces> where = *cache.around.get(
              {scent->source(), area_cells_}, [&]() -> Result<compute::PolarPlaces> {
                return compute::PolarPlaces(*area_centres_, scent->source());
              });
          return scent_on_areas(*scent, *deer_[0], *area_cells_, *where);
        });
  }

  SwingMargin margin_of(const Feature& f, StandCache& cache,
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

  std::optional<Instant> drains_of(const Feature& f, StandCache& cache) {
    const LocalXY at = f.shape.position();
    return **cache.drains.get({air_ground_, sky_ahead_, at},
                              [&]() -> Result<std::optional<Instant>> {
                                return drains_from(*air_ground_, at, *sky_ahead_);
                              });
  }

  Ref<std::vector<TrailMeeting>> meetings_of(const Feature& f, StandCache& cache,
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

  Ref<std::vector<InReach>> in_reach_of(const Ref<Feature>& f, StandCache& cache,
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

  // What the air does at a stand and what that means for the sit.
  void add_air(const Feature& f, const Ref<compute::ScentPlume>& scent,
               const Ref<std::vector<ScentOn>>& scent_on, StandCache& cache, StandResult& out) {
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

  WayContext way_context(size_t side) const {
    return {run_.doc(), *land_, *graph_[side], hazard_[side], gates_[side], j_, day_};
  }

  /// `side` 0: in, 1: out. nullptr: no way, the field was cancelled, or a quick answer leaves out
  /// what is not of the chosen trade.
  Ref<Way> way_of(const Feature& f, StandCache& cache, size_t side, size_t trade) {
    const Ref<compute::CostField>& field = field_[side][trade];
    if (!field) return nullptr;
    const LocalXY at = f.shape.position();
    auto& memo = side == 0 ? cache.way_in[trade] : cache.way_out[trade];
    const StandCache::WayKey key{field, hazard_[side], at};
    if (!run_.in.in_full && trade != static_cast<size_t>(run_.in.scene.trade) && !memo.holds(key)) {
      ways_left_out_ = true;
      return nullptr;
    }
    return **memo.get(key, [&]() -> Result<Ref<Way>> {
      const Ref<FieldLine> line =
          *cache.line[side][trade].get({field, at}, [&]() -> Result<FieldLine> {
            return line_of_field(way_context(side), *field, at, side == 0);
          });
      return way_along(way_context(side), *line);
    });
  }

  StandResult make_stand(const Ref<Feature>& stand_row, StandCache& cache) {
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

  void add_fire(const Feature& f, StandCache& cache, const Rows<Weapon>& weapons,
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

  // Not in a quick answer: the horizon is followed to the edge of the land.
  void add_light(const Ref<Feature>& f, StandCache& cache, StandResult& out) {
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
  Instant noon_of(Instant at) const {
    const SunDay& day = results_.sun_day;
    return day.rise && day.set ? *day.rise + (*day.set - *day.rise) / 2 : at;
  }

  // After the ways of all: who is where on the same sit.
  void add_sitters() {
    std::vector<Sitter> sitters;
    const size_t trade = static_cast<size_t>(run_.in.scene.trade);
    const auto& stands = run_.doc().of(Kind::stand);
    for (size_t i = 0; i < stands.size(); ++i) {
      const auto& stand = stands[i]->as<StandAttrs>();
      const StandResult& r = results_.stands[i];
      if (!stand.sitter.empty())
        sitters.push_back({r.stand,
                           stand.sitter,
                           stands[i]->shape.position(),
                           {r.way_in[trade].get(), r.drawn_in.get()},
                           {r.way_out[trade].get(), r.drawn_out.get()}});
    }
    if (sitters.empty()) return;
    for (size_t i = 0; i < stands.size(); ++i) {
      StandResult& r = results_.stands[i];
      if (!r.sight) continue;
      add_people(r.fire, r.stand, stands[i]->shape.position(), sitters, run_.in.scene.arrive,
                 run_.in.scene.leave, run_.doc().weapons_of(stands[i]->as<StandAttrs>()), *r.sight);
    }
  }

  /// Lines of few legs cost up to a hundredth more than what they stand for, so that one trade's
  /// line may serve another better; each takes the best of all. A careful way is then never quicker
  /// nor more exposed than a quick one.
  void best_of_all(std::array<Ref<Way>, kTradeCount>& ways) const {
    const std::array<Ref<Way>, kTradeCount> found = ways;
    for (size_t t = 0; t < kTradeCount; ++t) {
      const double weight_s = j_.trade_weight_s(static_cast<Trade>(t));
      const auto cost = [&](const Ref<Way>& w) { return w->time_s + weight_s * w->hazard; };
      for (const Ref<Way>& other : found)
        if (other && ways[t] && cost(other) < cost(ways[t])) ways[t] = other;
    }
  }

  void add_ways(const Feature& f, LocalXY at, StandCache& cache, StandResult& out) {
    const Document& d = run_.doc();
    const WayContext in = way_context(0), back = way_context(1);
    for (size_t t = 0; t < kTradeCount; ++t) {
      if (!field_[0][t] || !field_[1][t]) continue;
      out.way_in[t] = way_of(f, cache, 0, t);
      out.way_out[t] = way_of(f, cache, 1, t);
    }
    best_of_all(out.way_in);
    best_of_all(out.way_out);
    const size_t chosen = static_cast<size_t>(run_.in.scene.trade);
    if (field_[0][chosen] && !out.way_in[chosen])
      out.no_way = no_way_reason(in, f.shape.position());
    if (const Ref<Feature> path = drawn_path_to(d, at)) {
      out.drawn_path = path->uid;
      const auto key = [&](size_t side) {
        return StandCache::DrawnKey{path,
                                    hazard_[side],
                                    run_.rows(Kind::sanctuary),
                                    run_.rows(Kind::boundary),
                                    run_.rows(Kind::gate),
                                    d.settings->beyond_boundary,
                                    at};
      };
      out.drawn_in = **cache.drawn_in.get(key(0), [&]() -> Result<Ref<Way>> {
        return way_as_drawn(in, path->shape.path(), at, true);
      });
      out.drawn_out = **cache.drawn_out.get(key(1), [&]() -> Result<Ref<Way>> {
        return way_as_drawn(back, path->shape.path(), at, false);
      });
    }
  }

  const Run& run_;
  Cache& cache_;
  const Judgement& j_;
  Results results_;
  std::atomic<bool> ways_left_out_ = false;  // by any of the pool's threads
  SunDay leave_day_;
  LandDay day_;
  Ref<compute::SunMinutes> sun_minutes_;
  GridSpec grid_;
  Ref<CoverGrid> cover_;
  Ref<AnalysisLand> land_;
  std::array<SunNow, 2> hour_before_;
  Ref<AreaCells> area_cells_;
  Ref<std::vector<LocalXY>> area_centres_;
  Ref<TrailPlaces> trail_places_;
  Ref<AirGround> air_ground_;
  Ref<AirCover> air_cover_;
  LandTurns turn_;
  std::array<Ref<compute::SlopeAir>, 2> slope_;  // null: none
  std::array<std::array<Ref<compute::WindResponse>, kCarryHeights_m.size()>, 2> response_;
  std::array<std::array<Ref<compute::Flow>, kCarryHeights_m.size()>, 2> flow_;
  std::array<Ref<compute::PlumeTable>, 2> walker_;
  std::map<double, Ref<compute::PlumeTable>> sitters_;  // by scent height
  Ref<SkyAhead> sky_ahead_;
  std::array<Ref<compute::WalkGraph>, 2> graph_;  // in, out
  std::array<std::vector<GateCell>, 2> gates_;
  std::array<Ref<std::vector<DeerArea>>, 2> deer_;  // with occupancy
  std::array<Ref<HazardModel>, 2> hazard_;
  std::array<std::array<Ref<compute::CostField>, kTradeCount>, 2> field_;
};

}  // namespace

Result<Ref<Results>> Engine::evaluate(const Snapshot& in, std::stop_token stop,
                                      const Progress& progress) {
  const Run run{in, stop, progress};
  const Judgement judgement = judgement_of(*in.document->settings);
  if (judgement != cache_->judgement) {  // everything rests on it
    cache_ = std::make_unique<Cache>();
    cache_->judgement = judgement;
  }
  return Evaluation<Cache>(run, *cache_).all();
}

}  // namespace leeward
