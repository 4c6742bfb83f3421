#include "ui/print/stand_winds.h"

#include "core/eval/plan.h"

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

int sectorOf(double true_deg) {
  return static_cast<int>(
             std::floor(wrap_360(true_deg + kSectorWidth_deg / 2) / kSectorWidth_deg)) %
         kRoseSectors;
}

WindSuit suitOf(const SwingMargin& m) {
  if (m.passed) return WindSuit::foul;
  return m.veer_deg >= kSectorWidth_deg / 2 && m.back_deg >= kSectorWidth_deg / 2 ? WindSuit::fair
                                                                                  : WindSuit::edge;
}

bool fairBehind(const StandRose& rose, double past_deg, bool veering) {
  const double sign = veering ? 1 : -1;
  const int first = sectorOf(past_deg + sign), next = sectorOf(past_deg + sign * kSectorWidth_deg);
  return rose.suits[static_cast<size_t>(first)] == WindSuit::fair &&
         rose.suits[static_cast<size_t>(next)] == WindSuit::fair;
}

/// The stands that somebody could change to, nearest first.
std::vector<Uid> others(const Document& d, const Results& base, const Uid& from) {
  const Ref<Feature> here = d.find(from);
  const size_t trade = static_cast<size_t>(base.scene.trade);
  const bool morning = to_civil(base.scene.arrive + (base.scene.leave - base.scene.arrive) / 2,
                                d.settings->time_zone)
                           .hour < 12;
  std::vector<std::pair<double, Uid>> found;
  for (const StandResult& s : base.stands) {
    const Ref<Feature> f = d.find(s.stand);
    if (!f || !here || s.stand == from || !s.way_in[trade]) continue;
    const auto& a = f->as<StandAttrs>();
    const std::string& own = here->as<StandAttrs>().sitter;
    if (a.watch_only || (!a.sitter.empty() && a.sitter != own)) continue;
    if (!withheld_because(d, *f, morning, base.scene.arrive).empty()) continue;
    found.emplace_back(distance_m(here->shape.position(), f->shape.position()), s.stand);
  }
  std::sort(found.begin(), found.end());
  std::vector<Uid> out;
  for (auto& [m, uid] : found) out.push_back(uid);
  return out;
}

}  // namespace

const StandRose* StandWinds::find(const Uid& stand) const {
  for (const StandRose& r : stands)
    if (r.stand == stand) return &r;
  return nullptr;
}

Result<StandWinds> standWinds(Engine& engine, const Snapshot& ask, const Results& base,
                              std::stop_token stop, const Progress& progress) {
  StandWinds out;
  if (!base.air.known || base.air.speed_10m_mps < 0.5) return out;
  out.known = true;
  out.speed_mps = base.air.speed_10m_mps;
  for (const StandResult& s : base.stands) out.stands.push_back({s.stand, {}});
  const double to_grid_deg = base.air.from.source().degrees() - base.air.from_true_deg;
  for (int i = 0; i < kRoseSectors; ++i) {
    if (progress) progress(static_cast<double>(i) / kRoseSectors, "winds");
    Document turned = *ask.document;
    Settings settings = *turned.settings;
    settings.use_hand_wind = true;
    settings.hand_wind = {wrap_360(i * kSectorWidth_deg + to_grid_deg), base.air.speed_10m_mps,
                          base.air.cloud};
    turned.settings = make_ref<Settings>(std::move(settings));
    Snapshot question = ask;
    question.document = make_ref<Document>(std::move(turned));
    question.ways = false;
    auto results = engine.evaluate(question, stop);
    if (!results) return std::move(results.error());
    for (StandRose& rose : out.stands)
      if (const StandResult* s = (*results)->find(rose.stand))
        rose.suits[static_cast<size_t>(i)] = suitOf(s->margin);
  }
  return out;
}

std::vector<Fallback> fallbacks(const Document& d, const Results& base, const StandWinds& winds,
                                const StandResult& stand) {
  std::vector<Fallback> out;
  if (!winds.known || stand.margin.passed) return out;
  for (const bool veering : {false, true}) {
    const double margin = veering ? stand.margin.veer_deg : stand.margin.back_deg;
    if (margin >= SwingMargin::kMost_deg) continue;
    Fallback f;
    f.veering = veering;
    f.past_true_deg = wrap_360(base.air.from_true_deg + (veering ? margin : -margin));
    for (const Uid& other : others(d, base, stand.stand)) {
      const StandRose* rose = winds.find(other);
      if (!rose || !fairBehind(*rose, f.past_true_deg, veering)) continue;
      f.stand = other;
      break;
    }
    out.push_back(f);
  }
  return out;
}

}  // namespace leeward::ui
