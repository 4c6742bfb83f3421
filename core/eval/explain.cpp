#include "core/eval/explain.h"

#include "core/eval/deer.h"
#include "core/eval/explain_safety.h"
#include "core/eval/ways.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace leeward {
namespace {

template <class... Args>
std::string format(const char* pattern, Args... args) {
  char text[512];
  std::snprintf(text, sizeof text, pattern, args...);
  return text;
}

std::string name_of(const Document& document, const Uid& uid) {
  const Ref<Feature> f = document.find(uid);
  if (!f) return "a removed feature";
  return f->kind() == Kind::barrier ? "the gap in " + display_name(*f) : display_name(*f);
}

const char* sense_verb(Sense s) {
  switch (s) {
    case Sense::scent:
      return "scent reaches";
    case Sense::sight:
      return "seen from";
    case Sense::sound:
      return "heard from";
    case Sense::ground_scent:
      return "leaves ground scent on";
  }
  return "";
}

const char* part_of_walk(double share) {
  return share < 0.33 ? "in the first third" : share < 0.67 ? "half way" : "in the last third";
}

std::string reach_line(const Document& document, const InReach& r, UnitSystem units) {
  const bool lane = r.kind == Kind::shooting_lane;
  std::string text = name_of(document, r.feature) + " (" + info(r.kind).noun +
                     "): " + (lane ? "far end " : "nearest ") + distance_text(r.nearest_m, units) +
                     ", slant " + distance_text(r.slant_m, units) + ", " +
                     slope_text(r.depression_deg);
  if (r.reach_m > 0 && !lane) {
    text += "; " + distance_text(r.reach_m, units) + " in reach, " +
            distance_text(r.seen_m, units) + " of it seen";
    if (r.walk_s > 0)
      text += format(" (longest stretch %s, a deer walks it all in %.0f s)",
                     distance_text(r.longest_m, units).c_str(), r.walk_s);
    if (r.shot_to_m > r.shot_from_m)
      text += "; shots of " + distance_text(r.shot_from_m, units) + " to " +
              distance_text(r.shot_to_m, units);
  } else {
    text += r.seen >= 0.5 ? "; in sight" : r.seen > 0.1 ? "; seen through cover" : "; hidden";
  }
  if (r.skyline > 0)
    text += r.reach_m > 0 && !lane
                ? format("; your head is against the sky from %.0f %% of it", 100 * r.skyline)
                : std::string("; your head is against the sky from there");
  if (r.steep) text += "; a steep shot, down from the platform";
  if (r.line.outcome == compute::FireOutcome::clears_ground) text += "; no ground behind it";
  if (r.line.outcome == compute::FireOutcome::meets_ground)
    text += "; the line meets ground " + distance_text(r.line.backstop_beyond_m, units) + " beyond";
  return text + ".";
}

// Turn by turn, with true bearings.
std::string turns_text(const Results& results, const std::vector<WayLeg>& legs, UnitSystem units) {
  std::string out;
  for (const WayLeg& leg : legs) {
    const double deg = wrap_360(leg.toward.degrees() + results.air.from_true_deg -
                                results.air.from.source().degrees());
    out += (out.empty() ? "Turn by turn (true bearings): " : "; ") + compass_text(deg) + " " +
           distance_text(leg.length_m, units);
    if (leg.climb_m - leg.drop_m >= 3) out += ", up " + height_text(leg.climb_m, units);
    if (leg.drop_m - leg.climb_m >= 3) out += ", down " + height_text(leg.drop_m, units);
  }
  return out.empty() ? out : out + ".";
}

// Where the walk begins or ends.
std::string gate_text(const Document& document, const Uid& gate) {
  const Ref<Feature> f = document.find(gate);
  const GateType type = f && f->kind() == Kind::gate ? f->as<GateAttrs>().type : GateType::gate;
  return (type == GateType::parking    ? "by the vehicle at "
          : type == GateType::drop_off ? "by the drop-off "
                                       : "by ") +
         name_of(document, gate);
}

void explain_way(const Document& document, const Results& results, const Way* way, const char* when,
                 std::vector<Sentence>& out) {
  const UnitSystem units = document.settings->units;
  if (!way) return;
  std::string text = std::string(when) + ": ";
  if (!way->gate.empty()) text += gate_text(document, way->gate) + ", ";
  text += minutes_text(way->time_s) + ", " + distance_text(way->length_m, units) + ", climb " +
          height_text(way->climb_m, units) + ". Chance of going unnoticed " +
          chance_text(way->unnoticed, way->unnoticed_low, way->unnoticed_high) + ".";
  out.push_back({false, false, text, turns_text(results, way->legs, units)});
  const std::vector<Reason> reasons = reasons_of(*way);
  if (!reasons.empty()) {
    std::string why = "Most exposed where ";
    for (size_t i = 0; i < reasons.size(); ++i) {
      if (i > 0) why += i + 1 == reasons.size() ? "; and " : "; ";
      why += explain_reason(document, reasons[i]);
    }
    out.push_back({false, false, why + "."});
  }
  for (const Reason& r : reasons) {
    const Ref<Feature> f = document.find(r.area);
    if (r.sense == Sense::ground_scent && f && f->kind() == Kind::barrier)
      out.push_back({false, true,
                     "Deer pass " + name_of(document, r.area) +
                         " too: a gap of its own for people keeps your track out of theirs."});
  }
  for (const std::string& w : way->warnings)
    out.push_back({false, true, "The drawn path " + w + "."});
}

// Going in past a bed after the deer are back in it.
void explain_late_entry(const Document& document, const Results& results, const Way* way,
                        std::vector<Sentence>& out) {
  const SunDay& day = results.sun_day;
  const Instant arrive = results.scene.arrive;
  if (!way || !day.rise || arrive < *day.rise || arrive > *day.rise + std::chrono::hours(4)) return;
  if (way->unnoticed > 0.9) return;
  const std::vector<Reason> reasons = reasons_of(*way);
  const auto bed = std::find_if(reasons.begin(), reasons.end(), [&](const Reason& r) {
    const Ref<Feature> f = document.find(r.area);
    return f && f->kind() == Kind::bedding;
  });
  if (bed == reasons.end()) return;
  const std::string name = name_of(document, bed->area);
  if (deer_time(arrive, day, *document.settings).rut > 1) {
    out.push_back(
        {false, false, "Late past " + name + ", which is usual in the rut: bucks are up by day."});
  } else {
    out.push_back({false, true,
                   "Deer are back in " + name +
                       " by then: be in well before light, or leave it for another day."});
  }
}

// Minutes against exposure, from the quickest way to the quietest; ways that are the same once.
void explain_front(const std::array<Ref<Way>, kTradeCount>& ways, std::vector<Sentence>& out) {
  std::string text;
  const Way* last = nullptr;
  for (size_t t = 0; t < kTradeCount; ++t) {
    const Way* way = ways[t].get();
    if (!way || (last && std::abs(way->hazard - last->hazard) < 1e-3 &&
                 std::abs(way->time_s - last->time_s) < 15))
      continue;
    text += std::string(text.empty() ? "" : "; ") + word(static_cast<Trade>(t)) + " " +
            minutes_text(way->time_s) + " at " +
            chance_text(way->unnoticed, way->unnoticed_low, way->unnoticed_high);
    last = way;
  }
  if (last && text.find(';') != std::string::npos)
    out.push_back({false, false, "To choose from: " + text + ".", {}});
}

void explain_reach(const Document& document, const StandResult& stand, UnitSystem units,
                   std::vector<Sentence>& out) {
  out.push_back({true, false, "In reach"});
  if (stand.rings.empty()) {
    out.push_back({false, false, "No weapon is entered, so no reach is known."});
  } else if (stand.in_reach.empty()) {
    out.push_back({false, false, "No trail, scrape or food edge lies within the longest reach."});
  }
  for (size_t i = 0; i < std::min<size_t>(6, stand.in_reach.size()); ++i) {
    out.push_back({false, false, reach_line(document, stand.in_reach[i], units)});
  }
  if (stand.in_reach.size() > 6)
    out.push_back({false, false, format("And %zu more.", stand.in_reach.size() - 6)});
}

void explain_scent(const Document& document, const StandResult& stand, std::vector<Sentence>& out) {
  out.push_back({true, false, "Where your scent goes"});
  int told = 0;
  for (const ScentOn& s : stand.scent_on) {
    if (s.exposure * s.occupancy < 0.002 || told == 4) break;
    const char* strength = s.exposure > 0.3    ? "strongly"
                           : s.exposure > 0.05 ? "clearly"
                                               : "faintly";
    out.push_back(
        {false, false,
         format("It lies %s on %s (mean %.2f, worst %.2f; deer there now: %.0f %%).", strength,
                name_of(document, s.area).c_str(), s.exposure, s.worst, 100 * s.occupancy),
         format("In four cases of five the mean lies between %.3f and %.2f.", s.low, s.high)});
    ++told;
  }
  if (told == 0)
    out.push_back({false, false,
                   "It reaches no bedding, food or trail that deer use now more than faintly."});
  if (stand.sit_hazard_per_min > 0) {
    const double hour = std::exp(-60 * stand.sit_hazard_per_min);
    const double low = std::exp(-150 * stand.sit_hazard_per_min),
                 high = std::exp(-24 * stand.sit_hazard_per_min);
    out.push_back({false, false,
                   "An hour of sitting goes unnoticed with a chance of " +
                       chance_text(hour, low, high) + "."});
  }
}

// A grid bearing as a compass point, true.
std::string point_of(Bearing grid, const AirNow& air) {
  return compass_point(grid.degrees() + air.from_true_deg - air.from.source().degrees());
}

std::string doubt_words(std::uint8_t doubt) {
  std::string out;
  const auto add = [&](int bit, const char* words) {
    if (doubt & bit) out += std::string(out.empty() ? "" : "; ") + words;
  };
  add(kDoubtLee, "in the lee of the ground, where the air may turn back on itself");
  add(kDoubtCalm, "too light a wind to have a direction");
  add(kDoubtTransition, "the hour around sunrise or sunset, when slope air turns");
  add(kDoubtTimber, "deep in timber, further than ten tree heights from an edge");
  return out;
}

std::string air_numbers(const Results& results, const StandResult& stand, UnitSystem units) {
  const LocalAir& a = stand.air;
  const AirNow& air = results.air;
  std::string text =
      "At your height " + speed_text(a.speed_mps, units) + " toward " +
      compass_text(a.toward.degrees() + air.from_true_deg - air.from.source().degrees()) +
      format(
          ", spread of direction %.0f° over the hour (%.0f° of it from gusts and "
          "the turn to the next hours). Stability %.1f of A = 0 to F = 5%s. ",
          a.spread_deg, air.extra_sd_deg, air.stability_index,
          air.stability_by_hand ? ", by hand" : "");
  text += "Slope air " + speed_text(a.slope_mps, units) + " in the layer near the ground";
  if (a.slope_mps >= 0.05) text += " toward " + point_of(a.slope_toward, air);
  text += ".";
  return text;
}

void explain_meetings(const Document& document, const StandResult& stand, UnitSystem units,
                      std::vector<Sentence>& out) {
  int told = 0;
  for (const TrailMeeting& m : stand.meetings) {
    if (m.first != TrailMeeting::First::scent && m.first != TrailMeeting::First::together) continue;
    if (++told > 3) break;
    std::string text = "A deer on " + name_of(document, m.trail) + ", walking from its " +
                       (m.from_start ? "first" : "last") + " point, meets your scent ";
    text += m.first == TrailMeeting::First::together ? "as it comes into reach"
            : m.before_m > 0 ? distance_text(m.before_m, units) + " before it comes into reach"
                             : "and never comes into reach";
    out.push_back({false, false, text + ".", {}});
  }
  int clear = 0;
  for (const TrailMeeting& m : stand.meetings) clear += m.first == TrailMeeting::First::reach;
  if (clear > 0)
    out.push_back({false,
                   false,
                   format("On %d of %zu ways along the trails a deer comes into reach before it "
                          "meets your scent.",
                          clear, stand.meetings.size()),
                   {}});
}

}  // namespace

