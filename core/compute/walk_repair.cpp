// A field of costs made right where the ground or the hazard has changed (Ramalingam & Reps 1996,
// J. Algorithms 21, 267: dynamic shortest paths, from memory): what no longer holds is found and
// taken out, then the search goes on from around it and from what has become cheaper.
#include "core/compute/walk_search.h"
#include "core/compute/walk_steps.h"

#include <queue>

#include <cmath>
#include <cstring>
#include <functional>

namespace leeward::compute {
namespace {

using steps::StepPrice;

constexpr float kInf = std::numeric_limits<float>::infinity();
// Shares of the cells beyond which a new search is as quick.
constexpr size_t kMostChanged = 64, kMostAsked = 16;

class Repair {
 public:
  Repair(const WalkGraph& graph, const CostQuery& query, CostField& field)
      : g_(graph),
        q_(query),
        price_(graph, query.hazard_per_min, query.weight_s, query.toward_starts),
        cost_(field.cost),
        touched_(graph.spec.size(), 0),
        lost_(graph.spec.size(), 0) {
    for (const Step s : steps::lanes(g_.directions))
      offset_.push_back(s.dr * std::ptrdiff_t{g_.spec.cols} + s.dc);
    for (const size_t start : q_.starts) touched_[start] |= kStart;
  }

  /// Cells whose steps may differ from those of the field `before`; false: too many.
  bool find_touched(const FieldBefore& before) {
    const size_t cols = static_cast<size_t>(g_.spec.cols);
    std::vector<std::uint32_t> changed;
    for (size_t row = 0; row < g_.spec.size(); row += cols) {
      if (same_cells(before, row, cols)) continue;
      for (size_t cell = row; cell < row + cols; ++cell)
        if (!same_cell(before, cell)) changed.push_back(static_cast<std::uint32_t>(cell));
      if (changed.size() > g_.spec.size() / kMostChanged) return false;
    }
    for (const std::uint32_t cell : changed)
      touch_around(static_cast<int>(cell % cols), static_cast<int>(cell / cols));
    return true;
  }
  /// Cells that no way of their cost leads to any more; false: too many. Asked in the order of
  /// their costs, each once: what a cell rests on is settled before it.
  bool find_lost() {
    using Asked = std::pair<float, std::uint32_t>;
    std::priority_queue<Asked, std::vector<Asked>, std::greater<>> asked;
    for (const std::uint32_t cell : around_)
      if (cost_[cell] < kInf) asked.emplace(cost_[cell], cell);
    for (size_t count = 0; !asked.empty();) {
      const auto [cost, cell] = asked.top();
      asked.pop();
      if (++count > g_.spec.size() / kMostAsked) return false;
      if (holds(cell, cost)) continue;
      lost_[cell] = 1;
      lost_cells_.push_back(cell);
      for (std::uint32_t bits = g_.steps[cell]; bits != 0; bits &= bits - 1) {
        const auto to =
            static_cast<std::uint32_t>(cell + offset_[static_cast<size_t>(std::countr_zero(bits))]);
        if (!(cost_[to] > cost) || !(cost_[to] < kInf) || (touched_[to] & kAsked) != 0) continue;
        touched_[to] |= kAsked;
        asked.emplace(cost_[to], to);
      }
    }
    return true;
  }
  /// Labels what is lost or has become cheaper from what holds, and makes the costs ready.
  std::vector<std::uint32_t> label() {
    std::vector<std::pair<std::uint32_t, float>> found;
    const auto look = [&](std::uint32_t cell, float known) {
      if (const float best = best_way_to(cell); best < known) found.emplace_back(cell, best);
    };
    for (const std::uint32_t cell : lost_cells_) look(cell, kInf);
    for (const std::uint32_t cell : around_)
      if (!lost_[cell]) look(cell, cost_[cell]);
    for (float& one : cost_) one = -one;
    for (const std::uint32_t cell : lost_cells_) cost_[cell] = kInf;
    std::vector<std::uint32_t> out;
    for (const auto& [cell, cost] : found) {
      cost_[cell] = cost;
      out.push_back(cell);
    }
    return out;
  }

 private:
  enum : std::uint8_t { kAround = 1, kAsked = 2, kStart = 4 };

