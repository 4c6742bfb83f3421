#include "core/compute/circulation.h"

#include <algorithm>
#include <cmath>

namespace leeward::compute {
namespace {

// The net of open cells that reach a sink: conductances to the four next neighbours of each cell.
class Net {
 public:
  explicit Net(const CirculationQuery& query)
      : query_(query), spec_(query.resistance.spec), conductance_(spec_.size()) {
    for (std::size_t i = 0; i < spec_.size(); ++i)
      for (int n = 0; n < 4; ++n) conductance_[i][static_cast<std::size_t>(n)] = joined(i, n);
    reach();
  }

  bool inside(std::size_t cell) const { return inside_[cell] && !grounded_[cell]; }
  bool reached(std::size_t cell) const { return inside_[cell] != 0; }

  double diagonal(std::size_t i) const { return diagonal_[i]; }

  // out = L v over the cells that are not grounded; v is 0 at the others.
  void apply(const std::vector<double>& v, std::vector<double>& out) const {
    std::fill(out.begin(), out.end(), 0.0);
    each_edge([&](std::size_t a, std::size_t b, double g) {
      const double flow = g * (v[a] - v[b]);
      out[a] += flow;
      out[b] -= flow;
    });
    for (std::size_t i = 0; i < out.size(); ++i)
      if (!inside(i)) out[i] = 0;
  }

  template <class Visit>
  void each_edge(Visit visit) const {
    for (std::size_t i = 0; i < spec_.size(); ++i) {
      if (!inside_[i]) continue;
      for (std::size_t n = 0; n < 4; ++n)
        if (conductance_[i][n] > 0) visit(i, other(i, static_cast<int>(n)), conductance_[i][n]);
    }
  }

  static double joined(const CirculationQuery& query, std::size_t i, int n) {
    const GridSpec& g = query.resistance.spec;
    const auto step = kNext[static_cast<std::size_t>(n)];
    const bool diagonal = step[0] != 0 && step[1] != 0;
    if (diagonal && !query.diagonal) return 0;
    const int c = static_cast<int>(i % static_cast<std::size_t>(g.cols)),
              r = static_cast<int>(i / static_cast<std::size_t>(g.cols));
    if (!g.has(c + step[0], r + step[1])) return 0;
    const double open =
        query.open.empty() ? 1 : static_cast<double>(query.open[i][static_cast<std::size_t>(n)]);
    const double mean = (static_cast<double>(query.resistance.cells[i]) +
                         static_cast<double>(query.resistance.at(c + step[0], r + step[1]))) /
                        2;
    if (!std::isfinite(mean)) return 0;
    return open / (mean * (diagonal ? std::sqrt(2.0) : 1.0));
  }

 private:
  double joined(std::size_t i, int n) const { return joined(query_, i, n); }
  std::size_t other(std::size_t i, int n) const {
    const auto step = kNext[static_cast<std::size_t>(n)];
    return i + static_cast<std::size_t>(step[1] * spec_.cols + step[0]);
  }

  // What the sinks reach, breadth first.
  void reach() {
    inside_.assign(spec_.size(), 0);
    grounded_.assign(spec_.size(), 0);
    diagonal_.assign(spec_.size(), 0.0);
    std::vector<std::size_t> queue;
    for (const std::size_t s : query_.sinks) {
      if (!std::isfinite(query_.resistance.cells[s]) || inside_[s]) continue;
      inside_[s] = grounded_[s] = 1;
      queue.push_back(s);
    }
    const auto offer = [&](std::size_t i) {
      if (!inside_[i]) inside_[i] = 1, queue.push_back(i);
    };
    for (std::size_t k = 0; k < queue.size(); ++k) {
      const std::size_t i = queue[k];
      for (int n = 0; n < 4; ++n) {
        const std::size_t lane = static_cast<std::size_t>(n);
        if (conductance_[i][lane] > 0) offer(other(i, n));
        const auto step = kNext[lane];
        const int c = static_cast<int>(i % static_cast<std::size_t>(spec_.cols)) - step[0],
                  r = static_cast<int>(i / static_cast<std::size_t>(spec_.cols)) - step[1];
        if (!spec_.has(c, r)) continue;
        const std::size_t before = spec_.index(c, r);
        if (conductance_[before][lane] > 0) offer(before);
      }
    }
    each_edge([&](std::size_t a, std::size_t b, double g) {
      diagonal_[a] += g;
      diagonal_[b] += g;
    });
  }