std::string distance_text(double metres, UnitSystem units) {
  if (units == UnitSystem::metric)
    return metres >= 10000 ? format("%.1f km", metres / 1000) : format("%.0f m", metres);
  const double yards = metres / kMetresPerYard;
  return yards >= 1760 ? format("%.1f mi", yards / 1760) : format("%.0f yd", yards);
}

std::string height_text(double metres, UnitSystem units) {
  return units == UnitSystem::metric ? format("%.1f m", metres)
                                     : format("%.0f ft", metres / kMetresPerFoot);
}

std::string speed_text(double mps, UnitSystem units) {
  return units == UnitSystem::metric ? format("%.1f m/s", mps)
         : mps < 2.2                 ? format("%.1f mph", mps / kMpsPerMph)
                                     : format("%.0f mph", mps / kMpsPerMph);
}

std::string area_text(double m2, UnitSystem units) {
  return units == UnitSystem::metric ? format("%.1f ha", m2 / 10000)
                                     : format("%.1f ac", m2 / kSquareMetresPerAcre);
}

std::string slope_text(double depression_deg) {
  return std::abs(depression_deg) < 0.5
             ? std::string("level")
             : format("%.0f° %s", std::abs(depression_deg), depression_deg > 0 ? "down" : "up");
}

std::string compass_point(double true_deg) {
  static constexpr const char* kPoints[16] = {"N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
                                              "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"};
  return kPoints[static_cast<int>(std::floor((wrap_360(true_deg) + 11.25) / 22.5)) % 16];
}