  template <class T>
  static bool same(const T* a, const T* b, size_t count) {
    return std::memcmp(a, b, count * sizeof(T)) == 0;
  }
  bool same_cells(const FieldBefore& before, size_t at, size_t count) const {
    return same(&g_.slowness[at], &before.graph.slowness[at], count) &&
           same(&g_.steps[at], &before.graph.steps[at], count) &&
           same(&g_.ground_m.cells[at], &before.graph.ground_m.cells[at], count) &&
           (!price_.weighted() ||
            same(q_.hazard_per_min->data() + at, before.hazard_per_min->data() + at, count));
  }
  bool same_cell(const FieldBefore& before, size_t cell) const {
    const auto differ = [](float a, float b) {
      return std::bit_cast<std::uint32_t>(a) ^ std::bit_cast<std::uint32_t>(b);
    };
    std::uint32_t out = differ(g_.slowness[cell], before.graph.slowness[cell]) |
                        differ(g_.ground_m.cells[cell], before.graph.ground_m.cells[cell]) |
                        static_cast<std::uint32_t>(g_.steps[cell] ^ before.graph.steps[cell]);
    if (price_.weighted())
      out |= differ((*q_.hazard_per_min)[cell], (*before.hazard_per_min)[cell]);
    return out == 0;
  }
  void touch_around(int col, int row) {
    constexpr int kReach = 2;  // of a step; a knight's move rests on the cells between as well
    for (int r = std::max(0, row - kReach); r <= std::min(g_.spec.rows - 1, row + kReach); ++r)
      for (int c = std::max(0, col - kReach); c <= std::min(g_.spec.cols - 1, col + kReach); ++c) {
        const size_t cell = g_.spec.index(c, r);
        if ((touched_[cell] & kAround) != 0) continue;
        touched_[cell] |= kAround | kAsked;
        around_.push_back(static_cast<std::uint32_t>(cell));
      }
  }
  /// Calls visit(cost after the step) for each step from a cell that holds and costs less than
  /// `below()`, until visit() is false.
  template <class Below, class Visit>
  void each_way_to(std::uint32_t cell, Below below, Visit visit) const {
    const int cols = g_.spec.cols, col = static_cast<int>(cell) % cols,
              row = static_cast<int>(cell) / cols;
    const auto& lanes = steps::lanes(g_.directions);
    for (int lane = 0; lane < 16; ++lane) {
      const Step s = lanes[static_cast<size_t>(lane)];
      if (steps::idle(s) || !g_.spec.has(col - s.dc, row - s.dr)) continue;
      const auto from = static_cast<size_t>(static_cast<std::ptrdiff_t>(cell) -
                                            offset_[static_cast<size_t>(lane)]);
      if (!(cost_[from] < below()) || (g_.steps[from] >> lane & 1U) == 0 || lost_[from]) continue;
      if (!visit(StepPrice::after(cost_[from], price_(from, cell, lane)))) return;
    }
  }
  bool is_open_start(std::uint32_t cell) const {
    return (touched_[cell] & kStart) != 0 && g_.open(cell);
  }
  /// Whether a way of no more than that leads there.
  bool holds(std::uint32_t cell, float cost) const {
    bool out = is_open_start(cell);
    if (!out)
      each_way_to(
          cell, [&] { return cost; }, [&](float c) { return !(out = c <= cost); });
    return out;
  }
  float best_way_to(std::uint32_t cell) const {
    float best = is_open_start(cell) ? 0 : kInf;
    each_way_to(
        cell, [&] { return best; }, [&](float c) { return best = std::min(best, c), true; });
    return best;
  }

  const WalkGraph& g_;
  const CostQuery& q_;
  StepPrice price_;
  std::vector<float>& cost_;
  std::vector<std::ptrdiff_t> offset_;
  std::vector<std::uint8_t> touched_, lost_;
  std::vector<std::uint32_t> around_, lost_cells_;
};

}  // namespace

Result<CostField> cheapest_ways_again(const WalkGraph& graph, const CostQuery& query,
                                      const FieldBefore& before, std::stop_token stop) {
  if (!graph.spec.empty()) {
    CostField out = before.field;
    Repair repair(graph, query, out);
    if (repair.find_touched(before) && repair.find_lost()) {
      if (!search_on(graph, query, repair.label(), out.cost, stop))
        return fail(ErrorCode::cancelled, "cancelled");
      return out;
    }
  }
  return cheapest_ways(graph, query, std::move(stop));
}

}  // namespace leeward::compute
