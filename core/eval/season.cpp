#include "core/eval/season.h"

#include "core/eval/air.h"
#include "core/eval/land.h"
#include "core/geo/frame.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>

namespace leeward {
namespace {

/// Speeds of the three classes at 10 m and where they part.
constexpr std::array<double, 3> kSpeeds_mps = {1.3, 3.2, 6.5};
constexpr std::array<double, 2> kParts_mps = {2.0, 4.5};

struct WindClass {
  bool morning = false;
  int sector = 0, speed = 0;
  friend auto operator<=>(const WindClass&, const WindClass&) = default;
};

struct Place {
  LonLat at{-90, 40};
  double convergence_deg = 0;
};
Place place_of(const Document& d, const Terrain& terrain) {
  auto frame = Frame::make(d.settings->crs);
  if (!frame) return {};
  const LocalXY centre = analysis_grid(d, terrain).box().centre();
  return {frame->to_wgs84(centre), frame->convergence_deg(centre)};
}

/// When a sit of a day is judged; nullopt where the sun does not rise and set.
std::optional<Instant> moment_of(Instant noon, bool morning, const Place& place,
                                 const Settings& s) {
  const SunDay sun = sun_day_of(noon, place.at, s);
  const auto begins = sun.legal_start ? sun.legal_start : sun.rise;
  const auto ends = sun.legal_end ? sun.legal_end : sun.set;
  if (!begins || !ends) return std::nullopt;
  return morning ? *begins : *ends - std::chrono::hours(1);
}

/// The sits of a season and the wind of each, counted by class.
struct Counted {
  std::map<WindClass, int> sits;
  Season season;
  std::vector<Instant> noons;
};

void count_sit(const StationHour* hour, bool morning, Counted& out) {
  if (!hour || !hour->speed_mps) {
    ++out.season.unknown;
    return;
  }
  ++(morning ? out.season.mornings : out.season.evenings);
  if (*hour->speed_mps < kCalmBelow_mps || !hour->true_from_deg) {
    ++out.season.calm;
    return;
  }
  const int speed = *hour->speed_mps < kParts_mps[0] ? 0 : *hour->speed_mps < kParts_mps[1] ? 1 : 2;
  const int sector = sector_of(*hour->true_from_deg);
  ++out.sits[{morning, sector, speed}];
  ++out.season.from[static_cast<size_t>(sector)];
}

Counted count_sits(const Document& d, const Place& place, const std::vector<StationHour>& hours,
                   const SeasonDays& days) {
  Counted out;
  const Settings& s = *d.settings;
  std::set<std::string> done;
  const auto record_at = [&](Instant t) -> const StationHour* {
    const Instant hour = std::chrono::floor<std::chrono::hours>(t);
    const auto it = std::lower_bound(hours.begin(), hours.end(), hour,
                                     [](const StationHour& h, Instant at) { return h.at < at; });
    return it != hours.end() && it->at == hour ? &*it : nullptr;
  };
  for (const StationHour& h : hours) {
    const CivilTime c = to_civil(h.at, s.time_zone);
    if (c.hour != 12 || !days.has(c.month, c.day) || !done.insert(iso_date(c)).second) continue;
    out.noons.push_back(h.at);
    for (const bool morning : {true, false})
      if (const auto at = moment_of(h.at, morning, place, s))
        count_sit(record_at(*at), morning, out);
  }
  return out;
}

Ref<Document> with_wind(const Ref<Document>& d, const Place& place, const WindClass& wind) {
  Document next = *d;
  Settings s = *d->settings;
  s.use_hand_wind = true;
  s.hand_wind.from_deg = wrap_360(22.5 * wind.sector - place.convergence_deg);
  s.hand_wind.speed_mps = kSpeeds_mps[static_cast<size_t>(wind.speed)];
  s.hand_wind.cloud = kAssumedCloud;
  next.settings = make_ref<Settings>(std::move(s));
  return make_ref<Document>(std::move(next));
}

}  // namespace

int sector_of(double true_from_deg) {
  return static_cast<int>(std::floor((wrap_360(true_from_deg) + 11.25) / 22.5)) % kSectors;
}

bool SeasonDays::has(int month, int day) const {
  const int at = 100 * month + day, from = 100 * from_month + from_day,
            until = 100 * until_month + until_day;
  return from <= until ? at >= from && at <= until : at >= from || at <= until;
}

Result<Season> season_of(Engine& engine, const Snapshot& ask, const std::vector<StationHour>& hours,
                         const SeasonDays& days, std::stop_token stop, const Progress& progress) {
  const Document& d = *ask.document;
  const Place place = place_of(d, *ask.terrain);
  Counted counted = count_sits(d, place, hours, days);
  Season& out = counted.season;
  struct Kept {
    int sits = 0, taken = 0;
  };
  std::vector<std::array<Kept, kSectors>> kept(d.of(Kind::stand).size());
  for (const auto& stand : d.of(Kind::stand)) out.stands.push_back({stand->uid, 0, 0, {}});
  int done = 0;
  for (const auto& [wind, sits] : counted.sits) {
    if (progress)
      progress(done++ / static_cast<double>(counted.sits.size()),
               wind.morning ? "mornings" : "evenings");
    const auto at =
        moment_of(counted.noons[counted.noons.size() / 2], wind.morning, place, *d.settings);
    Snapshot question{with_wind(ask.document, place, wind),
                      ask.terrain,
                      {*at, *at + std::chrono::hours(1), ask.scene.trade},
                      done == 1,
                      false};
    auto results = engine.evaluate(question, stop);
    if (!results) return std::move(results.error());
    for (size_t i = 0; i < out.stands.size(); ++i) {
      const SitTime meant = d.of(Kind::stand)[i]->as<StandAttrs>().meant_for;
      const bool fits = meant == SitTime::any || (meant == SitTime::mornings) == wind.morning;
      const bool taken = fits && !(*results)->stands[i].margin.passed;
      Kept& k = kept[i][static_cast<size_t>(wind.sector)];
      k.sits += sits;
      if (!taken) continue;
      k.taken += sits;
      (wind.morning ? out.stands[i].mornings : out.stands[i].evenings) += sits;
    }
  }
  for (size_t i = 0; i < out.stands.size(); ++i) {
    for (size_t k = 0; k < kSectors; ++k)
      out.stands[i].share[k] = kept[i][k].sits > 0
                                   ? static_cast<double>(kept[i][k].taken) / kept[i][k].sits
                                   : std::numeric_limits<double>::quiet_NaN();
  }
  if (progress) progress(1, "done");
  return std::move(out);
}

}  // namespace leeward