std::string compass_text(double true_deg) {
  return compass_point(true_deg) +
         format(" (%.0f°)", std::fmod(std::round(wrap_360(true_deg)), 360));
}

std::string clock_text(Instant at, const std::string& zone) {
  const CivilTime c = to_civil(at, zone);
  return format("%02d:%02d", c.hour, c.minute) + (c.repeated ? " (2nd)" : "");
}

std::string date_text(Instant at, const std::string& zone) {
  static constexpr const char* kDays[7] = {"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"};
  static constexpr const char* kMonths[12] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                              "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
  const CivilTime c = to_civil(at, zone);
  return format("%s %d %s %d", kDays[c.weekday % 7], c.day, kMonths[(c.month - 1) % 12], c.year);
}

std::string minutes_text(double seconds) {
  const double minutes = seconds / 60;
  return minutes < 1 ? "under 1 min" : format("%.0f min", minutes);
}

std::string chance_text(double p, double low, double high) {
  const auto rounded = [](double v) { return 5 * std::lround(v * 20); };
  const std::string middle = p > 0.975   ? "over 95 %"
                             : p < 0.025 ? "under 5 %"
                                         : format("about %ld %%", rounded(p));
  return middle + format(" (%ld–%ld %%)", rounded(low), rounded(high));
}

