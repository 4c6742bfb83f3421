#include "core/compute/slope_air.h"

#include "core/base/parallel.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <limits>
#include <vector>

namespace leeward::compute {
namespace {

constexpr double kGravity = 9.81, kDensity = 1.2, kHeatCapacity = 1005;
constexpr double kColdAir = 283, kWarmAir = 293;        // K
constexpr double kDownDrag = 1e-4, kDownMixing = 0.01;  // Cd, k
constexpr double kUpDrag = 0.2, kUpMixing = 0.2;
constexpr double kDepthShare = 0.05;

/// Where a cell's air goes: at most two neighbours and the share of the first.
struct Outflow {
  std::array<int, 2> cell = {-1, -1};
  std::array<float, 2> share = {0, 0};
};

// Mean of the known cells within a square of the radius, by rows and then columns.
Raster<float> smoothed(const Raster<float>& in, double radius_m) {
  const GridSpec& g = in.spec;
  const int r = static_cast<int>(std::lround(radius_m / g.cell_m));
  if (r < 1) return in;
  const auto pass = [&](const Raster<float>& from, bool along_row) {
    Raster<float> to(g, kUnknown);
    for_each_index(g.rows, [&](int row) {
      for (int col = 0; col < g.cols; ++col) {
        if (std::isnan(in.at(col, row))) continue;
        double sum = 0;
        int n = 0;
        for (int d = -r; d <= r; ++d) {
          const int c = along_row ? col + d : col, w = along_row ? row : row + d;
          if (!g.has(c, w) || std::isnan(from.at(c, w))) continue;
          sum += static_cast<double>(from.at(c, w)), ++n;
        }
        to.at(col, row) = static_cast<float>(sum / n);
      }
    });
    return to;
  };
  return pass(pass(in, true), false);
}

// The steepest of the eight triangles around a cell.
Outflow outflow(const Raster<float>& z, int col, int row) {
  static constexpr int kCardinal[4][2] = {{1, 0}, {0, -1}, {-1, 0}, {0, 1}};
  const GridSpec& g = z.spec;
  const double here = static_cast<double>(z.at(col, row)), d = g.cell_m;
  const auto height = [&](int c, int r) {
    return g.has(c, r) ? static_cast<double>(z.at(c, r)) : std::nan("");
  };
  Outflow best;
  double steepest = 0;
  for (int n = 0; n < 8; ++n) {
    const auto& straight = kCardinal[n / 2];
    const auto& turn = kCardinal[(n / 2 + (n % 2 == 0 ? 1 : 3)) % 4];
    const int c1 = col + straight[0], r1 = row + straight[1];
    const int c2 = c1 + turn[0], r2 = r1 + turn[1];
    const double s1 = (here - height(c1, r1)) / d, s2 = (height(c1, r1) - height(c2, r2)) / d;
    if (std::isnan(s1) || std::isnan(s2)) continue;
    double angle = std::atan2(s2, s1), slope = std::hypot(s1, s2);
    if (angle < 0) angle = 0, slope = s1;
    if (angle > kPi / 4) angle = kPi / 4, slope = (here - height(c2, r2)) / (d * std::sqrt(2.0));
    if (!(slope > steepest)) continue;
    steepest = slope;
    const float diagonal = static_cast<float>(angle / (kPi / 4));
    best.cell = {static_cast<int>(g.index(c1, r1)), static_cast<int>(g.index(c2, r2))};
    best.share = {1 - diagonal, diagonal};
  }
  return best;
}

void gradients(const Raster<float>& z, SlopePlaces& out) {
  const GridSpec& g = z.spec;
  const auto slope = [&](int c0, int r0, int c1, int r1) {
    const auto inside = [&](int c, int r) { return g.has(c, r) && !std::isnan(z.at(c, r)); };
    const int cm = (c0 + c1) / 2, rm = (r0 + r1) / 2;
    if (!inside(c0, r0)) c0 = cm, r0 = rm;
    if (!inside(c1, r1)) c1 = cm, r1 = rm;
    const int steps = std::abs(c1 - c0) + std::abs(r1 - r0);
    return steps == 0 ? 0.0F : (z.at(c1, r1) - z.at(c0, r0)) / static_cast<float>(steps * g.cell_m);
  };
  for_each_index(g.rows, [&](int row) {
    for (int col = 0; col < g.cols; ++col) {
      if (std::isnan(z.at(col, row))) continue;
      out.slope_east.at(col, row) = slope(col - 1, row, col + 1, row);
      out.slope_north.at(col, row) = slope(col, row + 1, col, row - 1);
    }
  });
}

/// The cells of known ground from the highest down; equal heights by index.
std::vector<int> by_height(const Raster<float>& z) {
  std::vector<int> order;
  for (size_t n = 0; n < z.cells.size(); ++n)
    if (!std::isnan(z.cells[n])) order.push_back(static_cast<int>(n));
  std::sort(order.begin(), order.end(), [&](int a, int b) {
    const float za = z.cells[static_cast<size_t>(a)], zb = z.cells[static_cast<size_t>(b)];
    return za != zb ? za > zb : a < b;
  });
  return order;
}

double step_m(const GridSpec& g, int from, int to) {
  const int rows = std::abs(from / g.cols - to / g.cols),
            cols = std::abs(from % g.cols - to % g.cols);
  return g.cell_m * std::hypot(rows, cols);
}

/// Sums over what drains into a cell, each weighted by the area it drains.
struct Gathered {
  double area = 0, distance = 0, ridge = 0;
};

// From the highest cell down: distance and height of the ridge. Returns the area drained, m2.
std::vector<double> gather_from_ridges(const Raster<float>& z, const std::vector<int>& order,
                                       const std::vector<Outflow>& flow, SlopePlaces& out) {
  const GridSpec& g = z.spec;
  std::vector<Gathered> into(g.size());
  std::vector<double> drained_m2(g.size());
  for (const int at : order) {
    const size_t n = static_cast<size_t>(at);
    const Gathered& in = into[n];
    const double height = static_cast<double>(z.cells[n]);
    const double distance = in.area > 0 ? in.distance / in.area : 0;
    const double ridge = in.area > 0 ? in.ridge / in.area : height;
    out.to_ridge_m.cells[n] = static_cast<float>(distance);
    out.ridge_height_m.cells[n] = static_cast<float>(std::max(0.0, ridge - height));
    drained_m2[n] = in.area;
    for (size_t k = 0; k < 2; ++k) {
      if (flow[n].share[k] <= 0) continue;
      Gathered& next = into[static_cast<size_t>(flow[n].cell[k])];
      const double area = static_cast<double>(flow[n].share[k]) * (in.area + g.cell_m * g.cell_m);
      next.area += area;
      next.distance += area * (distance + step_m(g, at, flow[n].cell[k]));
      next.ridge += area * ridge;
    }
  }
  return drained_m2;
}

// From the lowest cell up: the height above the valley floor.
void gather_from_valleys(const Raster<float>& z, const std::vector<int>& order,
                         const std::vector<Outflow>& flow, const std::vector<double>& drained_m2,
                         double channel_m2, SlopePlaces& out) {
  std::vector<double> floor_m(z.cells.size());
  for (auto at = order.rbegin(); at != order.rend(); ++at) {
    const size_t n = static_cast<size_t>(*at);
    const double height = static_cast<double>(z.cells[n]);
    const bool ends = flow[n].cell[0] < 0 || drained_m2[n] > channel_m2;
    floor_m[n] = ends ? height : 0;
    for (size_t k = 0; k < 2 && !ends; ++k)
      if (flow[n].share[k] > 0)
        floor_m[n] +=
            static_cast<double>(flow[n].share[k]) * floor_m[static_cast<size_t>(flow[n].cell[k])];
    out.above_valley_m.cells[n] = static_cast<float>(height - floor_m[n]);
  }
}

/// One step of a ray toward the sun, the same from every cell: the north-west of the four cells it
/// passes between, their weights, and how much the ray has risen.
struct RayStep {
  int col = 0, row = 0;
  std::array<float, 4> weight{};
  float climb_m = 0;
};

// Steps of one cell, until the ray is above all ground from the lowest cell.
std::vector<RayStep> ray_toward(const Raster<float>& ground, const Sun& sun) {
  float low = std::numeric_limits<float>::infinity(), high = -low;
  for (const float z : ground.cells) {  // NaN compares false
    if (z < low) low = z;
    if (z > high) high = z;
  }
  const double climb = std::tan(sun.altitude_deg * kRadPerDeg) * ground.spec.cell_m;
  const double most = std::hypot(ground.spec.cols, ground.spec.rows);
  std::vector<RayStep> out;
  for (int n = 1; n <= most && n * climb < static_cast<double>(high - low); ++n) {
    const double c = n * sun.toward.east(), r = -n * sun.toward.north();
    RayStep step;
    step.col = static_cast<int>(std::floor(c)), step.row = static_cast<int>(std::floor(r));
    const float u = static_cast<float>(c - step.col), v = static_cast<float>(r - step.row);
    step.weight = {(1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v};
    step.climb_m = static_cast<float>(n * climb);
    out.push_back(step);
  }
  return out;
}

}  // namespace

double downslope_speed(double heat, double to_ridge, double ridge_height, double slope_sine) {
  if (!(heat < 0) || !(to_ridge > 0) || !(ridge_height > 0) || !(slope_sine > 0)) return 0;
  const double drag = kDownDrag + kDownMixing;
  const double cubed =
      -heat * kGravity * to_ridge * slope_sine / (kDensity * kHeatCapacity * kColdAir * drag);
  const double run = kDepthShare * ridge_height / drag;
  return std::cbrt(cubed * (1 - std::exp(-to_ridge / run)));
}

double upslope_speed(double heat, double above_valley) {
  if (!(heat > 0) || !(above_valley > 0)) return 0;
  return std::cbrt(heat * kGravity * above_valley /
                   (kDensity * kHeatCapacity * kWarmAir * (kUpDrag + kUpMixing)));
}

Result<SlopePlaces> slope_places(const Raster<float>& ground, const SlopePlacesOptions& o,
                                 std::stop_token stop) {
  const GridSpec& g = ground.spec;
  if (g.cols < 3 || g.rows < 3)
    return fail(ErrorCode::invalid_argument, "slope air needs ground of at least 3 x 3 cells");
  const Raster<float> z = smoothed(ground, o.smooth_m);
  SlopePlaces out;
  for (Raster<float>* r : {&out.to_ridge_m, &out.ridge_height_m, &out.above_valley_m,
                           &out.slope_east, &out.slope_north})
    *r = Raster<float>(g, kUnknown);
  gradients(z, out);
  std::vector<Outflow> flow(g.size());
  const bool finished = for_each_index(
      g.rows,
      [&](int row) {
        for (int col = 0; col < g.cols; ++col)
          if (!std::isnan(z.at(col, row))) flow[g.index(col, row)] = outflow(z, col, row);
      },
      stop);
  if (!finished) return fail(ErrorCode::cancelled, "slope air was cancelled");
  const std::vector<int> order = by_height(z);
  const std::vector<double> drained_m2 = gather_from_ridges(z, order, flow, out);
  gather_from_valleys(z, order, flow, drained_m2, o.channel_ha * 1e4, out);
  return out;
}

Raster<std::uint8_t> shade(const Raster<float>& ground, const Sun& sun) {
  const GridSpec& g = ground.spec;
  Raster<std::uint8_t> out(g, 0);
  if (sun.altitude_deg <= 0) {
    std::fill(out.cells.begin(), out.cells.end(), std::uint8_t{1});
    return out;
  }
  const std::vector<RayStep> ray = ray_toward(ground, sun);
  for_each_index(g.rows, [&](int row) {
    for (int col = 0; col < g.cols; ++col) {
      const float here = ground.at(col, row);
      for (const RayStep& step : ray) {
        const int c = col + step.col, r = row + step.row;
        if (c < -1 || r < -1 || c >= g.cols || r >= g.rows) break;
        const int west = std::max(c, 0), east = std::min(c + 1, g.cols - 1);
        const float *north = ground.row(std::max(r, 0)),
                    *south = ground.row(std::min(r + 1, g.rows - 1));
        const float height = step.weight[0] * north[west] + step.weight[1] * north[east] +
                             step.weight[2] * south[west] + step.weight[3] * south[east];
        if (height > here + step.climb_m) {  // NaN compares false
          out.at(col, row) = 1;
          break;
        }
      }
    }
  });
  return out;
}

Sunshine sunshine(const Sun& sun, double cloud) {
  if (sun.altitude_deg <= 0) return {};
  const double altitude = sun.altitude_deg * kRadPerDeg;
  const double sine = std::sin(altitude), cosine = std::cos(altitude);
  const double air_mass = 1 / std::max(sine, 0.02);
  const double clear = 1 - 0.75 * std::pow(cloud, 3.4);
  const double beam = 1361 * std::pow(0.7, std::pow(air_mass, 0.678));
  return {clear * beam, clear * 0.1 * beam * sine, cosine * sun.toward.east(),
          cosine * sun.toward.north(), sine};
}

double sunlight_w_m2(const Sunshine& s, double slope_east, double slope_north, bool shaded) {
  if (shaded) return s.diffuse_w_m2;
  // The normal of the slope is (-slope_east, -slope_north, 1).
  const double along = s.up - slope_east * s.east - slope_north * s.north;
  const double facing = along / std::sqrt(1 + slope_east * slope_east + slope_north * slope_north);
  return s.beam_w_m2 * std::max(0.0, facing) + s.diffuse_w_m2;
}

double sensible_heat_w_m2(double sunlight, double cloud) {
  const double net = 0.8 * sunlight - 100 * (1 - 0.8 * cloud * cloud);
  return (net > 0 ? 0.4 : 0.3) * net;
}

double ambient_share(double ambient) {
  const double t = std::clamp((3 - ambient) / 1.5, 0.0, 1.0);
  return t * t * (3 - 2 * t);
}

Result<SlopeAir> slope_air(const Raster<float>& ground, const SlopePlaces& places,
                           const SlopeAirHour& hour, std::stop_token stop) {
  const GridSpec& g = ground.spec;
  assert(places.to_ridge_m.spec == g);
  SlopeAir out{Raster<float>(g, 0), Raster<float>(g, 0), Raster<float>(g, kUnknown)};
  const Raster<std::uint8_t> dark = shade(ground, hour.sun);
  const Sun earlier = hour.hour_before.value_or(hour.sun);
  const Raster<std::uint8_t> was_dark = hour.hour_before ? shade(ground, earlier) : dark;
  const Sunshine now = sunshine(hour.sun, hour.cloud), before = sunshine(earlier, hour.cloud);
  const double share = ambient_share(hour.ambient_mps);
  const auto cell = [&](size_t n) {
    const double se = static_cast<double>(places.slope_east.cells[n]);
    const double sn = static_cast<double>(places.slope_north.cells[n]);
    const double tangent = std::hypot(se, sn);
    const auto heat_of = [&](const Sunshine& shine, bool shaded) {
      return sensible_heat_w_m2(sunlight_w_m2(shine, se, sn, shaded), hour.cloud);
    };
    const double heat = heat_of(now, dark.cells[n] != 0);
    out.heat_w_m2.cells[n] = static_cast<float>(heat);
    if (tangent <= 0) return;
    const double ridge = static_cast<double>(places.ridge_height_m.cells[n]);
    const double valley = static_cast<double>(places.above_valley_m.cells[n]);
    const double down = downslope_speed(heat, static_cast<double>(places.to_ridge_m.cells[n]),
                                        ridge, tangent / std::hypot(1, tangent));
    const double up =
        upslope_speed(std::min(heat, heat_of(before, was_dark.cells[n] != 0)), valley);
    const double depth = kDepthShare * (heat < 0 ? ridge : valley);
    const double filled = hour.height_m > 0 ? std::min(1.0, depth / hour.height_m) : 1;
    const double speed = share * filled * (up - down);  // up the gradient is positive
    out.east.cells[n] = static_cast<float>(speed * se / tangent);
    out.north.cells[n] = static_cast<float>(speed * sn / tangent);
  };
  const bool finished = for_each_index(
      g.rows,
      [&](int row) {
        for (int col = 0; col < g.cols; ++col)
          if (!std::isnan(ground.at(col, row))) cell(g.index(col, row));
      },
      stop);
  if (!finished) return fail(ErrorCode::cancelled, "slope air was cancelled");
  return out;
}

}  // namespace leeward::compute
