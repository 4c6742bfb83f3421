#include "core/compute/terrain_wind.h"

#include "core/base/multiversion.h"
#include "core/base/parallel.h"

#include <algorithm>
#include <cmath>

namespace leeward::compute {
namespace {

constexpr double kReferenceHeight = 10;

// The integral of ln(x / z0) from z0, if that is `log` at x; 0 below.
double log_integral(double x, double log, double z0) { return x > z0 ? x * (log - 1) + z0 : 0; }

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

// Where over a surface the shape at a height is taken.
double shape_height_m(const WindProfile& surface, double height_m) {
  return std::max(height_m, 1.25 * surface.displacement_m() / 0.67);
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
      log_z0_ref_(std::log(z0_ref_)),
      log_z0_(std::log(z0_)),
      per_log_(1 / std::log(kReferenceHeight / z0_ref_)) {
  if (z0_ == z0_ref_ && d_ == 0) blend_m_ = 0;
  if (blend_m_ > 0) {
    below_ = reference_(blend_m_) / std::log((blend_m_ - d_) / z0_);
    above_ = integral(blend_m_) -
             per_log_ * log_integral(blend_m_, std::log(blend_m_ / z0_ref_), z0_ref_);
  }
}

double WindProfile::reference_(double z) const {
  return z > z0_ref_ ? per_log_ * std::log(z / z0_ref_) : 0;
}

double WindProfile::speed(double z) const {
  if (z >= blend_m_) return reference_(z);
  return z > d_ + z0_ ? below_ * std::log((z - d_) / z0_) : 0;
}

double WindProfile::integral(double z) const { return integral(z, std::log(z)); }

double WindProfile::integral(double z, double log_z) const {
  if (z > blend_m_) return above_ + per_log_ * log_integral(z, log_z - log_z0_ref_, z0_ref_);
  const double x = z - d_;
  return x > z0_ ? below_ * log_integral(x, (d_ == 0 ? log_z : std::log(x)) - log_z0_, z0_) : 0;
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
  return (l_[0].size() + l_[1].size() + grid_.ground_m.size()) * sizeof(double) +
         kind_.size() * sizeof(std::uint16_t);
}

/// The unit winds over one cell of the grid: east and north and up of that toward east, then of
/// that toward north.
class TerrainWind::Column {
 public:
  using Six = std::array<float, 6>;

  Column(const TerrainWind& wind, int col, int row)
      : w_(wind),
        i_(col),
        j_(wind.spec_.rows - 1 - row),
        depth_(wind.grid_.depth(i_, j_)),
        profile_(wind.profile_[wind.kind_[wind.spec_.index(col, row)]]) {}

  /// `speed` is that of the profile there.
  Six unit_winds(double height_m, double speed) {
    Six out = corrections(height_m);
    out[0] += static_cast<float>(speed);
    out[4] += static_cast<float>(speed);
    return out;
  }
  Six unit_winds(double height_m) { return unit_winds(height_m, profile_.speed(height_m)); }

 private:
  double middle(int k) const {
    const size_t n = static_cast<size_t>(k);
    return depth_ * (w_.grid_.level[n] + w_.grid_.level[n + 1]) / 2;
  }
  // Of the two layers around a height; below the middle of the lowest its correction fades as the
  // upwind profile does.
  Six corrections(double height_m) {
    const int last = w_.layers() - 1;
    const double lowest = middle(0);
    if (height_m <= lowest) {
      if (full_ < 0) full_ = profile_.speed(lowest);
      const double share = full_ > 0 ? profile_.speed(height_m) / full_ : height_m / lowest;
      return mixed(0, static_cast<float>(share), 0);
    }
    int k = 0;
    while (k < last && middle(k + 1) < height_m) ++k;
    if (k == last) return mixed(last, 1, 0);
    const double t = (height_m - middle(k)) / (middle(k + 1) - middle(k));
    return mixed(k, static_cast<float>(1 - t), static_cast<float>(t));
  }
  Six mixed(int lower, float lower_share, float upper_share) {
    Six out{};
    const Six& low = layer(lower);
    for (size_t n = 0; n < 6; ++n) out[n] = lower_share * low[n];
    if (upper_share == 0) return out;
    const Six& high = layer(lower + 1);
    for (size_t n = 0; n < 6; ++n) out[n] += upper_share * high[n];
    return out;
  }
  // The last even and the last odd layer that were asked for are kept.
  const Six& layer(int k) {
    const size_t slot = static_cast<size_t>(k) % 2;
    if (of_[slot] == k) return known_[slot];
    of_[slot] = k;
    for (size_t n = 0; n < 2; ++n) {
      const WindVector v = gradient(w_.grid_, w_.l_[n], i_, j_, k);
      known_[slot][3 * n] = static_cast<float>(v.east);
      known_[slot][3 * n + 1] = static_cast<float>(v.north);
      known_[slot][3 * n + 2] = static_cast<float>(v.up);
    }
    return known_[slot];
  }

  const TerrainWind& w_;
  int i_, j_;
  double depth_, full_ = -1;
  const WindProfile& profile_;
  std::array<int, 2> of_ = {-1, -1};
  std::array<Six, 2> known_;
};

WindSlice TerrainWind::slice(double height_m) const {
  WindSlice s;
  s.spec = spec_;
  s.height_m = height_m;
  for (Raster<float>* r : {&s.ee, &s.en, &s.ne, &s.nn}) *r = Raster<float>(spec_);
  for_each_index(spec_.rows, [&](int row) {
    for (int col = 0; col < spec_.cols; ++col) {
      const size_t n = spec_.index(col, row);
      const auto w = Column(*this, col, row).unit_winds(height_m);
      s.ee.cells[n] = w[0], s.en.cells[n] = w[1];
      s.ne.cells[n] = w[3], s.nn.cells[n] = w[4];
    }
  });
  return s;
}

int TerrainWind::levels_read(const ColumnGrid& g, const std::vector<WindProfile>& profiles,
                             std::span<const double> heights_m) {
  double highest = 0;
  for (const WindProfile& p : profiles)
    for (const double h : heights_m) highest = std::max(highest, shape_height_m(p, h));
  const double least_depth = g.top_m - *std::max_element(g.ground_m.begin(), g.ground_m.end());
  const auto middle = [&](int k) {
    const size_t n = static_cast<size_t>(k);
    return least_depth * (g.level[n] + g.level[n + 1]) / 2;
  };
  int k = 0;
  while (k + 2 < g.nz() && middle(k) < highest) ++k;
  return k + 2;
}

std::vector<std::vector<UnitTurn>> TerrainWind::shapes(const GridSpec& grid,
                                                       std::span<const double> heights_m) const {
  struct Level {
    double height_m, speed;
    float scale;
  };
  std::vector<Level> level;  // by kind of profile, then height
  for (const WindProfile& p : profile_)
    for (const double h : heights_m) {
      const double height = shape_height_m(p, h), speed = p.speed(height);
      level.push_back({height, speed, 1 / static_cast<float>(std::max(speed, 0.05))});
    }
  const auto [first_col, first_row] = corners(spec_, grid.centre(0, 0)).cell[0];
  const auto [last_col, last_row] =
      corners(spec_, grid.centre(grid.cols - 1, grid.rows - 1)).cell[3];
  const size_t count = heights_m.size(), wide = static_cast<size_t>(last_col - first_col + 1);
  std::vector<UnitTurn> turn(wide * static_cast<size_t>(last_row - first_row + 1) * count);
  const auto turns_of = [&, c0 = first_col, r0 = first_row](int col, int row) {
    return &turn[(static_cast<size_t>(row - r0) * wide + static_cast<size_t>(col - c0)) * count];
  };
  for_each_index(last_row - first_row + 1, [&, c0 = first_col, c1 = last_col,
                                            r0 = first_row](int r) {
    for (int col = c0; col <= c1; ++col) {
      Column column(*this, col, r0 + r);
      const Level* at = &level[kind_[spec_.index(col, r0 + r)] * count];
      UnitTurn* to = turns_of(col, r0 + r);
      for (size_t h = 0; h < count; ++h) {
        const auto w = column.unit_winds(at[h].height_m, at[h].speed);
        to[h] = {w[0] * at[h].scale, w[1] * at[h].scale, w[3] * at[h].scale, w[4] * at[h].scale};
      }
    }
  });
  std::vector<std::vector<UnitTurn>> out(count, std::vector<UnitTurn>(grid.size()));
  for_each_index(grid.rows, [&](int row) {
    for (int col = 0; col < grid.cols; ++col) {
      const Corners four = corners(spec_, grid.centre(col, row));
      for (size_t h = 0; h < count; ++h) {
        UnitTurn sum{};
        for (size_t n = 0; n < 4; ++n) {
          const UnitTurn& one = turns_of(four.cell[n].first, four.cell[n].second)[h];
          for (size_t v = 0; v < 4; ++v) sum[v] += static_cast<float>(four.weight[n]) * one[v];
        }
        out[h][grid.index(col, row)] = sum;
      }
    }
  });
  return out;
}

WindVector TerrainWind::at(LocalXY place, double height_m, LocalXY upwind) const {
  const Corners four = corners(spec_, place);
  WindVector out;
  for (size_t n = 0; n < 4; ++n) {
    const auto w = Column(*this, four.cell[n].first, four.cell[n].second).unit_winds(height_m);
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
    z += four.weight[n] * grid_.ground(four.cell[n].first, spec_.rows - 1 - four.cell[n].second);
  return z;
}

double stability_ratio(int stability) {
  static constexpr double kRatio[6] = {1.4, 1.2, 1.1, 1.0, 0.7, 0.4};
  return kRatio[std::clamp(stability, 0, 5)];
}

}  // namespace leeward::compute
