// Ways in and out, and who meets whom on them.
#include "core/base/parallel.h"
#include "core/eval/engine_run.h"
#include "core/eval/ways.h"

#include <algorithm>

namespace leeward {

std::vector<Evaluation::FieldTask> Evaluation::fields_asked() {
  std::vector<FieldTask> out;
  if (!run_.in.ways) return out;
  std::array<std::vector<size_t>, 2> starts;
  for (size_t side = 0; side < 2; ++side)
    for (const GateCell& g : gates_[side]) starts[side].push_back(g.cell);
  for (size_t trade = 0; trade < kTradeCount; ++trade) {
    for (size_t side = 0; side < 2; ++side) {
      // Without weight the hazard does not matter: the quickest way is the same in every wind.
      const double weight = j_.trade_weight_s(static_cast<Trade>(trade));
      EngineCache::FieldKey key{graph_[side], weight > 0 ? hazard_[side] : nullptr, starts[side],
                                weight};
      const bool held = cache_.field[side][trade].holds(key);
      if (run_.in.in_full || trade == static_cast<size_t>(run_.in.scene.trade) || held) {
        out.push_back({side, trade, held, std::move(key)});
      } else {
        results_.interim = true;
      }
    }
  }
  return out;
}

void Evaluation::solve_field(const FieldTask& task, const compute::StepTimes* times, int shares) {
  const auto& [graph, hazard, starts, weight_s] = task.key;
  auto& memo = cache_.field[task.side][task.trade];
  auto field = memo.get(task.key, [&]() -> Result<compute::CostField> {
    compute::CostQuery q;
    q.starts = starts;
    q.hazard_per_min = &hazard_[task.side]->total.cells;
    q.weight_s = weight_s;
    q.toward_starts = task.side == 1;
    q.times = times;
    q.shares = shares;
    if (!memo.key()) return compute::cheapest_ways(*graph, q, run_.stop);
    const auto& [graph_before, hazard_before, starts_before, weight_before_s] = *memo.key();
    if (graph_before->spec != graph->spec || starts_before != starts ||
        weight_before_s < weight_s || weight_before_s > weight_s)
      return compute::cheapest_ways(*graph, q, run_.stop);
    return compute::cheapest_ways_again(
        *graph, q,
        {*graph_before, hazard_before ? &hazard_before->total.cells : nullptr, *memo.value()},
        run_.stop);
  });
  if (field) field_[task.side][task.trade] = *field;
}

Status Evaluation::solve_fields() {
  const std::vector<FieldTask> tasks = fields_asked();
  std::array<const compute::StepTimes*, 2> times = {};
  bool solves = false;
  for (const FieldTask& task : tasks) {
    if (task.held) continue;
    solves = true;
    times[task.side] =
        cache_.step_times[task.side].of(graph_[task.side], task.side == 1, run_.in.in_full);
  }
  // A few fields of unlike length leave a thread idle at the end: what does not rest on them is
  // worked out beside them.
  const auto& stands = run_.doc().of(Kind::stand);
  const size_t counts = gaps_due_ && run_.in.in_full ? 1 : 0, fields = counts + tasks.size();
  Status counted = ok();
  const bool done = for_each_index(
      static_cast<int>(fields + (solves ? stands.size() : 0)),
      [&](int i) {
        const size_t n = static_cast<size_t>(i);
        if (n < counts) {
          counted = count_gaps();
        } else if (n < fields) {
          const FieldTask& task = tasks[n - counts];
          solve_field(task, times[task.side], tasks.size() > 1 ? 1 : 0);
        } else {
          const Feature& f = *stands[n - fields];
          find_air(f, cache_.stands.at(f.uid));
        }
      },
      run_.stop);
  if (!done) return fail(ErrorCode::cancelled, "cancelled");
  if (!counted || counts == 0 || *cache_.gaps.value() == *gaps_) return counted;
  // Deer pass elsewhere than was thought.
  if (Status s = make_hazards(); !s) return s;
  return solve_fields();
}

WayContext Evaluation::way_context(size_t side) const {
  return {run_.doc(), *land_, *graph_[side], hazard_[side], gates_[side], j_, day_};
}

Ref<Way> Evaluation::way_of(const Feature& f, StandCache& cache, size_t side, size_t trade) {
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

void Evaluation::add_sitters() {
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

void Evaluation::best_of_all(std::array<Ref<Way>, kTradeCount>& ways) const {
  const std::array<Ref<Way>, kTradeCount> found = ways;
  for (size_t t = 0; t < kTradeCount; ++t) {
    const double weight_s = j_.trade_weight_s(static_cast<Trade>(t));
    const auto cost = [&](const Ref<Way>& w) { return w->time_s + weight_s * w->hazard; };
    for (const Ref<Way>& other : found)
      if (other && ways[t] && cost(other) < cost(ways[t])) ways[t] = other;
  }
}

void Evaluation::add_ways(const Feature& f, LocalXY at, StandCache& cache, StandResult& out) {
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
  if (field_[0][chosen] && !out.way_in[chosen]) out.no_way = no_way_reason(in, f.shape.position());
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

}  // namespace leeward
