#include "core/compute/terrain_wind.h"

#include "core/base/multiversion.h"
#include "core/base/parallel.h"

#include <algorithm>
#include <cmath>
#include <deque>
#include <map>

namespace leeward::compute {
namespace {

constexpr double kReferenceHeight = 10;
constexpr double kFinestCell = 10, kCoarsestCell = 25;

double chosen_cell(const Box& area, double margin) {
  const double side = std::max(area.width_m(), area.height_m()) + 2 * margin;
  return std::clamp(side / 192, kFinestCell, kCoarsestCell);
}

// The ratio q of a geometric stretch: first (1 + q + ... + q^(n-1)) = depth.
double stretch(double first, double depth, int n) {
  double low = 1, high = 4;
  for (int i = 0; i < 60; ++i) {
    const double q = (low + high) / 2;
    double sum = 0, term = first;
    for (int k = 0; k < n; ++k) sum += term, term *= q;
    (sum < depth ? low : high) = q;
  }
  return low;
}

std::vector<double> stretched_levels(double first, double depth, int n) {
  const double q = stretch(first, depth, n);
  std::vector<double> s = {0};
  double at = 0, term = first;
  for (int k = 0; k < n; ++k) at += term, term *= q, s.push_back(at);
  for (double& v : s) v /= at;
  s.back() = 1;
  return s;
}

GridSpec solver_spec(const Box& area, const TerrainWindOptions& o) {
  GridSpec g;
  g.cell_m = o.cell_m > 0 ? o.cell_m : chosen_cell(area, o.margin_m);
  const auto least = [&](double side) {
    return std::max(8, static_cast<int>(std::ceil((side + 2 * o.margin_m) / g.cell_m)));
  };
  const int x = least(area.width_m()), y = least(area.height_m());
  const int halvings = halvings_for(std::min(x, y));
  g.cols = padded_intervals(x, halvings) + 1;
  g.rows = padded_intervals(y, halvings) + 1;
  const LocalXY c = area.centre();
  g.west = c.x - g.cols * g.cell_m / 2;
  g.north = c.y + g.rows * g.cell_m / 2;
  return g;
}

// Carries known values outward, ring by ring. False if nothing is known.
bool fill_unknown(Raster<float>& r) {
  std::deque<std::pair<int, int>> front;
  for (int row = 0; row < r.spec.rows; ++row)
    for (int col = 0; col < r.spec.cols; ++col)
      if (!std::isnan(r.at(col, row))) front.emplace_back(col, row);
  if (front.empty()) return false;
  for (; !front.empty(); front.pop_front()) {
    const auto [col, row] = front.front();
    for (const auto& [dc, dr] : {std::pair{1, 0}, {-1, 0}, {0, 1}, {0, -1}}) {
      const int c = col + dc, n = row + dr;
      if (!r.spec.has(c, n) || !std::isnan(r.at(c, n))) continue;
      r.at(c, n) = r.at(col, row);
      front.emplace_back(c, n);
    }
  }
  return true;
}

Status check(const Box& area, const TerrainWindOptions& o) {
  const auto bad = [](const char* what) { return fail(ErrorCode::invalid_argument, what); };
  if (area.empty()) return bad("the wind needs an area with land in it");
  if (o.layers < 12) return bad("the wind needs at least 12 layers");
  if (!(o.cell_m >= 0) || !(o.margin_m >= 0) || !(o.first_layer_m > 0))
    return bad("cell, margin and lowest layer of the wind grid must not be negative");
  if (!(o.stability_ratio > 0)) return bad("the stability ratio of the wind must be above 0");
  if (!(o.reference_roughness_m > 0) || !(o.reference_roughness_m < kReferenceHeight / 2))
    return bad("the roughness under the wind must lie between 0 and 5 m");
  if (!(o.tolerance > 0)) return bad("the wind's tolerance must be above 0");
  return ok();
}

/// The grid of columns, south row first, from a raster, north row first.
ColumnGrid column_grid(const Raster<float>& ground, const TerrainWindOptions& o) {
  ColumnGrid g;
  g.nx = ground.spec.cols, g.ny = ground.spec.rows;
  g.spacing_m = ground.spec.cell_m;
  g.ratio = o.stability_ratio;
  g.ground_m.resize(ground.cells.size());
  for (int j = 0; j < g.ny; ++j)
    for (int i = 0; i < g.nx; ++i)
      g.ground_m[g.column(i, j)] = static_cast<double>(ground.at(i, g.ny - 1 - j));
  const auto [low, high] = std::minmax_element(g.ground_m.begin(), g.ground_m.end());
  const double depth = std::max(o.least_depth_m, 4 * (*high - *low));
  g.top_m = *high + depth;
  g.level = stretched_levels(std::min(o.first_layer_m, depth / o.layers), depth, o.layers);
  return g;
}

// -(adjoint of the gradient) applied to a wind that is toward east or north in every column, with
// the speeds by column and layer: the right-hand side of the equation (multigrid.h). The outermost
// columns are open, L stays 0 there, and their entries are left out.
std::vector<double> unit_source(const ColumnGrid& g, const std::vector<double>& speed, bool east) {
  std::vector<double> rhs(g.node_count(), 0.0);
  const int di = east ? 1 : 0, dj = east ? 0 : 1;
  const double scale = 2 * g.spacing_m / 8;
  for_each_index(g.ny, [&](int j) {
    if (j == 0 || j + 1 == g.ny) return;
    for (int k = 0; k + 1 < g.nz(); ++k) {
      const size_t n = static_cast<size_t>(k);
      const double ds = g.level[n + 1] - g.level[n], t = 2 - g.level[n] - g.level[n + 1];
      const double *u = &speed[g.layer(0, j, k)], *ahead = &speed[g.layer(0, j + dj, k)] + di,
                   *behind = &speed[g.layer(0, j - dj, k)] - di;
      double *low = &rhs[g.node(0, j, k)], *high = &rhs[g.node(0, j, k + 1)];
      for (int i = 1; i + 1 < g.nx; ++i) {
        const double across =
            scale * ds * (g.depth(i + di, j + dj) * ahead[i] - g.depth(i - di, j - dj) * behind[i]);
        const double up = -scale * t * u[i] * (g.ground(i + di, j + dj) - g.ground(i - di, j - dj));
        low[i] += across + up;
        high[i] += across - up;
      }
    }
  });
  return rhs;
}

// (L_x, L_y, r^2 L_z) at the middle of a column's layer: the mean of the corners that touch it.
WindVector gradient(const ColumnGrid& g, const std::vector<double>& l, int i, int j, int k) {
  const size_t n = static_cast<size_t>(k);
  const double s0 = g.level[n], s1 = g.level[n + 1];
  const double dz = (s1 - s0) * g.depth(i, j);
  const double lz = (l[g.node(i, j, k + 1)] - l[g.node(i, j, k)]) / dz;
  const auto along = [&](int ia, int ja, int ib, int jb) {
    const double rise = (g.ground(ib, jb) - g.ground(ia, ja)) * (2 - s0 - s1);
    const double change = l[g.node(ib, jb, k)] - l[g.node(ia, ja, k)] + l[g.node(ib, jb, k + 1)] -
                          l[g.node(ia, ja, k + 1)];
    return (change - rise * lz) / (2 * (ib - ia + jb - ja) * g.spacing_m);
  };
  return {along(std::max(i - 1, 0), j, std::min(i + 1, g.nx - 1), j),
          along(i, std::max(j - 1, 0), i, std::min(j + 1, g.ny - 1)), g.ratio * g.ratio * lz};
}

LEEWARD_CLONES void combine_row(const float* a, const float* b, float wa, float wb, float* out,
                                int n) {
  for (int i = 0; i < n; ++i) out[i] = wa * a[i] + wb * b[i];
}

/// The four columns around a place and their weights, clamped to the grid.
struct Corners {
  std::array<std::pair<int, int>, 4> cell;
  std::array<double, 4> weight;
};
Corners corners(const GridSpec& g, LocalXY p) {
  const double c = std::clamp(g.col_of(p.x) - 0.5, 0.0, static_cast<double>(g.cols - 1));
  const double r = std::clamp(g.row_of(p.y) - 0.5, 0.0, static_cast<double>(g.rows - 1));
  const int c0 = std::min(static_cast<int>(c), g.cols - 2);
  const int r0 = std::min(static_cast<int>(r), g.rows - 2);
  const double u = c - c0, v = r - r0;
  return {{{{c0, r0}, {c0 + 1, r0}, {c0, r0 + 1}, {c0 + 1, r0 + 1}}},
          {(1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v}};
}

}  // namespace

WindProfile::WindProfile(double reference_roughness_m, double roughness_m, double displacement_m)
    : z0_ref_(reference_roughness_m),
      z0_(roughness_m),
      d_(displacement_m),
      blend_m_(std::max(60.0, 7.5 * displacement_m)),
      at_blend_(0),
      below_(0) {
  if (z0_ == z0_ref_ && d_ == 0) blend_m_ = 0;
  if (blend_m_ > 0) {
    at_blend_ = reference_(blend_m_);
    below_ = at_blend_ / std::log((blend_m_ - d_) / z0_);
  }
}

double WindProfile::reference_(double z) const {
  return z > z0_ref_ ? std::log(z / z0_ref_) / std::log(kReferenceHeight / z0_ref_) : 0;
}

double WindProfile::speed(double z) const {
  if (z >= blend_m_) return reference_(z);
  return z > d_ + z0_ ? below_ * std::log((z - d_) / z0_) : 0;
}

// x (ln(x / z0) - 1) + z0 is the integral of ln(x / z0) from z0.
double WindProfile::integral(double z) const {
  const auto log_integral = [](double x, double z0) {
    return x > z0 ? x * (std::log(x / z0) - 1) + z0 : 0;
  };
  const double ref = 1 / std::log(kReferenceHeight / z0_ref_);
  double sum = below_ * log_integral(std::min(z, blend_m_) - d_, z0_);
  if (z > blend_m_) sum += ref * (log_integral(z, z0_ref_) - log_integral(blend_m_, z0_ref_));
  return sum;
}

double WindProfile::mean(double low, double high) const {
  return (integral(high) - integral(low)) / (high - low);
}

void WindSlice::combine(LocalXY upwind, Raster<float>& east, Raster<float>& north) const {
  if (!(east.spec == spec)) east = Raster<float>(spec);
  if (!(north.spec == spec)) north = Raster<float>(spec);
  const float we = static_cast<float>(upwind.x), wn = static_cast<float>(upwind.y);
  for (int row = 0; row < spec.rows; ++row) {
    combine_row(ee.row(row), ne.row(row), we, wn, east.row(row), spec.cols);
    combine_row(en.row(row), nn.row(row), we, wn, north.row(row), spec.cols);
  }
}

LocalXY WindSlice::at(LocalXY place, LocalXY upwind) const {
  const Corners four = corners(spec, place);
  LocalXY out;
  for (size_t n = 0; n < 4; ++n) {
    const auto [c, r] = four.cell[n];
    const auto value = [&](const Raster<float>& a) { return static_cast<double>(a.at(c, r)); };
    out.x += four.weight[n] * (upwind.x * value(ee) + upwind.y * value(ne));
    out.y += four.weight[n] * (upwind.x * value(en) + upwind.y * value(nn));
  }
  return out;
}

size_t TerrainWind::bytes() const {
  return correction_.size() * sizeof(correction_[0]) + ground_m_.size() * sizeof(float) +
         kind_.size() * sizeof(std::uint16_t);
}

/// Two layers and the share of each at a height; below the middle of the lowest layer its
/// correction fades as the upwind profile does.
struct TerrainWind::Mix {
  size_t lower = 0;
  float lower_share = 1, upper_share = 0;
};

TerrainWind::Mix TerrainWind::mix(size_t column, double height_m) const {
  const double depth = top_m_ - static_cast<double>(ground_m_[column]);
  const auto middle = [&](size_t k) { return depth * (level_[k] + level_[k + 1]) / 2; };
  const size_t last = level_.size() - 2;
  if (height_m <= middle(0)) {
    const WindProfile& p = profile_[kind_[column]];
    const double full = p.speed(middle(0));
    const double share = full > 0 ? p.speed(height_m) / full : height_m / middle(0);
    return {0, static_cast<float>(share), 0};
  }
  size_t k = 0;
  while (k < last && middle(k + 1) < height_m) ++k;
  if (k == last) return {last, 1, 0};
  const double t = (height_m - middle(k)) / (middle(k + 1) - middle(k));
  return {k, static_cast<float>(1 - t), static_cast<float>(t)};
}

std::array<float, 6> TerrainWind::unit_winds(size_t column, double height_m) const {
  const Mix m = mix(column, height_m);
  const size_t columns = spec_.size();
  const auto& low = correction_[m.lower * columns + column];
  const auto& high = correction_[std::min(m.lower + 1, level_.size() - 2) * columns + column];
  const float speed = static_cast<float>(profile_[kind_[column]].speed(height_m));
  std::array<float, 6> out;
  for (size_t n = 0; n < 6; ++n) out[n] = m.lower_share * low[n] + m.upper_share * high[n];
  out[0] += speed;
  out[4] += speed;
  return out;
}

namespace {

// A slice from what `unit_winds(column)` says of each column.
template <class UnitWinds>
WindSlice slice_of(const GridSpec& spec, double height_m, const UnitWinds& unit_winds) {
  WindSlice s;
  s.spec = spec;
  s.height_m = height_m;
  for (Raster<float>* r : {&s.ee, &s.en, &s.ne, &s.nn}) *r = Raster<float>(spec);
  for_each_index(spec.rows, [&](int row) {
    for (int col = 0; col < spec.cols; ++col) {
      const size_t n = spec.index(col, row);
      const std::array<float, 6> w = unit_winds(n);
      s.ee.cells[n] = w[0], s.en.cells[n] = w[1];
      s.ne.cells[n] = w[3], s.nn.cells[n] = w[4];
    }
  });
  return s;
}

}  // namespace

WindSlice TerrainWind::slice(double height_m) const {
  return slice_of(spec_, height_m, [&](size_t column) { return unit_winds(column, height_m); });
}

WindSlice TerrainWind::shape(double height_m) const {
  return slice_of(spec_, height_m, [&](size_t column) {
    const WindProfile& profile = profile_[kind_[column]];
    const double height = std::max(height_m, 1.25 * profile.displacement_m() / 0.67);
    std::array<float, 6> w = unit_winds(column, height);
    for (float& v : w) v /= static_cast<float>(std::max(profile.speed(height), 0.05));
    return w;
  });
}

WindVector TerrainWind::at(LocalXY place, double height_m, LocalXY upwind) const {
  const Corners four = corners(spec_, place);
  WindVector out;
  for (size_t n = 0; n < 4; ++n) {
    const auto w = unit_winds(spec_.index(four.cell[n].first, four.cell[n].second), height_m);
    const auto part = [&](size_t i) {
      return upwind.x * static_cast<double>(w[i]) + upwind.y * static_cast<double>(w[i + 3]);
    };
    out.east += four.weight[n] * part(0);
    out.north += four.weight[n] * part(1);
    out.up += four.weight[n] * part(2);
  }
  return out;
}

double TerrainWind::ground_m(LocalXY place) const {
  const Corners four = corners(spec_, place);
  double z = 0;
  for (size_t n = 0; n < 4; ++n)
    z += four.weight[n] *
         static_cast<double>(ground_m_[spec_.index(four.cell[n].first, four.cell[n].second)]);
  return z;
}

namespace {

struct Profiles {
  std::vector<WindProfile> kinds;
  std::vector<std::uint16_t> of_column;
};

// Columns with the same roughness (to 2 %) and displacement (to 0.25 m) share a profile.
Profiles make_profiles(const GridSpec& spec, const WindSurface& surface, double z0_ref) {
  const Raster<float> z0 = cell_means(surface.roughness_m, spec);
  const Raster<float> d = cell_means(surface.displacement_m, spec);
  Profiles out;
  out.of_column.resize(spec.size());
  out.kinds.emplace_back(z0_ref, z0_ref, 0);
  std::map<std::pair<long, long>, std::uint16_t> seen;
  for (size_t n = 0; n < spec.size(); ++n) {
    const bool rough = !std::isnan(z0.cells[n]), raised = !std::isnan(d.cells[n]);
    if (!rough && !raised) continue;
    const double z = rough ? std::clamp(static_cast<double>(z0.cells[n]), 1e-4, 5.0) : z0_ref;
    const double up = raised ? std::clamp(static_cast<double>(d.cells[n]), 0.0, 60.0) : 0;
    const std::pair key{std::lround(50 * std::log(z / z0_ref)), std::lround(4 * up)};
    if (key == std::pair{0L, 0L}) continue;
    const auto [at, fresh] = seen.try_emplace(key, static_cast<std::uint16_t>(out.kinds.size()));
    if (fresh)
      out.kinds.emplace_back(z0_ref, z0_ref * std::exp(static_cast<double>(key.first) / 50),
                             static_cast<double>(key.second) / 4);
    out.of_column[n] = at->second;
  }
  return out;
}

}  // namespace

Raster<float> wind_ground(const Raster<float>& ground, const Box& area,
                          const TerrainWindOptions& options) {
  return cell_means(ground, solver_spec(area, options));
}

Result<TerrainWind> solve_terrain_wind(const Raster<float>& ground, const Box& area,
                                       const WindSurface& surface, const TerrainWindOptions& o,
                                       std::stop_token stop) {
  if (auto good = check(area, o); !good) return std::move(good).error();
  const GridSpec spec = solver_spec(area, o);
  Raster<float> land = ground.spec == spec ? ground : cell_means(ground, spec);
  if (!fill_unknown(land))
    return fail(ErrorCode::invalid_argument, "the wind needs ground heights in its area");
  const ColumnGrid g = column_grid(land, o);
  TerrainWind out;
  out.spec_ = spec;
  out.level_ = g.level;
  out.top_m_ = g.top_m;
  out.ground_m_ = land.cells;
  Profiles profiles = make_profiles(spec, surface, o.reference_roughness_m);
  out.profile_ = std::move(profiles.kinds);
  out.kind_ = std::move(profiles.of_column);

  const int layers = out.layers();
  std::vector<double> speed(spec.size() * static_cast<size_t>(layers));
  for_each_index(g.ny, [&](int j) {
    for (int i = 0; i < g.nx; ++i) {
      const WindProfile& p = out.profile_[out.kind_[spec.index(i, g.ny - 1 - j)]];
      double below_m = 0, below = 0;
      for (int k = 0; k < layers; ++k) {
        const double above_m = g.level[static_cast<size_t>(k) + 1] * g.depth(i, j);
        const double above = p.integral(above_m);
        speed[g.layer(i, j, k)] = (above - below) / (above_m - below_m);
        below_m = above_m, below = above;
      }
    }
  });
  const ColumnSolver solver(g);
  auto solved = solver.solve({unit_source(g, speed, true), unit_source(g, speed, false)},
                             o.tolerance / spec.cell_m, stop);
  if (!solved) return std::move(solved).error();
  out.iterations_ = solved->iterations;
  out.divergence_ = solved->residual_per_volume * spec.cell_m;
  out.correction_.resize(spec.size() * static_cast<size_t>(layers));
  for_each_index(g.ny, [&](int j) {
    for (int k = 0; k < layers; ++k)
      for (int i = 0; i < g.nx; ++i) {
        auto& c =
            out.correction_[static_cast<size_t>(k) * spec.size() + spec.index(i, g.ny - 1 - j)];
        for (size_t n = 0; n < 2; ++n) {
          const WindVector v = gradient(g, solved->l[n], i, j, k);
          c[3 * n] = static_cast<float>(v.east);
          c[3 * n + 1] = static_cast<float>(v.north);
          c[3 * n + 2] = static_cast<float>(v.up);
        }
      }
  });
  return out;
}

double stability_ratio(int stability) {
  static constexpr double kRatio[6] = {1.4, 1.2, 1.1, 1.0, 0.7, 0.4};
  return kRatio[std::clamp(stability, 0, 5)];
}

Raster<std::uint8_t> lee_flags(const Raster<float>& ground, Bearing toward, const LeeOptions& o) {
  const GridSpec& g = ground.spec;
  Raster<std::uint8_t> out(g, 0);
  const double step = g.cell_m;
  const int steps = static_cast<int>(o.reach_m / step);
  const LocalXY one_on{step * toward.east(), step * toward.north()};
  std::vector<std::pair<int, int>> upwind;  // cells, one step of the grid apart
  for (int n = 1; n <= steps; ++n)
    upwind.emplace_back(static_cast<int>(std::lround(-n * toward.east())),
                        static_cast<int>(std::lround(n * toward.north())));
  for_each_index(g.rows, [&](int row) {
    for (int col = 0; col < g.cols; ++col) {
      const float here = ground.at(col, row);
      if (std::isnan(here)) continue;
      const float ahead = sample(ground, g.centre(col, row) + one_on);
      bool flagged = static_cast<double>(here - ahead) / step > o.falling_slope;
      for (size_t n = 0; n < upwind.size() && !flagged; ++n) {
        const int c = col + upwind[n].first, r = row + upwind[n].second;
        if (!g.has(c, r)) break;
        // NaN over unknown ground compares false.
        flagged = static_cast<double>(ground.at(c, r) - here) >
                  o.shelter_slope * static_cast<double>(n + 1) * step;
      }
      out.at(col, row) = flagged ? 1 : 0;
    }
  });
  return out;
}

}  // namespace leeward::compute
