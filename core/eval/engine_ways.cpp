// Ways in and out, and who meets whom on them.
#include "core/base/parallel.h"
#include "core/eval/engine_run.h"
#include "core/eval/ways.h"

#include <algorithm>

namespace leeward {

Status Evaluation::solve_fields() {
  if (!run_.in.ways) return ok();
  std::array<std::vector<size_t>, 2> starts;
  for (size_t side = 0; side < 2; ++side)
    for (const GateCell& g : gates_[side]) starts[side].push_back(g.cell);
  struct Task {
    size_t side, trade;
    EngineCache::FieldKey key;
  };
  std::vector<Task> tasks;
  for (size_t trade = 0; trade < kTradeCount; ++trade) {
    for (size_t side = 0; side < 2; ++side) {
      // Without weight the hazard does not matter: the quickest way is the same in every wind.
      const double weight = j_.trade_weight_s(static_cast<Trade>(trade));
      EngineCache::FieldKey key{graph_[side], weight > 0 ? hazard_[side] : nullptr, starts[side],
                                weight};
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
