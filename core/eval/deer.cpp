#include "core/eval/deer.h"

#include <algorithm>
#include <cmath>

namespace leeward {
namespace {

constexpr size_t kSamples = 16;

// Linear between knots, flat beyond.
double curve(double hours, const std::vector<CurveKnot>& knots) {
  const CurveKnot* last = &knots.front();
  if (hours <= last->hours) return last->chance;
  for (const CurveKnot& k : knots) {
    if (hours <= k.hours)
      return last->chance +
             (k.chance - last->chance) * (hours - last->hours) / (k.hours - last->hours);
    last = &k;
  }
  return last->chance;
}

const std::vector<DeerCurve>& usual_curves() {
  static const std::vector<DeerCurve> curves = {
      {"bedding morning", {{-2, 0.15}, {-0.5, 0.35}, {1.5, 0.85}}},
      {"bedding evening", {{-2.5, 0.85}, {0, 0.40}, {1, 0.15}}},
      {"food morning", {{-2, 0.70}, {-0.5, 0.50}, {1, 0.15}, {3, 0.08}}},
      {"food evening", {{-3, 0.08}, {-1.5, 0.20}, {0, 0.60}, {1, 0.75}}},
      {"trail morning", {{-2, 0.20}, {-0.5, 0.50}, {0.5, 0.50}, {2, 0.15}, {4, 0.08}}},
      {"trail evening", {{-4, 0.08}, {-2, 0.20}, {-0.5, 0.55}, {0.5, 0.50}, {2, 0.20}}}};
  return curves;
}

const std::vector<CurveKnot>& knots_of(const Settings& settings, size_t which) {
  const DeerCurve& usual = usual_curves()[which];
  for (const DeerCurve& own : settings.curves)
    if (own.name == usual.name && !own.knots.empty()) return own.knots;
  return usual.knots;
}

double hours_between(Instant from, Instant to) {
  return std::chrono::duration<double, std::ratio<3600>>(to - from).count();
}

// `which`: index of the kind's morning curve, of hours from sunrise; the next is the evening's, of
// hours from sunset. Noon parts them.
double by_sun(const DeerTime& t, const Settings& settings, size_t which) {
  if (!t.day.rise || !t.day.set) return 0.5;  // no sunrise that day
  const double since_rise = hours_between(*t.day.rise, t.at),
               since_set = hours_between(*t.day.set, t.at);
  const double day_length = hours_between(*t.day.rise, *t.day.set);
  return since_rise < day_length / 2 ? curve(since_rise, knots_of(settings, which))
                                     : curve(since_set, knots_of(settings, which + 1));
}

bool draws(const FoodAttrs& food, const DeerTime& t) {
  return food.months.has(t.month) && (food.from.empty() || food.from <= t.date) &&
         (food.until.empty() || t.date <= food.until);
}

}  // namespace

DeerTime deer_time(Instant at, const SunDay& day, const Settings& settings) {
  const CivilTime civil = to_civil(at, settings.time_zone);
  DeerTime out{at, day, civil.month, iso_date(civil), 1, false};
  for (const RutPhase& phase : settings.rut)
    if (phase.from <= out.date && out.date <= phase.until) out.rut = phase.daylight;
  const std::chrono::minutes half{30};
  out.by_day = day.rise && day.set && at >= *day.rise - half && at <= *day.set + half;
  return out;
}

double occupancy(const Feature& feature, const DeerTime& t, const Settings& settings) {
  switch (feature.kind()) {
    case Kind::bedding: {
      const double usual = by_sun(t, settings, 0);
      const bool bucks = feature.as<BeddingAttrs>().group == DeerGroup::bucks;
      return bucks && t.by_day && t.rut > 1 ? usual / t.rut : usual;
    }
    case Kind::food:
      return draws(feature.as<FoodAttrs>(), t) ? by_sun(t, settings, 2) : 0.05;
    case Kind::deer_trail: {
      const auto& trail = feature.as<DeerTrailAttrs>();
      if (!trail.months.has(t.month)) return 0.02;
      const double use = trail.use == TrailUse::heavy      ? 1.0
                         : trail.use == TrailUse::moderate ? 0.6
                                                           : 0.3;
      return std::min(1.0, use * by_sun(t, settings, 4) * (t.by_day ? t.rut : 1));
    }
    case Kind::barrier:
      return std::min(1.0, by_sun(t, settings, 4) * (t.by_day ? t.rut : 1));
    default:
      return 0;
  }
}

double traffic_h(const Feature& feature, Instant from, Instant to, const SunDay& day,
                 const Settings& settings) {
  constexpr std::chrono::minutes kStep{15};
  double sum = 0;
  for (Instant t = from; t < to; t += kStep) {
    const Instant end = std::min(to, t + kStep);
    sum += hours_between(t, end) *
           occupancy(feature, deer_time(t + (end - t) / 2, day, settings), settings);
  }
  return sum;
}

std::vector<DeerCurve> deer_curves(const Settings& settings) {
  std::vector<DeerCurve> out = usual_curves();
  for (size_t i = 0; i < out.size(); ++i) out[i].knots = knots_of(settings, i);
  return out;
}

std::vector<std::size_t> cells_of(const Feature& feature, const GridSpec& spec) {
  std::vector<std::size_t> out;
  const auto add = [&](int c, int r) { out.push_back(spec.index(c, r)); };
  if (feature.shape.type == ShapeType::area) {
    for_each_cell_in(feature.shape, spec, add);
    if (out.empty()) {
      const LocalXY p = anchor(feature.shape);
      if (spec.contains(p)) add(spec.cell_col(p.x), spec.cell_row(p.y));
    }
  } else {
    for_each_cell_on(feature.shape.path(), spec, add);
    std::sort(out.begin(), out.end());
    out.erase(std::unique(out.begin(), out.end()), out.end());
  }
  return out;
}

namespace {

std::vector<std::size_t> cells_of_gaps(const DeerArea& area, const GridSpec& spec) {
  const Path& line = area.feature->shape.path();
  std::vector<std::size_t> out;
  for (const Gap& gap : area.feature->as<BarrierAttrs>().gaps) {
    const LocalXY at = point_along(line, gap.at_m);
    if (std::find(area.samples.begin(), area.samples.end(), at) == area.samples.end()) continue;
    for_each_cell_on(stretch(line, gap.at_m - gap.width_m / 2, gap.at_m + gap.width_m / 2), spec,
                     [&](int c, int r) { out.push_back(spec.index(c, r)); });
  }
  std::sort(out.begin(), out.end());
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return out;
}

}  // namespace

AreaCells area_cells(const std::vector<DeerArea>& areas, const GridSpec& spec) {
  AreaCells out;
  for (const DeerArea& a : areas)
    out.push_back(a.kind == Kind::barrier ? cells_of_gaps(a, spec) : cells_of(*a.feature, spec));
  return out;
}

std::vector<DeerArea> deer_areas(const Document& document, const std::vector<GapUse>& gaps) {
  std::vector<DeerArea> out;
  for (const Kind kind : {Kind::bedding, Kind::food, Kind::deer_trail}) {
    for (const auto& f : document.of(kind)) {
      DeerArea area;
      area.uid = f->uid;
      area.kind = kind;
      area.feature = f;
      const Box box = bounds(f->shape);
      const GridSpec grid = GridSpec::covering(box.grown(1), 10);
      const auto cells = cells_of(*f, grid);
      // 16 cells of 10 m stand for 40 m square of an area, four for 40 m of a trail.
      const bool is_area = f->shape.type == ShapeType::area;
      const size_t each = is_area ? 16 : 4;
      const size_t n =
          std::clamp((cells.size() + each - 1) / each, std::min<size_t>(1, cells.size()), kSamples);
      for (size_t i = 0; i < n; ++i) {
        const size_t cell = cells[(2 * i + 1) * cells.size() / (2 * n)];
        const int row = static_cast<int>(cell / static_cast<size_t>(grid.cols));
        area.samples.push_back(
            grid.centre(static_cast<int>(cell % static_cast<size_t>(grid.cols)), row));
      }
      if (area.samples.empty()) area.samples.push_back(anchor(f->shape));
      // Mean distance from the middle: 0.38 of the side of a square, a quarter of a line.
      const double cells_each =
          static_cast<double>(cells.size()) / static_cast<double>(area.samples.size());
      area.patch_m = is_area ? 0.38 * 10 * std::sqrt(cells_each) : 0.25 * 10 * cells_each;
      out.push_back(std::move(area));
    }
  }
  for (const GapUse& g : gaps) {
    if (g.share < kLeastGapUse) continue;
    if (out.empty() || out.back().uid != g.barrier) {
      DeerArea area;
      area.uid = g.barrier;
      area.kind = Kind::barrier;
      area.feature = document.find(g.barrier);
      area.use = 0;
      out.push_back(std::move(area));
    }
    out.back().samples.push_back(g.at);
    out.back().use = std::max(out.back().use, g.share);
  }
  return out;
}

}  // namespace leeward
