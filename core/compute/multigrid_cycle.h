// The V-cycle of the column solver (multigrid.h) below its finest grid.
#pragma once

#include "core/compute/multigrid_levels.h"

#include <algorithm>
#include <vector>

namespace leeward::compute::rows {

template <class T>
Sides<T> around(Window<T>& w, int j) {
  return {w.at(j - 1), w.at(j), w.at(j + 1)};
}
template <class T>
Sides<T> around(const Strips<T>& v, int j, int n = 0) {
  return {v.at(j - 1, n), v.at(j, n), v.at(j + 1, n)};
}

/// Feeds the rows of a residual of colour 0, in order, to the next coarser grid's right-hand side.
class Restriction {
 public:
  Restriction(const Shape& fine, const Shape& coarse)
      : fine_(fine), coarse_(coarse), rows_(fine), line_(2 * fine.line) {}
  float* row(int j) { return rows_.at(j); }
  /// Row j is written. Row fine.ny, empty, comes last.
  void done(int j, Strips<float>& rhs) {
    if (j % 2 == 0) return;
    const int to = (j - 1) / 2;
    float* const out[2] = {rhs.at(to, 0), rhs.at(to, 1)};
    restrict_to(fine_, around(rows_, 2 * to), coarse_, to, line_.data(), out);
  }

 private:
  const Shape &fine_, &coarse_;
  Window<float> rows_;
  std::vector<float> line_;
};

/// Gives the rows of a coarse grid's correction, in order, to colour 0 of the next finer grid.
class Interpolation {
 public:
  Interpolation(const Shape& fine, const Shape& coarse)
      : fine_(fine), coarse_(coarse), joined_(fine) {}
  void row(int j, const Strips<float>& x, bool add, float* out) {
    const int south = j / 2, north = (j + 1) / 2;
    if (j % 2 != 0 || j == 0)
      join(coarse_, north, x.at(north, 0), x.at(north, 1), fine_, joined_.at(north));
    interpolate(fine_, j, joined_.at(south), joined_.at(north), add, out);
  }

 private:
  const Shape &fine_, &coarse_;
  Window<float> joined_;
};

/// The coarser grids of a V-cycle.
class Coarse {
 public:
  explicit Coarse(const RatioLevels& levels) {
    for (size_t n = 1; n < levels.count(); ++n) {
      const Shape& s = levels.shape(n);
      work_.push_back({Strips<float>(s, s.ny, 2), Strips<float>(s, s.ny, 2)});
      down_.emplace_back(levels.shape(n - 1), s);
      up_.emplace_back(levels.shape(n - 1), s);
    }
  }
  /// To be told before the first cycle.
  void use(const RatioLevels& levels) { l_ = &levels; }
  /// Between a grid and the next coarser one.
  Restriction& below(size_t level) { return down_[level]; }
  Interpolation& above(size_t level) { return up_[level]; }
  Strips<float>& x(size_t level) { return work_[level - 1].x; }
  Strips<float>& rhs(size_t level) { return work_[level - 1].rhs; }

  /// x = M rhs, M symmetric.
  void cycle(size_t level) {
    if (level + 1 == l_->count()) return coarsest();
    descend(level);
    cycle(level + 1);
    ascend(level);
  }

 private:
  void solve_alone(size_t level, int j, int c) {
    rows::solve_alone(l_->row(level, j, c), l_->inverse(level, j, c), rhs(level).at(j, c),
                      x(level).at(j, c));
  }
  void relax(size_t level, int j, int c) {
    solve_between(l_->row(level, j, c), l_->inverse(level, j, c), around(x(level), j, 1 - c),
                  rhs(level).at(j, c), x(level).at(j, c));
  }
  void coarsest() {
    const size_t last = l_->count() - 1;
    const int ny = l_->shape(last).ny, sweeps = std::max(l_->shape(last).nx, ny);
    for (int j = 0; j < ny; ++j) solve_alone(last, j, 0);
    for (int i = 0; i < sweeps; ++i)
      for (const int c : {1, 0})
        for (int j = 0; j < ny; ++j) relax(last, j, c);
  }
  void descend(size_t level) {
    const int ny = l_->shape(level).ny;
    for (int j = 0; j < ny + 3; ++j) {
      if (j < ny) solve_alone(level, j, 0);
      if (j >= 1 && j <= ny) relax(level, j - 1, 1);
      if (j < 2) continue;
      if (j < ny + 2)
        gather(l_->row(level, j - 2, 0), around(x(level), j - 2, 1), below(level).row(j - 2));
      below(level).done(j - 2, rhs(level + 1));
    }
  }
  void ascend(size_t level) {
    const int ny = l_->shape(level).ny;
    for (int j = 0; j < ny + 2; ++j) {
      if (j < ny) above(level).row(j, x(level + 1), true, x(level).at(j, 0));
      if (j >= 1 && j <= ny) relax(level, j - 1, 1);
      if (j >= 2) relax(level, j - 2, 0);
    }
  }

  struct Work {
    Strips<float> x, rhs;
  };
  const RatioLevels* l_ = nullptr;
  std::vector<Work> work_;
  std::vector<Restriction> down_;
  std::vector<Interpolation> up_;
};

}  // namespace leeward::compute::rows
