#include "core/eval/stand_eval.h"

#include "core/compute/shot.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace leeward {
namespace {

constexpr double kAim_m = 0.8;

double seen_at(const Raster<std::uint8_t>& sight, LocalXY p) {
  return sight.value_or(p, 0) / 255.0;
}

double outer_reach(const Rows<Weapon>& weapons) {
  double reach = 0;
  for (const auto& w : weapons) reach = std::max(reach, w->outer_m);
  return reach;
}

struct ReachContext {
  const Raster<float>& ground;
  const Raster<std::uint8_t>& sight;
  LocalXY at;
  double eye_m;
  double reach_m;

  InReach entry(const Feature& f, LocalXY nearest) const {
    InReach out;
    out.feature = f.uid;
    out.kind = f.kind();
    const compute::ShotLine line = compute::shot_line(ground, at, eye_m, nearest, kAim_m);
    out.nearest_m = line.horizontal_m;
    out.slant_m = line.slant_m;
    out.depression_deg = line.depression_deg;
    out.bearing = bearing(at, nearest);
    out.seen = seen_at(sight, nearest);
    return out;
  }

  // A line, walked metre by metre: length in reach, length seen, nearest seen point.
  std::optional<InReach> along(const Feature& f, const Path& line) const {
    const Path points = densified(line, 1.0);
    double best = std::numeric_limits<double>::infinity(), best_seen = best;
    LocalXY nearest{}, nearest_seen{};
    double length = 0, seen_length = 0, sum = 0;
    int n = 0;
    for (size_t i = 0; i < points.size(); ++i) {
      const double d = distance_m(points[i], at);
      if (d > reach_m) continue;
      const double seen = seen_at(sight, points[i]);
      const double step = i > 0 ? distance_m(points[i - 1], points[i]) : 0;
      length += step;
      if (seen >= 0.5) seen_length += step;
      sum += seen;
      ++n;
      if (d < best) best = d, nearest = points[i];
      if (seen >= 0.5 && d < best_seen) best_seen = d, nearest_seen = points[i];
    }
    if (n == 0) return std::nullopt;
    InReach out = entry(f, std::isfinite(best_seen) ? nearest_seen : nearest);
    out.seen = sum / n;
    out.reach_m = length;
    out.seen_m = seen_length;
    return out;
  }
};

}  // namespace

Result<Raster<std::uint8_t>> stand_sight(const CoverGrid& cover, LocalXY at,
                                         const StandAttrs& stand, const Judgement& j,
                                         std::stop_token stop) {
  compute::SightOptions o;
  o.eye_m = stand.platform_m + j.sitter_above_platform_m;
  o.target_m = kAim_m;
  o.reach_m = kStandSightReach_m;
  o.cleared_m = stand.trimmed_radius_m;
  return compute::sight_from(cover.fine, at, o, stop);
}

std::vector<Ring> stand_rings(const Terrain& terrain, const Raster<std::uint8_t>& sight, LocalXY at,
                              double eye_m, const Rows<Weapon>& weapons) {
  std::vector<Ring> out;
  for (const auto& w : weapons) {
    for (const double range : w->rings_m) {
      const bool drawn = std::any_of(
          out.begin(), out.end(), [&](const Ring& r) { return std::abs(r.range_m - range) < 0.1; });
      if (drawn) continue;
      Ring ring;
      ring.range_m = range;
      ring.weapon = w->uid;
      ring.points = compute::ring_points(at, range);
      for (const LocalXY p : ring.points) {
        ring.slant_m.push_back(
            static_cast<float>(compute::shot_line(terrain.ground, at, eye_m, p, kAim_m).slant_m));
        ring.seen.push_back(static_cast<float>(seen_at(sight, p)));
      }
      out.push_back(std::move(ring));
    }
  }
  return out;
}

std::vector<InReach> stand_in_reach(const Document& document, const Terrain& terrain,
                                    const Raster<std::uint8_t>& sight, LocalXY at, double eye_m,
                                    const Rows<Weapon>& weapons) {
  const ReachContext context{terrain.ground, sight, at, eye_m, outer_reach(weapons)};
  std::vector<InReach> out;
  if (context.reach_m <= 0) return out;
  for (const Kind kind : {Kind::deer_trail, Kind::food}) {
    for (const auto& f : document.of(kind)) {
      if (!bounds(f->shape).grown(context.reach_m).contains(at)) continue;
      Path line = f->shape.path();
      if (f->shape.type == ShapeType::area) line.push_back(line.front());  // a food edge
      if (auto found = context.along(*f, line)) out.push_back(*found);
    }
  }
  for (const auto& f : document.of(Kind::shooting_lane)) {  // what counts is where a lane ends
    const Path& lane = f->shape.path();
    if (nearest_on_path(lane, at).distance_m > 15) continue;  // another stand's
    const LocalXY end =
        distance_m(lane.front(), at) > distance_m(lane.back(), at) ? lane.front() : lane.back();
    if (distance_m(end, at) <= context.reach_m) out.push_back(context.entry(*f, end));
  }
  for (const Kind kind : {Kind::mock_scrape, Kind::camera}) {
    for (const auto& f : document.of(kind)) {
      if (distance_m(f->shape.position(), at) <= context.reach_m)
        out.push_back(context.entry(*f, f->shape.position()));
    }
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const InReach& a, const InReach& b) { return a.nearest_m < b.nearest_m; });
  return out;
}

std::vector<SeenFrom> areas_that_see(const Raster<std::uint8_t>& sight, LocalXY at,
                                     const std::vector<DeerArea>& areas) {
  std::vector<SeenFrom> out;
  for (const DeerArea& a : areas) {
    SeenFrom seen{a.uid, a.kind, a.occupancy, 0, std::numeric_limits<double>::infinity()};
    int within = 0;
    for (const LocalXY p : a.samples) {
      const double d = distance_m(p, at);
      seen.nearest_m = std::min(seen.nearest_m, d);
      if (d > kStandSightReach_m) continue;
      seen.share += seen_at(sight, p);
      ++within;
    }
    if (within > 0) seen.share /= within;
    if (seen.share >= 0.01) out.push_back(seen);
  }
  std::stable_sort(out.begin(), out.end(), [](const SeenFrom& x, const SeenFrom& y) {
    return x.share * x.occupancy > y.share * y.occupancy;
  });
  return out;
}

double sit_hazard_per_min(const std::vector<ScentOn>& on, const Judgement& j) {
  double h = 0;
  for (const ScentOn& s : on)
    h += j.scent_per_min * s.occupancy * std::min(s.exposure, j.scent_exposure_cap);
  return h;
}

}  // namespace leeward
