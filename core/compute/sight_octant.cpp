#include "core/compute/sight_octant.h"

#include "core/base/multiversion.h"
#include "core/base/parallel.h"
#include "core/compute/sight_lanes.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <utility>

namespace leeward::compute::octant {
namespace {

// Layers side by side; of the land, or of rings cut from it.
struct From {
  const float *ground_m, *top_m, *density_per_m;
  From at(std::ptrdiff_t cell) const {
    return {ground_m + cell, top_m + cell, density_per_m + cell};
  }
};
struct To {
  float *ground_m, *top_m, *density_per_m;
};
From eye_of(const Octant& o) { return {o.ground_m, o.top_m, o.density_per_m}; }
To at(const Rings& rings, std::ptrdiff_t cell) {
  return {rings.ground_m + cell, rings.top_m + cell, rings.density_per_m + cell};
}

// `count` cells forward or backward along a row of land: heights from the eye. To each of `dims`
// the bits of a density are joined: the highest of floats is not found side by side.
template <int kStep>
[[gnu::always_inline]] inline void ground_along(const From& from, float eye_z_m, int count,
                                                float* __restrict out,
                                                std::int32_t* __restrict dims) {
  const float* __restrict const z_m = from.ground_m;
  const float* __restrict const density = from.density_per_m;
  for (int j = 0; j < count; ++j) {
    const float z = z_m[kStep * j] - eye_z_m;
    out[j] = z == z ? z : kNoGround_m;
    dims[j] |= std::bit_cast<std::int32_t>(density[kStep * j]);
  }
}
// Unknown ground carries no cover.
template <int kStep>
[[gnu::always_inline]] inline void cover_along(const From& from, float eye_z_m, int count,
                                               const To& to) {
  const float* __restrict const z_m = from.ground_m;
  const float* __restrict const height_m = from.top_m;
  const float* __restrict const density = from.density_per_m;
  float* __restrict const top_m = to.top_m;
  float* __restrict const density_per_m = to.density_per_m;
  for (int j = 0; j < count; ++j) {
    const float z = z_m[kStep * j] - eye_z_m, height = height_m[kStep * j],
                dims = density[kStep * j];
    const bool covered = (z == z) & (height > 0.0F) & (dims > 0.0F);
    top_m[j] = covered ? z + height : kNoGround_m;
    density_per_m[j] = covered ? dims : 0.0F;
  }
}

LEEWARD_CLONES void ground_east(const From& from, float eye_z_m, int count, float* out,
                                std::int32_t* dims) {
  ground_along<1>(from, eye_z_m, count, out, dims);
}
LEEWARD_CLONES void ground_west(const From& from, float eye_z_m, int count, float* out,
                                std::int32_t* dims) {
  ground_along<-1>(from, eye_z_m, count, out, dims);
}
LEEWARD_CLONES void cover_east(const From& from, float eye_z_m, int count, const To& to) {
  cover_along<1>(from, eye_z_m, count, to);
}
LEEWARD_CLONES void cover_west(const From& from, float eye_z_m, int count, const To& to) {
  cover_along<-1>(from, eye_z_m, count, to);
}

constexpr int kBand = 16;              // rings turned at a time
constexpr int kAhead = 2 * kBand - 1;  // the end of the next band, whose land is asked for early

// The same of kBand cells, lane by lane: a loop of a known few turns is not made into vectors.
template <int kStep>
[[gnu::always_inline]] inline void eight_at(const float* cells, lanes::Floats& out) {
  if constexpr (kStep > 0) {
    lanes::load(out, cells);
  } else {
    lanes::load(out, cells - 7);
    constexpr lanes::Ints kBack = {7, 6, 5, 4, 3, 2, 1, 0};
    out = __builtin_shuffle(out, kBack);
  }
}
template <int kStep>
[[gnu::always_inline]] inline void band_ground(const From& from, float eye_z_m, float* out,
                                               lanes::Ints& any) {
  for (int k = 0; k < kBand; k += lanes::kLanes) {
    lanes::Floats z, density;
    eight_at<kStep>(from.ground_m + kStep * k, z);
    eight_at<kStep>(from.density_per_m + kStep * k, density);
    z -= eye_z_m;
    lanes::store(out + k, z == z ? z : lanes::Floats{} + kNoGround_m);
    any |= reinterpret_cast<lanes::Ints>(density);
  }
}
template <int kStep>
[[gnu::always_inline]] inline void band_cover(const From& from, float eye_z_m, const To& to) {
  const lanes::Floats zero{};
  for (int k = 0; k < kBand; k += lanes::kLanes) {
    lanes::Floats z, height, density;
    eight_at<kStep>(from.ground_m + kStep * k, z);
    eight_at<kStep>(from.top_m + kStep * k, height);
    eight_at<kStep>(from.density_per_m + kStep * k, density);
    z -= eye_z_m;
    const lanes::Ints covered = (z == z) & (height > zero) & (density > zero);
    lanes::store(to.top_m + k, covered ? z + height : zero + kNoGround_m);
    lanes::store(to.density_per_m + k, covered ? density : zero);
  }
}

// Columns of a square of eight by eight floats become its rows.
[[gnu::always_inline]] inline void transpose(const float* from, float* to, std::ptrdiff_t stride) {
  using lanes::Floats;
  using lanes::Ints;
  Floats a[8], b[8];
  for (int j = 0; j < 8; ++j) lanes::load(a[j], from + j * kBand);
  constexpr Ints kLow = {0, 8, 1, 9, 4, 12, 5, 13}, kHigh = {2, 10, 3, 11, 6, 14, 7, 15};
  for (int j = 0; j < 8; j += 2) {
    b[j] = __builtin_shuffle(a[j], a[j + 1], kLow);
    b[j + 1] = __builtin_shuffle(a[j], a[j + 1], kHigh);
  }
  constexpr Ints kPairsLow = {0, 1, 8, 9, 4, 5, 12, 13}, kPairsHigh = {2, 3, 10, 11, 6, 7, 14, 15};
  for (int j = 0; j < 8; j += 4)
    for (int n = 0; n < 2; ++n) {
      a[j + 2 * n] = __builtin_shuffle(b[j + n], b[j + n + 2], kPairsLow);
      a[j + 2 * n + 1] = __builtin_shuffle(b[j + n], b[j + n + 2], kPairsHigh);
    }
  constexpr Ints kFours = {0, 1, 2, 3, 8, 9, 10, 11}, kOtherFours = {4, 5, 6, 7, 12, 13, 14, 15};
  for (int n = 0; n < 4; ++n) {
    lanes::store(to + n * stride, __builtin_shuffle(a[n], a[n + 4], kFours));
    lanes::store(to + (n + 4) * stride, __builtin_shuffle(a[n], a[n + 4], kOtherFours));
  }
}

// Bands of rings that run across the rows of land, from the first cell of the first ring on.
struct Across {
  From cell;
  std::ptrdiff_t to_next;  // from row to row
  float eye_z_m;
  int rings, count;  // at most kBand; cells of the longest
  std::ptrdiff_t stride;
};

// kBand values of each of eight rows become eight of each of kBand rings.
[[gnu::always_inline]] inline void turn_square(const float* values, float* to,
                                               std::ptrdiff_t stride) {
  for (int k = 0; k < kBand; k += 8) transpose(values + k, to + k * stride, stride);
}

// The ground of a band, eight rows of land at a time. Of `dims`, which are of cells of a ring,
// eight from the first on together say whether one of those rows has a density.
template <int kStep>
[[gnu::always_inline]] inline void turn_ground(const Across& a, float* out, std::int32_t* dims) {
  alignas(64) float values[8 * kBand];
  From cell = a.cell;
  for (int j = 0; j < a.count; j += 8) {
    const int rows = std::min(8, a.count - j);
    const bool whole = rows == 8 && a.rings == kBand;
    lanes::Ints any;
    lanes::load(any, dims + j);
    std::int32_t of_row[kBand] = {};
    for (int row = 0; row < rows; ++row, cell = cell.at(a.to_next)) {
      float* const here = values + row * kBand;
      if (whole) {
        __builtin_prefetch(cell.ground_m + kStep * kAhead, 0, 2);
        __builtin_prefetch(cell.density_per_m + kStep * kAhead, 0, 2);
        band_ground<kStep>(cell, a.eye_z_m, here, any);
      } else {
        ground_along<kStep>(cell, a.eye_z_m, a.rings, here, of_row);
      }
    }
    for (int k = 0; k < kBand && !whole; ++k) any[0] |= of_row[k];
    lanes::store(dims + j, any);
    if (whole) {
      if (lanes::any_set(any))  // of the cover, which is looked at soon
        for (int row = 1; row <= 8; ++row)
          __builtin_prefetch(cell.top_m - row * a.to_next + kStep * (kBand / 2), 0, 2);
      turn_square(values, out + j, a.stride);
      continue;
    }
    for (int row = 0; row < rows; ++row)
      for (int k = 0; k < a.rings; ++k) out[k * a.stride + j + row] = values[row * kBand + k];
  }
}
template <int kStep>
[[gnu::always_inline]] inline void turn_cover(const Across& a, const To& out) {
  alignas(64) float tops[8 * kBand], densities[8 * kBand];
  From cell = a.cell;
  for (int j = 0; j < a.count; j += 8) {
    const int rows = std::min(8, a.count - j);
    const bool whole = rows == 8 && a.rings == kBand;
    for (int row = 0; row < rows; ++row, cell = cell.at(a.to_next)) {
      const To here{nullptr, tops + row * kBand, densities + row * kBand};
      if (whole)
        band_cover<kStep>(cell, a.eye_z_m, here);
      else
        cover_along<kStep>(cell, a.eye_z_m, a.rings, here);
    }
    if (whole) {
      turn_square(tops, out.top_m + j, a.stride);
      turn_square(densities, out.density_per_m + j, a.stride);
      continue;
    }
    for (int row = 0; row < rows; ++row)
      for (int k = 0; k < a.rings; ++k) {
        out.top_m[k * a.stride + j + row] = tops[row * kBand + k];
        out.density_per_m[k * a.stride + j + row] = densities[row * kBand + k];
      }
  }
}
LEEWARD_CLONES void turn_ground_on(const Across& a, float* out, std::int32_t* dims) {
  turn_ground<1>(a, out, dims);
}
LEEWARD_CLONES void turn_ground_back(const Across& a, float* out, std::int32_t* dims) {
  turn_ground<-1>(a, out, dims);
}
LEEWARD_CLONES void turn_cover_on(const Across& a, const To& out) { turn_cover<1>(a, out); }
LEEWARD_CLONES void turn_cover_back(const Across& a, const To& out) { turn_cover<-1>(a, out); }

}  // namespace

int Octant::last_cleared(int ring) const {
  const double cleared = options.cleared_m / static_cast<double>(cell_m);
  if (cleared <= 0 || ring > cleared) return -1;
  return std::min(static_cast<int>(std::sqrt(cleared * cleared - 1.0 * ring * ring)), last(ring));
}

RingBox as_rings(const Octant& o, const CellBox& box) {
  const bool by_rows = std::abs(o.minor) == 1;
  const auto range = [](int from, int count, bool forward) {
    return forward ? std::pair(from, from + count - 1) : std::pair(1 - from - count, -from);
  };
  const auto [i0, i1] =
      by_rows ? range(box.row, box.rows, o.major > 0) : range(box.col, box.cols, o.major > 0);
  const auto [j0, j1] =
      by_rows ? range(box.col, box.cols, o.minor > 0) : range(box.row, box.rows, o.minor > 0);
  return {i0, i1, j0, j1};
}

namespace {

// What of the rings from `first` on is cut from the land across its rows, a band at a time:
// `each` gets the band, its first ring and first cell.
template <class Each>
void across_bands(const Octant& o, int first, int end, std::ptrdiff_t stride, const Slice& slice,
                  const Each& each) {
  for (int i = first; i < end; i += kBand) {
    const int rings = std::min(kBand, end - i), from = slice.first(i);
    int widest = 0;
    for (int k = 0; k < rings; ++k) widest = std::max(widest, o.last(i + k) + 1);
    const int count = std::min(widest, slice.past(i + rings - 1)) - from;
    const From cell = eye_of(o).at(i * o.major + from * o.minor);
    each(Across{cell, o.minor, o.eye_z_m, rings, count, stride}, (i - first) * stride + from, from);
  }
}
int count_of(const Octant& o, int ring, const Slice& slice) {
  return std::min(o.last(ring) + 1, slice.past(ring)) - slice.first(ring);
}

}  // namespace

void cut_ground(const Octant& o, int first, int end, const Rings& rings, std::int32_t* dims,
                const Slice& slice) {
  if (std::abs(o.minor) != 1) {
    const auto turn = o.major > 0 ? turn_ground_on : turn_ground_back;
    across_bands(o, first, end, rings.stride, slice,
                 [&](const Across& band, std::ptrdiff_t to, int from) {
                   turn(band, rings.ground_m + to, dims + from);
                 });
    return;
  }
  const auto along = o.minor > 0 ? ground_east : ground_west;
  for (int i = first; i < end; ++i) {
    const int from = slice.first(i);
    along(eye_of(o).at(i * o.major + from * o.minor), o.eye_z_m, count_of(o, i, slice),
          rings.ground_m + (i - first) * rings.stride + from, dims + from);
  }
}

void cut(const Octant& o, int first, int end, const Rings& rings, const Slice& slice) {
  std::vector<std::int32_t> dims(static_cast<size_t>(rings.stride) + kPad);
  cut_ground(o, first, end, rings, dims.data(), slice);
  if (std::abs(o.minor) != 1) {
    const auto turn = o.major > 0 ? turn_cover_on : turn_cover_back;
    across_bands(o, first, end, rings.stride, slice,
                 [&](const Across& band, std::ptrdiff_t to, int) { turn(band, at(rings, to)); });
  } else {
    const auto along = o.minor > 0 ? cover_east : cover_west;
    for (int i = first; i < end; ++i) {
      const int from = slice.first(i);
      along(eye_of(o).at(i * o.major + from * o.minor), o.eye_z_m, count_of(o, i, slice),
            at(rings, (i - first) * rings.stride + from));
    }
  }
  for (int i = first; i < end; ++i)
    std::fill_n(rings.density_per_m + (i - first) * rings.stride, o.last_cleared(i) + 1, 0.0F);
}

Disc disc_around(const SightLand& land, LocalXY eye, const SightOptions& options) {
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
  o.ground_m = &land.ground_m.at(col, row);
  o.top_m = &land.top_m.at(col, row);
  o.density_per_m = &land.density_per_m.at(col, row);
  o.out_eye = &disc.seen.at(col - c0, row - r0);
  o.cell_m = static_cast<float>(g.cell_m);
  o.reach_cells = options.reach_m / g.cell_m + 1e-6;
  o.eye_z_m = static_cast<float>(static_cast<double>(*o.ground_m) + options.eye_m);
  o.options = options;
  const int within = std::max(0, static_cast<int>(o.reach_cells));
  std::vector<int> in_reach(static_cast<size_t>(within) + 1);  // by ring: its last cell
  for (int i = 0; i <= within; ++i)
    in_reach[static_cast<size_t>(i)] =
        std::min(i, static_cast<int>(std::sqrt(o.reach_cells * o.reach_cells - 1.0 * i * i)));
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
    out.lasts.assign(in_reach.begin(), in_reach.begin() + out.rings + 1);
    for (int& last : out.lasts) last = std::min(last, out.widest);
  }
  *o.out_eye = 255;
  return disc;
}

Result<Raster<std::uint8_t>> walked(Disc disc, std::stop_token stop,
                                    const std::function<void(const Octant&)>& walk) {
  const bool done = for_each_index(
      8,
      [&](int k) {
        if (disc.octants[k].rings > 0) walk(disc.octants[k]);
      },
      stop);
  if (!done) return fail(ErrorCode::cancelled, "cancelled");
  return std::move(disc.seen);
}

}  // namespace leeward::compute::octant
