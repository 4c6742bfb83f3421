// From the hours of a sit to its score, its verdict and its reasons.
#include "core/eval/deer.h"
#include "core/eval/explain.h"
#include "core/eval/judgement.h"
#include "core/eval/plan.h"
#include "core/eval/ways.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace leeward {
namespace {

constexpr double kLeftAloneBelow = 0.25;  ///< Chance of nobody noticing the whole sit.
constexpr double kCleanOut = 0.8;         ///< Chance of leaving unnoticed, before the scent turns.
constexpr double kFewDeer = 0.15, kNoDeer = 0.05;
constexpr double kSeenEnough_m = 20;  ///< A trail seen over this much is a trail seen.
constexpr double kAtDark = 0.35;      ///< Chance of deer before the stand that is said.
constexpr double kLeastSwing_sd_deg = 10;

struct Hour {
  const PlanHour* hour = nullptr;
  const StandResult* stand = nullptr;
  double hours = 0;  ///< Of the sit that it stands for.
};

double normal(double x) { return 0.5 * std::erfc(-x / std::sqrt(2.0)); }

/// Chance that the wind stays within the margin; a direction spread less wide than the hour's gusts
/// and turns is inside the plume already.
double steadiness(const Results& r, const SwingMargin& m) {
  if (m.passed) return 0.25;
  const double sd = std::max(kLeastSwing_sd_deg, r.air.extra_sd_deg);
  return normal(m.veer_deg / sd) - normal(-m.back_deg / sd);
}

/// Share of the deer on a trail that come into reach before they meet the scent.
double clean_share(const Document& d, const Judgement& j, const StandResult& s,
                   const Feature& trail, const DeerTime& time) {
  const std::optional<bool> from_start = most_walk_from_start(d, trail, time);
  double clean = 0, all = 0;
  for (const TrailMeeting& m : s.meetings) {
    if (m.trail != trail.uid) continue;
    const double share = !from_start                   ? 0.5
                         : m.from_start == *from_start ? j.usual_way
                                                       : 1 - j.usual_way;
    all += share;
    clean += share * (m.first == TrailMeeting::First::reach      ? 1
                      : m.first == TrailMeeting::First::together ? 0.5
                                                                 : 0);
  }
  return all > 0 ? clean / all : 1;
}

double exposure_on(const StandResult& s, const Uid& area) {
  for (const ScentOn& on : s.scent_on)
    if (on.area == area) return on.exposure * on.occupancy;
  return 0;
}

/// Chance of deer in reach and in sight in an hour.
double deer_in_reach(const Document& d, const Judgement& j, const Hour& h) {
  const Settings& settings = *d.settings;
  const DeerTime time = deer_time(h.hour->at, h.hour->results->sun_day, settings);
  double none = 1;
  for (const InReach& r : h.stand->in_reach) {
    if (r.kind != Kind::deer_trail && r.kind != Kind::food) continue;
    const Ref<Feature> f = d.find(r.feature);
    if (!f) continue;
    const double seen = std::min(1.0, r.seen_m / kSeenEnough_m);
    const double clean = r.kind == Kind::deer_trail ? clean_share(d, j, *h.stand, *f, time)
                         : exposure_on(*h.stand, r.feature) < settings.scent_limit ? 1
                                                                                   : 0.3;
    none *= 1 - occupancy(*f, time, settings) * seen * clean;
  }
  return 1 - none;
}

bool legal(const SunDay& day, Instant at) {
  const auto from = day.legal_start ? day.legal_start : day.rise;
  const auto to = day.legal_end ? day.legal_end : day.set;
  return from && to && at >= *from && at <= *to;
}

std::vector<Hour> hours_of(const std::vector<PlanHour>& hours, const Uid& stand) {
  std::vector<Hour> out;
  for (size_t i = 0; i < hours.size(); ++i) {
    const StandResult* s = hours[i].results->find(stand);
    if (!s || !s->sight) continue;
    const Instant from = i > 0 ? hours[i - 1].at : hours[i].at,
                  to = i + 1 < hours.size() ? hours[i + 1].at : hours[i].at;
    out.push_back(
        {&hours[i], s, std::chrono::duration<double, std::ratio<3600>>(to - from).count() / 2});
  }
  return out;
}

void say(PlanCell& cell, std::string words) { cell.reasons.push_back(std::move(words)); }

std::string percent(double share) {
  const long rounded = 5 * std::lround(20 * share);
  return rounded <= 0     ? "under 5 %"
         : rounded >= 100 ? "over 95 %"
                          : "about " + std::to_string(rounded) + " %";
}

void say_way(const Document& d, PlanCell& cell, const char* which, double chance, const Way* way) {
  if (!way || chance > 0.9) return;
  std::string words = std::string(which) + " unnoticed with " + percent(chance);
  const std::vector<Reason> reasons = reasons_of(*way);
  if (!reasons.empty()) words += ": " + explain_reason(d, reasons.front());
  say(cell, words + ".");
}

/// When the scent comes to lie on deer, and whether there is a clean way out before.
void find_out_by(const Document& d, const SitAnswers& answers, PlanCell& cell) {
  const auto onset = scent_onset(answers.hours, cell.stand);
  if (!onset) return;
  const PlanHour& late = answers.hours[*onset];
  const Instant before = answers.hours[*onset - 1].at;
  cell.scent_from = late.at;
  const StandResult& late_stand = *late.results->find(cell.stand);
  const Ref<Feature> area = d.find(late_stand.margin.veer_area);
  std::string words = "From " + clock_text(late.at, d.settings->time_zone) +
                      " your scent lies on " + (area ? display_name(*area) : std::string("deer"));
  for (const PlanHour& leaving : answers.early) {
    const StandResult* s = leaving.at == before ? leaving.results->find(cell.stand) : nullptr;
    const Way* way =
        s ? s->way_out[static_cast<size_t>(leaving.results->scene.trade)].get() : nullptr;
    if (!way || way->unnoticed < kCleanOut) continue;
    cell.out_by = before;
    say(cell, words + ": out by " + clock_text(before, d.settings->time_zone) +
                  ", when the way out is clean (" + percent(way->unnoticed) + " unnoticed).");
    return;
  }
  say(cell, words + ", and no way out before it is clean: better not to go.");
}

void sit_parts(const Document& d, const Judgement& j, const std::vector<Hour>& hours,
               PlanCell& cell, double& hazard) {
  double traffic = 0, in_light = 0, steady = 0, all = 0;
  for (const Hour& h : hours) {
    const Results& r = *h.hour->results;
    hazard += 60 * h.hours * h.stand->sit_hazard_per_min;
    steady += h.hours * steadiness(r, h.stand->margin);
    all += h.hours;
    if (!legal(r.sun_day, h.hour->at)) continue;
    traffic += h.hours * deer_in_reach(d, j, h);
    in_light += h.hours;
  }
  cell.parts.steady = all > 0 ? steady / all : 0;
  cell.parts.traffic = in_light > 0 ? 1 - std::exp(-traffic) : 0;
  // Glare takes half of what is shot at against the sun.
  const StandResult& first = *hours.front().stand;
  const double targets = static_cast<double>(std::max<size_t>(1, first.in_reach.size()));
  cell.parts.light =
      1 - 0.5 * std::min(1.0, static_cast<double>(first.light.glare.size()) / targets);
}

bool takes_vehicles(const GateAttrs& gate) { return gate.parking || gate.type != GateType::gate; }

/// The way out on foot or, where the settings allow it and it is better, a ride from the stand.
double way_out(const Document& d, const Judgement& j, const StandResult& s, size_t trade,
               PlanCell& cell) {
  const Way* walk = s.way_out[trade].get();
  const double foot = walk ? walk->unnoticed : 0;
  if (!d.settings->pick_up) return foot;
  const Ref<Feature> stand = d.find(s.stand);
  double metres = 1e9;
  for (const auto& gate : d.of(Kind::gate))
    if (takes_vehicles(gate->as<GateAttrs>()))
      metres = std::min(
          metres, j.ride_detour * distance_m(gate->shape.position(), stand->shape.position()));
  if (metres >= 1e9) return foot;  // no vehicle comes to any gate
  const double ride = std::exp(-j.ride_per_min * 2 * metres / std::max(0.1, j.ride_mps) / 60);
  if (ride <= foot) return foot;
  cell.by_ride = true;
  say(cell, "Out by pick-up, " + percent(ride) + " against " + percent(foot) +
                " on foot. No loaded weapon in or on a vehicle: check local law.");
  return ride;
}

/// Of the trails in reach, the first whose deer mostly meet the scent before they are in reach.
void say_winded(const Document& d, const Judgement& j, const StandResult& s, const DeerTime& time,
                PlanCell& cell) {
  for (const InReach& r : s.in_reach) {
    const Ref<Feature> trail = r.kind == Kind::deer_trail ? d.find(r.feature) : nullptr;
    if (!trail || !most_walk_from_start(d, *trail, time)) continue;
    if (clean_share(d, j, s, *trail, time) >= 0.5) continue;
    say(cell, "Most deer on " + display_name(*trail) +
                  " come through your scent at that hour, before they are in reach.");
    return;
  }
}

void say_rest_of_it(const Document& d, const Judgement& j, const PlanSit& sit,
                    const std::vector<Hour>& hours, PlanCell& cell) {
  const Hour& last = hours.back();
  const StandResult& first = *hours.front().stand;
  if (!sit.morning) {
    const double deer = deer_in_reach(d, j, last);
    cell.deer_at_dark = deer >= kAtDark;
    if (cell.deer_at_dark)
      say(cell, "Deer are likely before you at dark (" + percent(deer) +
                    "): wait until they have left, or be picked up.");
  }
  if (first.margin.passed) {
    const Ref<Feature> area = d.find(first.margin.veer_area);
    say(cell, "On arrival your scent lies on " +
                  (area ? display_name(*area) : std::string("deer")) + ".");
  } else if (std::min(first.margin.veer_deg, first.margin.back_deg) < 60) {
    say(cell, explain_margin(d, first.margin));
  }
  if (sit.swing_deg >= 30) {
    char words[80];
    std::snprintf(words, sizeof words, "The wind turns by %.0f° during the sit.", sit.swing_deg);
    say(cell, words);
  }
  say_winded(d, j, first,
             deer_time(hours.front().hour->at, hours.front().hour->results->sun_day, *d.settings),
             cell);
  if (cell.parts.traffic < kFewDeer) say(cell, "Few deer are likely in reach and in sight.");
  if (cell.parts.light < 0.8) say(cell, "Much of what is in reach lies against a low sun.");
}

bool holds(double a_low, double a, double a_high, double b_low, double b, double b_high) {
  return a_low > b_low && a > 1.1 * b && a_high > b_high;
}

}  // namespace

