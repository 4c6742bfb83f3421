#include "core/eval/deer.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>
#include <utility>

namespace leeward {
namespace {

constexpr double kGapSd_m = 2;  // of a gap of some metres
constexpr int kHalvings = 4;    // 16 pieces
constexpr double kCell_m = 10;
constexpr double kSampleSd_m = 18, kPatchSd_m = 25;  // longest side of a piece: 60 m, 85 m

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

std::vector<DeerStep> deer_steps(Instant from, Instant to, const SunDay& day,
                                 const Settings& settings) {
  constexpr std::chrono::minutes kStep{15};
  std::vector<DeerStep> out;
  for (Instant t = from; t < to; t += kStep) {
    const Instant end = std::min(to, t + kStep);
    out.push_back({hours_between(t, end), deer_time(t + (end - t) / 2, day, settings)});
  }
  return out;
}

double traffic_h(const Feature& feature, const std::vector<DeerStep>& span,
                 const Settings& settings) {
  double sum = 0;
  for (const DeerStep& s : span) sum += s.hours * occupancy(feature, s.middle, settings);
  return sum;
}

std::optional<bool> most_walk_from_start(const Document& document, const Feature& trail,
                                         const DeerTime& time) {
  const auto nearest_m = [&](Kind kind, LocalXY p) {
    double out = std::numeric_limits<double>::infinity();
    for (const auto& f : document.of(kind)) out = std::min(out, distance_m(f->shape, p));
    return out;
  };
  const auto at_beds = [&](LocalXY p) {
    return nearest_m(Kind::bedding, p) < nearest_m(Kind::food, p);
  };
  const Path& line = trail.shape.path();
  const bool start = at_beds(line.front()), end = at_beds(line.back());
  if (start == end || !time.day.rise || !time.day.set) return std::nullopt;
  const bool morning = time.at < *time.day.rise + (*time.day.set - *time.day.rise) / 2;
  return morning != start;
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

// Cells of an area: their middle, and how far they lie from it (variance along x and y).
struct Piece {
  LocalXY *begin, *end;
  LocalXY middle, variance;

  Piece(LocalXY* from, LocalXY* to) : begin(from), end(to) {
    const double n = static_cast<double>(end - begin);
    for (const LocalXY* p = begin; p != end; ++p) middle = middle + *p;
    middle = {middle.x / n, middle.y / n};
    for (const LocalXY* p = begin; p != end; ++p) {
      const LocalXY d = *p - middle;
      variance = variance + LocalXY{d.x * d.x, d.y * d.y};
    }
    const double within_cell = kCell_m * kCell_m / 12;
    variance = {variance.x / n + within_cell, variance.y / n + within_cell};
  }
  double longest_sd_m() const { return std::sqrt(std::max(variance.x, variance.y)); }
  /// Across its longer side.
  std::pair<Piece, Piece> halves() const {
    LocalXY* const half = begin + (end - begin) / 2;
    std::nth_element(begin, half, end, [&](LocalXY a, LocalXY b) {
      return variance.x > variance.y ? std::pair(a.x, a.y) < std::pair(b.x, b.y)
                                     : std::pair(a.y, a.x) < std::pair(b.y, b.x);
    });
    return {Piece(begin, half), Piece(half, end)};
  }
};

// Of the same size: halved, all alike, until none is longer than `longest_sd_m`, at most four
// times.
std::vector<Piece> pieces(std::vector<LocalXY>& cells, double longest_sd_m) {
  std::vector<Piece> out = {{cells.data(), cells.data() + cells.size()}};
  for (int n = 0; n < kHalvings; ++n) {
    const bool fine = std::all_of(out.begin(), out.end(), [&](const Piece& p) {
      return p.longest_sd_m() <= longest_sd_m || p.end - p.begin < 2;
    });
    if (fine || 2 * out.size() > cells.size()) break;
    std::vector<Piece> halved;
    for (const Piece& p : out) {
      const auto [a, b] = p.halves();
      halved.push_back(a), halved.push_back(b);
    }
    out = std::move(halved);
  }
  return out;
}

// Its samples and patches, from the cells that it covers.
void take_apart(const Feature& f, DeerArea& out) {
  const GridSpec grid = GridSpec::covering(bounds(f.shape).grown(1), kCell_m);
  std::vector<LocalXY> cells;
  for (const size_t i : cells_of(f, grid))
    cells.push_back(grid.centre(static_cast<int>(i % static_cast<size_t>(grid.cols)),
                                static_cast<int>(i / static_cast<size_t>(grid.cols))));
  if (cells.empty()) cells.push_back(anchor(f.shape));
  for (const Piece& piece : pieces(cells, kSampleSd_m)) {
    const auto off = [&](LocalXY p) { return std::tuple(distance_m(p, piece.middle), p.x, p.y); };
    out.samples.push_back(*std::min_element(piece.begin, piece.end,
                                            [&](LocalXY p, LocalXY q) { return off(p) < off(q); }));
  }
  for (const Piece& p : pieces(cells, kPatchSd_m))
    out.patches.push_back({p.middle, std::sqrt((p.variance.x + p.variance.y) / 2)});
}

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

std::vector<std::size_t> cells_of(const DeerArea& area, const GridSpec& spec) {
  return area.kind == Kind::barrier ? cells_of_gaps(area, spec) : cells_of(*area.feature, spec);
}

AreaCells area_cells(const std::vector<DeerArea>& areas, const GridSpec& spec) {
  AreaCells out;
  for (const DeerArea& a : areas) out.push_back(cells_of(a, spec));
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
      take_apart(*f, area);
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
    out.back().patches.push_back({g.at, kGapSd_m});
    out.back().use = std::max(out.back().use, g.share);
  }
  return out;
}

}  // namespace leeward
