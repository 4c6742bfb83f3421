#include "core/compute/wind_response.h"

#include "core/base/multiversion.h"
#include "core/compute/plume_line.h"

#include <cstring>

namespace leeward::compute {

using Eight [[gnu::vector_size(32)]] = float;

static_assert(sizeof(WindResponse::Cell) == sizeof(Eight));
static_assert(sizeof(Flow::Cell) == 4 * sizeof(float));

// The flow of an upwind wind (ue, un), cell by cell as east, north, timber and speed.
LEEWARD_CLONES static void add_up(const float* __restrict cells, size_t count, float ue, float un,
                                  float* __restrict out) {
  for (size_t i = 0; i < count; ++i) {
    const float* c = cells + 8 * i;
    const float east = ue * c[0] + un * c[2] + c[4], north = ue * c[1] + un * c[3] + c[5];
    out[4 * i] = east;
    out[4 * i + 1] = north;
    out[4 * i + 2] = c[6];
    out[4 * i + 3] = std::sqrt(east * east + north * north);
  }
}

Flow WindResponse::flow(LocalXY upwind) const {
  Flow out{spec, {}};
  out.cells.resize(cells.size());
  add_up(&cells.data()->east_of_east, cells.size(), static_cast<float>(upwind.x),
         static_cast<float>(upwind.y), &out.cells.data()->east);
  return out;
}

namespace {

// Parts of a line in cells from the centre of the north-west cell: the middle of the first, and
// from one to the next.
struct Parts {
  float x, y, dx, dy;
  int count;
};

}  // namespace

// The cell in the middle of each part, bilinear, clamped to the grid's edge; by value, and their
// mean.
LEEWARD_CLONES static void gather_parts(const float* __restrict cells, int cols, int rows,
                                        const Parts& parts, float* __restrict by_part,
                                        float* __restrict mean) {
  const Parts p = parts;
  const float most_x = static_cast<float>(cols - 1) - 0.001F,
              most_y = static_cast<float>(rows - 1) - 0.001F;
  Eight sum{};
  for (int k = 0; k < p.count; ++k) {
    float x = p.x + static_cast<float>(k) * p.dx, y = p.y + static_cast<float>(k) * p.dy;
    x = x < 0 ? 0 : x > most_x ? most_x : x;
    y = y < 0 ? 0 : y > most_y ? most_y : y;
    const int c = static_cast<int>(x), r = static_cast<int>(y);
    const float right = x - static_cast<float>(c), down = y - static_cast<float>(r);
    const float* at = cells + 8 * (r * cols + c);
    Eight nw, ne, sw, se;
    std::memcpy(&nw, at, sizeof nw), std::memcpy(&ne, at + 8, sizeof ne);
    std::memcpy(&sw, at + 8 * cols, sizeof sw), std::memcpy(&se, at + 8 * cols + 8, sizeof se);
    const Eight top = nw + (ne - nw) * right, bottom = sw + (se - sw) * right,
                all = top + (bottom - top) * down;
    sum += all;
    for (int v = 0; v < TurnedLines::kValues; ++v) by_part[v * p.count + k] = all[v];
  }
  sum *= 1.0F / static_cast<float>(p.count);
  std::memcpy(mean, &sum, sizeof sum);
}

// Mean speed over the parts of a line; their count is a multiple of eight.
[[gnu::always_inline]] static inline float mean_speed(const float* __restrict by_part, int count,
                                                      float ue, float un) {
  const float *ee = by_part, *en = ee + count, *ne = en + count, *nn = ne + count, *e = nn + count,
              *n = e + count;
  alignas(32) float speed[TurnedLines::kMostParts];
  for (int k = 0; k < count; ++k) {
    const float east = ue * ee[k] + un * ne[k] + e[k], north = ue * en[k] + un * nn[k] + n[k];
    speed[k] = std::sqrt(east * east + north * north);
  }
  Eight sum{}, part;
  for (int k = 0; k < count; k += 8) {
    std::memcpy(&part, speed + k, sizeof part);
    sum += part;
  }
  return (((sum[0] + sum[1]) + (sum[2] + sum[3])) + ((sum[4] + sum[5]) + (sum[6] + sum[7]))) /
         static_cast<float>(count);
}

// Exposure at the end of a line in an upwind wind (ue, un); `m` is the mean of its parts.
LEEWARD_CLONES static double turned_exposure(const PlumeTable& table, float dx, float dy,
                                             const float* m, const float* by_part, int count,
                                             float ue, float un) {
  return exposure_along(table,
                        {ue * m[0] + un * m[2] + m[4], ue * m[1] + un * m[3] + m[5], m[6],
                         mean_speed(by_part, count, ue, un)},
                        dx, dy);
}

TurnedLines::TurnedLines(const WindResponse& response, const PlumeTable& table, LocalXY source,
                         const std::vector<LocalXY>& places)
    : table_(table), lines_(places.size()) {
  const GridSpec& g = response.spec;
  for (size_t i = 0; i < places.size(); ++i) {
    Line& line = lines_[i];
    const LocalXY d = places[i] - source;
    line.dx = static_cast<float>(d.x), line.dy = static_cast<float>(d.y);
    const double length_m = std::sqrt(d.x * d.x + d.y * d.y);
    if (length_m >= table.reach_m()) continue;
    line.parts = parts_of_line(static_cast<float>(length_m));
    const double each_x = d.x / g.cell_m / line.parts, each_y = -d.y / g.cell_m / line.parts;
    gather_parts(&response.cells.data()->east_of_east, g.cols, g.rows,
                 {static_cast<float>(g.col_of(source.x) - 0.5 + each_x / 2),
                  static_cast<float>(g.row_of(source.y) - 0.5 + each_y / 2),
                  static_cast<float>(each_x), static_cast<float>(each_y), line.parts},
                 line.by_part.data(), line.mean.data());
  }
}

std::vector<double> TurnedLines::exposures(LocalXY upwind) const {
  const float ue = static_cast<float>(upwind.x), un = static_cast<float>(upwind.y);
  std::vector<double> out;
  out.reserve(lines_.size());
  for (const Line& line : lines_) {
    out.push_back(line.parts == 0 ? 0
                                  : turned_exposure(table_, line.dx, line.dy, line.mean.data(),
                                                    line.by_part.data(), line.parts, ue, un));
  }
  return out;
}

}  // namespace leeward::compute
