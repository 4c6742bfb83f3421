#include "core/compute/multigrid.h"

#include "core/base/parallel.h"
#include "core/compute/multigrid_rows.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <functional>
#include <numeric>

namespace leeward::compute {
namespace {

using rows::Shape;
using rows::Weights;

constexpr int kMostIterations = 60;
constexpr size_t kParallelNodes = 20000;  // smaller levels are done before a second thread wakes

template <class T>
void level_factors(const ColumnGrid& g, Weights<T>& w) {
  const int nz = g.nz();
  for (auto* v : {&w.m, &w.t, &w.a, &w.b, &w.c}) v->assign(static_cast<size_t>(nz), T(0));
  for (int k = 0; k + 1 < nz; ++k) {
    const size_t n = static_cast<size_t>(k);
    const double s0 = g.level[n], s1 = g.level[n + 1], ds = s1 - s0;
    w.m[n] += static_cast<T>(ds);
    w.m[n + 1] += static_cast<T>(ds);
    w.t[n] = static_cast<T>(2 - s0 - s1);
    w.a[n] = static_cast<T>(1 / ds);
    w.b[n] = static_cast<T>(((1 - s0) * (1 - s0) + (1 - s1) * (1 - s1)) / ds);
    w.c[n] = static_cast<T>(ds);
  }
}

template <class T>
Weights<T> make_weights(const ColumnGrid& g, const Shape& shape) {
  Weights<T> w;
  level_factors(g, w);
  for (auto* v : {&w.we, &w.ww, &w.wn, &w.ws, &w.qe, &w.qw, &w.qn, &w.qs, &w.za, &w.zb, &w.zc})
    v->assign(shape.flat_size(), T(0));
  for_each_index(g.ny, [&](int j) {
    for (int i = 0; i < g.nx; ++i) {
      const size_t n = shape.flat_index(j, (i + j) & 1) + static_cast<size_t>(i / 2);
      const double h = g.ground(i, j), depth = g.depth(i, j);
      const int nxc = g.cells_x(i), nyc = g.cells_y(j);
      double squares = 0, q_sum = 0;
      const auto side = [&](int di, int dj, std::vector<T>& weight, std::vector<T>& q) {
        const int i1 = i + di, j1 = j + dj, across = di != 0 ? nyc : nxc;
        if (i1 < 0 || j1 < 0 || i1 >= g.nx || j1 >= g.ny) return;
        const double rise = g.ground(i1, j1) - h, sign = di + dj;
        weight[n] = static_cast<T>(across * (depth + g.depth(i1, j1)) / 8);
        q[n] = static_cast<T>(-across * sign * rise / 8);
        squares += across * rise * rise;
        q_sum += -across * rise / 8;
      };
      side(1, 0, w.we, w.qe);
      side(-1, 0, w.ww, w.qw);
      side(0, 1, w.wn, w.qn);
      side(0, -1, w.ws, w.qs);
      const double area = g.spacing_m * g.spacing_m;
      w.za[n] = static_cast<T>(area * nxc * nyc * g.ratio * g.ratio / (4 * depth));
      w.zb[n] = static_cast<T>(squares / (8 * depth));
      w.zc[n] = static_cast<T>(q_sum);
    }
  });
  return w;
}

struct Level {
  Shape shape;
  Weights<float> weights;
  std::vector<float> inverse;  // of the pivots of the columns' tridiagonal matrices
};

/// Work space of one level and one right-hand side.
struct Work {
  std::vector<float> x, rhs, residual;
};

Shape shape_of(const ColumnGrid& g) {
  Shape s;
  s.nx = g.nx, s.ny = g.ny, s.nz = g.nz();
  s.active = g.open_top ? s.nz - 1 : s.nz;
  s.line = static_cast<size_t>(g.nx / 2 + 3);
  return s;
}

bool fixed_column(const ColumnGrid& g, int i, int j) {
  return (g.open_x && (i == 0 || i + 1 == g.nx)) || (g.open_y && (j == 0 || j + 1 == g.ny));
}

Level make_level(const ColumnGrid& g) {
  Level out;
  out.shape = shape_of(g);
  out.weights = make_weights<float>(g, out.shape);
  out.inverse.assign(out.shape.size(), 0.0F);
  for_each_index(g.ny, [&](int j) {
    for (int i = 0; i < g.nx; ++i) {
      if (fixed_column(g, i, j)) continue;
      const int c = (i + j) & 1;
      const size_t m = static_cast<size_t>(i / 2), column = out.shape.flat_index(j, c) + m;
      float inverse = 0, below = 0;
      for (int k = 0; k < out.shape.active; ++k) {
        inverse = 1 / (out.weights.diagonal(column, k) - below * below * inverse);
        out.inverse[out.shape.index(j, c, k) + m] = inverse;
        below = out.weights.z(column, k);
      }
    }
  });
  return out;
}

// Every second column, its ground the weighted mean of the nine around it (1-2-1 each way).
ColumnGrid coarsened(const ColumnGrid& fine) {
  ColumnGrid g = fine;
  g.nx = (fine.nx - 1) / 2 + 1;
  g.ny = (fine.ny - 1) / 2 + 1;
  g.spacing_m = 2 * fine.spacing_m;
  g.ground_m.resize(static_cast<size_t>(g.nx) * static_cast<size_t>(g.ny));
  for (int j = 0; j < g.ny; ++j) {
    for (int i = 0; i < g.nx; ++i) {
      double sum = 0;
      for (int dj = -1; dj <= 1; ++dj)
        for (int di = -1; di <= 1; ++di)
          sum += (2 - std::abs(di)) * (2 - std::abs(dj)) *
                 fine.ground(std::clamp(2 * i + di, 0, fine.nx - 1),
                             std::clamp(2 * j + dj, 0, fine.ny - 1));
      g.ground_m[g.column(i, j)] = sum / 16;
    }
  }
  return g;
}

bool halves_well(const ColumnGrid& g) {
  return (g.nx - 1) % 2 == 0 && (g.ny - 1) % 2 == 0 && g.nx - 1 >= 8 && g.ny - 1 >= 8;
}

void for_rows(const Shape& s, const std::function<void(int)>& fn) {
  const size_t nodes =
      static_cast<size_t>(s.nx) * static_cast<size_t>(s.ny) * static_cast<size_t>(s.nz);
  if (nodes < kParallelNodes) {
    for (int j = 0; j < s.ny; ++j) fn(j);
  } else {
    for_each_index(s.ny, fn);
  }
}

}  // namespace

double ColumnGrid::node_volume(int i, int j, int k) const {
  const size_t n = static_cast<size_t>(k);
  const double below = k > 0 ? level[n] - level[n - 1] : 0;
  const double above = k + 1 < nz() ? level[n + 1] - level[n] : 0;
  return spacing_m * spacing_m * cells_x(i) * cells_y(j) / 4 * depth(i, j) * (below + above) / 2;
}

int halvings_for(int least_intervals) {
  int halvings = 0;
  while ((least_intervals >> (halvings + 1)) >= 4) ++halvings;
  return halvings;
}

int padded_intervals(int least, int halvings) {
  const int step = 1 << halvings;
  return (std::max(least, 4) + step - 1) / step * step;
}

struct ColumnSolver::Parts {
  ColumnGrid grid;
  rows::Weights<double> weights;
  std::vector<double> free;            // by column: 0 where L stays 0
  std::vector<double> inverse_volume;  // by node, split storage
  std::vector<Level> levels;           // the finest first
  mutable std::vector<std::array<Work, 2>> work;

