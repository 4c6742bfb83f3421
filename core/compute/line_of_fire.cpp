#include "core/compute/line_of_fire.h"

#include "core/base/parallel.h"
#include "core/compute/ground_walk.h"

#include <algorithm>
#include <optional>

namespace leeward::compute {
namespace {

/// First s in [0, 1] at which the parabola through g0, gm (at one half) and g1 is not above 0.
std::optional<double> first_zero(double g0, double gm, double g1) {
  if (g0 <= 0) return 0.0;
  const double c = 2 * (g0 - 2 * gm + g1), b = g1 - g0 - c;
  if (g1 > 0) {
    if (c <= 0) return std::nullopt;
    const double low = -b / (2 * c);
    if (low <= 0 || low >= 1 || g0 + (b + c * low) * low > 0) return std::nullopt;
  }
  const double root = std::sqrt(std::max(0.0, b * b - 4 * c * g0));
  const double q = -(b + (b < 0 ? -root : root)) / 2;
  double best = 1;
  for (const double s : {g0 / q, q / c})
    if (s >= 0 && s < best) best = s;  // false for NaN and infinity
  return best;
}

enum class End { met, reached, lost };
struct Followed {
  End end = End::lost;
  double at_m = 0;
};

/// The line z(d) = eye + slope d over the ground from one distance to another.
Followed follow(const Raster<float>& ground, LocalXY from, Bearing toward, double eye_z,
                double slope, double begin_m, double end_m) {
  GroundWalk walk(ground, from, toward, begin_m, end_m);
  walk.pass_below(eye_z, slope);
  for (GroundPiece p; walk.next(p);) {
    if (!p.known()) return {End::lost, p.from_m};
    const double half = (p.from_m + p.to_m) / 2;
    const auto s = first_zero(eye_z + slope * p.from_m - p.start, eye_z + slope * half - p.middle,
                              eye_z + slope * p.to_m - p.end);
    if (s) return {End::met, p.from_m + *s * (p.to_m - p.from_m)};
  }
  return {walk.complete() ? End::reached : End::lost, walk.at_m()};
}

/// Between a line of this slope and the surface at p.
double meeting_angle_deg(const Raster<float>& ground, LocalXY p, Bearing toward, double slope) {
  const LocalXY g = ground_slope(ground, p);
  const double into = g.x * toward.east() + g.y * toward.north() - slope;
  const double sine = std::abs(into) / std::sqrt((1 + dot(g, g)) * (1 + slope * slope));
  return std::asin(std::min(1.0, sine)) * kDegPerRad;
}

double time_s(Instant t) { return static_cast<double>(t.time_since_epoch().count()); }

/// The part [first, last] of a straight leg in which it is within a radius of the origin.
struct Part {
  double first = 0, last = 1;
};
std::optional<Part> within(LocalXY a, LocalXY b, double radius_m) {
  const LocalXY d = b - a;
  const double dd = dot(d, d);
  if (dd == 0) return length_m(a) <= radius_m ? std::optional<Part>(Part{}) : std::nullopt;
  const double middle = -dot(a, d) / dd;
  const double low = length_m(a + d * middle);
  if (low > radius_m) return std::nullopt;
  const double half = std::sqrt((radius_m * radius_m - low * low) / dd);
  const Part p{std::max(0.0, middle - half), std::min(1.0, middle + half)};
  return p.first <= p.last ? std::optional<Part>(p) : std::nullopt;
}

/// Where on a straight leg (in the shooter's frame) the angle off the direction is smallest. Seen
/// from a point off it, the bearing along a straight line only ever turns one way.
double nearest_to_line(LocalXY a, LocalXY b, Bearing toward, Part part) {
  const LocalXY ahead{toward.east(), toward.north()};
  const double ca = cross(ahead, a), cb = cross(ahead, b);
  if (ca != cb) {
    const double s = std::clamp(ca / (ca - cb), part.first, part.last);
    const LocalXY p = a + (b - a) * s;
    if (std::abs(cross(ahead, p)) <= 1e-9 * (1 + length_m(p)) && dot(ahead, p) >= 0) return s;
  } else if (ca == 0 && dot(ahead, b) > dot(ahead, a)) {
    return part.last;  // along the line itself, coming from behind
  }
  const auto off = [&](double s) {
    const LocalXY p = a + (b - a) * s;
    return std::abs(turn_deg(toward, Bearing::of(p.x, p.y)));
  };
  return off(part.first) <= off(part.last) ? part.first : part.last;
}

}  // namespace

LineOfFire line_of_fire(const Raster<float>& ground, const FireSetup& setup, Bearing toward) {
  LineOfFire out;
  out.toward = toward;
  const double eye_z = ground_height(ground, setup.shooter) + setup.eye_m;
  const double aim_z =
      ground_height(ground, moved(setup.shooter, toward, setup.range_m)) + setup.aim_m;
  if (std::isnan(eye_z)) return out;
  if (std::isnan(aim_z)) {  // how far the ground is known is still worth saying
    GroundWalk walk(ground, setup.shooter, toward, 0, setup.range_m);
    for (GroundPiece p; walk.next(p) && p.known();) out.ends_at_m = p.to_m;
    return out;
  }
  const double slope = (aim_z - eye_z) / setup.range_m;
  out.depression_deg = std::atan(-slope) * kDegPerRad;
  const auto run = [&](double begin_m, double end_m) {
    return follow(ground, setup.shooter, toward, eye_z, slope, begin_m, end_m);
  };
  Followed f = run(0, setup.range_m);
  const bool past_target = f.end == End::reached;
  if (past_target) f = run(setup.range_m, std::max(setup.range_m, setup.max_travel_m));
  out.ends_at_m = f.at_m;
  if (f.end == End::lost) return out;
  if (f.end == End::reached) {
    out.outcome = FireOutcome::clears_ground;
    return out;
  }
  out.outcome = past_target ? FireOutcome::meets_ground : FireOutcome::blocked;
  if (past_target) out.backstop_beyond_m = f.at_m - setup.range_m;
  out.meeting_angle_deg =
      meeting_angle_deg(ground, moved(setup.shooter, toward, f.at_m), toward, slope);
  return out;
}

Result<std::vector<LineOfFire>> lines_of_fire(const Raster<float>& ground, const FireSetup& setup,
                                              std::stop_token stop) {
  const auto above_zero = [](double v) { return std::isfinite(v) && v > 0; };
  const auto not_below_zero = [](double v) { return std::isfinite(v) && v >= 0; };
  if (!above_zero(setup.range_m) || !above_zero(setup.max_travel_m) || setup.directions < 1 ||
      !not_below_zero(setup.eye_m) || !not_below_zero(setup.aim_m)) {
    return fail(ErrorCode::invalid_argument,
                "lines of fire need a range, a farthest travel and heights that are numbers");
  }
  std::vector<LineOfFire> out(static_cast<size_t>(setup.directions));
  const bool done = for_each_index(
      setup.directions,
      [&](int i) {
        const Bearing toward = Bearing::degrees(i * 360.0 / setup.directions);
        out[static_cast<size_t>(i)] = line_of_fire(ground, setup, toward);
      },
      stop);
  if (!done) return fail(ErrorCode::cancelled, "cancelled");
  return out;
}

std::vector<PersonInLine> people_in_line(LocalXY shooter, Bearing toward, double margin_deg,
                                         double max_travel_m, Instant start, Instant end,
                                         std::span<const PersonLeg> legs) {
  std::vector<PersonInLine> out;
  for (size_t i = 0; i < legs.size(); ++i) {
    const PersonLeg& leg = legs[i];
    const Instant first = std::max(start, leg.start), last = std::min(end, leg.end);
    if (first > last) continue;
    const double lasts_s = time_s(leg.end) - time_s(leg.start);
    const auto share = [&](Instant t) {
      return lasts_s > 0 ? (time_s(t) - time_s(leg.start)) / lasts_s : 0.0;
    };
    const LocalXY a0 = leg.from - shooter, d = leg.to - leg.from;
    // A leg without duration is walked at once: all of it counts.
    const LocalXY a = lasts_s > 0 ? a0 + d * share(first) : a0;
    const LocalXY b = lasts_s > 0 ? a0 + d * share(last) : a0 + d;
    const auto part = within(a, b, max_travel_m);
    if (!part) continue;
    const double s = nearest_to_line(a, b, toward, *part);
    const LocalXY p = a + (b - a) * s;
    const bool here = length_m(p) < 1e-6;
    const double off = here ? 0 : std::abs(turn_deg(toward, Bearing::of(p.x, p.y)));
    if (off > margin_deg + 1e-9) continue;
    const auto into = std::chrono::seconds{std::llround(s * (time_s(last) - time_s(first)))};
    out.push_back(
        {i, leg.person, here ? toward : Bearing::of(p.x, p.y), length_m(p), off, first + into});
  }
  return out;
}

}  // namespace leeward::compute
