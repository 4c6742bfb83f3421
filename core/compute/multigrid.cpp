#include "core/compute/multigrid.h"

#include "core/base/large_pages.h"
#include "core/base/parallel.h"
#include "core/base/shelf.h"
#include "core/compute/multigrid_cycle.h"
#include "core/compute/multigrid_edges.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

namespace leeward::compute {
namespace {

using rows::around;
using rows::Shape;
using rows::Strips;
using rows::Window;

constexpr int kMostIterations = 60;
// What float has lost of the residual is found again after it has fallen to this share.
constexpr double kMostGain = 3e-4;
// Down to this share nothing need be found again: a residual in float shows what is left.
constexpr double kFloatGain = 5e-6;
// The gradients begin again where that is more than this share of what is left.
constexpr double kMostLost = 0.2;
// What the gradients are taken to, so that the residual computed afresh is below the tolerance too.
constexpr double kMargin = 0.9;

/// One right-hand side at a time. Vectors hold colour 1 of the finest grid; colour 0 follows from
/// it and is kept for a few rows at a time.
class Gradients {
 public:
  /// For all that have the shapes of `levels`.
  Gradients(const ColumnGrid& grid, const RatioLevels& levels)
      : grid_(grid),
        s_(levels.shape(0)),
        coarse_(levels),
        zero_(s_),
        one_(s_),
        v_(s_, s_.ny, kVectors),
        x_(s_, s_.ny, 1) {}

  /// The residual of nothing; returns the largest / volume. Rounded. Nothing is left of what was
  /// solved before. `levels` and `rhs` are used until the next.
  double begin(const RatioLevels& levels, const std::vector<double>& rhs, const EdgeValues* edge) {
    l_ = &levels, rhs_ = rhs.data(), rho_ = 0, alpha_ = 0, summed_ = false;
    edge_.set(grid_, levels, edge);
    coarse_.use(levels);
    std::vector<float> b0(s_.strip() + rows::kLanes), sides(b0);
    float most = 0;
    for (int j = 0; j <= s_.ny; ++j) {
      if (j < s_.ny) {
        for (const Vector v : {kP, kE}) std::fill_n(at(j, v), s_.strip(), 0.0F);
        split(j, b0.data(), at(j, kR));
        rows::solve_alone(l_->row(0, j, 0), l_->inverse(0, j, 0), b0.data(), zero_.at(j));
      }
      if (j < 1) continue;
      const auto row = l_->row(0, j - 1, 1);
      rows::gather(row, around(zero_, j - 1), sides.data());
      rows::add(s_.strip(), sides.data(), at(j - 1, kR));
      most = std::max(most, rows::step(row, 0, sides.data(), at(j - 1, kR)));
    }
    return static_cast<double>(most);
  }
  /// Likewise of the first steps, in float, before residual() was ever asked. The largest residual
  /// is computed anew, as far as float shows it.
  double settle(std::vector<double>& out, int levels) {
    Window<float> b0(s_), b1(s_);
    std::vector<float> product(s_.strip() + rows::kLanes);
    float most = 0;
    for (int j = 0; j <= s_.ny + 1; ++j) {
      if (j < s_.ny) rows::turn(s_.strip(), alpha_, 0, at(j, kZ), at(j, kP), at(j, kE));
      if (j >= 1 && j <= s_.ny) {
        split(j - 1, b0.at(j - 1), b1.at(j - 1));
        rows::solve_between(l_->row(0, j - 1, 0), l_->inverse(0, j - 1, 0), around(v_, j - 1, kE),
                            b0.at(j - 1), zero_.at(j - 1));
      }
      if (j < 2) continue;
      const auto row = l_->row(0, j - 2, 1);
      rows::apply(row, around(zero_, j - 2), at(j - 2, kE), product.data());
      most = std::max(most, rows::step(row, 1, product.data(), b1.at(j - 2)));
      rows::join(s_, j - 2, levels, zero_.at(j - 2), at(j - 2, kE), &out[grid_.node(0, j - 2, 0)]);
    }
    alpha_ = 0, rho_ = 0;
    edge_.put(levels, out);
    return static_cast<double>(most);
  }
  /// Adds the last step and computes the largest residual / volume anew. `out`: null, or gets the
  /// lowest `levels` of the solution by node.
  double residual(std::vector<double>* out, int levels) {
    Window<double> zero(s_), b0(s_), b1(s_);
    std::vector<double> work(static_cast<size_t>(s_.nz) * rows::kLanes);
    rows::Largest most;
    for (int j = 0; j <= s_.ny + 1; ++j) {
      if (j < s_.ny) {
        if (!summed_) std::fill_n(x_.at(j), s_.strip(), 0.0);
        rows::gain(s_.strip(), alpha_, at(j, kP), at(j, kE), x_.at(j));
      }
      if (j >= 1 && j <= s_.ny) {
        split(j - 1, b0.at(j - 1), b1.at(j - 1));
        rows::solve_exactly(l_->exact_row(j - 1, 0), around(x_, j - 1), b0.at(j - 1), work.data(),
                            zero.at(j - 1));
      }
      if (j < 2) continue;
      rows::residual(l_->exact_row(j - 2, 1), around(zero, j - 2), b1.at(j - 2), x_.at(j - 2),
                     at(j - 2, kR), most);
      if (out)
        rows::join(s_, j - 2, levels, zero.at(j - 2), x_.at(j - 2),
                   &(*out)[grid_.node(0, j - 2, 0)]);
    }
    alpha_ = 0, summed_ = true;
    if (out) edge_.put(levels, *out);
    if (most.change > kMostLost * most.residual) rho_ = 0;
    return most.residual;
  }
  /// One iteration; returns the largest residual / volume.
  double iterate() {
    descend();
    coarse_.cycle(1);
    const double rho = ascend();
    const double curvature = turn(rho_ > 0 ? rho / rho_ : 0);
    rho_ = rho;
    alpha_ = curvature > 0 ? static_cast<float>(rho / curvature) : 0;
    float most = 0;
    for (int j = 0; j < s_.ny; ++j)
      most = std::max(most, rows::step(l_->row(0, j, 1), alpha_, at(j, kAp), at(j, kR)));
    return static_cast<double>(most);
  }

