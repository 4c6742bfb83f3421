#include "core/compute/sight_octant.h"

#include "core/base/multiversion.h"

#include <algorithm>
#include <cmath>

namespace leeward::compute::octant {
namespace {

// One cell: heights from the eye; unknown ground carries no cover.
struct Layers {
  float ground_m, top_m, density_per_m;
};
inline Layers layers_of(const float* cell, float eye_z_m) {
  const float z = cell[0] - eye_z_m;
  const bool known = z == z;
  const bool covered = known & (cell[1] > 0.0F) & (cell[2] > 0.0F);
  return {known ? z : kNoGround_m, covered ? z + cell[1] : kNoGround_m, covered ? cell[2] : 0.0F};
}

// `cells` steps forward or backward along a row of land.
template <int kStep>
inline bool cut_along(const float* cells, float eye_z_m, int count, float* __restrict ground_m,
                      float* __restrict top_m, float* __restrict density_per_m) {
  float any = 0;
  for (int j = 0; j < count; ++j) {
    const Layers l = layers_of(cells + 3 * kStep * j, eye_z_m);
    ground_m[j] = l.ground_m;
    top_m[j] = l.top_m;
    density_per_m[j] = l.density_per_m;
    any = any > l.density_per_m ? any : l.density_per_m;
  }
  return any > 0;
}

LEEWARD_CLONES bool cut_east(const float* cells, float eye_z_m, int count, float* __restrict a,
                             float* __restrict b, float* __restrict c) {
  return cut_along<1>(cells, eye_z_m, count, a, b, c);
}
LEEWARD_CLONES bool cut_west(const float* cells, float eye_z_m, int count, float* __restrict a,
                             float* __restrict b, float* __restrict c) {
  return cut_along<-1>(cells, eye_z_m, count, a, b, c);
}

void clear_near(const Octant& o, int ring, float* density_per_m) {
  const double cleared = o.options.cleared_m / static_cast<double>(o.cell_m);
  if (cleared <= 0 || ring > cleared) return;
  const int side = static_cast<int>(std::sqrt(cleared * cleared - 1.0 * ring * ring));
  std::fill(density_per_m, density_per_m + std::min(side, o.last(ring)) + 1, 0.0F);
}

constexpr int kBand = 16;  // rings turned at a time

// Rings that run across the rows of land: a few cells of each row at a time.
LEEWARD_CLONES bool turn(const float* cell, std::ptrdiff_t to_next, bool forward, float eye_z_m,
                         int rings, int count, float* __restrict ground_m, float* __restrict top_m,
                         float* __restrict density_per_m, std::ptrdiff_t stride) {
  float any = 0;
  for (int j = 0; j < count; ++j, cell += to_next) {
    float z[kBand], top[kBand], density[kBand];
    for (int k = 0; k < rings; ++k) {
      const Layers l = layers_of(cell + (forward ? 3 * k : -3 * k), eye_z_m);
      z[k] = l.ground_m;
      top[k] = l.top_m;
      density[k] = l.density_per_m;
      any = any > l.density_per_m ? any : l.density_per_m;
    }
    for (int k = 0; k < rings; ++k) {
      ground_m[k * stride + j] = z[k];
      top_m[k * stride + j] = top[k];
      density_per_m[k * stride + j] = density[k];
    }
  }
  return any > 0;
}

}  // namespace

int Octant::last(int ring) const {
  const double square = reach_cells * reach_cells - 1.0 * ring * ring;
  if (square < 0) return -1;
  return std::min({ring, widest, static_cast<int>(std::sqrt(square))});
}

bool cut(const Octant& o, int first, int end, const Rings& rings) {
  bool any = false;
  if (std::abs(o.minor) == 1) {
    for (int i = first; i < end; ++i) {
      const std::ptrdiff_t at = (i - first) * rings.stride;
      const auto row = o.minor > 0 ? cut_east : cut_west;
      any |= row(&o.eye[i * o.major].ground_m, o.eye_z_m, o.last(i) + 1, rings.ground_m + at,
                 rings.top_m + at, rings.density_per_m + at);
    }
  } else {
    for (int i = first; i < end; i += kBand) {
      const std::ptrdiff_t at = (i - first) * rings.stride;
      const int count = std::min(kBand, end - i);
      int widest = 0;
      for (int k = 0; k < count; ++k) widest = std::max(widest, o.last(i + k) + 1);
      any |= turn(&o.eye[i * o.major].ground_m, 3 * o.minor, o.major > 0, o.eye_z_m, count, widest,
                  rings.ground_m + at, rings.top_m + at, rings.density_per_m + at, rings.stride);
    }
  }
  for (int i = first; i < end; ++i)
    clear_near(o, i, rings.density_per_m + (i - first) * rings.stride);
  return any;
}

Disc disc_around(const Raster<SightCell>& land, LocalXY eye, const SightOptions& options) {
  const GridSpec& g = land.spec;
  const int col = g.cell_col(eye.x), row = g.cell_row(eye.y);
  const int radius = std::max(1, static_cast<int>(std::ceil(options.reach_m / g.cell_m)));
  const int c0 = std::max(0, col - radius), c1 = std::min(g.cols - 1, col + radius);
  const int r0 = std::max(0, row - radius), r1 = std::min(g.rows - 1, row + radius);
  GridSpec part = g;
  part.west = g.west + c0 * g.cell_m;
  part.north = g.north - r0 * g.cell_m;
  part.cols = std::max(0, c1 - c0 + 1);
  part.rows = std::max(0, r1 - r0 + 1);
  Disc disc;
  disc.seen = Raster<std::uint8_t>(part);
  disc.known = g.has(col, row) && !std::isnan(land.at(col, row).ground_m);
  if (!disc.known) return disc;
  Octant o;
  o.eye = &land.at(col, row);
  o.out_eye = &disc.seen.at(col - c0, row - r0);
  o.cell_m = static_cast<float>(g.cell_m);
  o.reach_cells = options.reach_m / g.cell_m + 1e-6;
  o.eye_z_m = static_cast<float>(static_cast<double>(o.eye->ground_m) + options.eye_m);
  o.options = options;
  const int within = static_cast<int>(o.reach_cells);
  for (int k = 0; k < 8; ++k) {
    const bool by_rows = k < 4;
    const int down = k & 1 ? 1 : -1, right = k & 2 ? 1 : -1;
    const int to_row_edge = down > 0 ? g.rows - 1 - row : row;
    const int to_col_edge = right > 0 ? g.cols - 1 - col : col;
    Octant& out = disc.octants[k] = o;
    const std::ptrdiff_t row_step = static_cast<std::ptrdiff_t>(down) * g.cols;
    const std::ptrdiff_t out_row_step = static_cast<std::ptrdiff_t>(down) * part.cols;
    out.major = by_rows ? row_step : right;
    out.minor = by_rows ? right : row_step;
    out.out_major = by_rows ? out_row_step : right;
    out.out_minor = by_rows ? right : out_row_step;
    out.rings = std::min(within, by_rows ? to_row_edge : to_col_edge);
    out.widest = by_rows ? to_col_edge : to_row_edge;
    out.owns_axis = (by_rows ? right : down) > 0;
    out.owns_diagonal = by_rows;
  }
  *o.out_eye = 255;
  return disc;
}

}  // namespace leeward::compute::octant
