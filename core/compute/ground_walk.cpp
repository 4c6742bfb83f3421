#include "core/compute/ground_walk.h"

#include <algorithm>

namespace leeward::compute {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();
constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

/// The four cells about a place between cell centres; at the rim the outer cell counts twice.
struct Patch {
  double col, row;  // of the north-west cell, -1 at the west and north rim
  double nw, ne, sw, se;

  Patch(const Raster<float>& ground, double at_col, double at_row)
      : col(std::floor(at_col)), row(std::floor(at_row)) {
    const int c0 = clamped(col, ground.spec.cols), c1 = clamped(col + 1, ground.spec.cols);
    const int r0 = clamped(row, ground.spec.rows), r1 = clamped(row + 1, ground.spec.rows);
    nw = static_cast<double>(ground.at(c0, r0)), ne = static_cast<double>(ground.at(c1, r0));
    sw = static_cast<double>(ground.at(c0, r1)), se = static_cast<double>(ground.at(c1, r1));
  }
  bool below(double z) const { return nw < z && ne < z && sw < z && se < z; }
  static int clamped(double i, int count) { return std::clamp(static_cast<int>(i), 0, count - 1); }
  double height(double at_col, double at_row) const {
    const double u = at_col - col, v = at_row - row;
    const double north = nw + (ne - nw) * u, south = sw + (se - sw) * u;
    return north + (south - north) * v;
  }
};

/// How far from `at` the grid reaches along one axis, in metres.
double exit_m(double at, double step, int count) {
  if (step > 0) return (count - 0.5 - at) / step;
  if (step < 0) return (-0.5 - at) / step;
  return kNever;
}
double first_line(double at, double step) {
  return step > 0 ? std::floor(at) + 1 : std::ceil(at) - 1;
}
double crossing_m(double line, double at, double step) {
  return step == 0 ? kNever : (line - at) / step;
}

}  // namespace

GroundWalk::GroundWalk(const Raster<float>& ground, LocalXY from, Bearing toward, double begin_m,
                       double end_m)
    : ground_(ground),
      col_(ground.spec.col_of(from.x) - 0.5),
      row_(ground.spec.row_of(from.y) - 0.5),
      col_step_(toward.east() / ground.spec.cell_m),
      row_step_(-toward.north() / ground.spec.cell_m),
      next_col_(first_line(col_ + begin_m * col_step_, col_step_)),
      next_row_(first_line(row_ + begin_m * row_step_, row_step_)),
      at_(begin_m),
      stop_(begin_m),
      wanted_(end_m) {
  if (ground.empty() || !ground.spec.contains(moved(from, toward, begin_m))) return;
  stop_ = std::min({end_m, exit_m(col_, col_step_, ground.spec.cols),
                    exit_m(row_, row_step_, ground.spec.rows)});
}

bool GroundWalk::next(GroundPiece& piece) {
  while (at_ < stop_) {
    const double col_m = crossing_m(next_col_, col_, col_step_);
    const double row_m = crossing_m(next_row_, row_, row_step_);
    const double to = std::min({stop_, col_m, row_m});
    if (to >= col_m) next_col_ += col_step_ > 0 ? 1 : -1;
    if (to >= row_m) next_row_ += row_step_ > 0 ? 1 : -1;
    if (!(to > at_)) continue;
    const double half = (at_ + to) / 2;
    const auto col = [&](double m) { return col_ + col_step_ * m; };
    const auto row = [&](double m) { return row_ + row_step_ * m; };
    const Patch patch(ground_, col(half), row(half));
    if (patch.below(line_z_ + line_slope_ * (line_slope_ > 0 ? at_ : to))) {
      at_ = to;
      continue;
    }
    piece.from_m = at_, piece.to_m = to;
    piece.start = patch.height(col(at_), row(at_));
    piece.middle = patch.height(col(half), row(half));
    piece.end = patch.height(col(to), row(to));
    at_ = to;
    return true;
  }
  return false;
}

double ground_height(const Raster<float>& ground, LocalXY p) {
  if (ground.empty() || !ground.spec.contains(p)) return kNone;
  const double col = ground.spec.col_of(p.x) - 0.5, row = ground.spec.row_of(p.y) - 0.5;
  return Patch(ground, col, row).height(col, row);
}

LocalXY ground_slope(const Raster<float>& ground, LocalXY p) {
  if (ground.empty() || !ground.spec.contains(p)) return {kNone, kNone};
  const double col = ground.spec.col_of(p.x) - 0.5, row = ground.spec.row_of(p.y) - 0.5;
  const Patch q(ground, col, row);
  const double u = col - q.col, v = row - q.row;
  const double east = (q.ne - q.nw) * (1 - v) + (q.se - q.sw) * v;
  const double south = (q.sw - q.nw) * (1 - u) + (q.se - q.ne) * u;
  return {east / ground.spec.cell_m, -south / ground.spec.cell_m};
}

}  // namespace leeward::compute
