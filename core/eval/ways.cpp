#include "core/eval/ways.h"

#include "core/compute/walking.h"

#include <algorithm>
#include <cmath>

namespace leeward {
namespace {

constexpr double kReasonStep_m = 20;
constexpr double kSnap_m = 20;

// `seconds[i]` is the time from point i to i + 1.
Ref<Way> finish(const WayContext& context, Path points, std::vector<double> seconds, Way way) {
  const Raster<float>& total = context.hazard->total;
  const compute::SightLand& cells = context.land.cells;
  float last_ground = kUnknown;
  for (size_t i = 0; i < points.size(); ++i) {
    way.hazard_per_min.push_back(total.value_or(points[i], 0.0F));
    const float ground = cells.value_or(points[i], {kUnknown, 0, 0}).ground_m;
    if (ground > last_ground) way.climb_m += static_cast<double>(ground - last_ground);
    if (!std::isnan(ground)) last_ground = ground;
  }
  for (size_t i = 0; i + 1 < points.size(); ++i) {
    way.time_s += seconds[i];
    way.length_m += distance_m(points[i], points[i + 1]);
    way.hazard +=
        seconds[i] / 120.0 * static_cast<double>(way.hazard_per_min[i] + way.hazard_per_min[i + 1]);
  }
  if (!way.legs.empty()) {  // measured finer, on the same line
    way.hazard = 0;
    for (const WayLeg& leg : way.legs) way.hazard += leg.hazard;
  }
  way.unnoticed = std::exp(-way.hazard);
  way.unnoticed_low = std::exp(-way.hazard * context.judgement.band_factor);
  way.unnoticed_high = std::exp(-way.hazard / context.judgement.band_factor);
  way.points = std::move(points);
  way.seconds = std::move(seconds);
  way.walked_in = context.hazard;
  return make_ref<Way>(std::move(way));
}

// One leg a stretch between drawn corners; `points` holds the corners of `line` among others.
void add_drawn_legs(const WayContext& context, const Path& line, const Path& points,
                    const std::vector<double>& seconds, Way& way) {
  const Raster<float>& total = context.hazard->total;
  const auto corner = [&](LocalXY p) {
    return std::any_of(line.begin(), line.end(),
                       [&](LocalXY q) { return distance_m(p, q) < 1e-6; });
  };
  const auto ground = [&](LocalXY p) {
    return static_cast<double>(context.land.cells.value_or(p, {kUnknown, 0, 0}).ground_m);
  };
  size_t begin = 0;
  WayLeg leg;
  for (size_t i = 0; i + 1 < points.size(); ++i) {
    leg.length_m += distance_m(points[i], points[i + 1]);
    leg.time_s += seconds[i];
    leg.hazard +=
        seconds[i] / 120 *
        static_cast<double>(total.value_or(points[i], 0.0F) + total.value_or(points[i + 1], 0.0F));
    const double rise = ground(points[i + 1]) - ground(points[i]);
    if (!std::isnan(rise)) (rise > 0 ? leg.climb_m : leg.drop_m) += std::abs(rise);
    if (i + 2 < points.size() && !corner(points[i + 1])) continue;
    leg.to = points[i + 1];
    leg.toward = bearing(points[begin], points[i + 1]);
    way.legs.push_back(leg);
    leg = {};
    begin = i + 1;
  }
}

}  // namespace

std::vector<GateCell> gate_cells(const Document& document, const compute::WalkGraph& graph) {
  std::vector<GateCell> out;
  for (const auto& f : document.of(Kind::gate)) {
    const size_t cell = compute::nearest_open(graph, f->shape.position(), kSnap_m);
    if (cell != static_cast<size_t>(-1)) out.push_back({f->uid, cell, f->shape.position()});
  }
  return out;
}

FieldLine line_of_field(const WayContext& context, const compute::CostField& field, LocalXY stand,
                        bool inward) {
  FieldLine out;
  const size_t cell = compute::nearest_open(context.graph, stand, kSnap_m);
  if (cell == static_cast<size_t>(-1)) return out;
  out.weighed = field.weight_s > 0;
  const std::vector<float>* hazard = out.weighed ? &context.hazard->total.cells : nullptr;
  const auto cells = compute::trace_way(context.graph, field, hazard, cell);
  if (cells.empty()) return out;
  out.gate_cell = inward ? cells.front() : cells.back();
  out.line = compute::walk_line(context.graph, cells, hazard, field.weight_s);
  return out;
}

Ref<Way> way_along(const WayContext& context, const FieldLine& found) {
  const compute::WalkLine& line = found.line;
  if (line.points.empty()) return nullptr;
  Way way;
  for (const GateCell& gate : context.gates)
    if (gate.cell == found.gate_cell) way.gate = gate.gate;
  Path points = {line.points.front()};
  std::vector<double> seconds;
  for (size_t i = 0; i < line.legs.size(); ++i) {
    const compute::WalkLeg& leg = line.legs[i];
    const LocalXY from = line.points[i], to = line.points[i + 1];
    const double hazard =
        found.weighed
            ? leg.hazard
            : compute::walk_leg(context.graph, &context.hazard->total.cells, from, to).hazard;
    way.legs.push_back(
        {to, leg.toward, leg.length_m, leg.climb_m, leg.drop_m, leg.seconds, hazard});
    // Points a cell apart carry the exposure along the leg.
    const int pieces =
        std::max(1, static_cast<int>(std::lround(leg.length_m / context.graph.spec.cell_m)));
    for (int k = 1; k <= pieces; ++k) {
      points.push_back(from + (to - from) * (static_cast<double>(k) / pieces));
      seconds.push_back(leg.seconds / pieces);
    }
  }
  return finish(context, std::move(points), std::move(seconds), std::move(way));
}

Ref<Feature> drawn_path_to(const Document& document, LocalXY stand) {
  Ref<Feature> best;
  double best_m = 30;
  for (const auto& f : document.of(Kind::human_path)) {
    const Path& line = f->shape.path();
    const double d = std::min(distance_m(line.front(), stand), distance_m(line.back(), stand));
    if (d <= best_m) best_m = d, best = f;
  }
  return best;
}

Ref<Way> way_as_drawn(const WayContext& context, const Path& line, LocalXY stand, bool inward) {
  Path points = densified(line, 5.0);
  const bool ends_at_stand = distance_m(points.back(), stand) <= distance_m(points.front(), stand);
  if (ends_at_stand != inward) std::reverse(points.begin(), points.end());
  Way way;
  std::vector<double> seconds;
  const auto ground = [&](LocalXY p) {
    return static_cast<double>(context.land.cells.value_or(p, {kUnknown, 0, 0}).ground_m);
  };
  for (size_t i = 0; i + 1 < points.size(); ++i) {
    const double run = distance_m(points[i], points[i + 1]);
    double slope = run > 0 ? (ground(points[i + 1]) - ground(points[i])) / run : 0;
    if (std::isnan(slope)) slope = 0;
    seconds.push_back(run * compute::path_pace_s_per_m(std::clamp(slope, -1.2, 1.2)));
  }
  add_drawn_legs(context, line, points, seconds, way);
  const auto& sanctuaries = context.document.of(Kind::sanctuary);
  for (size_t i = 0; i < sanctuaries.size(); ++i) {
    const Feature& f = *sanctuaries[i];
    if (clipped(points, f.shape, true).empty()) continue;
    const bool open = i < context.day.open.size() && context.day.open[i];
    way.warnings.push_back((open ? "enters the sanctuary " : "crosses the sanctuary ") +
                           display_name(f) +
                           (open ? ", open that day: " + f.as<SanctuaryAttrs>().reason : ""));
  }
  Path outside = points;
  bool has_boundary = false;
  for (const auto& f : context.document.of(Kind::boundary)) {
    has_boundary = true;
    std::erase_if(outside, [&](LocalXY p) { return distance_m(f->shape, p) < 3; });
  }
  if (has_boundary && !outside.empty() && !context.document.settings->beyond_boundary)
    way.warnings.push_back("leaves the boundary");
  const LocalXY far_end = inward ? points.front() : points.back();
  double nearest_m = 60;
  for (const auto& gate : context.document.of(Kind::gate)) {
    const double d = distance_m(gate->shape.position(), far_end);
    if (d <= nearest_m) nearest_m = d, way.gate = gate->uid;
  }
  if (way.gate.empty()) way.warnings.push_back("does not begin at a gate");
  return finish(context, std::move(points), std::move(seconds), std::move(way));
}

// Splits the hazard of a walk by area and sense, at points about 20 m apart.
std::vector<Reason> reasons_of(const Way& way) {
  if (!way.walked_in) return {};
  const HazardModel& model = *way.walked_in;
  const Path& points = way.points;
  const std::vector<double>& seconds = way.seconds;
  Box where;
  for (const LocalXY p : points) where.add(p);
  const HazardParts hazard(model, where);
  struct Moment {
    HazardParts::Place place;
    double minutes, middle;  // spent there; of the whole walk, 0..1
  };
  std::vector<Moment> moments;
  double waiting_m = kReasonStep_m / 2, waiting_s = 0, elapsed_s = 0;
  for (size_t i = 0; i + 1 < points.size(); ++i) {
    waiting_m += distance_m(points[i], points[i + 1]);
    waiting_s += seconds[i];
    if (waiting_m < kReasonStep_m && i + 2 < points.size()) continue;
    moments.push_back({hazard.place(points[i]), waiting_s / 60,
                       (elapsed_s + waiting_s / 2) / std::max(1.0, way.time_s)});
    elapsed_s += waiting_s;
    waiting_m = waiting_s = 0;
  }
  double total = 0;
  std::vector<Reason> all;
  for (const size_t area : hazard.areas()) {
    std::array<Reason, kSenseCount> sums;  // the share of the walk still times the hazard
    for (size_t s = 0; s < kSenseCount; ++s)
      sums[s] = {model.areas[area].uid, static_cast<Sense>(s), 0, 0, 0};
    for (const Moment& m : moments) {
      const HazardParts::BySense parts = hazard.of(area, m.place);
      for (size_t s = 0; s < kSenseCount; ++s) {
        const double h = parts[s] * m.minutes;
        sums[s].hazard += h;
        sums[s].share_of_walk += h * m.middle;
        if (parts[s] > 0.005) sums[s].minutes += m.minutes;  // half a percent a minute is felt
      }
    }
    for (const Reason& r : sums) {
      total += r.hazard;
      if (r.hazard > 0) all.push_back(r);
    }
  }
  std::vector<Reason> out;
  if (total <= 0) return out;
  const double scale = way.hazard / total;  // the parts are sampled; the whole is exact
  for (const Reason& r : all)
    if (r.hazard > 0.02 * total)
      out.push_back({r.area, r.sense, r.hazard * scale, r.minutes, r.share_of_walk / r.hazard});
  std::stable_sort(out.begin(), out.end(),
                   [](const Reason& x, const Reason& y) { return x.hazard > y.hazard; });
  if (out.size() > 3) out.resize(3);
  return out;
}

const compute::StepTimes* HeldTimes::of(const Ref<compute::WalkGraph>& graph, bool toward_starts,
                                        bool make) {
  if (times_ && of_ != graph) {
    if (of_->spec == graph->spec) {
      times_->follow(*graph);
    } else {
      times_.reset();
    }
  }
  if (!times_ && make && graph->spec.size() <= kMostCells)
    times_ = std::make_unique<compute::StepTimes>(*graph, toward_starts);
  of_ = times_ ? graph : nullptr;
  return times_.get();
}

std::string no_way_reason(const WayContext& context, LocalXY stand) {
  if (context.document.of(Kind::gate).empty()) return "No gate is drawn, so no way can begin.";
  if (context.gates.empty()) return "No gate stands on ground that may be walked.";
  for (const auto& f : context.document.of(Kind::sanctuary))
    if (contains(f->shape, stand))
      return "The stand lies inside the sanctuary " + display_name(*f) + ".";
  if (!context.graph.spec.contains(stand)) return "The stand lies far off the property.";
  if (compute::nearest_open(context.graph, stand, kSnap_m) == static_cast<size_t>(-1)) {
    return "The stand lies outside the boundary, or in water.";
  }
  return "Barriers, water or the sanctuary close every way from the gates.";
}

}  // namespace leeward