std::string explain_air(const AirNow& air, UnitSystem units) {
  if (!air.known) return "Wind unknown: " + air.source + ". Scent is spread to all sides.";
  const char letter = static_cast<char>('A' + static_cast<int>(air.stability));
  std::string text = air.speed_10m_mps < 0.5 ? std::string("Calm")
                                             : "Wind " + compass_text(air.from_true_deg) + " " +
                                                   speed_text(air.speed_10m_mps, units);
  if (air.gust_mps) text += ", gusts " + speed_text(*air.gust_mps, units);
  text += " at 10 m, " + speed_text(air.speed_2m_mps, units) + " at 2 m in the open";
  return text + format("; stability %c; direction wanders ±%.0f°", letter, air.direction_sd_deg) +
         "; " + air.source + ".";
}

std::string explain_local_air(const Document& document, const Results& results,
                              const StandResult& stand) {
  const UnitSystem units = document.settings->units;
  const AirNow& air = results.air;
  const LocalAir& a = stand.air;
  if (!air.known) return "The wind of this hour is not known: scent is spread to all sides.";
  std::string text = air.speed_10m_mps < 0.5
                         ? std::string("Calm in the open")
                         : "Wind " + compass_point(air.from_true_deg) + " " +
                               speed_text(air.speed_10m_mps, units) + " in the open";
  text += ", about " + speed_text(a.speed_mps, units) + " at your height";
  const double turned = air.speed_10m_mps < 0.5 ? 0 : turn_deg(air.from.blows_toward(), a.toward);
  if (std::abs(turned) >= 8 && a.speed_mps >= 0.1)
    text += format(", turned %.0f° %s by the land and slope air", std::abs(turned),
                   turned > 0 ? "clockwise" : "anticlockwise");
  text += ": your scent goes " + point_of(a.toward, air);
  if (a.slope_mps >= 0.1)
    text += "; slope air moves " + point_of(a.slope_toward, air) + " at " +
            speed_text(a.slope_mps, units);
  text += ".";
  if (a.drains_from) {
    text += " After " + clock_text(*a.drains_from, document.settings->time_zone) +
            " air drains downhill to the " + point_of(a.drains_toward, air);
    if (!a.drains_on.empty()) text += ", toward " + name_of(document, a.drains_on);
    text += ".";
  }
  return text;
}

