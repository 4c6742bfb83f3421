#include "core/eval/deer.h"

#include <algorithm>
#include <cmath>

namespace leeward {
namespace {

constexpr size_t kSamples = 16;

struct Knot {
  double hours, value;
};

// Linear between knots, flat beyond.
double curve(double hours, std::initializer_list<Knot> knots) {
  const Knot* last = knots.begin();
  if (hours <= last->hours) return last->value;
  for (const Knot* k = knots.begin() + 1; k != knots.end(); ++k) {
    if (hours <= k->hours)
      return last->value +
             (k->value - last->value) * (hours - last->hours) / (k->hours - last->hours);
    last = k;
  }
  return last->value;
}

double hours_between(Instant from, Instant to) {
  return std::chrono::duration<double, std::ratio<3600>>(to - from).count();
}

// `morning` and `evening` are curves of hours from sunrise and from sunset; noon parts them.
double by_sun(Instant at, const SunDay& day, std::initializer_list<Knot> morning,
              std::initializer_list<Knot> evening) {
  if (!day.rise || !day.set) return 0.5;  // no sunrise that day
  const double since_rise = hours_between(*day.rise, at), since_set = hours_between(*day.set, at);
  const double day_length = hours_between(*day.rise, *day.set);
  return since_rise < day_length / 2 ? curve(since_rise, morning) : curve(since_set, evening);
}

}  // namespace

double occupancy(const Feature& feature, Instant at, const SunDay& day, int month) {
  switch (feature.kind()) {
    case Kind::bedding:
      return by_sun(at, day, {{-2, 0.15}, {-0.5, 0.35}, {1.5, 0.85}},
                    {{-2.5, 0.85}, {0, 0.40}, {1, 0.15}});
    case Kind::food:
      if (!feature.as<FoodAttrs>().months.has(month)) return 0.05;
      return by_sun(at, day, {{-2, 0.70}, {-0.5, 0.50}, {1, 0.15}, {3, 0.08}},
                    {{-3, 0.08}, {-1.5, 0.20}, {0, 0.60}, {1, 0.75}});
    case Kind::deer_trail: {
      const auto& t = feature.as<DeerTrailAttrs>();
      if (!t.months.has(month)) return 0.02;
      const double use = t.use == TrailUse::heavy ? 1.0 : t.use == TrailUse::moderate ? 0.6 : 0.3;
      return use * by_sun(at, day, {{-2, 0.20}, {-0.5, 0.50}, {0.5, 0.50}, {2, 0.15}, {4, 0.08}},
                          {{-4, 0.08}, {-2, 0.20}, {-0.5, 0.55}, {0.5, 0.50}, {2, 0.20}});
    }
    default:
      return 0;
  }
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

AreaCells area_cells(const std::vector<DeerArea>& areas, const GridSpec& spec) {
  AreaCells out;
  for (const DeerArea& a : areas) out.push_back(cells_of(*a.feature, spec));
  return out;
}

std::vector<DeerArea> deer_areas(const Document& document) {
  std::vector<DeerArea> out;
  for (const Kind kind : {Kind::bedding, Kind::food, Kind::deer_trail}) {
    for (const auto& f : document.of(kind)) {
      DeerArea area{f->uid, kind, f, {}, 0, 0};
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
  return out;
}

}  // namespace leeward
