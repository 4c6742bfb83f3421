// Which sits there are, and their evaluation hour by hour.
#include "core/eval/plan.h"

#include "core/eval/air.h"
#include "core/eval/land.h"
#include "core/geo/frame.h"

#include <algorithm>
#include <cmath>

namespace leeward {
namespace {

constexpr std::chrono::hours kStep{1};

PlanSit sit_between(const Document& d, Instant arrive, Instant leave, bool morning) {
  PlanSit out;
  out.arrive = arrive;
  out.leave = leave;
  out.morning = morning;
  out.date = iso_date(to_civil(leave, d.settings->time_zone));
  return out;
}

/// Arrival, every hour after it, and leaving.
std::vector<Instant> hours_of(const PlanSit& sit) {
  std::vector<Instant> out;
  for (Instant t = sit.arrive; t + kStep / 2 < sit.leave; t += kStep) out.push_back(t);
  out.push_back(sit.leave);
  return out;
}

void note_air(PlanSit& sit, const AirNow& air) {
  for (const std::string& doubt : air.doubts)
    if (std::find(sit.doubts.begin(), sit.doubts.end(), doubt) == sit.doubts.end())
      sit.doubts.push_back(doubt);
  if (!air.known || !sit.air.known || air.speed_10m_mps < kCalmBelow_mps) return;
  sit.swing_deg =
      std::max(sit.swing_deg, std::abs(turn_deg(sit.air.from.source(), air.from.source())));
}

Result<std::vector<PlanHour>> evaluate_sit(Engine& engine, const Snapshot& ask, const PlanSit& sit,
                                           std::stop_token stop) {
  std::vector<PlanHour> out;
  for (const Instant at : hours_of(sit)) {
    Snapshot question = ask;
    question.scene = {at, sit.leave, ask.scene.trade};
    question.ways = at == sit.arrive;  // one walk in, one out
    question.in_full = false;
    auto results = engine.evaluate(question, stop);
    if (results && (*results)->wind_pending) {  // the land's wind of this season, once
      question.in_full = true;
      results = engine.evaluate(question, stop);
    }
    if (!results) return std::move(results.error());
    out.push_back({at, *results});
  }
  return out;
}

/// Nothing is better by a wind that nobody knows.
void doubt_cells(std::vector<PlanCell>& cells) {
  for (PlanCell& c : cells) {
    if (c.verdict == Verdict::withheld) continue;
    if (c.verdict == Verdict::better) c.verdict = Verdict::even;
    c.reasons.insert(c.reasons.begin(),
                     "The wind of this sit is not known: scent is taken to all sides.");
  }
}

}  // namespace

const char* word(Verdict verdict) {
  static constexpr const char* kWords[] = {"better", "even", "leave alone", "withheld"};
  return kWords[static_cast<size_t>(verdict)];
}

std::vector<PlanSit> coming_sits(const Document& d, LonLat place, Instant first, int days) {
  const Settings& s = *d.settings;
  std::vector<PlanSit> out;
  const std::chrono::minutes sit{s.sit_minutes}, settle{s.settle_min};
  Instant day = civil_day(first, s.time_zone).start;
  for (int i = 0; i < days; ++i) {
    const CivilDay civil = civil_day(day + std::chrono::hours(12), s.time_zone);
    const SunDay sun = sun_day_of(civil.start + (civil.end - civil.start) / 2, place, s);
    const auto begins = sun.legal_start ? sun.legal_start : sun.rise;
    const auto ends = sun.legal_end ? sun.legal_end : sun.set;
    if (begins && ends) {
      out.push_back(sit_between(d, *begins - settle, *begins + sit, true));
      out.push_back(sit_between(d, *ends - sit, *ends, false));
    }
    day = civil.end;
  }
  std::erase_if(out, [&](const PlanSit& p) { return p.leave <= first; });
  return out;
}

Result<Plan> make_plan(Engine& engine, const Snapshot& ask, int days, std::stop_token stop,
                       const Progress& progress) {
  const Document& d = *ask.document;
  Plan plan;
  plan.revision = d.revision;
  plan.trade = ask.scene.trade;
  auto frame = Frame::make(d.settings->crs);
  const LocalXY centre = analysis_grid(d, *ask.terrain).box().centre();
  const LonLat place = frame ? frame->to_wgs84(centre) : LonLat{-90, 40};
  plan.sits = coming_sits(d, place, ask.scene.arrive, days);
  for (size_t i = 0; i < plan.sits.size(); ++i) {
    if (progress)
      progress(static_cast<double>(i) / static_cast<double>(plan.sits.size()),
               plan.sits[i].morning ? "a morning" : "an evening");
    PlanSit& sit = plan.sits[i];
    auto hours = evaluate_sit(engine, ask, sit, stop);
    if (!hours) return std::move(hours.error());
    sit.air = hours->front().results->air;
    for (const PlanHour& h : *hours) note_air(sit, h.results->air);
    std::vector<PlanCell> cells;
    for (const auto& stand : d.of(Kind::stand)) {
      cells.push_back(plan_cell(d, sit, *hours, *stand));
      cells.back().sit = i;
    }
    std::vector<PlanCell*> refs;
    for (PlanCell& c : cells) refs.push_back(&c);
    rank_cells(refs);
    if (!sit.air.known) doubt_cells(cells);
    for (PlanCell& c : cells) plan.cells.push_back(std::move(c));
  }
  if (progress) progress(1, "done");
  return plan;
}

}  // namespace leeward