std::optional<std::size_t> scent_onset(const std::vector<PlanHour>& hours, const Uid& stand) {
  std::size_t first = hours.size();
  for (; first > 0; --first) {
    const StandResult* s = hours[first - 1].results->find(stand);
    if (!s || !s->margin.passed) break;
  }
  if (first == 0 || first + 1 >= hours.size()) return std::nullopt;
  return first;
}

PlanCell plan_cell(const Document& d, const PlanSit& sit, const SitAnswers& answers,
                   const Feature& stand) {
  PlanCell cell;
  cell.stand = stand.uid;
  cell.watch_only = stand.as<StandAttrs>().watch_only;
  if (const std::string why = withheld_because(d, stand, sit.morning, sit.arrive); !why.empty()) {
    cell.verdict = Verdict::withheld;
    say(cell, why);
    return cell;
  }
  const std::vector<Hour> hours = hours_of(answers.hours, stand.uid);
  if (hours.empty()) {
    cell.verdict = Verdict::withheld;
    say(cell, "Nothing is known of its ground.");
    return cell;
  }
  const StandResult& first = *hours.front().stand;
  const Judgement j = judgement_of(*d.settings);
  const size_t trade = static_cast<size_t>(hours.front().hour->results->scene.trade);
  const Way* in = first.way_in[trade].get();
  if (!in) {
    cell.verdict = Verdict::withheld;
    say(cell, first.no_way.empty() ? "No way in was found." : first.no_way);
    return cell;
  }
  double hazard = 0;
  sit_parts(d, j, hours, cell, hazard);
  const Rest rest = rest_of(d, stand, sit.arrive);
  cell.parts.in = in->unnoticed;
  cell.parts.sit = std::exp(-hazard);
  cell.parts.out = way_out(d, j, first, trade, cell);
  cell.parts.rest = rest.share;
  cell.score = cell.parts.score();
  const double unnoticed = cell.parts.in * cell.parts.sit * cell.parts.out;
  const double others = unnoticed > 0 ? cell.score / unnoticed : 0;
  cell.low = others * std::pow(unnoticed, j.band_factor);
  cell.high = others * std::pow(unnoticed, 1 / j.band_factor);
  if (rest.share < 0.9) say(cell, rest.why);
  say_way(d, cell, "In", cell.parts.in, in);
  find_out_by(d, answers, cell);
  if (cell.parts.sit < 0.9) {
    const Ref<Feature> area = first.scent_on.empty() ? nullptr : d.find(first.scent_on[0].area);
    say(cell, "The sit goes unnoticed with " + percent(cell.parts.sit) +
                  (area ? ", most at risk from " + display_name(*area) : std::string()) + ".");
  }
  if (!cell.by_ride) say_way(d, cell, "Out", cell.parts.out, first.way_out[trade].get());
  say_rest_of_it(d, j, sit, hours, cell);
  const bool spoiled = cell.scent_from && !cell.out_by;
  if (unnoticed < kLeftAloneBelow || cell.parts.traffic < kNoDeer || rest.share < 0.5 || spoiled)
    cell.verdict = Verdict::leave_alone;
  return cell;
}

void rank_cells(std::vector<PlanCell*>& cells) {
  for (const bool watch : {false, true}) {
    std::vector<PlanCell*> open;
    for (PlanCell* c : cells)
      if (c->watch_only == watch && c->verdict == Verdict::even) open.push_back(c);
    std::stable_sort(open.begin(), open.end(),
                     [](const PlanCell* a, const PlanCell* b) { return a->score > b->score; });
    for (size_t i = 0; i < open.size(); ++i) {
      const bool tied = i > 0 && !holds(open[i - 1]->low, open[i - 1]->score, open[i - 1]->high,
                                        open[i]->low, open[i]->score, open[i]->high);
      open[i]->rank = tied ? open[i - 1]->rank : static_cast<int>(i) + 1;
    }
    const bool all_tied = !open.empty() && open.back()->rank == 1;
    for (PlanCell* c : open)
      if (c->rank == 1 && (!all_tied || open.size() == 1)) c->verdict = Verdict::better;
  }
}

}  // namespace leeward