  void relax(size_t level, int colour, bool sides) const {
    const Level& l = levels[level];
    for_rows(l.shape, [&](int j) {
      for (Work& w : work[level])
        rows::relax(l.shape, l.weights, l.inverse.data(), w.rhs.data(), w.x.data(), j, colour,
                    sides);
    });
  }
  void coarsest() const {
    const size_t last = levels.size() - 1;
    const int sweeps = std::max(levels[last].shape.nx, levels[last].shape.ny);
    relax(last, 0, false);
    for (int i = 0; i < sweeps; ++i) relax(last, 1, true), relax(last, 0, true);
  }
  /// One cycle: x = M rhs on the finest level, M symmetric.
  void cycle(size_t level) const {
    if (level + 1 == levels.size()) return coarsest();
    const Shape &fine = levels[level].shape, &coarse = levels[level + 1].shape;
    relax(level, 0, false);
    relax(level, 1, true);
    for_rows(fine, [&](int j) {
      for (Work& w : work[level])
        rows::gather(fine, levels[level].weights, w.x.data(), j, 0, w.residual.data());
    });
    for_rows(coarse, [&](int j) {
      for (size_t i = 0; i < 2; ++i)
        rows::restrict_to(fine, work[level][i].residual.data(), coarse,
                          work[level + 1][i].rhs.data(), j);
    });
    cycle(level + 1);
    for_rows(fine, [&](int j) {
      for (size_t i = 0; i < 2; ++i)
        rows::interpolate(coarse, work[level + 1][i].x.data(), fine, work[level][i].x.data(), j);
    });
    relax(level, 1, true);
    relax(level, 0, true);
  }
};

ColumnSolver::ColumnSolver(const ColumnGrid& grid) : parts_(std::make_unique<Parts>()) {
  assert(grid.nx >= 5 && grid.ny >= 5 && grid.nz() >= 3);
  assert(grid.open_x || grid.open_y || grid.open_top);
  assert(grid.ground_m.size() == static_cast<size_t>(grid.nx) * static_cast<size_t>(grid.ny));
  Parts& p = *parts_;
  p.grid = grid;
  ColumnGrid g = grid;
  for (;;) {
    p.levels.push_back(make_level(g));
    if (!halves_well(g)) break;
    g = coarsened(g);
  }
  const Shape& s = p.levels.front().shape;
  p.weights = make_weights<double>(grid, s);
  p.free.assign(s.flat_size(), 1.0);
  p.inverse_volume.assign(s.size(), 0.0);
  for_each_index(s.ny, [&](int j) {
    for (int i = 0; i < s.nx; ++i) {
      const int c = (i + j) & 1;
      const size_t m = static_cast<size_t>(i / 2);
      if (fixed_column(grid, i, j)) p.free[s.flat_index(j, c) + m] = 0;
      for (int k = 0; k < s.active; ++k)
        p.inverse_volume[s.index(j, c, k) + m] = 1 / grid.node_volume(i, j, k);
    }
  });
  for (const Level& l : p.levels) {
    std::array<Work, 2> w;
    for (Work& one : w) one.x.assign(l.shape.size(), 0), one.rhs = one.x, one.residual = one.x;
    p.work.push_back(std::move(w));
  }
}

ColumnSolver::~ColumnSolver() = default;
ColumnSolver::ColumnSolver(ColumnSolver&&) noexcept = default;
ColumnSolver& ColumnSolver::operator=(ColumnSolver&&) noexcept = default;

namespace {

/// State of the conjugate gradients of one right-hand side, split storage.
struct Gradients {
  std::vector<double> x, r, p, ap;
  std::vector<double> row_sum;
  double rho = 0;

