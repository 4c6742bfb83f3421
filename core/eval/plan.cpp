// Which sits there are, and their evaluation hour by hour.
#include "core/eval/plan.h"

#include "core/eval/air.h"
#include "core/eval/land.h"
#include "core/geo/frame.h"

#include <algorithm>
#include <cmath>
#include <set>

namespace leeward {
namespace {

constexpr std::chrono::hours kStep{1};
constexpr std::chrono::minutes kFineStep{15};

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

/// The property's answers to one question after another.
class Asker {
 public:
  Asker(Engine& engine, const Snapshot& ask, std::stop_token stop)
      : engine_(engine), ask_(ask), stop_(std::move(stop)) {}

  Result<PlanHour> at(Instant at, Instant arrive, Instant leave, bool ways) {
    Snapshot question = ask_;
    question.scene = {arrive, leave, ask_.scene.trade};
    question.ways = ways;
    question.in_full = false;
    auto results = engine_.evaluate(question, stop_);
    // What takes long and holds for a season, once.
    if (results && ((*results)->wind_pending || (*results)->gaps_pending)) {
      question.in_full = true;
      results = engine_.evaluate(question, stop_);
    }
    if (!results) return std::move(results.error());
    return PlanHour{at, *results};
  }

 private:
  Engine& engine_;
  const Snapshot& ask_;
  std::stop_token stop_;
};

/// Where the scent of a stand comes to lie on deer, quarters of an hour.
Status look_closer(Asker& asker, const Document& d, const PlanSit& sit,
                   std::vector<PlanHour>& hours) {
  std::vector<bool> turns(hours.size(), false);
  for (const auto& stand : d.of(Kind::stand))
    if (const auto onset = scent_onset(hours, stand->uid)) turns[*onset] = true;
  std::vector<PlanHour> out;
  for (std::size_t i = 0; i < hours.size(); ++i) {
    if (turns[i])
      for (Instant t = hours[i - 1].at + kFineStep; t + kFineStep / 2 < hours[i].at;
           t += kFineStep) {
        auto between = asker.at(t, t, sit.leave, false);
        if (!between) return std::move(between.error());
        out.push_back(*std::move(between));
      }
    out.push_back(std::move(hours[i]));
  }
  hours = std::move(out);
  return ok();
}

Result<SitAnswers> evaluate_sit(Asker& asker, const Document& d, const PlanSit& sit) {
  SitAnswers out;
  for (const Instant t : hours_of(sit)) {
    auto hour = asker.at(t, t, sit.leave, t == sit.arrive);  // one walk in, one out
    if (!hour) return std::move(hour.error());
    out.hours.push_back(*std::move(hour));
  }
  if (Status looked = look_closer(asker, d, sit, out.hours); !looked)
    return std::move(looked.error());
  std::set<Instant> early;
  for (const auto& stand : d.of(Kind::stand))
    if (const auto onset = scent_onset(out.hours, stand->uid); onset && *onset > 1)
      early.insert(out.hours[*onset - 1].at);
  for (const Instant leave : early) {
    auto answer = asker.at(leave, sit.arrive, leave, true);
    if (!answer) return std::move(answer.error());
    out.early.push_back(*std::move(answer));
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
  Asker asker(engine, ask, std::move(stop));
  for (size_t i = 0; i < plan.sits.size(); ++i) {
    if (progress)
      progress(static_cast<double>(i) / static_cast<double>(plan.sits.size()),
               plan.sits[i].morning ? "a morning" : "an evening");
    PlanSit& sit = plan.sits[i];
    const auto answers = evaluate_sit(asker, d, sit);
    if (!answers) return answers.error();
    sit.air = answers->hours.front().results->air;
    for (const PlanHour& h : answers->hours) note_air(sit, h.results->air);
    std::vector<PlanCell> cells;
    for (const auto& stand : d.of(Kind::stand)) {
      cells.push_back(plan_cell(d, sit, *answers, *stand));
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
