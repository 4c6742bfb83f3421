// The whole graph is Evaluation::all(). Each stage is a Memo (engine_cache.h); its key names all
// that it reads.
#include "core/eval/engine.h"

#include "core/eval/air.h"
#include "core/eval/engine_run.h"

namespace leeward {
namespace {

void note_missing(const EngineRun& run, Results& out) {
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

Engine::Engine() : cache_(std::make_unique<EngineCache>()) {}
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

Result<Ref<Results>> Evaluation::all() {
  results_.revision = run_.doc().revision;
  results_.scene = run_.in.scene;
  sun_and_air();
  run_.step(0.05, "cover");
  Status s = make_land();
  if (s) run_.step(0.1, "wind over the land");
  if (s) s = make_air();
  if (s) run_.step(0.25, "deer areas");
  if (s) s = make_hazards();
  hold_stands();
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

void Evaluation::sun_and_air() {
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

Status Evaluation::make_land() {
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

Instant Evaluation::noon_of(Instant at) const {
  const SunDay& day = results_.sun_day;
  return day.rise && day.set ? *day.rise + (*day.set - *day.rise) / 2 : at;
}

Result<Ref<Results>> Engine::evaluate(const Snapshot& in, std::stop_token stop,
                                      const Progress& progress) {
  const EngineRun run{in, stop, progress};
  const Judgement judgement = judgement_of(*in.document->settings);
  if (judgement != cache_->judgement) {  // everything rests on it
    cache_ = std::make_unique<EngineCache>();
    cache_->judgement = judgement;
  }
  return Evaluation(run, *cache_).all();
}

}  // namespace leeward
