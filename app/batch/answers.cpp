#include "app/batch/answers.h"

#include "app/batch/check_answers.h"
#include "app/batch/json_parts.h"
#include "app/batch/safety_answers.h"
#include "core/eval/explain.h"
#include "core/eval/explain_checks.h"
#include "core/eval/explain_safety.h"
#include "core/eval/judgement.h"
#include "core/eval/ways.h"

#include <algorithm>
#include <cstdio>

namespace leeward::batch {
namespace {

using nlohmann::json;

bool chosen(const std::vector<Uid>& stands, const Uid& uid) {
  return stands.empty() || std::find(stands.begin(), stands.end(), uid) != stands.end();
}

// Pads by characters, not bytes.
std::string padded(std::string words, size_t width) {
  size_t letters = 0;
  for (const char c : words) letters += (static_cast<unsigned char>(c) & 0xC0) != 0x80;
  if (letters < width) words.append(width - letters, ' ');
  return words;
}

std::string way_cell(const Document& d, const Way* way) {
  if (!way) return "no way";
  char text[64];
  std::snprintf(text, sizeof text, "%s, %3.0f %%", minutes_text(way->time_s).c_str(),
                100 * way->unnoticed);
  const std::string gate = name_of(d, way->gate);
  return (gate.empty() ? std::string() : gate + ", ") + text;
}

const char* sense_word(Sense s) {
  static constexpr const char* kWords[] = {"scent", "sight", "sound", "ground_scent"};
  return kWords[static_cast<size_t>(s)];
}

/// "lee", "calm" ... for the bits of AirDoubt.
json doubt_json(std::uint8_t bits) {
  json out = json::array();
  if (bits & kDoubtLee) out.push_back("lee");
  if (bits & kDoubtCalm) out.push_back("calm");
  if (bits & kDoubtTransition) out.push_back("transition");
  if (bits & kDoubtTimber) out.push_back("timber");
  return out;
}

json local_air_json(const Document& d, const LocalAir& a) {
  return {
      {"speed_mps", a.speed_mps},
      {"toward_grid_deg", a.toward.degrees()},
      {"spread_deg", a.spread_deg},
      {"slope_mps", a.slope_mps},
      {"slope_toward_grid_deg", a.slope_toward.degrees()},
      {"doubt", doubt_json(a.doubt)},
      {"drains_from", instant_or_null(a.drains_from)},
      {"drains_toward_grid_deg", a.drains_from ? json(a.drains_toward.degrees()) : json(nullptr)},
      {"drains_on", name_or_null(d, a.drains_on)}};
}

json margin_json(const Document& d, const SwingMargin& m) {
  return {{"passed", m.passed},
          {"veer_deg", m.veer_deg},
          {"back_deg", m.back_deg},
          {"most_deg", SwingMargin::kMost_deg},
          {"veer_area", name_or_null(d, m.veer_area)},
          {"back_area", name_or_null(d, m.back_area)}};
}

const char* meeting_word(TrailMeeting::First first) {
  static constexpr const char* kWords[] = {"neither", "reach", "scent", "together"};
  return kWords[static_cast<size_t>(first)];
}

json meetings_json(const Document& d, const std::vector<TrailMeeting>& meetings) {
  json out = json::array();
  for (const TrailMeeting& m : meetings) {
    out.push_back({{"trail", name_of(d, m.trail)},
                   {"walking_from", m.from_start ? "start" : "end"},
                   {"first", meeting_word(m.first)},
                   {"before_m", m.before_m}});
  }
  return out;
}

json way_json(const Document& d, const Ref<Way>& way) {
  if (!way) return nullptr;
  json reasons = json::array();
  for (const Reason& r : reasons_of(*way)) {
    reasons.push_back({{"area", name_of(d, r.area)},
                       {"sense", sense_word(r.sense)},
                       {"hazard", r.hazard},
                       {"minutes", r.minutes},
                       {"share_of_walk", r.share_of_walk},
                       {"words", explain_reason(d, r)}});
  }
  json legs = json::array();
  for (const WayLeg& leg : way->legs)
    legs.push_back({{"to_m", {leg.to.x, leg.to.y}},
                    {"toward_grid_deg", leg.toward.degrees()},
                    {"length_m", leg.length_m},
                    {"climb_m", leg.climb_m},
                    {"drop_m", leg.drop_m},
                    {"time_s", leg.time_s},
                    {"hazard", leg.hazard}});
  json points = json::array();
  for (const LocalXY p : way->points) points.push_back({p.x, p.y});
  return {{"gate", name_of(d, way->gate)},
          {"time_s", way->time_s},
          {"length_m", way->length_m},
          {"climb_m", way->climb_m},
          {"hazard", way->hazard},
          {"unnoticed", way->unnoticed},
          {"unnoticed_low", way->unnoticed_low},
          {"unnoticed_high", way->unnoticed_high},
          {"reasons", reasons},
          {"warnings", way->warnings},
          {"legs", legs},
          {"points_m", points}};
}

json air_json(const AirNow& a) {
  json out = {{"known", a.known},
              {"source", a.source},
              {"stability", std::string(1, static_cast<char>('A' + static_cast<int>(a.stability)))},
              {"stability_index", a.stability_index},
              {"stability_by_hand", a.stability_by_hand},
              {"direction_sd_deg", a.direction_sd_deg},
              {"extra_sd_deg", a.extra_sd_deg},
              {"cloud", a.cloud},
              {"doubts", a.doubts}};
  if (a.known)
    out.update({{"from_true_deg", a.from_true_deg},
                {"from_grid_deg", a.from.source().degrees()},
                {"speed_10m_mps", a.speed_10m_mps},
                {"speed_2m_mps", a.speed_2m_mps}});
  if (a.gust_mps) out["gust_mps"] = *a.gust_mps;
  return out;
}

/// Of a shot that is never seen there is no distance.
json seen_or_null(double metres) { return metres > 0 ? json(metres) : json(nullptr); }

json stand_json(const Document& d, const StandResult& s) {
  const Ref<Feature> f = d.find(s.stand);
  json rings = json::array(), reach = json::array(), scent = json::array(),
       watchers = json::array(), in = json::object(), out = json::object();
  for (const Ring& r : s.rings) {
    double seen = 0;
    for (const float v : r.seen) seen += static_cast<double>(v);
    rings.push_back({{"range_m", r.range_m},
                     {"slant_least_m", *std::min_element(r.slant_m.begin(), r.slant_m.end())},
                     {"slant_most_m", *std::max_element(r.slant_m.begin(), r.slant_m.end())},
                     {"seen_share", seen / static_cast<double>(r.seen.size())}});
  }
  for (const InReach& r : s.in_reach) {
    reach.push_back({{"name", name_of(d, r.feature)},
                     {"kind", info(r.kind).table},
                     {"nearest_m", r.nearest_m},
                     {"slant_m", r.slant_m},
                     {"depression_deg", r.depression_deg},
                     {"bearing_grid_deg", r.bearing.degrees()},
                     {"seen_share", r.seen},
                     {"reach_m", r.reach_m},
                     {"seen_m", r.seen_m},
                     {"longest_m", r.longest_m},
                     {"walk_s", r.walk_s},
                     {"shot_from_m", seen_or_null(r.shot_from_m)},
                     {"shot_to_m", seen_or_null(r.shot_to_m)},
                     {"steep", r.steep},
                     {"skyline_share", r.skyline},
                     {"line_of_fire", line_json(r.line)}});
  }
  for (const ScentOn& on : s.scent_on) {
    scent.push_back({{"name", name_of(d, on.area)},
                     {"kind", info(on.kind).table},
                     {"occupancy", on.occupancy},
                     {"exposure", on.exposure},
                     {"exposure_low", on.low},
                     {"exposure_high", on.high},
                     {"worst", on.worst}});
  }
  for (const SeenFrom& from : s.seen_from) {
    watchers.push_back({{"name", name_of(d, from.area)},
                        {"kind", info(from.kind).table},
                        {"occupancy", from.occupancy},
                        {"share", from.share},
                        {"nearest_m", from.nearest_m}});
  }
  for (size_t t = 0; t < kTradeCount; ++t) {
    in[word(static_cast<Trade>(t))] = way_json(d, s.way_in[t]);
    out[word(static_cast<Trade>(t))] = way_json(d, s.way_out[t]);
  }
  return {{"name", name_of(d, s.stand)},
          {"uid", s.stand.str()},
          {"easting_m", f ? f->shape.position().x : 0},
          {"northing_m", f ? f->shape.position().y : 0},
          {"eye_m", s.eye_m},
          {"rings", rings},
          {"in_reach", reach},
          {"scent_on", scent},
          {"seen_from", watchers},
          {"fire", fire_json(d, s.fire)},
          {"light", light_json(d, s.light)},
          {"sit_hazard_per_min", s.sit_hazard_per_min},
          {"air", local_air_json(d, s.air)},
          {"margin", margin_json(d, s.margin)},
          {"meetings", meetings_json(d, s.meetings)},
          {"way_in", in},
          {"way_out", out},
          {"drawn_in", way_json(d, s.drawn_in)},
          {"drawn_out", way_json(d, s.drawn_out)},
          {"no_way", s.no_way}};
}

}  // namespace

std::string text_answer(const Document& d, const Results& r, const std::vector<Uid>& stands,
                        bool full) {
  const Settings& s = *d.settings;
  const size_t trade = static_cast<size_t>(r.scene.trade);
  std::string out = s.name + ", " + date_text(r.scene.arrive, s.time_zone) + ", arriving " +
                    clock_text(r.scene.arrive, s.time_zone) + ", leaving " +
                    clock_text(r.scene.leave, s.time_zone) + "\n" + explain_air(r.air, s.units) +
                    "\n";
  for (const std::string& doubt : r.air.doubts) out += "  ! " + doubt + "\n";
  out += "\n";
  out += padded("Stand", 22) + padded("Way in (unnoticed)", 32) +
         padded("Way out (unnoticed)", 32) + "Sitter's scent\n";
  for (const StandResult& stand : r.stands) {
    if (!chosen(stands, stand.stand)) continue;
    const bool felt = !stand.scent_on.empty() &&
                      stand.scent_on[0].exposure * stand.scent_on[0].occupancy >= 0.002;
    char scent[32] = "";
    if (felt) std::snprintf(scent, sizeof scent, " %.2f", stand.scent_on[0].exposure);
    out += padded(name_of(d, stand.stand), 22) +
           padded(way_cell(d, stand.way_in[trade].get()), 32) +
           padded(way_cell(d, stand.way_out[trade].get()), 32) +
           (felt ? name_of(d, stand.scent_on[0].area) + scent : "off all deer areas") + "\n";
  }
  if (full) {
    for (const StandResult& stand : r.stands) {
      if (!chosen(stands, stand.stand)) continue;
      out += "\n" + name_of(d, stand.stand) + "\n";
      for (const Sentence& line : explain_stand(d, r, stand))
        out += (line.heading ? "  " : line.caution ? "    ! " : "    ") + line.text + "\n";
    }
    for (const Kind kind : {Kind::mock_scrape, Kind::camera}) {
      for (const auto& f : d.of(kind)) {
        out += "\n" + display_name(*f) + "\n";
        for (const Sentence& line : explain_checks(d, r, f->uid))
          out += (line.heading ? "  " : "    ") + line.text + "\n";
      }
    }
  } else {
    out += "\n";
    const size_t work = work_to_do(d, r).size();
    if (work > 0)
      out += "Mock scrapes and cameras: " + std::to_string(work) +
             (work == 1 ? " thing" : " things") + " to mend (--full names them).\n";
    for (const std::string& note : r.notes) out += "note: " + note + "\n";
    out +=
        "Not validated for deer: figures compare stands and ways. --full tells where not to shoot; "
        "a direction is never cleared.\n";
    for (const std::string& caution : fire_cautions(d, r)) out += "! " + caution + "\n";
  }
  return out;
}

std::string json_answer(const Document& d, const Results& r, const std::vector<Uid>& stands) {
  json list = json::array(), judgement = json::array();
  for (const StandResult& s : r.stands)
    if (chosen(stands, s.stand)) list.push_back(stand_json(d, s));
  Judgement used = judgement_of(*d.settings);
  for (const JudgementRow& row : judgement_rows(used))
    judgement.push_back({{"key", row.key},
                         {"name", row.words},
                         {"value", *row.value},
                         {"unit", row.unit},
                         {"source", row.source}});
  const json out = {
      {"property", d.settings->name},
      {"crs", d.settings->crs},
      {"arrive", to_iso8601(r.scene.arrive)},
      {"leave", to_iso8601(r.scene.leave)},
      {"sun",
       {{"civil_dawn", instant_or_null(r.sun_day.civil_dawn)},
        {"rise", instant_or_null(r.sun_day.rise)},
        {"set", instant_or_null(r.sun_day.set)},
        {"civil_dusk", instant_or_null(r.sun_day.civil_dusk)},
        {"altitude_deg", r.sun.altitude_deg},
        {"azimuth_true_deg", r.sun.azimuth_deg},
        {"legal_start", instant_or_null(r.sun_day.legal_start)},
        {"legal_end", instant_or_null(r.sun_day.legal_end)}}},
      {"moon", moon_json(r.moon)},
      {"surroundings_drawn", d.settings->surroundings_drawn},
      {"air", air_json(r.air)},
      {"air_leave", air_json(r.air_leave)},
      {"land_wind", {{"bent", r.air_map && r.air_map->bent}, {"pending", r.wind_pending}}},
      {"scent_limit", d.settings->scent_limit},
      {"leaf_on", r.leaf_on},
      {"stands", list},
      {"mock_scrapes", scrapes_json(d, r)},
      {"scrape_lines", scrape_lines_json(d, r)},
      {"cameras", cameras_json(d, r)},
      {"gaps", gaps_json(d, r)},
      {"notes", r.notes},
      {"judgement", judgement},
      {"cautions", cautions()}};
  return out.dump(1) + "\n";
}

}  // namespace leeward::batch