 private:
  // Residual, direction, A times the direction, preconditioned residual, steps since `x_`.
  enum Vector { kR, kP, kAp, kZ, kE, kVectors };
  float* at(int j, Vector v) { return v_.at(j, v); }
  // Row j of the right-hand side.
  template <class T>
  void split(int j, T* colour0, T* colour1) const {
    rows::split(s_, j, rhs_ + grid_.node(0, j, 0), colour0, colour1);
    edge_.add(s_, j, colour0, colour1);
  }

  // The first half of the V-cycle. Colour 0 has no residual, so it stays zero.
  void descend() {
    for (int j = 0; j < s_.ny + 2; ++j) {
      if (j < s_.ny)
        rows::solve_alone(l_->row(0, j, 1), l_->inverse(0, j, 1), at(j, kR), one_.at(j));
      if (j < 1) continue;
      if (j <= s_.ny)
        rows::gather(l_->row(0, j - 1, 0), around(one_, j - 1), coarse_.below(0).row(j - 1));
      coarse_.below(0).done(j - 1, coarse_.rhs(1));
    }
  }
  // The second half, but for colour 0; returns the sum of r z.
  double ascend() {
    double sum = 0;
    for (int j = 0; j <= s_.ny; ++j) {
      if (j < s_.ny) coarse_.above(0).row(j, coarse_.x(1), false, zero_.at(j));
      if (j < 1) continue;
      rows::solve_between(l_->row(0, j - 1, 1), l_->inverse(0, j - 1, 1), around(zero_, j - 1),
                          at(j - 1, kR), at(j - 1, kZ));
      sum += rows::dot(s_.strip(), at(j - 1, kR), at(j - 1, kZ));
    }
    return sum;
  }
  // x += alpha p, p = z + beta p, ap = A p; returns the sum of p ap.
  double turn(double beta) {
    double sum = 0;
    for (int j = 0; j < s_.ny + 2; ++j) {
      if (j < s_.ny)
        rows::turn(s_.strip(), alpha_, static_cast<float>(beta), at(j, kZ), at(j, kP), at(j, kE));
      if (j >= 1 && j <= s_.ny)
        rows::solve_between(l_->row(0, j - 1, 0), l_->inverse(0, j - 1, 0), around(v_, j - 1, kP),
                            zero_.at(j - 1));
      if (j >= 2)
        sum +=
            rows::apply(l_->row(0, j - 2, 1), around(zero_, j - 2), at(j - 2, kP), at(j - 2, kAp));
    }
    return sum;
  }

  const ColumnGrid& grid_;
  const RatioLevels* l_ = nullptr;
  const Shape& s_;
  const double* rhs_ = nullptr;
  EdgeLoad edge_;
  rows::Coarse coarse_;
  Window<float> zero_, one_;  // rows of colour 0 and colour 1 in passing
  Strips<float> v_;
  Strips<double> x_;
  double rho_ = 0;
  float alpha_ = 0;
  bool summed_ = false;  // x_ is that of this right-hand side
};

struct Outcome {
  int iterations = 0;
  double residual_per_volume = std::numeric_limits<double>::infinity();
};

/// What is asked of every right-hand side.
struct Aim {
  double tolerance;
  int levels;
  std::stop_token stop;
};

Outcome solved(Gradients& gradients, const RatioLevels& matrix, const std::vector<double>& rhs,
               const EdgeValues* edge, const Aim& asked, std::vector<double>& l) {
  Outcome out;
  const double aim = kMargin * asked.tolerance;
  double first = gradients.begin(matrix, rhs, edge);
  for (bool in_float = aim >= kFloatGain * first;;) {
    const double enough = in_float ? aim : std::max(aim, kMostGain * first);
    double left = first;
    for (; left >= enough; ++out.iterations) {
      if (asked.stop.stop_requested() || out.iterations == kMostIterations) return out;
      left = gradients.iterate();
    }
    const bool last = left < aim;
    if (last && in_float) {
      in_float = false;
      first = out.residual_per_volume = gradients.settle(l, asked.levels);
      if (first < asked.tolerance) return out;
      continue;
    }
    in_float = false;
    first = gradients.residual(last ? &l : nullptr, asked.levels);
    if (last) out.residual_per_volume = first;
    if (last && first < asked.tolerance) return out;
  }
}

}  // namespace

double ColumnGrid::node_volume(int i, int j, int k) const {
  const size_t n = static_cast<size_t>(k);
  const double below = k > 0 ? level[n] - level[n - 1] : 0;
  const double above = k + 1 < nz() ? level[n + 1] - level[n] : 0;
  return spacing_m * spacing_m * cells_x(i) * cells_y(j) / 4 * depth(i, j) * (below + above) / 2;
}

int halvings_for(int least_intervals, int coarsest) {
  int halvings = 0;
  while ((least_intervals >> (halvings + 1)) >= coarsest) ++halvings;
  return halvings;
}

int padded_intervals(int least, int halvings) {
  const int step = 1 << halvings;
  return (std::max(least, 4) + step - 1) / step * step;
}

struct ColumnSolver::Parts {
  explicit Parts(const ColumnGrid& g) : grid(g), ground(g) {}

