#include "core/model/edit.h"

#include <algorithm>
#include <cmath>

namespace leeward {
namespace {

template <class T>
bool replace_or_add(Ref<Rows<T>>& rows, const Ref<T>& row) {
  Rows<T> copy = *rows;
  const auto it =
      std::find_if(copy.begin(), copy.end(), [&](const Ref<T>& r) { return r->uid == row->uid; });
  const bool found = it != copy.end();
  if (found) {
    *it = row;
  } else {
    copy.push_back(row);
  }
  if constexpr (std::is_same_v<T, WindHour> || std::is_same_v<T, Visit>) {
    std::stable_sort(copy.begin(), copy.end(),
                     [](const auto& a, const auto& b) { return a->at < b->at; });
  }
  rows = make_ref<Rows<T>>(std::move(copy));
  return found;
}

template <class T, class Pred>
bool remove_if(Ref<Rows<T>>& rows, Pred pred) {
  Rows<T> copy = *rows;
  const size_t before = copy.size();
  std::erase_if(copy, [&](const Ref<T>& r) { return pred(*r); });
  if (copy.size() == before) return false;
  rows = make_ref<Rows<T>>(std::move(copy));
  return true;
}

Error invalid(const std::string& what, const std::string& why) {
  return fail(ErrorCode::invalid_argument, what + ": " + why);
}

std::string weapon_problem(const Weapon& w) {
  if (w.rings_m.size() > kMostRings) return "more than five ring distances";
  for (size_t i = 0; i < w.rings_m.size(); ++i) {
    if (!(w.rings_m[i] > 0) || w.rings_m[i] > kMostReach_m)
      return "a ring distance must lie between 0 and 2000 m";
    if (i > 0 && !(w.rings_m[i] > w.rings_m[i - 1])) return "ring distances must rise";
  }
  if (!(w.inner_m >= 0) || !(w.outer_m > w.inner_m) || w.outer_m > kMostReach_m)
    return "the outer reach must lie beyond the inner";
  if (w.max_travel_m && !(*w.max_travel_m >= w.outer_m && *w.max_travel_m <= kMostTravel_m))
    return "the farthest travel must lie between the outer reach and 20 km";
  for (const auto& setback : w.setback_m)
    if (setback && !(*setback >= 0 && *setback <= kMostTravel_m))
      return "a setback must lie between 0 and 20 km";
  return {};
}

std::string hour_problem(const WindHour& h) {
  const auto bad = [](const std::optional<double>& v, double lo, double hi) {
    return v && !(*v >= lo && *v <= hi);
  };
  if (bad(h.from_deg, 0, 360)) return "wind direction must lie between 0 and 360 degrees";
  if (bad(h.speed_mps, 0, 120) || bad(h.gust_mps, 0, 150))
    return "wind speed must lie between 0 and 120 m/s";
  if (bad(h.cloud, 0, 1)) return "cloud must lie between 0 and 1";
  return {};
}

std::string settings_problem(const Settings& s) {
  const auto within = [](double v, double lo, double hi) { return v >= lo && v <= hi; };
  if (!is_time_zone(s.time_zone)) return "'" + s.time_zone + "' is not an IANA time zone";
  if (s.sit_minutes < 10 || s.sit_minutes > 1440) return "a sit lasts 10 minutes to 24 hours";
  if (!within(s.hand_wind.from_deg, 0, 360)) return "wind comes from 0 to 360 degrees";
  if (!within(s.hand_wind.speed_mps, 0, 120)) return "wind speed must lie between 0 and 120 m/s";
  if (!within(s.hand_wind.cloud, 0, 1)) return "cloud must lie between 0 and 1";
  if (s.stability && !within(*s.stability, 0, 5)) return "stability is one of 0 (A) to 5 (F)";
  if (!within(s.deer_pace_mps, 0.1, 20)) return "a deer walks at 0.1 to 20 m/s";
  if (!within(s.glare_within_deg, 0, 90)) return "the angle of glare lies between 0 and 90 degrees";
  if (!within(s.settle_min, 0, 600)) return "settling takes 0 to 600 minutes";
  if (s.safety_check_months && !within(*s.safety_check_months, 1, 120))
    return "a safety check lasts 1 to 120 months";
  if (!within(s.pace_m, 0.3, 1.5)) return "a step is 0.3 to 1.5 m long";
  if (!within(s.layout.custom_width_mm, kLeastPaper_mm, kMostPaper_mm) ||
      !within(s.layout.custom_height_mm, kLeastPaper_mm, kMostPaper_mm))
    return "paper measures 100 to 1200 mm each way";
  if (!within(s.layout.turned_deg, -180, 180)) return "a map is turned by -180 to 180 degrees";
  for (const NamedValue& c : s.constants)
    if (!within(c.value, 0, 1e6)) return "'" + c.name + "' must lie between 0 and 1000000";
  for (const DeerCurve& c : s.curves) {
    for (size_t i = 0; i < c.knots.size(); ++i) {
      if (!within(c.knots[i].chance, 0, 1)) return c.name + ": a chance lies between 0 and 1";
      if (!within(c.knots[i].hours, -24, 24) ||
          (i > 0 && !(c.knots[i].hours > c.knots[i - 1].hours)))
        return c.name + ": hours must rise, between -24 and 24";
    }
  }
  for (const RutPhase& r : s.rut)
    if (!within(r.daylight, 0, 10)) return r.name + ": daylight use is 0 to 10 times as much";
  if (!within(s.scent_limit, 0, 100)) return "the scent limit must lie between 0 and 100";
  return {};
}

Status put_row(Document& doc, const Put& row) {
  return std::visit(
      [&](const auto& ref) -> Status {
        using T = std::decay_t<decltype(*ref)>;
        if constexpr (std::is_same_v<T, Settings>) {
          const std::string why = settings_problem(*ref);
          if (!why.empty()) return invalid("settings", why);
          doc.settings = ref;
        } else {
          if (ref->uid.empty()) return fail(ErrorCode::invalid_argument, "a row has no uid");
          if constexpr (std::is_same_v<T, Feature>) {
            const std::string why = feature_problem(*ref);
            if (!why.empty()) return invalid(display_name(*ref), why);
            auto& rows = doc.features[static_cast<size_t>(ref->kind())];
            if (!replace_or_add(rows, ref)) {
              for (size_t k = 0; k < kKindCount; ++k) {  // the kind of a feature may change
                if (k != static_cast<size_t>(ref->kind()))
                  remove_if(doc.features[k], [&](const Feature& f) { return f.uid == ref->uid; });
              }
            }
          } else if constexpr (std::is_same_v<T, Weapon>) {
            const std::string why = weapon_problem(*ref);
            if (!why.empty()) return invalid(ref->name, why);
            replace_or_add(doc.weapons, ref);
          } else if constexpr (std::is_same_v<T, RasterLayer>) {
            if (!(ref->opacity >= 0 && ref->opacity <= 1))
              return invalid(ref->name, "opacity must lie between 0 and 1");
            if (!(ref->metres_per_unit > 0))
              return invalid(ref->name, "the elevation unit must be positive");
            replace_or_add(doc.rasters, ref);
          } else if constexpr (std::is_same_v<T, Forecast>) {
            replace_or_add(doc.forecasts, ref);
          } else if constexpr (std::is_same_v<T, Visit>) {
            replace_or_add(doc.visits, ref);
          } else {
            const std::string why = hour_problem(*ref);
            if (!why.empty()) return invalid("wind hour " + to_iso8601(ref->at), why);
            replace_or_add(doc.stored_hours, ref);
          }
        }
        return ok();
      },
      row);
}

Status remove_row(Document& doc, const Uid& uid) {
  const auto is = [&](const auto& row) { return row.uid == uid; };
  for (auto& rows : doc.features)
    if (remove_if(rows, is)) return ok();
  if (remove_if(doc.weapons, is) || remove_if(doc.rasters, is) || remove_if(doc.stored_hours, is) ||
      remove_if(doc.visits, is))
    return ok();
  if (remove_if(doc.forecasts, is)) {
    remove_if(doc.stored_hours, [&](const WindHour& h) { return h.forecast == uid; });
    return ok();
  }
  return fail(ErrorCode::not_found, "nothing to remove: no row " + uid.str());
}

}  // namespace

std::string feature_problem(const Feature& f) {
  if (!allows(f.kind(), f.shape.type)) {
    const char* noun = f.shape.type == ShapeType::point  ? "a point"
                       : f.shape.type == ShapeType::line ? "a line"
                                                         : "an area";
    return std::string(info(f.kind()).noun) + " cannot be " + noun;
  }
  std::string why = shape_problem(f.shape);
  if (!why.empty()) return why;
  const auto within = [](double v, double lo, double hi) { return v >= lo && v <= hi; };
  if (const auto* s = std::get_if<StandAttrs>(&f.attrs)) {
    if (!within(s->platform_m, 0, 30)) return "the platform height must lie between 0 and 30 m";
    if (!within(s->facing_deg, 0, 360)) return "the facing must lie between 0 and 360 degrees";
    if (!within(s->trimmed_radius_m, 0, 50))
      return "the trimmed radius must lie between 0 and 50 m";
  } else if (const auto* c = std::get_if<CoverAttrs>(&f.attrs)) {
    if (!within(c->height_m, 0, 90)) return "the cover height must lie between 0 and 90 m";
    if (!within(c->leaf_on_per_m, 0, 5) || !within(c->leaf_off_per_m, 0, 5))
      return "the cover density must lie between 0 and 5 a metre";
  } else if (const auto* b = std::get_if<BarrierAttrs>(&f.attrs)) {
    if (!within(b->height_m, 0, 30)) return "the barrier height must lie between 0 and 30 m";
    for (const Gap& g : b->gaps)
      if (!(g.width_m > 0) || !std::isfinite(g.at_m)) return "a gap must have a width";
  } else if (const auto* w = std::get_if<WaterAttrs>(&f.attrs)) {
    if (!within(w->banks_m, 0, 20)) return "a bed lies 0 to 20 m below the land";
    if (!within(w->width_m, 0.1, 500)) return "the water width must lie between 0.1 and 500 m";
  } else if (const auto* l = std::get_if<ShootingLaneAttrs>(&f.attrs)) {
    if (!within(l->width_m, 0.1, 50)) return "the lane width must lie between 0.1 and 50 m";
  } else if (const auto* m = std::get_if<MockScrapeAttrs>(&f.attrs)) {
    if (!within(m->length_m, 0, 10) || !within(m->limb_m, 0, 10) || !within(m->lower_end_m, 0, 10))
      return "the lure's length and heights must lie between 0 and 10 m";
    if (!within(m->diameter_mm, 0, 200)) return "the lure is 0 to 200 mm thick";
    if (!within(m->cleared_m, 0, 20)) return "bare ground is 0 to 20 m across";
  } else if (const auto* k = std::get_if<CameraAttrs>(&f.attrs)) {
    if (!within(k->facing_deg, 0, 360)) return "the facing must lie between 0 and 360 degrees";
    if (!within(k->field_of_view_deg, 1, 360)) return "the field of view is 1 to 360 degrees";
    if (!within(k->reach_m, 0, 500)) return "the camera's reach must lie between 0 and 500 m";
    if (!within(k->height_m, 0, 30)) return "the lens height must lie between 0 and 30 m";
    if (!within(k->service_from_h, 0, 24) || !within(k->service_to_h, 0, 24))
      return "service hours lie between 0 and 24";
  }
  return {};
}

Result<Document> apply(const Document& before, const EditStep& step) {
  Document next = before;
  for (const Edit& edit : step.edits) {
    Status done = std::holds_alternative<Put>(edit) ? put_row(next, std::get<Put>(edit))
                                                    : remove_row(next, std::get<Remove>(edit).uid);
    if (!done) return std::move(done.error());
  }
  if (next.stored_hours != before.stored_hours || next.forecasts != before.forecasts)
    take_hours_in_force(next);
  next.revision = before.revision + 1;
  return next;
}

}  // namespace leeward