std::string explain_margin(const Document& document, const SwingMargin& m) {
  if (m.passed)
    return "Your limit is passed now: the scent lies on " + name_of(document, m.veer_area) + ".";
  const auto side = [&](double deg, const Uid& area) {
    return area.empty() ? format("%.0f° or more", SwingMargin::kMost_deg)
                        : format("%.0f° (then %s)", deg, name_of(document, area).c_str());
  };
  return "The wind may veer " + side(m.veer_deg, m.veer_area) + " or back " +
         side(m.back_deg, m.back_area) + " before your scent limit is passed.";
}

std::string explain_reason(const Document& document, const Reason& r) {
  std::string text = std::string(sense_verb(r.sense)) + " " + name_of(document, r.area);
  text += r.minutes >= 1 ? format(" for %.0f min ", r.minutes) : std::string(" for a moment ");
  return text + part_of_walk(r.share_of_walk);
}

std::vector<Sentence> explain_gaps(const Document& document, const Results& results,
                                   const Uid& barrier) {
  std::vector<Sentence> out;
  const Ref<Feature> f = document.find(barrier);
  for (const GapUse& g : results.gaps) {
    if (g.barrier != barrier || !f) continue;
    if (out.empty()) out.push_back({true, false, "Between bed and food"});
    const double at_m = f->as<BarrierAttrs>().gaps[g.gap].at_m;
    out.push_back(
        {false, false,
         format("About %.0f %% passes the gap at %s.", 5 * std::round(20 * g.share),
                distance_text(at_m, document.settings->units).c_str()),
         "Current in a net of resistors, from every bed alike to all food; deer in the open, in "
         "water and on steep ground count as slower (What the figures rest on). It compares "
         "places; nobody has counted deer."});
  }
  return out;
}

