#include "app/batch/safety_answers.h"

#include "app/batch/json_parts.h"

namespace leeward::batch {
namespace {

using nlohmann::json;

json arcs_json(const std::vector<compute::SetbackArc>& arcs) {
  json out = json::array();
  for (const compute::SetbackArc& arc : arcs) {
    const double from = arc.whole_circle ? 0 : arc.from.degrees();
    out.push_back({{"from_grid_deg", from}, {"to_grid_deg", from + arc.width_deg()}});
  }
  return out;
}

const char* outcome_word(compute::FireOutcome outcome) {
  static constexpr const char* kWords[] = {"meets_ground", "clears_ground", "unknown", "blocked"};
  return kWords[static_cast<size_t>(outcome)];
}

const char* doing_word(PersonInReach::Doing doing) {
  static constexpr const char* kWords[] = {"sitting", "walking_in", "walking_out"};
  return kWords[static_cast<size_t>(doing)];
}

json glare_json(const Document& d, const std::vector<GlareOn>& list) {
  json out = json::array();
  for (const GlareOn& g : list) {
    out.push_back({{"name", name_or_null(d, g.feature)},
                   {"angle_deg", g.angle_deg},
                   {"from", to_iso8601(g.from)},
                   {"until", to_iso8601(g.until)}});
  }
  return out;
}

json whole_line_json(const compute::LineOfFire& line) {
  return {{"outcome", outcome_word(line.outcome)},
          {"toward_grid_deg", line.toward.degrees()},
          {"depression_deg", number_or_null(line.depression_deg)},
          {"ends_at_m", line.ends_at_m},
          {"ground_beyond_m", number_or_null(line.backstop_beyond_m)},
          {"meeting_angle_deg", number_or_null(line.meeting_angle_deg)}};
}

}  // namespace

json line_json(const compute::LineOfFire& line) {
  return std::isnan(line.depression_deg) ? json(nullptr) : whole_line_json(line);
}

json fire_json(const Document& d, const std::vector<WeaponFire>& fire) {
  json out = json::array();
  for (const WeaponFire& f : fire) {
    const Ref<Weapon> weapon = d.find_weapon(f.weapon);
    json missing = json::array(), kept = json::array(), people = json::array(),
         lines = json::array();
    for (const SetbackFrom from : f.not_entered) missing.push_back(word(from));
    for (const KeptFrom& k : f.kept_from) {
      kept.push_back({{"name", name_or_null(d, k.feature)},
                      {"from", word(k.from)},
                      {"setback_m", k.setback_m},
                      {"nearest_m", k.nearest_m},
                      {"arcs", arcs_json(k.arcs)}});
    }
    for (const PersonInReach& p : f.people) {
      people.push_back({{"name", p.name},
                        {"stand", name_or_null(d, p.stand)},
                        {"doing", doing_word(p.doing)},
                        {"as_drawn", p.as_drawn},
                        {"nearest_m", p.nearest_m},
                        {"toward_grid_deg", p.toward.degrees()},
                        {"at", to_iso8601(p.at)},
                        {"arcs", arcs_json(p.arcs)}});
    }
    for (const compute::LineOfFire& line : f.lines) lines.push_back(whole_line_json(line));
    out.push_back({{"weapon", weapon ? json(weapon->name) : json(nullptr)},
                   {"outer_m", f.outer_m},
                   {"entered", f.entered()},
                   {"setbacks_not_entered", missing},
                   {"travel_entered", f.travel_entered},
                   {"closed", arcs_json(f.closed)},
                   {"kept_from", kept},
                   {"people", people},
                   {"lines", lines},
                   {"open_share", f.entered() ? json(f.open_share) : json(nullptr)}});
  }
  return out;
}

json light_json(const Document& d, const StandLight& light) {
  if (!light.known) return nullptr;
  json sun = json::array();
  for (const compute::SunSpan& span : light.sun)
    sun.push_back({{"from", to_iso8601(span.from)}, {"to", to_iso8601(span.to)}});
  return {{"direct_sun", sun},
          {"glare", glare_json(d, light.glare)},
          {"face_lit", glare_json(d, light.lit)}};
}

json moon_json(const MoonDay& moon) {
  return {{"illuminated", moon.phase.illuminated},
          {"age_days", moon.phase.age_days},
          {"waxing", moon.phase.waxing},
          {"rise", instant_or_null(moon.times.rise)},
          {"set", instant_or_null(moon.times.set)}};
}

}  // namespace leeward::batch
