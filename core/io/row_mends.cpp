#include "core/io/row_mends.h"

#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <cstdio>
#include <optional>

namespace leeward::io {

NoNumbers no_numbers(GDALDataset& dataset, OGRLayer& layer) {
  std::string sql;
  OGRFeatureDefn* columns = layer.GetLayerDefn();
  for (int i = 0; i < columns->GetFieldCount(); ++i) {
    const OGRFieldDefn* field = columns->GetFieldDefn(i);
    if (field->GetType() != OFTReal && field->GetType() != OFTInteger) continue;
    const std::string name = field->GetNameRef();
    // A bare fid would become the answer's own key and no column.
    sql += (sql.empty() ? "" : " UNION ALL ") + ("SELECT fid + 0 AS row_key, '" + name) +
           "' AS cell FROM " + layer.GetName() + " WHERE typeof(" + name + ") IN ('text', 'blob')";
  }
  NoNumbers out;
  OGRLayer* answer = sql.empty() ? nullptr : dataset.ExecuteSQL(sql.c_str(), nullptr, nullptr);
  if (!answer) return out;
  for (const auto& row : *answer)
    out[row->GetFieldAsInteger64("row_key")].emplace_back(row->GetFieldAsString("cell"));
  dataset.ReleaseResultSet(answer);
  return out;
}

std::vector<std::string> mend(OGRFeature& row, const NoNumbers& found) {
  std::vector<std::string> out;
  const auto cells = found.find(row.GetFID());
  if (cells == found.end()) return out;
  for (const std::string& name : cells->second) {
    row.UnsetField(row.GetFieldIndex(name.c_str()));
    out.push_back(name + " holds no number; it counts as empty");
  }
  return out;
}

std::string mend(WindHour& hour) {
  std::string problem;
  const auto within = [&](const char* column, std::optional<double>& v, double low, double high) {
    if (!v || (*v >= low && *v <= high)) return;
    char text[80];
    std::snprintf(text, sizeof text, "%s %.6g does not lie between %g and %g", column, *v, low,
                  high);
    if (problem.empty()) problem = text;
    v.reset();
  };
  within("from_deg", hour.from_deg, 0, 360);
  within("speed_mps", hour.speed_mps, 0, 120);
  within("speed_range_mps", hour.speed_range_mps, 0, 120);
  within("gust_mps", hour.gust_mps, 0, 150);
  within("cloud", hour.cloud, 0, 1);
  within("temperature_c", hour.temperature_c, -95, 65);
  return problem;
}

std::vector<std::string> mend(Weapon& weapon) {
  std::vector<std::string> out;
  const Weapon usual;
  const auto say = [&](const char* pattern, auto... values) {
    char text[160];
    std::snprintf(text, sizeof text, pattern, values...);
    out.emplace_back(text);
  };
  if (!(weapon.inner_m >= 0) || !(weapon.outer_m > weapon.inner_m) ||
      !(weapon.outer_m <= kMostReach_m)) {
    say("a reach of %.6g to %.6g m is not usable; %.6g to %.6g m stands in for it", weapon.inner_m,
        weapon.outer_m, usual.inner_m, usual.outer_m);
    weapon.inner_m = usual.inner_m, weapon.outer_m = usual.outer_m;
  }
  std::vector<double> rings;
  for (const double ring : weapon.rings_m)
    if (ring > (rings.empty() ? 0 : rings.back()) && ring <= kMostReach_m &&
        rings.size() < kMostRings)
      rings.push_back(ring);
  if (rings != weapon.rings_m) {
    say("of its %zu rings %zu do not rise or are too many; they are left out",
        weapon.rings_m.size(), weapon.rings_m.size() - rings.size());
    weapon.rings_m = std::move(rings);
  }
  if (weapon.max_travel_m &&
      !(*weapon.max_travel_m >= weapon.outer_m && *weapon.max_travel_m <= kMostTravel_m)) {
    say("a farthest travel of %.6g m does not lie between the outer reach and %.0f m; it counts as "
        "not entered",
        *weapon.max_travel_m, kMostTravel_m);
    weapon.max_travel_m.reset();
  }
  for (size_t k = 0; k < weapon.setback_m.size(); ++k) {
    auto& setback = weapon.setback_m[k];
    if (!setback || (*setback >= 0 && *setback <= kMostTravel_m)) continue;
    say("a setback from %s of %.6g m does not lie between 0 and %.0f m; it counts as not entered",
        word(static_cast<SetbackFrom>(k)), *setback, kMostTravel_m);
    setback.reset();
  }
  return out;
}

namespace {

/// Constants, curves and phases of the rut that no edit would have taken.
void drop_unusable(Settings& s, std::vector<std::string>& notes) {
  const auto drop = [&](auto& list, const char* what, const auto& usable) {
    std::erase_if(list, [&](const auto& row) {
      if (usable(row)) return false;
      notes.push_back(std::string("Settings: ") + what + " '" + row.name +
                      "' is not usable and is left out.");
      return true;
    });
  };
  drop(s.constants, "constant", [](const NamedValue& c) { return c.value >= 0 && c.value <= 1e6; });
  drop(s.rut, "phase of the rut",
       [](const RutPhase& r) { return r.daylight >= 0 && r.daylight <= 10; });
  drop(s.curves, "curve", [](const DeerCurve& c) {
    double last = -25;
    for (const CurveKnot& k : c.knots) {
      if (!(k.chance >= 0 && k.chance <= 1 && k.hours > last && k.hours <= 24)) return false;
      last = k.hours;
    }
    return !c.knots.empty();
  });
}

}  // namespace

void mend(Settings& s, std::vector<std::string>& notes) {
  const Settings usual;
  const auto within = [&](const char* what, auto& v, auto low, auto high, auto instead) {
    if (v >= low && v <= high) return;  // NaN does not
    char text[120];
    std::snprintf(text, sizeof text, "Settings: %s %.6g is not usable; %.6g stands in for it.",
                  what, static_cast<double>(v), static_cast<double>(instead));
    v = instead;
    notes.emplace_back(text);
  };
  if (s.stability && (*s.stability < 0 || *s.stability > 5)) {
    notes.push_back("Settings: stability " + std::to_string(*s.stability) +
                    " is none of 0 (A) to 5 (F); it is taken from wind, cloud and sun.");
    s.stability.reset();
  }
  within("the scent limit", s.scent_limit, 0.0, 100.0, usual.scent_limit);
  within("the pace of a deer", s.deer_pace_mps, 0.1, 20.0, usual.deer_pace_mps);
  within("the angle of glare", s.glare_within_deg, 0.0, 90.0, usual.glare_within_deg);
  within("the time to settle in minutes", s.settle_min, 0, 600, usual.settle_min);
  if (s.safety_check_months && (*s.safety_check_months < 1 || *s.safety_check_months > 120)) {
    notes.emplace_back(
        "Settings: the months that a safety check lasts are not usable; none is set.");
    s.safety_check_months.reset();
  }
  within("the length of a step in metres", s.pace_m, 0.3, 1.5, usual.pace_m);
  within("the custom paper's width in mm", s.layout.custom_width_mm, kLeastPaper_mm, kMostPaper_mm,
         usual.layout.custom_width_mm);
  within("the custom paper's height in mm", s.layout.custom_height_mm, kLeastPaper_mm,
         kMostPaper_mm, usual.layout.custom_height_mm);
  within("the turn of the map frame", s.layout.turned_deg, -180.0, 180.0, 0.0);
  drop_unusable(s, notes);
  within("the sit's length in minutes", s.sit_minutes, 10, 1440, usual.sit_minutes);
  within("the direction of the wind by hand", s.hand_wind.from_deg, 0.0, 360.0,
         usual.hand_wind.from_deg);
  within("the speed of the wind by hand", s.hand_wind.speed_mps, 0.0, 120.0,
         usual.hand_wind.speed_mps);
  within("the cloud by hand", s.hand_wind.cloud, 0.0, 1.0, usual.hand_wind.cloud);
}

}  // namespace leeward::io
