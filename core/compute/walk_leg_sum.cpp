// Pieces are worked out in lots of four lanes, in the same operations on every machine.
#include "core/compute/walk_leg_sum.h"

#include "core/base/multiversion.h"
#include "core/compute/walk_steps.h"

#include <algorithm>
#include <cmath>
#include <cstring>

namespace leeward::compute {

using steps::Floats;
using steps::Ints;

static constexpr int kLanes = 4;
static_assert(LegSum::kTogether % 8 == 0, "a partial sum is of every eighth piece of the leg");

// Bilinear heights at (x, y) + k (dx, dy), k from `first` on; NaN beside unknown cells. Whether
// there is such a one.
LEEWARD_CLONES static bool heights_along(const Raster<float>& ground, const LegPieces& line,
                                         int first, int lots, float* __restrict out) {
  const float* cells = ground.cells.data();
  const int cols = ground.spec.cols, rows = ground.spec.rows;
  const Floats most_x = Floats{} + static_cast<float>(cols - 1),
               most_y = Floats{} + static_cast<float>(rows - 1);
  const Ints last_c = Ints{} + (cols - 2), last_r = Ints{} + (rows - 2);
  Ints known = Ints{} - 1, k = Ints{0, 1, 2, 3} + first;
  for (int lot = 0; lot < lots; ++lot, k += kLanes) {
    const Floats piece = __builtin_convertvector(k, Floats);
    const Floats px = steps::smaller(steps::larger(line.x + line.dx * piece, Floats{}), most_x),
                 py = steps::smaller(steps::larger(line.y + line.dy * piece, Floats{}), most_y);
    const Ints cell_x = __builtin_convertvector(px, Ints),
               cell_y = __builtin_convertvector(py, Ints);
    const Ints c = cell_x < last_c ? cell_x : last_c, r = cell_y < last_r ? cell_y : last_r;
    const Ints i = r * cols + c;
    const Floats u = px - __builtin_convertvector(c, Floats),
                 v = py - __builtin_convertvector(r, Floats);
    Floats nw, ne, sw, se;
    steps::load_pairs(cells, i, nw, ne);
    steps::load_pairs(cells + cols, i, sw, se);
    const Floats top = nw + (ne - nw) * u, bottom = sw + (se - sw) * u;
    const Floats height = top + (bottom - top) * v;
    std::memcpy(out + lot * kLanes, &height, sizeof height);
    known &= height == height;
  }
  return (known[0] & known[1] & known[2] & known[3]) == 0;
}

// Seconds a metre of each piece and the hazard of them, from the table's pairs() and the rises at
// the pieces' ends; adds those of the first n.
LEEWARD_CLONES static void pace_pieces(const LegPieces& line, const float* __restrict slowness,
                                       const float* __restrict hazard, int first, int n,
                                       LegSum::Batch& __restrict batch,
                                       LegSum::Sums& __restrict sums) {
  using Doubles = double __attribute__((vector_size(32)));
  const float per_rise = static_cast<float>(PaceTable::kPerUnit / line.run_m);
  const float* pairs = line.graph.pace.pairs();
  const Doubles last = Doubles{} + (line.count - 1);
  Floats before_m = Floats{} + batch.ground_m[0];
  for (int lot = 0; lot < n; lot += kLanes) {
    Doubles piece = Doubles{0, 1, 2, 3} + (first + lot);
    piece = (piece < last ? piece : last) + 0.5;
    const Ints row = __builtin_convertvector(line.row + line.down * piece, Ints),
               col = __builtin_convertvector(line.col + line.across * piece, Ints);
    const Ints cell = row * line.graph.spec.cols + col;
    const auto at = [&](const float* of) {
      return Floats{of[cell[0]], of[cell[1]], of[cell[2]], of[cell[3]]};
    };
    const Floats end_m = steps::load(batch.ground_m + lot + 1);
    const Floats rise = end_m - __builtin_shufflevector(before_m, end_m, 3, 4, 5, 6);
    before_m = end_m;
    const Floats paced = steps::paces(pairs, rise * per_rise) * at(slowness);
    const Floats danger = paced * at(hazard);
    std::memcpy(batch.pace + lot, &paced, sizeof paced);
    std::memcpy(batch.danger + lot, &danger, sizeof danger);
  }
  const auto add = [](double* sum, const float* v) {
    Doubles at;
    std::memcpy(&at, sum, sizeof at);
    at += __builtin_convertvector(steps::load(v), Doubles);
    std::memcpy(sum, &at, sizeof at);
  };
  int k = 0;
  for (; k + 8 <= n; k += 8) {
    add(sums.pace, batch.pace + k), add(sums.pace + 4, batch.pace + k + 4);
    add(sums.danger, batch.danger + k), add(sums.danger + 4, batch.danger + k + 4);
  }
  for (; k < n; ++k) {
    sums.pace[0] += static_cast<double>(batch.pace[k]);
    sums.danger[0] += static_cast<double>(batch.danger[k]);
  }
}

LegPieces::LegPieces(const WalkGraph& walked, LocalXY from, LocalXY to, double length_m,
                     int per_cell)
    : graph(walked),
      a(from),
      b(to),
      count(std::max(1, static_cast<int>(std::ceil(per_cell * length_m / walked.spec.cell_m)))),
      run_m(length_m / count) {
  const GridSpec& g = graph.spec;
  const auto narrow = [](double v) { return static_cast<float>(v); };
  col = g.col_of(a.x), row = g.row_of(a.y);
  across = (g.col_of(b.x) - col) / count, down = (g.row_of(b.y) - row) / count;
  x = narrow(col - 0.5), y = narrow(row - 0.5);
  dx = narrow((b.x - a.x) / g.cell_m / count), dy = narrow((a.y - b.y) / g.cell_m / count);
}

LegSum::LegSum(const WalkGraph& graph, const std::vector<float>* hazard_per_min, LocalXY a,
               LocalXY b, double length_m, int per_cell)
    : graph_(graph), hazard_(hazard_per_min), line_(graph, a, b, length_m, per_cell) {}

bool LegSum::next() {
  first_ += count_;
  count_ = std::min(kTogether, line_.count - first_);
  if (count_ <= 0) return false;
  if (!graph_.level) find_ground();
  const float* slowness = graph_.slowness.data();
  pace_pieces(line_, slowness, hazard_ ? hazard_->data() : slowness, first_, count_, batch_, sums_);
  return true;
}

void LegSum::find_ground() {
  const Raster<float>& ground = graph_.ground_m;
  float* ends = batch_.ground_m;
  const auto find = [&](float* to, int first, int n) {
    if (ground.spec.cols > 1 && ground.spec.rows > 1) {
      if (!heights_along(ground, line_, first, (n + kLanes - 1) / kLanes, to)) return;
    } else {
      std::fill(to, to + n, kUnknown);
    }
    for (int k = 0; k < n; ++k) {
      const double share = static_cast<double>(first + k) / line_.count;
      if (std::isnan(to[k])) to[k] = sample(ground, line_.a + (line_.b - line_.a) * share);
    }
  };
  if (first_ == 0) {
    find(ends, 0, 1);
  } else {
    ends[0] = ends[kTogether];
  }
  find(ends + 1, first_ + 1, count_);
}

}  // namespace leeward::compute