  const CirculationQuery& query_;
  GridSpec spec_;
  std::vector<std::array<double, 4>> conductance_;
  std::vector<std::uint8_t> inside_, grounded_;
  std::vector<double> diagonal_;
};

double dot(const std::vector<double>& a, const std::vector<double>& b) {
  double sum = 0;
  for (std::size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
  return sum;
}

// Conjugate gradients, preconditioned by the diagonal.
Status solve(const Net& net, const std::vector<double>& entering, std::vector<double>& v,
             std::stop_token stop) {
  const std::size_t n = entering.size();
  std::vector<double> r = entering, z(n, 0.0), p(n, 0.0), ap(n, 0.0);
  const double enough = 1e-18 * dot(entering, entering);
  double rz = 0;
  for (std::size_t step = 0; step < 4 * n && dot(r, r) > enough; ++step) {
    if (stop.stop_requested()) return fail(ErrorCode::cancelled, "cancelled");
    for (std::size_t i = 0; i < n; ++i) z[i] = net.inside(i) ? r[i] / net.diagonal(i) : 0;
    const double next = dot(r, z), beta = step == 0 ? 0 : next / rz;
    rz = next;
    for (std::size_t i = 0; i < n; ++i) p[i] = z[i] + beta * p[i];
    net.apply(p, ap);
    const double alpha = rz / dot(p, ap);
    for (std::size_t i = 0; i < n; ++i) {
      v[i] += alpha * p[i];
      r[i] -= alpha * ap[i];
    }
  }
  return ok();
}

}  // namespace

double Circulation::to_next(const CirculationQuery& query, std::size_t cell, int n) const {
  const auto step = kNext[static_cast<std::size_t>(n)];
  const double g = Net::joined(query, cell, n);
  if (g <= 0) return 0;
  const std::size_t other =
      cell + static_cast<std::size_t>(step[1] * query.resistance.spec.cols + step[0]);
  return g * (potential[cell] - potential[other]);
}

Result<Circulation> circulation(const CirculationQuery& query, std::stop_token stop) {
  const Net net(query);
  const std::size_t n = query.resistance.cells.size();
  Circulation out;
  out.potential.assign(n, 0.0);
  out.current = Raster<float>(query.resistance.spec, 0.0F);
  std::vector<double> entering(n, 0.0), at_cell(n, 0.0), leaving(n, 0.0);
  for (const auto& [cell, current] : query.sources) {
    if (!net.reached(cell)) continue;
    out.entered += current;
    at_cell[cell] += current;
    if (net.inside(cell)) {
      entering[cell] += current;
    } else {
      at_cell[cell] += current;  // enters and leaves again
    }
  }
  if (Status solved = solve(net, entering, out.potential, stop); !solved)
    return std::move(solved.error());
  net.each_edge([&](std::size_t a, std::size_t b, double g) {
    const double flow = g * (out.potential[a] - out.potential[b]);
    at_cell[a] += std::abs(flow);
    at_cell[b] += std::abs(flow);
    if (!net.inside(a)) leaving[a] -= flow;
    if (!net.inside(b)) leaving[b] += flow;
  });
  for (std::size_t i = 0; i < n; ++i)
    out.current.cells[i] = static_cast<float>((at_cell[i] + leaving[i]) / 2);
  return out;
}

}  // namespace leeward::compute
