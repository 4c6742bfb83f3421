#include "core/io/new_property.h"
#include "core/io/store_paths.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <map>
#include <set>
#include <system_error>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;
using Level = Finding::Level;

constexpr double kTrailReach_m = 40;  // a trail that ends this near a place leads to it
constexpr double kGateReach_m = 25;   // a gate stands on the boundary line, more or less

class Checker {
 public:
  Checker(const Document& document, const fs::path& property_file, Instant now)
      : document_(document), now_(now), property_file_(property_file) {}

  std::vector<Finding> check() {
    check_settings();
    check_rasters();
    check_presence();
    check_features();
    check_stands();
    check_gates();
    check_trails();
    check_weapons();
    check_wind();
    std::stable_sort(out_.begin(), out_.end(),
                     [](const Finding& a, const Finding& b) { return a.level < b.level; });
    return std::move(out_);
  }

 private:
  void find(Level level, std::string text, const Uid& row = {}) {
    out_.push_back({level, std::move(text), row});
  }

  void check_settings() {
    const Settings& s = *document_.settings;
    if (auto frame = Frame::make(s.crs); !frame) find(Level::error, frame.error().message + ".");
    if (!is_time_zone(s.time_zone))
      find(Level::error, "Time zone '" + s.time_zone + "' is not known; choose an IANA name.");
    if (!s.legal_before_sunrise_min || !s.legal_after_sunset_min) {
      find(
          Level::advice,
          "Legal shooting hours are not entered; look them up and enter the minutes before sunrise "
          "and after sunset.");
    }
    if (!s.surroundings_drawn)
      find(
          Level::advice,
          "Dwellings and roads around are not said to be all drawn: no direction of fire counts as "
          "looked at. Draw them, then say so in the settings.");
  }

  void check_rasters() {
    bool elevation = false;
    for (const auto& r : *document_.rasters) {
      elevation = elevation || r->role == RasterRole::elevation;
      const fs::path file = raster_file(*r, property_file_);
      std::error_code ec;
      if (!fs::exists(file, ec)) {
        find(r->role == RasterRole::elevation ? Level::error : Level::warning,
             "Raster '" + r->name + "' is missing: there is no file " + file.string() +
                 "; put it back or choose it again.",
             r->uid);
        continue;
      }
      auto facts = inspect_raster(file, document_.settings->crs);
      if (!facts) {
        find(Level::error, "Raster '" + r->name + "': " + facts.error().message + ".", r->uid);
      } else if (!facts->georeferenced || !facts->has_crs) {
        find(Level::error,
             "Raster '" + r->name + "' does not say where it lies; georeference it in a GIS first.",
             r->uid);
      } else if (!facts->box.empty() && !document_.extent().empty() &&
                 !facts->box.overlaps(document_.extent())) {
        find(Level::warning, "Raster '" + r->name + "' lies outside the property.", r->uid);
      }
    }
    if (!elevation) {
      find(Level::warning,
           "There is no elevation, so the ground is taken as flat; add a raster of heights.");
      return;
    }
    auto terrain = load_terrain(document_, property_file_);
    if (!terrain) return find(Level::error, terrain.error().message + ".");
    terrain_ = *terrain;
    for (const std::string& note : terrain_->notes) find(Level::warning, note);
  }

  void check_presence() {
    const auto none = [&](Kind kind) { return document_.of(kind).empty(); };
    if (none(Kind::boundary)) {
      find(Level::warning,
           "There is no boundary, so ways may lead anywhere; draw or import the property line.");
    }
    if (none(Kind::stand)) find(Level::warning, "There are no stands; draw where you sit.");
    if (none(Kind::gate)) {
      find(Level::warning,
           "There is no gate, so no way in or out is found; draw where walks begin.");
    }
    if (none(Kind::bedding) && none(Kind::food) && none(Kind::deer_trail)) {
      find(Level::warning,
           "There is no bedding, food or deer trail, so nothing tells where deer are.");
    }
    if (document_.raster(RasterRole::aerial) == nullptr)
      find(Level::advice, "There is no aerial; the map shows the ground only.");
    if (document_.raster(RasterRole::surface) == nullptr && none(Kind::cover)) {
      find(Level::advice,
           "There is neither a surface nor drawn cover, so sight is judged over bare ground.");
    }
  }

  void check_features() {
    std::map<std::string, int> names;
    for (const KindInfo& kind : all_kinds()) {
      for (const auto& f : document_.of(kind.kind)) {
        const std::string why = feature_problem(*f);
        if (!why.empty()) find(Level::error, display_name(*f) + ": " + why + ".", f->uid);
        if (kind.kind == Kind::food && f->as<FoodAttrs>().months.bits == 0) {
          find(Level::warning, display_name(*f) + " draws deer in no month; choose its months.",
               f->uid);
        }
        if (kind.kind == Kind::stand && !f->name.empty() && ++names[f->name] == 2)
          find(Level::advice,
               "Two stands are called '" + f->name + "'; prints cannot tell them apart.", f->uid);
      }
    }
  }

  bool inside_boundary(LocalXY p, double reach_m) const {
    const auto& rows = document_.of(Kind::boundary);
    return rows.empty() || std::any_of(rows.begin(), rows.end(), [&](const auto& b) {
             return distance_m(b->shape, p) <= reach_m;
           });
  }
  bool in_area(Kind kind, LocalXY p, const Feature** which) const {
    for (const auto& f : document_.of(kind)) {
      if (f->shape.type != ShapeType::area || !contains(f->shape, p)) continue;
      if (kind == Kind::water && f->as<WaterAttrs>().walkable) continue;
      return *which = f.get(), true;
    }
    return false;
  }
  bool unknown_ground(LocalXY p) const {
    return terrain_ && !terrain_->ground.empty() && std::isnan(sample(terrain_->ground, p));
  }

