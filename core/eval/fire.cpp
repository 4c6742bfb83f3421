#include "core/eval/fire.h"

#include "core/eval/results.h"

#include <algorithm>
#include <cmath>

namespace leeward {
namespace {

using compute::Setback;
using compute::SetbackArc;

struct KindOfSetback {
  SetbackFrom from;
  Kind kind;
};
constexpr KindOfSetback kKinds[] = {
    {SetbackFrom::dwelling, Kind::dwelling}, {SetbackFrom::road, Kind::road},
    {SetbackFrom::boundary, Kind::boundary}, {SetbackFrom::stand, Kind::stand},
    {SetbackFrom::gate, Kind::gate},         {SetbackFrom::human_path, Kind::human_path}};

// The line around an area: what may not be crossed is the edge, from either side.
Shape edge_of(const Shape& area) {
  Path ring = area.path();
  ring.push_back(ring.front());
  return Shape::line(std::move(ring));
}

void keep_away(WeaponFire& out, const Weapon& weapon, const Document& document,
               const Feature& stand, const Uid& own_path) {
  const LocalXY at = stand.shape.position();
  for (const auto& [from, kind] : kKinds) {
    const auto setback = weapon.setback_m[static_cast<size_t>(from)];
    if (!setback) continue;
    for (const auto& f : document.of(kind)) {
      if (f->uid == stand.uid || f->uid == own_path) continue;
      const Shape shape = kind == Kind::boundary ? edge_of(f->shape) : f->shape;
      const double nearest_m = distance_m(shape, at);
      if (nearest_m > weapon.outer_m + *setback) continue;
      const Setback one{shape, *setback};
      auto arcs = compute::setback_arcs(at, weapon.outer_m, {&one, 1});
      if (!arcs.empty())
        out.kept_from.push_back({f->uid, from, *setback, nearest_m, std::move(arcs)});
    }
  }
  std::stable_sort(out.kept_from.begin(), out.kept_from.end(),
                   [](const KeptFrom& a, const KeptFrom& b) { return a.nearest_m < b.nearest_m; });
}

void close_arcs(WeaponFire& fire, LocalXY at, const Raster<std::uint8_t>& sight) {
  std::vector<SetbackArc> arcs;
  for (const KeptFrom& k : fire.kept_from) arcs.insert(arcs.end(), k.arcs.begin(), k.arcs.end());
  for (const PersonInReach& p : fire.people) arcs.insert(arcs.end(), p.arcs.begin(), p.arcs.end());
  fire.closed = compute::together(arcs);
  fire.open_share = 0;
  if (!fire.entered()) return;
  constexpr int kSteps = 180, kRings = 4;  // rings of equal area out to the reach
  double open = 0;
  for (int k = 0; k < kSteps; ++k) {
    const Bearing b = Bearing::degrees(360.0 * k / kSteps);
    if (std::any_of(fire.closed.begin(), fire.closed.end(),
                    [&](const SetbackArc& arc) { return arc.contains(b); }))
      continue;
    for (int r = 0; r < kRings; ++r) {
      const double range_m = fire.outer_m * std::sqrt((r + 0.5) / kRings);
      open += sight.value_or(moved(at, b, range_m), 0) >= 128 ? 1 : 0;
    }
  }
  fire.open_share = open / (kSteps * kRings);
}

// Arcs of a person who is, or walks along, a shape.
void take_away(PersonInReach& person, const Shape& where, LocalXY at, double travel_m) {
  const Setback keep{where, kClearOfPeople_m};
  person.arcs = compute::setback_arcs(at, travel_m, {&keep, 1});
}

PersonInReach sitting(const Sitter& who, LocalXY at, double travel_m, Instant arrive) {
  PersonInReach out;
  out.stand = who.stand;
  out.name = who.name;
  out.nearest_m = distance_m(who.at, at);
  out.toward = bearing(at, who.at);
  out.at = arrive;
  take_away(out, Shape::point(who.at), at, travel_m);
  return out;
}

PersonInReach walking(const Sitter& who, const Way& way, bool in, LocalXY at, double travel_m,
                      Instant arrive, Instant leave) {
  PersonInReach out;
  out.stand = who.stand;
  out.name = who.name;
  out.doing = in ? PersonInReach::Doing::walking_in : PersonInReach::Doing::walking_out;
  const NearestOnPath near = nearest_on_path(way.points, at);
  out.nearest_m = near.distance_m;
  out.toward = bearing(at, near.point);
  const auto into = std::chrono::seconds(
      static_cast<long>(near.at_m / std::max(1.0, path_length_m(way.points)) * way.time_s));
  const auto whole = std::chrono::seconds(static_cast<long>(way.time_s));
  out.at = in ? arrive - whole + into : leave + into;
  take_away(out, Shape::line(way.points), at, travel_m);
  return out;
}

}  // namespace

FireCount count_lines(const WeaponFire& fire) {
  FireCount n;
  for (const compute::LineOfFire& line : fire.lines) {
    ++n.all;
    switch (line.outcome) {
      case compute::FireOutcome::meets_ground:
        ++n.meets_ground;
        break;
      case compute::FireOutcome::clears_ground:
        ++n.clears_ground;
        break;
      case compute::FireOutcome::unknown:
        ++n.unknown;
        break;
      case compute::FireOutcome::blocked:
        ++n.blocked;
        break;
    }
  }
  return n;
}

Result<FireLines> fire_lines(const Terrain& terrain, LocalXY at, double eye_m,
                             const Rows<Weapon>& weapons, std::stop_token stop) {
  FireLines out;
  for (const auto& w : weapons) {
    out.emplace_back();
    if (!w->max_travel_m || terrain.ground.empty()) continue;
    compute::FireSetup setup;
    setup.shooter = at;
    setup.eye_m = eye_m;
    setup.range_m = w->outer_m;
    setup.max_travel_m = *w->max_travel_m;
    auto lines = compute::lines_of_fire(terrain.ground, setup, stop);
    if (!lines) return std::move(lines.error());
    out.back() = *std::move(lines);
  }
  return out;
}

std::vector<WeaponFire> stand_fire(const Document& document, const Feature& stand,
                                   const Rows<Weapon>& weapons, const Uid& own_path,
                                   const FireLines& lines, const Raster<std::uint8_t>& sight) {
  std::vector<WeaponFire> out;
  for (size_t i = 0; i < weapons.size(); ++i) {
    const Weapon& w = *weapons[i];
    WeaponFire fire;
    fire.weapon = w.uid;
    fire.outer_m = w.outer_m;
    fire.travel_entered = w.max_travel_m.has_value();
    for (int k = 0; k < kSetbackCount; ++k)
      if (!w.setback_m[static_cast<size_t>(k)])
        fire.not_entered.push_back(static_cast<SetbackFrom>(k));
    keep_away(fire, w, document, stand, own_path);
    fire.lines = lines[i];
    close_arcs(fire, stand.shape.position(), sight);
    out.push_back(std::move(fire));
  }
  return out;
}

void add_people(std::vector<WeaponFire>& fire, const Uid& stand, LocalXY at,
                const std::vector<Sitter>& sitters, Instant arrive, Instant leave,
                const Rows<Weapon>& weapons, const Raster<std::uint8_t>& sight) {
  for (size_t i = 0; i < fire.size(); ++i) {
    if (!weapons[i]->max_travel_m) continue;
    const double travel_m = *weapons[i]->max_travel_m;
    const auto add = [&](PersonInReach person) {
      if (!person.arcs.empty()) fire[i].people.push_back(std::move(person));
    };
    for (const Sitter& who : sitters) {
      if (who.stand == stand) continue;
      add(sitting(who, at, travel_m, arrive));
      for (const bool in : {true, false}) {
        const auto& ways = in ? who.in : who.out;
        for (size_t k = 0; k < ways.size(); ++k) {
          if (!ways[k] || ways[k]->points.size() < 2) continue;
          PersonInReach person = walking(who, *ways[k], in, at, travel_m, arrive, leave);
          person.as_drawn = k == 1;
          add(std::move(person));
        }
      }
    }
    std::stable_sort(
        fire[i].people.begin(), fire[i].people.end(),
        [](const PersonInReach& a, const PersonInReach& b) { return a.nearest_m < b.nearest_m; });
    close_arcs(fire[i], at, sight);
  }
}

}  // namespace leeward