  double total() const { return std::accumulate(row_sum.begin(), row_sum.end(), 0.0); }
  double largest() const { return *std::max_element(row_sum.begin(), row_sum.end()); }
};

/// Storage by node to split storage, zero in columns that stay zero.
void split(const ColumnGrid& g, const Shape& s, const std::vector<double>& nodes,
           const std::vector<double>& free, std::vector<double>& out, std::vector<float>& rounded) {
  for_rows(s, [&](int j) {
    for (int k = 0; k < s.active; ++k)
      for (int i = 0; i < g.nx; ++i) {
        const int c = (i + j) & 1;
        const size_t m = static_cast<size_t>(i / 2), at = s.index(j, c, k) + m;
        out[at] = nodes[g.node(i, j, k)] * free[s.flat_index(j, c) + m];
        rounded[at] = static_cast<float>(out[at]);
      }
  });
}

std::vector<double> joined(const ColumnGrid& g, const Shape& s, const std::vector<double>& x) {
  std::vector<double> out(g.node_count(), 0.0);
  for_rows(s, [&](int j) {
    for (int k = 0; k < s.active; ++k)
      for (int i = 0; i < g.nx; ++i)
        out[g.node(i, j, k)] = x[s.index(j, (i + j) & 1, k) + static_cast<size_t>(i / 2)];
  });
  return out;
}

}  // namespace

/// One right-hand side's step of the conjugate gradients, row by row; the sums come between.
struct ColumnSolver::Steps {
  const Parts& p;
  const Shape& s;
  std::array<Gradients, 2> cg;
  size_t row;  // values of a row: both colours, all levels