  void check_stands() {
    for (const auto& f : document_.of(Kind::stand)) {
      const LocalXY p = f->shape.position();
      const std::string name = display_name(*f);
      const Feature* area = nullptr;
      if (!inside_boundary(p, 0))
        find(Level::warning, name + " lies outside the boundary; move it or mend the boundary.",
             f->uid);
      if (unknown_ground(p)) {
        find(Level::warning,
             name +
                 " stands where the elevation is unknown; its sight and rings are "
                 "judged on flat ground.",
             f->uid);
      }
      if (in_area(Kind::sanctuary, p, &area)) {
        find(Level::warning,
             name + " lies inside the sanctuary " + display_name(*area) + ", which nobody enters.",
             f->uid);
      }
      if (in_area(Kind::water, p, &area))
        find(Level::warning,
             name + " stands in " + display_name(*area) + ", which cannot be waded.", f->uid);
      for (const Uid& w : f->as<StandAttrs>().weapons) {
        if (document_.find_weapon(w)) continue;
        find(Level::warning, name + " names a weapon that is gone; choose its weapons again.",
             f->uid);
        break;
      }
    }
  }

  void check_gates() {
    for (const auto& f : document_.of(Kind::gate)) {
      const LocalXY p = f->shape.position();
      const Feature* area = nullptr;
      if (!inside_boundary(p, kGateReach_m)) {
        find(Level::warning,
             display_name(*f) +
                 " lies far outside the boundary, so no way can begin there; move it "
                 "to the property line.",
             f->uid);
      }
      if (in_area(Kind::sanctuary, p, &area) || in_area(Kind::water, p, &area)) {
        find(Level::warning,
             display_name(*f) + " lies in " + display_name(*area) +
                 ", so no way can begin there; move it.",
             f->uid);
      }
    }
  }

  bool leads_somewhere(const Feature& trail, LocalXY end) const {
    for (const Kind kind :
         {Kind::bedding, Kind::food, Kind::water, Kind::deer_trail, Kind::cover, Kind::boundary}) {
      for (const auto& f : document_.of(kind)) {
        if (f->uid == trail.uid) continue;
        // Inside a boundary means nothing; meeting its line does: the trail goes on to a neighbour.
        const double d =
            kind == Kind::boundary ? distance_m(outline(*f), end) : distance_m(f->shape, end);
        if (d <= kTrailReach_m) return true;
      }
    }
    return false;
  }
  static Shape outline(const Feature& boundary) {
    Path ring = boundary.shape.path();
    ring.push_back(ring.front());
    return Shape::line(std::move(ring));
  }
  void check_trails() {
    for (const auto& f : document_.of(Kind::deer_trail)) {
      if (leads_somewhere(*f, f->shape.path().front()) ||
          leads_somewhere(*f, f->shape.path().back()))
        continue;
      find(Level::advice,
           display_name(*f) +
               " touches no bedding, food, water, cover or other trail at either end.",
           f->uid);
    }
  }

  void check_weapons() {
    if (document_.weapons->empty())
      find(Level::advice, "No weapon is entered, so no distance rings are drawn.");
    for (const auto& w : *document_.weapons) {
      const auto missing =
          std::count_if(w->setback_m.begin(), w->setback_m.end(), [](const auto& s) { return !s; });
      if (missing == 0 && w->max_travel_m) continue;
      find(Level::advice,
           w->name + ": " +
               (missing > 0
                    ? std::to_string(missing) + " of " + std::to_string(kSetbackCount) + " setbacks"
                    : std::string()) +
               (missing > 0 && !w->max_travel_m ? " and " : "") +
               (w->max_travel_m ? "" : "the farthest travel") +
               " not entered, so its whole ring stays closed: look them up in your "
               "local law and enter them.",
           w->uid);
    }
  }

  void check_wind() {
    const Rows<WindHour> hours = hours_to_come(document_);
    if (document_.settings->use_hand_wind) return;
    if (hours.empty()) {
      find(Level::warning, "There is no wind: import a forecast or set the wind by hand.");
      return;
    }
    const Instant last = hours.back()->at + std::chrono::hours(1);
    if (last <= now_) {
      find(Level::advice, "The forecast does not cover the hours to come: it ended at " +
                              to_iso8601(last) + "; import a newer one.");
    }
    if (const auto planned = document_.settings->layout.hour;
        planned && (*planned < hours.front()->at || *planned >= last)) {
      find(Level::warning,
           "The forecast does not cover the hour of the print, " + to_iso8601(*planned) + ".");
    }
    size_t unknown = 0, gaps = 0;
    for (size_t i = 0; i < hours.size(); ++i) {
      unknown += hours[i]->from_deg && hours[i]->speed_mps ? 0U : 1U;
      if (i > 0 && hours[i]->at - hours[i - 1]->at > std::chrono::hours(1)) ++gaps;
    }
    if (unknown > 0) {
      find(Level::advice,
           std::to_string(unknown) + " of " + std::to_string(hours.size()) +
               " wind hours have no direction or speed; scent then goes to all sides.");
    }
    if (gaps > 0) find(Level::advice, "The wind hours have " + std::to_string(gaps) + " gaps.");
  }

  const Document& document_;
  Instant now_;
  const fs::path& property_file_;
  Ref<Terrain> terrain_;
  std::vector<Finding> out_;
};

}  // namespace

std::vector<Finding> check_property(const Document& document, const fs::path& property_file,
                                    Instant now) {
  return Checker(document, property_file, now).check();
}

}  // namespace leeward::io