std::vector<Sentence> explain_stand(const Document& document, const Results& results,
                                    const StandResult& stand) {
  const UnitSystem units = document.settings->units;
  const std::string& zone = document.settings->time_zone;
  const size_t trade = static_cast<size_t>(results.scene.trade);
  std::vector<Sentence> out;
  out.push_back({true, false, "Air at " + clock_text(results.scene.arrive, zone)});
  out.push_back({false, false, explain_local_air(document, results, stand),
                 explain_air(results.air, units) + " " + air_numbers(results, stand, units)});
  if (stand.air.doubt)
    out.push_back({false, true, "Doubtful here: " + doubt_words(stand.air.doubt) + ".", {}});
  if (results.wind_pending)
    out.push_back({false, true, "The land's effect on the wind is still being worked out.", {}});
  for (const std::string& doubt : results.air.doubts) out.push_back({false, true, doubt, {}});
  explain_reach(document, stand, units, out);
  explain_fire(document, results, stand, out);
  explain_scent(document, stand, out);
  out.push_back(
      {false, stand.margin.passed, explain_margin(document, stand.margin),
       format("Limit: relative exposure times the chance of deer %.3g (1 is 25 m downwind "
              "of a person on open ground). Looked at to 90° each side, the land's "
              "effect worked out anew for each swing.",
              document.settings->scent_limit)});
  explain_meetings(document, stand, units, out);
  out.push_back({true, false, "What sees you"});
  for (size_t i = 0; i < std::min<size_t>(3, stand.seen_from.size()); ++i) {
    const SeenFrom& s = stand.seen_from[i];
    out.push_back(
        {false, false,
         format("%s, from %s on: %.0f %% of the view is open (deer there now: %.0f %%).",
                name_of(document, s.area).c_str(), distance_text(s.nearest_m, units).c_str(),
                100 * s.share, 100 * s.occupancy)});
  }
  if (stand.seen_from.empty())
    out.push_back({false, false, "No bedding, food or trail has a view of the stand."});
  explain_light(document, results, stand, out);
  out.push_back({true, false, "Way in, arriving " + clock_text(results.scene.arrive, zone)});
  if (!stand.no_way.empty()) out.push_back({false, true, stand.no_way});
  explain_way(document, results, stand.way_in[trade].get(), "Proposed", out);
  explain_late_entry(document, results, stand.way_in[trade].get(), out);
  explain_front(stand.way_in, out);
  explain_way(document, results, stand.drawn_in.get(), "As drawn", out);
  out.push_back({true, false, "Way out, leaving " + clock_text(results.scene.leave, zone)});
  if (results.air_leave.known) out.push_back({false, false, explain_air(results.air_leave, units)});
  explain_way(document, results, stand.way_out[trade].get(), "Proposed", out);
  explain_front(stand.way_out, out);
  explain_way(document, results, stand.drawn_out.get(), "As drawn", out);
  out.push_back({true, false, "What this rests on"});
  const char letter = static_cast<char>('A' + static_cast<int>(results.air.stability));
  out.push_back(
      {false, false,
       format("Stability class %c, ", letter) + speed_text(results.air.speed_2m_mps, units) +
           " at 2 m" +
           format(", direction spread %.0f°, leaves %s. ", results.air.direction_sd_deg,
                  results.leaf_on ? "on" : "off") +
           (results.air_map && results.air_map->bent
                ? "The wind is bent by the land and thinned by height and cover. "
                : "The wind is thinned by height and cover; the land does not bend it. ") +
           "Not validated for deer: figures compare stands and ways, they promise nothing."});
  for (const std::string& note : results.notes) out.push_back({false, true, note});
  out.push_back({true, false, "Before you climb"});
  for (const std::string& c : cautions()) out.push_back({false, true, c});
  return out;
}

const std::vector<std::string>& cautions() {
  static const std::vector<std::string> list = {
      "Full-body harness, attached from the ground up until you are back on the ground.",
      "Three points of contact on the ladder; haul the unloaded weapon by a line.",
      "Tell somebody where you sit and when you will be back.",
      "Know your target and what lies beyond it.",
      "Setbacks and shooting hours are your own entries: check local law.",
      "Scent figures are relative, not a promise.",
  };
  return list;
}

}  // namespace leeward