  explicit Steps(const Parts& parts)
      : p(parts), s(parts.levels.front().shape), row(2 * static_cast<size_t>(s.nz) * s.line) {}

  template <class Fn>
  void each_row(Fn&& fn) {
    for_rows(s, [&](int j) {
      for (size_t n = 0; n < 2; ++n)
        cg[n].row_sum[static_cast<size_t>(j)] = fn(n, j, s.index(j, 0, 0));
    });
  }
  void start(const std::array<std::vector<double>, 2>& rhs) {
    for (size_t n = 0; n < 2; ++n) {
      cg[n].r.assign(s.size(), 0.0);
      cg[n].x = cg[n].r, cg[n].p = cg[n].r, cg[n].ap = cg[n].r;
      cg[n].row_sum.assign(static_cast<size_t>(s.ny), 0.0);
      split(p.grid, s, rhs[n], p.free, cg[n].r, p.work[0][n].rhs);
    }
  }
  double largest_residual() {
    each_row([&](size_t n, int, size_t at) {
      return rows::largest_scaled(&cg[n].r[at], &p.inverse_volume[at], row);
    });
    return largest_left();
  }
  void choose_direction() {
    p.cycle(0);
    each_row([&](size_t n, int, size_t at) {
      return rows::dot(&cg[n].r[at], &p.work[0][n].x[at], row);
    });
    std::array<double, 2> beta{};
    for (size_t n = 0; n < 2; ++n) {
      const double rho = cg[n].total();
      beta[n] = cg[n].rho > 0 ? rho / cg[n].rho : 0;
      cg[n].rho = rho;
    }
    each_row([&](size_t n, int, size_t at) {
      rows::turn(beta[n], &p.work[0][n].x[at], &cg[n].p[at], row);
      return 0.0;
    });
  }
  void advance() {
    each_row([&](size_t n, int j, size_t at) {
      for (int c = 0; c < 2; ++c)
        rows::apply(s, p.weights, p.free.data(), cg[n].p.data(), cg[n].ap.data(), j, c);
      return rows::dot(&cg[n].p[at], &cg[n].ap[at], row);
    });
    std::array<double, 2> alpha{};
    for (size_t n = 0; n < 2; ++n) {
      const double curvature = cg[n].total();
      alpha[n] = curvature > 0 ? cg[n].rho / curvature : 0;
    }
    each_row([&](size_t n, int, size_t at) {
      rows::step(alpha[n], &cg[n].p[at], &cg[n].ap[at], &cg[n].x[at], &cg[n].r[at],
                 &p.work[0][n].rhs[at], row);
      return rows::largest_scaled(&cg[n].r[at], &p.inverse_volume[at], row);
    });
  }
  double largest_left() const { return std::max(cg[0].largest(), cg[1].largest()); }
};

Result<ColumnSolution> ColumnSolver::solve(const std::array<std::vector<double>, 2>& rhs,
                                           double tolerance, std::stop_token stop) const {
  assert(rhs[0].size() == parts_->grid.node_count() && rhs[1].size() == rhs[0].size());
  Steps steps(*parts_);
  steps.start(rhs);
  ColumnSolution out;
  out.residual_per_volume = steps.largest_residual();
  for (; out.residual_per_volume >= tolerance; ++out.iterations) {
    if (stop.stop_requested()) return fail(ErrorCode::cancelled, "the wind solve was cancelled");
    if (out.iterations == kMostIterations)
      return fail(ErrorCode::internal, "the wind over this ground did not settle");
    steps.choose_direction();
    steps.advance();
    out.residual_per_volume = steps.largest_left();
  }
  for (size_t n = 0; n < 2; ++n) out.l[n] = joined(parts_->grid, steps.s, steps.cg[n].x);
  return out;
}

}  // namespace leeward::compute
