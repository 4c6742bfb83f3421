#include "core/compute/sight.h"

#include "core/compute/sight_octant.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace leeward::compute {
namespace {

// The line between two places in cells of the land, cell centres at whole numbers; `u` along the
// axis on which it is longer.
constexpr double kHalf = 0.5 + static_cast<double>(octant::kTie);
struct Line {
  const SightLand& land;
  bool by_rows;
  double u0, v0, u1, v1;

  Line(const SightLand& cells, LocalXY a, LocalXY b) : land(cells) {
    const GridSpec& g = cells.spec;
    const double c0 = g.col_of(a.x) - 0.5, r0 = g.row_of(a.y) - 0.5;
    const double c1 = g.col_of(b.x) - 0.5, r1 = g.row_of(b.y) - 0.5;
    by_rows = std::abs(r1 - r0) >= std::abs(c1 - c0);
    u0 = by_rows ? r0 : c0, v0 = by_rows ? c0 : r0;
    u1 = by_rows ? r1 : c1, v1 = by_rows ? c1 : r1;
  }
  SightCell cell(double u, double v) const {
    const int i = static_cast<int>(std::floor(u + 0.5)),
              j = static_cast<int>(std::floor(v + kHalf));
    const int c = by_rows ? j : i, r = by_rows ? i : j;
    return land.spec.has(c, r) ? land.at(c, r) : SightCell{kUnknown, 0, 0};
  }
  // From the line's start to the centre of that cell.
  double from_start_m(double u, double v) const {
    return std::hypot(u - u0, std::floor(v + kHalf) - v0) * land.spec.cell_m;
  }
  double share_at(double u) const { return u1 == u0 ? 0 : (u - u0) / (u1 - u0); }
  double aside_at(double u) const { return v0 + (v1 - v0) * share_at(u); }
  // Linear between the two cells of column `u` (a whole number) on both sides of `v`.
  double ground_m(double u, double v) const {
    const double left = std::floor(v), part = v - left;
    const double a = static_cast<double>(cell(u, left).ground_m);
    if (part < 1e-9) return a;
    return a + (static_cast<double>(cell(u, left + 1).ground_m) - a) * part;
  }
  // Bilinear; of the cell alone beside unknown ground.
  double end_m(double u, double v) const {
    const double left = std::floor(u), part = u - left;
    const double a = ground_m(left, v);
    const double z = part < 1e-9 ? a : a + (ground_m(left + 1, v) - a) * part;
    return std::isnan(z) ? static_cast<double>(cell(u, v).ground_m) : z;
  }
};

}  // namespace

double sight_between(const SightLand& land, LocalXY a, double a_height_m, LocalXY b,
                     double b_height_m, double cleared_m) {
  const Line line(land, a, b);
  const double za = line.end_m(line.u0, line.v0) + a_height_m,
               zb = line.end_m(line.u1, line.v1) + b_height_m;
  if (std::isnan(za) || std::isnan(zb)) return 0;
  const double least = std::min(line.u0, line.u1), most = std::max(line.u0, line.u1);
  const double d = distance_m(a, b);
  double depth = 0;
  for (double u = std::floor(least + 0.5); u <= std::floor(most + 0.5); u += 1) {
    const double at = std::clamp(u, least, most);
    const double t = line.share_at(at), z = za + (zb - za) * t;
    if (u > least && u < most && z < line.ground_m(u, line.aside_at(u))) return 0;
    const SightCell c = line.cell(u, line.aside_at(at));
    const double within = std::min(u + 0.5, most) - std::max(u - 0.5, least);
    const double length_m = most > least ? d * within / (most - least) : 0;
    const bool cleared = cleared_m > 0 && line.from_start_m(u, line.aside_at(at)) <= cleared_m;
    if (!cleared && z < static_cast<double>(c.ground_m) + static_cast<double>(c.top_m))
      depth += static_cast<double>(c.density_per_m) * length_m;
  }
  return std::exp(-depth);
}

double sky_behind(const SightLand& land, LocalXY watcher, double watcher_m, LocalXY head,
                  double head_m, double cleared_m, double beyond_m) {
  constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
  const double d = distance_m(watcher, head);
  if (d <= 0) return kNone;
  const auto ground_m = [&](LocalXY p) {
    const Line at(land, p, p);
    return at.end_m(at.u0, at.v0);
  };
  const double head_z = ground_m(head) + head_m;
  const double rise = (head_z - ground_m(watcher) - watcher_m) / d;
  if (std::isnan(rise)) return kNone;
  const Bearing on = bearing(watcher, head);
  for (double reach_m = beyond_m; reach_m > 0; reach_m -= land.spec.cell_m) {
    const LocalXY end = moved(head, on, reach_m);
    const double above_m = head_z + rise * reach_m - ground_m(end);
    if (above_m <= 0) return 0;
    if (!std::isnan(above_m)) return sight_between(land, head, head_m, end, above_m, cleared_m);
  }
  return 1;
}

}  // namespace leeward::compute