  const ColumnGrid grid;
  ColumnLevels ground;
  std::vector<RatioLevels> ratios;
  Shelf<Gradients, 8> idle;  // as many as work at once, on most machines

  std::unique_ptr<Gradients> take() {
    auto kept = idle.take();
    return kept ? std::move(kept) : std::make_unique<Gradients>(grid, ratios.front());
  }
};

ColumnSolver::ColumnSolver(const ColumnGrid& grid)
    : ColumnSolver(grid, std::vector<double>{grid.ratio}) {}

ColumnSolver::ColumnSolver(const ColumnGrid& grid, const std::vector<double>& ratios) {
  assert(grid.nx >= 9 && grid.ny >= 9 && grid.nx % 2 == 1 && grid.ny % 2 == 1);
  assert(grid.nz() >= 3 && !ratios.empty());
  assert(grid.open_x || grid.open_y || grid.open_top);
  assert(grid.ground_m.size() == static_cast<size_t>(grid.nx) * static_cast<size_t>(grid.ny));
  parts_ = std::make_unique<Parts>(grid);
  for (const double ratio : ratios) parts_->ratios.emplace_back(parts_->ground, grid, ratio);
}

ColumnSolver::~ColumnSolver() = default;
ColumnSolver::ColumnSolver(ColumnSolver&&) noexcept = default;
ColumnSolver& ColumnSolver::operator=(ColumnSolver&&) noexcept = default;

Result<std::vector<ColumnSolution>> ColumnSolver::solve_each(
    const std::array<std::vector<double>, 2>& rhs, double tolerance, std::stop_token stop) const {
  std::vector<ColumnSolution> out;
  if (Status done = solve_into(rhs, {}, tolerance, parts_->grid.nz(), out, std::move(stop)); !done)
    return std::move(done).error();
  return out;
}

Status ColumnSolver::solve_into(const std::array<std::vector<double>, 2>& rhs,
                                const std::vector<std::array<EdgeValues, 2>>& edges,
                                double tolerance, int levels, std::vector<ColumnSolution>& out,
                                std::stop_token stop) const {
  Parts& p = *parts_;
  const Aim aim{tolerance, levels, stop};
  assert(rhs[0].size() == p.grid.node_count() && rhs[1].size() == rhs[0].size());
  out.resize(p.ratios.size());
  for (ColumnSolution& one : out)
    for (auto& l : one.l)
      if (l.size() != p.grid.node_count()) l = large_vector<double>(p.grid.node_count());
  std::vector<std::array<Outcome, 2>> of(p.ratios.size());
  for_each_index(static_cast<int>(2 * p.ratios.size()), [&](int n) {
    const size_t ratio = static_cast<size_t>(n) / 2, side = static_cast<size_t>(n) % 2;
    auto gradients = p.take();
    of[ratio][side] =
        solved(*gradients, p.ratios[ratio], rhs[side],
               edges.empty() ? nullptr : &edges[ratio][side], aim, out[ratio].l[side]);
    p.idle.give_back(std::move(gradients));
  });
  if (stop.stop_requested()) return fail(ErrorCode::cancelled, "the wind solve was cancelled");
  for (size_t ratio = 0; ratio < out.size(); ++ratio) {
    out[ratio].iterations = 0, out[ratio].residual_per_volume = 0;
    for (const Outcome& one : of[ratio]) {
      out[ratio].iterations = std::max(out[ratio].iterations, one.iterations);
      out[ratio].residual_per_volume =
          std::max(out[ratio].residual_per_volume, one.residual_per_volume);
      if (!(one.residual_per_volume < tolerance))
        return fail(ErrorCode::internal, "the wind over this ground did not settle");
    }
  }
  return ok();
}

Result<ColumnSolution> ColumnSolver::solve(const std::array<std::vector<double>, 2>& rhs,
                                           double tolerance, std::stop_token stop) const {
  auto out = solve_each(rhs, tolerance, stop);
  if (!out) return std::move(out).error();
  return std::move(out->front());
}

}  // namespace leeward::compute
