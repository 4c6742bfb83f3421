// Is a place near a gap, or in a narrow passage? The passage is measured across the trail, to both
// sides, between what deer walk around: water that is not waded, barriers, open fields.
#include "core/eval/check_text.h"
#include "core/eval/scrape_parts.h"

#include <algorithm>
#include <cmath>

namespace leeward {
namespace {

// Common practice, no source.
constexpr double kGapNear_m = 30, kSide_m = 60, kPassage_m = 50;
constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

struct Blocked {
  double distance_m = std::numeric_limits<double>::infinity();
  const Feature* by = nullptr;
};

Blocked blocked(const Document& d, LocalXY from, Bearing toward) {
  Blocked out;
  const auto offer = [&](const Feature& f, const Path& path, bool closed, double half_width_m) {
    const double m = first_hit_m(from, toward, kSide_m, path, closed) - half_width_m;
    if (m < out.distance_m) out = {std::max(0.0, m), &f};
  };
  const auto outline = [&](const Feature& f, double half_width_m) {
    for (const Path& part : f.shape.parts)
      offer(f, part, f.shape.type == ShapeType::area, half_width_m);
  };
  const auto inside = [&](const Feature& f) {
    return f.shape.type == ShapeType::area && contains(f.shape, from);
  };
  for (const auto& f : d.of(Kind::water)) {
    const auto& w = f->as<WaterAttrs>();
    if (!w.walkable) outline(*f, f->shape.type == ShapeType::line ? w.width_m / 2 : 0);
  }
  for (const auto& f : d.of(Kind::barrier))
    for (const Path& piece : barrier_pieces(f->shape.path(), f->as<BarrierAttrs>().gaps))
      offer(*f, piece, false, 0);
  for (const auto& f : d.of(Kind::food))
    if (!inside(*f)) outline(*f, 0);
  for (const auto& f : d.of(Kind::cover))
    if (f->as<CoverAttrs>().type == CoverType::open && !inside(*f)) outline(*f, 0);
  return out;
}

struct NearGap {
  const Feature* barrier = nullptr;
  double distance_m = std::numeric_limits<double>::infinity();
  double width_m = 0;
};
NearGap nearest_gap(const Document& d, LocalXY at) {
  NearGap out;
  for (const auto& f : d.of(Kind::barrier)) {
    for (const Gap& g : f->as<BarrierAttrs>().gaps) {
      const double m = distance_m(point_along(f->shape.path(), g.at_m), at);
      if (m < out.distance_m) out = {f.get(), m, g.width_m};
    }
  }
  return out;
}

Check passage(const Document& d, LocalXY at, const Feature& trail, const std::string& advice) {
  const UnitSystem units = d.settings->units;
  const Path& p = trail.shape.path();
  const NearestOnPath nearest = nearest_on_path(p, at);
  const Bearing along = bearing(point_along(p, nearest.at_m - 2), point_along(p, nearest.at_m + 2));
  const Blocked left = blocked(d, nearest.point, along.turned_deg(-90)),
                right = blocked(d, nearest.point, along.turned_deg(90));
  if (!left.by || !right.by) {
    return {CheckId::pinch, CheckState::note, kNone,
            "open for more than " + distance_text(kSide_m, units) + " to " +
                (left.by || right.by ? "one side" : "both sides") + " of the trail",
            advice};
  }
  const double width = left.distance_m + right.distance_m;
  const std::string says = "passage of " + distance_text(width, units) + " between " +
                           display_name(*left.by) + " and " + display_name(*right.by);
  if (width <= kPassage_m) return {CheckId::pinch, CheckState::good, width, says, {}};
  return {CheckId::pinch, CheckState::note, width, says, advice};
}

}  // namespace

Check pinch_check(const Document& d, LocalXY scrape, const Feature* trail) {
  const UnitSystem units = d.settings->units;
  const NearGap gap = nearest_gap(d, scrape);
  const std::string words = gap.barrier ? "gap of " + near_text(gap.width_m, units) + " in " +
                                              display_name(*gap.barrier) + ", " +
                                              near_text(gap.distance_m, units) + " away"
                                        : std::string();
  if (gap.distance_m <= kGapNear_m)
    return {CheckId::pinch, CheckState::good, gap.distance_m, words, {}};
  const std::string advice = gap.barrier
                                 ? "The nearest: " + words + "."
                                 : "A gap in a barrier, or a strip between water and field, would "
                                   "draw deer together here.";
  if (trail) return passage(d, scrape, *trail, advice);
  return {CheckId::pinch, CheckState::unknown, kNone, "no trail here to measure a passage across",
          advice};
}

}  // namespace leeward
