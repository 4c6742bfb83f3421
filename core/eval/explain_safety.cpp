// Words on fire, light and the moon.
#include "core/eval/explain_safety.h"

#include "core/eval/explain.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>

namespace leeward {
namespace {

template <class... Args>
std::string format(const char* pattern, Args... args) {
  char text[400];
  std::snprintf(text, sizeof text, pattern, args...);
  return text;
}

std::string name_of(const Document& d, const Uid& uid) {
  const Ref<Feature> f = d.find(uid);
  return f ? display_name(*f) : "a removed feature";
}

// Grid bearings are told as true ones, as everywhere in words.
double true_deg(const Results& r, Bearing grid) {
  return wrap_360(grid.degrees() + r.air.from_true_deg - r.air.from.source().degrees());
}

std::string arcs_text(const Results& r, const std::vector<compute::SetbackArc>& arcs) {
  std::string out;
  for (const compute::SetbackArc& arc : arcs) {
    if (arc.whole_circle) return "all round";
    out +=
        (out.empty() ? "" : ", ") + format("%03.0f° to %03.0f°", std::floor(true_deg(r, arc.from)),
                                           std::fmod(std::ceil(true_deg(r, arc.to)), 360));
  }
  return out;
}

// The directions whose line of fire ends so, as arcs, the widest few.
std::string lines_text(const Results& r, const std::vector<compute::LineOfFire>& lines,
                       compute::FireOutcome outcome) {
  constexpr size_t kMost = 4;
  const double half_deg = 180.0 / static_cast<double>(lines.size());
  std::vector<compute::SetbackArc> arcs;
  for (const compute::LineOfFire& line : lines) {
    if (line.outcome != outcome) continue;
    compute::SetbackArc arc;
    arc.from = Bearing::degrees(line.toward.degrees() - half_deg);
    arc.to = Bearing::degrees(line.toward.degrees() + half_deg);
    arcs.push_back(arc);
  }
  arcs = compute::together(arcs);
  const size_t all = arcs.size();
  if (all > kMost) {
    std::stable_sort(arcs.begin(), arcs.end(),
                     [](const auto& a, const auto& b) { return a.width_deg() > b.width_deg(); });
    arcs.resize(kMost);
    arcs = compute::together(arcs);
  }
  return arcs_text(r, arcs) + (all > kMost ? format(" and %zu narrower arcs", all - kMost) : "");
}

// Where the line of fire goes past the outer reach, direction by direction.
std::string beyond_text(const Results& r, const WeaponFire& fire, UnitSystem units) {
  using compute::FireOutcome;
  const FireCount n = count_lines(fire);
  std::string text =
      "past " + distance_text(fire.outer_m, units) +
      format(" the line of fire meets no ground in %d of %d directions", n.clears_ground, n.all);
  if (n.clears_ground > 0)
    text += " (" + lines_text(r, fire.lines, FireOutcome::clears_ground) + ")";
  if (n.unknown > 0)
    text += format("; in %d the ground is not known (", n.unknown) +
            lines_text(r, fire.lines, FireOutcome::unknown) + ")";
  if (n.blocked > 0) text += format("; in %d it meets ground before the outer reach", n.blocked);
  double least_m = std::numeric_limits<double>::infinity(), most_m = 0;
  for (const compute::LineOfFire& line : fire.lines) {
    if (line.outcome != FireOutcome::meets_ground) continue;
    least_m = std::min(least_m, line.backstop_beyond_m);
    most_m = std::max(most_m, line.backstop_beyond_m);
  }
  if (n.meets_ground > 0) {
    const std::string least = distance_text(least_m, units), most = distance_text(most_m, units);
    text += format("; in %d it meets ground ", n.meets_ground) + least +
            (least == most ? "" : " to " + most) + " beyond";
  }
  return text + ".";
}

const char* doing_text(PersonInReach::Doing doing) {
  switch (doing) {
    case PersonInReach::Doing::sitting:
      return "sits";
    case PersonInReach::Doing::walking_in:
      return "walks in";
    case PersonInReach::Doing::walking_out:
      return "walks out";
  }
  return "";
}

void explain_weapon(const Document& d, const Results& r, const WeaponFire& fire,
                    std::vector<Sentence>& out) {
  const UnitSystem units = d.settings->units;
  const Ref<Weapon> weapon = d.find_weapon(fire.weapon);
  const std::string name = weapon ? weapon->name : "Weapon";
  if (!fire.entered()) out.push_back({false, true, name + ": " + fire_gap_text(fire), {}});
  for (const KeptFrom& k : fire.kept_from) {
    out.push_back({false,
                   true,
                   name + ": no shot " + arcs_text(r, k.arcs) + ", " + name_of(d, k.feature) +
                       " lies within your setback of " + distance_text(k.setback_m, units) +
                       " of a shot out to " + distance_text(fire.outer_m, units) + ".",
                   {}});
  }
  for (const PersonInReach& p : fire.people) {
    out.push_back({false,
                   true,
                   name + ": no shot " + arcs_text(r, p.arcs) + ", " + p.name + " " +
                       doing_text(p.doing) +
                       (p.doing == PersonInReach::Doing::sitting ? " at "
                        : p.as_drawn                             ? " as drawn for "
                                                                 : " for ") +
                       name_of(d, p.stand) + ", nearest " + distance_text(p.nearest_m, units) +
                       " to the " + compass_point(true_deg(r, p.toward)) +
                       (p.doing == PersonInReach::Doing::sitting
                            ? std::string(" for the whole sit.")
                            : " about " + clock_text(p.at, d.settings->time_zone) + "."),
                   {}});
  }
  if (fire.entered() && d.settings->surroundings_drawn)
    out.push_back({false,
                   false,
                   name + format(": %.0f %% of the ground in reach is seen and in no closed "
                                 "direction.",
                                 100 * fire.open_share),
                   {}});
  const FireCount n = count_lines(fire);
  if (n.all == 0) {
    if (fire.travel_entered)
      out.push_back({false,
                     true,
                     name + ": there is no elevation, so nothing is known of what lies behind.",
                     {}});
    return;
  }
  out.push_back(
      {false, n.meets_ground < n.all, name + ": " + beyond_text(r, fire, units),
       "Lines run straight from the eye through a point 0.8 m above the ground at the outer reach, "
       "out to the farthest travel that you entered. Ricochet and drop are not in it. Where a line "
       "meets ground, that is geometry, not a promise."});
}

}  // namespace

std::string fire_gap_text(const WeaponFire& fire) {
  std::string missing;
  if (fire.not_entered.size() == kSetbackCount) {
    missing = "no setback is entered";
  } else if (!fire.not_entered.empty()) {
    missing = "setback not entered for ";
    for (size_t i = 0; i < fire.not_entered.size(); ++i)
      missing += std::string(i > 0 ? ", " : "") + word(fire.not_entered[i]);
  }
  if (!fire.travel_entered)
    missing += std::string(missing.empty() ? "" : "; ") + "farthest travel not entered";
  return missing + ". Check local law; until then no direction counts as looked at.";
}

std::vector<std::string> fire_cautions(const Document& d, const Results& r) {
  std::vector<std::string> out;
  for (const auto& weapon : *d.weapons) {
    for (const StandResult& stand : r.stands) {
      const auto fire = std::find_if(stand.fire.begin(), stand.fire.end(),
                                     [&](const WeaponFire& f) { return f.weapon == weapon->uid; });
      if (fire == stand.fire.end()) continue;
      if (!fire->entered()) out.push_back(weapon->name + ": " + fire_gap_text(*fire));
      break;
    }
  }
  if (!d.settings->surroundings_drawn)
    out.push_back(
        "Dwellings and roads are not confirmed as all drawn: ground without them counts "
        "as unknown.");
  out.push_back("Directions are taken away on this map, never cleared.");
  return out;
}

void explain_fire(const Document& d, const Results& r, const StandResult& stand,
                  std::vector<Sentence>& out) {
  out.push_back({true, false, "Where not to shoot", {}});
  for (const WeaponFire& fire : stand.fire) explain_weapon(d, r, fire, out);
  if (!d.settings->surroundings_drawn)
    out.push_back({false,
                   true,
                   "Dwellings and roads are not confirmed as all drawn (Settings): ground without "
                   "them counts as unknown.",
                   {}});
  out.push_back({false,
                 true,
                 "Directions are taken away here, never cleared. Know your target and what lies "
                 "beyond it.",
                 {}});
}

void explain_light(const Document& d, const Results& r, const StandResult& stand,
                   std::vector<Sentence>& out) {
  const std::string& zone = d.settings->time_zone;
  out.push_back({true, false, "Light", {}});
  std::string text = format("Moon %.0f %% lit, %s", 100 * r.moon.phase.illuminated,
                            r.moon.phase.waxing ? "waxing" : "waning");
  if (r.moon.times.rise) text += ", rises " + clock_text(*r.moon.times.rise, zone);
  if (r.moon.times.set) text += ", sets " + clock_text(*r.moon.times.set, zone);
  out.push_back({false, false, text + ".", {}});
  const StandLight& light = stand.light;
  if (!light.known) return;
  if (light.sun.empty()) {
    out.push_back({false, false, "The land keeps direct sun off this stand all day.", {}});
  } else {
    out.push_back({false,
                   false,
                   "Over the land, direct sun reaches the stand " +
                       clock_text(light.sun.front().from, zone) + " and leaves it " +
                       clock_text(light.sun.back().to, zone) +
                       "; in timber it comes later and goes earlier.",
                   {}});
  }
  const auto told = [&](const GlareOn& g, const char* what) {
    out.push_back({false,
                   false,
                   std::string(what) + name_of(d, g.feature) + " " + clock_text(g.from, zone) +
                       " to " + clock_text(g.until, zone) + format(" (within %.0f°).", g.angle_deg),
                   {}});
  };
  for (const GlareOn& g : light.glare) told(g, "Low sun in your eyes toward ");
  for (const GlareOn& g : light.lit) told(g, "The sun lights your face for deer on ");
}

}  // namespace leeward
