#include "core/eval/stand_eval.h"

#include "core/compute/shot.h"

#include <algorithm>
#include <cmath>
#include <map>

namespace leeward {
namespace {

constexpr double kAim_m = 0.8;
constexpr double kDeerEye_m = 1.0;  // common practice, no source
// The trunk that a sitter faces away from stands behind his head for who looks from this near to
// ahead: a trunk of 0.3 m, 0.35 m behind the middle of the head (common practice, no source).
constexpr double kTrunkCovers_deg = 25;
constexpr double kSkyEvery_m = 3;  // along a line

double seen_at(const Raster<std::uint8_t>& sight, LocalXY p) {
  return sight.value_or(p, 0) / 255.0;
}

struct ReachContext {
  const Raster<float>& ground;
  const compute::SightLand& land;
  const Raster<std::uint8_t>& sight;
  LocalXY at;
  const StandAttrs& stand;
  double eye_m;
  double reach_m;
  double pace_mps;
  const Rows<Weapon>& weapons;

  // Whether a deer there has the sitter's head against the sky.
  bool against_sky(LocalXY deer) const {
    switch (stand.type) {
      case StandType::ground_blind:
      case StandType::tower:
        return false;  // walls stand behind the head
      case StandType::ladder:
      case StandType::hang_on:
      case StandType::saddle:
        break;
    }
    const double ahead_deg = turn_deg(Bearing::degrees(stand.facing_deg), bearing(at, deer));
    if (std::abs(ahead_deg) <= kTrunkCovers_deg) return false;
    return compute::sky_behind(land, deer, kDeerEye_m, at, eye_m, stand.trimmed_radius_m) > 0.5;
  }

  // Past the aim point, with the weapon of the shortest reach that gets there.
  compute::LineOfFire line_past(LocalXY target, double range_m) const {
    const Weapon* with = nullptr;
    for (const auto& w : weapons)
      if (w->max_travel_m && w->outer_m >= range_m && (!with || w->outer_m < with->outer_m))
        with = w.get();
    if (!with || ground.empty() || range_m <= 0) return {};
    compute::FireSetup setup;
    setup.shooter = at;
    setup.eye_m = eye_m;
    setup.range_m = range_m;
    setup.max_travel_m = *with->max_travel_m;
    setup.aim_m = kAim_m;
    return compute::line_of_fire(ground, setup, leeward::bearing(at, target));
  }

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
    if (out.seen >= 0.5) out.skyline = against_sky(nearest) ? 1 : 0;
    out.steep = stand.platform_m > 0 && out.nearest_m < kSteepWithin_m;
    if (out.seen >= 0.5) out.shot_from_m = out.shot_to_m = out.nearest_m;
    out.line = line_past(nearest, out.nearest_m);
    return out;
  }

  // A line, walked metre by metre: length in reach, length seen, nearest seen point.
  std::optional<InReach> along(const Feature& f, const Path& line) const {
    const Path points = densified(line, 1.0);
    double best = std::numeric_limits<double>::infinity(), best_seen = best;
    LocalXY nearest{}, nearest_seen{};
    double length = 0, seen_length = 0, sum = 0, piece = 0, longest = 0, farthest_seen = 0;
    double since_sky = kSkyEvery_m;
    int n = 0, looked = 0, skylined = 0;
    for (size_t i = 0; i < points.size(); ++i) {
      const double d = distance_m(points[i], at);
      if (d > reach_m) {
        piece = 0;
        continue;
      }
      const double seen = seen_at(sight, points[i]);
      const double step = i > 0 ? distance_m(points[i - 1], points[i]) : 0;
      length += step;
      if (seen >= 0.5) {
        seen_length += step;
        piece += step;
        longest = std::max(longest, piece);
        farthest_seen = std::max(farthest_seen, d);
        since_sky += step;
        if (since_sky >= kSkyEvery_m) {
          since_sky = 0;
          ++looked;
          skylined += against_sky(points[i]) ? 1 : 0;
        }
      } else {
        piece = 0;
      }
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
    out.longest_m = longest;
    if (looked > 0) out.skyline = static_cast<double>(skylined) / looked;
    out.walk_s = f.kind() == Kind::deer_trail ? seen_length / pace_mps : 0;
    if (farthest_seen > 0) out.shot_from_m = best_seen, out.shot_to_m = farthest_seen;
    return out;
  }
};

}  // namespace

compute::SightOptions stand_sight_options(const StandAttrs& stand, const Judgement& j) {
  compute::SightOptions o;
  o.eye_m = stand.platform_m + j.sitter_above_platform_m;
  o.target_m = kAim_m;
  o.reach_m = kStandSightReach_m;
  o.cleared_m = stand.trimmed_radius_m;
  return o;
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

double outer_reach_m(const Rows<Weapon>& weapons) {
  double reach = 0;
  for (const auto& w : weapons) reach = std::max(reach, w->outer_m);
  return reach;
}

Rows<Feature> near_stand(const Document& document, LocalXY at, double reach_m) {
  Rows<Feature> out;
  if (reach_m <= 0) return out;
  const auto add = [&](Kind kind, auto&& is_near) {
    for (const auto& f : document.of(kind))
      if (is_near(*f)) out.push_back(f);
  };
  for (const Kind kind : {Kind::deer_trail, Kind::food})
    add(kind, [&](const Feature& f) { return bounds(f.shape).grown(reach_m).contains(at); });
  add(Kind::shooting_lane, [&](const Feature& f) {  // else it is another stand's
    return nearest_on_path(f.shape.path(), at).distance_m <= 15;
  });
  for (const Kind kind : {Kind::mock_scrape, Kind::camera})
    add(kind, [&](const Feature& f) { return distance_m(f.shape.position(), at) <= reach_m; });
  return out;
}

std::vector<InReach> stand_in_reach(const Rows<Feature>& near, const Terrain& terrain,
                                    const CoverGrid& cover, const Raster<std::uint8_t>& sight,
                                    const Feature& stand, double eye_m, double deer_pace_mps,
                                    const Rows<Weapon>& weapons) {
  const LocalXY at = stand.shape.position();
  const ReachContext context{
      terrain.ground,         cover.fine,    sight,  at, stand.as<StandAttrs>(), eye_m,
      outer_reach_m(weapons), deer_pace_mps, weapons};
  std::vector<InReach> out;
  for (const auto& f : near) {
    if (f->kind() == Kind::deer_trail || f->kind() == Kind::food) {
      Path line = f->shape.path();
      if (f->shape.type == ShapeType::area) line.push_back(line.front());  // a food edge
      if (auto found = context.along(*f, line)) out.push_back(*found);
    } else if (f->kind() == Kind::shooting_lane) {  // what counts is where a lane ends
      const Path& lane = f->shape.path();
      const LocalXY end =
          distance_m(lane.front(), at) > distance_m(lane.back(), at) ? lane.front() : lane.back();
      if (distance_m(end, at) <= context.reach_m) out.push_back(context.entry(*f, end));
    } else {
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

double sit_hazard_per_min(const std::vector<ScentOn>& on, const std::vector<SeenFrom>& seen,
                          double light, const Judgement& j) {
  double h = 0;
  for (const ScentOn& s : on)
    h += j.scent_per_min * s.occupancy * std::min(s.exposure, j.scent_exposure_cap);
  for (const SeenFrom& s : seen) {
    const double d = s.nearest_m / j.sight_distance_m;
    h += j.sight_per_min * j.sitter_sight_share * light * s.occupancy * s.share / (1 + d * d);
  }
  return j.sit_share * h;
}

}  // namespace leeward
