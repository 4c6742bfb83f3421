// The search behind cheapest_ways(). A share owns strips of rows: it alone reads and writes their
// costs while a round runs. Within a share the cells of a bucket are taken four at a time, all
// steps of a cell at once; only cells near the edge of a strip or of the grid are taken step by
// step. The sign of a cost tells that its label has been passed on to the neighbours.
#include "core/base/parallel.h"
#include "core/compute/cost_buckets.h"
#include "core/compute/walk_search.h"
#include "core/compute/walk_steps.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <memory>
#include <utility>

namespace leeward::compute {
namespace {

using steps::Floats;
using steps::Ints;
using steps::StepPrice;

constexpr float kInf = std::numeric_limits<float>::infinity();
constexpr float kLastBucket = 2147483392.0F;  // the largest float below 2^31

struct Mail {
  std::uint32_t cell;
  float cost;
};

// Which share owns a row: strips of 2^log_rows rows are dealt out in turn.
struct Deal {
  int shares = 1, log_rows = 30;
  std::uint64_t per_col = 0;  // 2^44 / columns, rounded up
  std::uint32_t row_of(std::uint32_t cell) const {
    return static_cast<std::uint32_t>((cell * per_col) >> 44);
  }
  int owner(std::uint32_t row) const {
    return static_cast<int>((row >> log_rows) % static_cast<std::uint32_t>(shares));
  }
  // Whether all that the lanes load lies in the same strip: rows within `reach`, and one more, as a
  // load at the end of a row runs into the next.
  bool inner(std::uint32_t row, std::uint32_t reach) const {
    const std::uint32_t rows = 1U << log_rows, margin = reach + 1;
    return (row & (rows - 1)) - margin < rows - 2 * margin;
  }
};

// What all shares read.
struct Search {
  const WalkGraph& graph;
  StepPrice price;
  const StepTimes* times;
  float* cost;
  Deal deal;
  float per_bucket;  // 1 / width
  std::int32_t bucket_of(float c) const {
    return static_cast<std::int32_t>(std::min(c * per_bucket, kLastBucket));
  }
};

class Share {
 public:
  explicit Share(const Search& search)
      : s_(search), posted_(static_cast<size_t>(search.deal.shares)) {}
  virtual ~Share() = default;

  /// A cell that has its label.
  void hold(std::uint32_t cell) { label(cell, s_.cost[cell]); }
  void round(std::int32_t bucket, const std::vector<std::unique_ptr<Share>>& all, size_t self) {
    buckets_.go_to(bucket, [&](std::uint32_t cell) {
      const float c = s_.cost[cell];
      return std::signbit(c) ? CostBuckets::kNone : s_.bucket_of(c);
    });
    for (const auto& other : all) {
      for (const Mail& m : other->delivered_[self])
        if (m.cost < std::abs(s_.cost[m.cell])) label(m.cell, m.cost);
    }
    while (buckets_.take(batch_)) {
      pick();
      for (const std::uint32_t cell : rim_) relax_rim(cell);
      relax(batch_.data(), batch_.size());
    }
  }
  // Between rounds: what was posted is delivered next.
  void turn() {
    delivered_.swap(posted_);
    posted_.resize(delivered_.size());
    for (auto& m : posted_) m.clear();
    delivered_first_ = std::exchange(posted_first_, CostBuckets::kNone);
  }
  std::int32_t first() const { return std::min(buckets_.first(), delivered_first_); }

 protected:
  virtual void relax(const std::uint32_t* cells, size_t count) = 0;

  void label(std::uint32_t cell, float cost) {
    s_.cost[cell] = cost;
    buckets_.push(s_.bucket_of(cost), cell);
  }

  const Search& s_;
  CostBuckets buckets_;

 private:
  // Keeps the cells of the batch whose label is new, marks them, and parts those of the rim.
  void pick() {
    const steps::LaneCells inside(s_.graph);
    const std::uint32_t reach = s_.graph.directions == 8 ? 1 : 2;
    const bool alone = s_.deal.shares == 1;
    constexpr size_t kAhead = 12;
    const size_t count = batch_.size();
    rim_.resize(count);
    size_t kept = 0, rim = 0;
    for (size_t i = 0; i < count; ++i) {
      const std::uint32_t ahead = batch_[std::min(i + kAhead, count - 1)];
      __builtin_prefetch(&s_.cost[ahead], 1);
      if (s_.times) __builtin_prefetch(s_.times->of(ahead), 0, 2);  // comes from far
      const std::uint32_t cell = batch_[i];
      float& cost = s_.cost[cell];
      const bool fresh = !std::signbit(cost);
      cost = -std::abs(cost);
      const bool inner = inside.has(cell) && (alone || s_.deal.inner(s_.deal.row_of(cell), reach));
      batch_[kept] = cell;
      rim_[rim] = cell;
      kept += fresh && inner;
      rim += fresh && !inner;
    }
    batch_.resize(kept);
    rim_.resize(rim);
  }

  void relax_rim(std::uint32_t cell) {
    const auto& lanes = steps::lanes(s_.graph.directions);
    const std::ptrdiff_t cols = s_.graph.spec.cols;
    const float cost = std::abs(s_.cost[cell]);
    const std::uint32_t row = s_.deal.row_of(cell);
    const int mine = s_.deal.owner(row);
    for (std::uint32_t bits = s_.graph.steps[cell]; bits != 0; bits &= bits - 1) {
      const int lane = std::countr_zero(bits);
      const Step step = lanes[static_cast<size_t>(lane)];
      const auto to = static_cast<std::uint32_t>(cell + step.dr * cols + step.dc);
      const float next = StepPrice::after(cost, s_.price(cell, to, lane));
      const int owner = s_.deal.owner(row + static_cast<std::uint32_t>(step.dr));
      if (owner != mine) {
        posted_[static_cast<size_t>(owner)].push_back({to, next});
        posted_first_ = std::min(posted_first_, s_.bucket_of(next));
      } else if (next < std::abs(s_.cost[to])) {
        label(to, next);
      }
    }
  }

  std::vector<std::uint32_t> batch_, rim_;
  std::vector<std::vector<Mail>> posted_, delivered_{posted_};  // by the share it goes to
  std::int32_t delivered_first_ = CostBuckets::kNone, posted_first_ = CostBuckets::kNone;
};

// L: the lanes of the steps. Times: where their times come from. Weighted: hazard counts.
template <class L, class Times, bool Weighted>
class LaneShare final : public Share {
 public:
  LaneShare(const Search& s, const Times& times)
      : Share(s), cols_(s.graph.spec.cols), times_(times) {
    for (size_t k = 0; k < offset_.size(); ++k)
      offset_[k] = static_cast<std::int32_t>(L::kLanes[k].dr * cols_ + L::kLanes[k].dc);
  }

 private:
  static constexpr size_t kTogether = 4;  // cells, so that their 64 steps are the bits of a word

  void relax(const std::uint32_t* cells, size_t count) override {
    constexpr size_t kAhead = 6;
    for (size_t i = 0; i < count; i += kTogether) {
      const size_t together = std::min(kTogether, count - i);
      std::uint64_t better = 0;
      for (size_t t = 0; t < together; ++t) {
        prefetch(cells[std::min(i + t + kAhead, count - 1)]);
        better |= std::uint64_t{try_all(cells[i + t], t)} << (16 * t);
      }
      for (; better != 0; better &= better - 1) {
        const auto k = static_cast<size_t>(std::countr_zero(better));
        const auto to = static_cast<std::uint32_t>(static_cast<std::int32_t>(cells[i + k / 16]) +
                                                   offset_[k % 16]);
        if (!(next_[k] < std::abs(s_.cost[to]))) continue;  // another of the four was better
        s_.cost[to] = next_[k];
        buckets_.push(bucket_[k], to);
      }
    }
  }

  void prefetch(std::uint32_t cell) const {
    const auto rows = [&](const float* at) {
      for (std::ptrdiff_t r = -L::kReach; r <= L::kReach; ++r) __builtin_prefetch(at + r * cols_);
    };
    rows(s_.cost + cell);
    if constexpr (Weighted) rows(s_.price.hazard() + cell);
    times_.prefetch(cell);
    __builtin_prefetch(&s_.graph.steps[cell]);
  }

  // One bit for each step that betters the cell it leads to; costs and buckets into row t.
  std::uint32_t try_all(std::uint32_t cell, size_t t) {
    const float cost = std::abs(s_.cost[cell]);
    const float least = StepPrice::after(cost, 0);
    Floats old[L::kRows], price[L::kRows];
    L::gather(s_.cost + cell, cols_, old);
    prices(cell, price);
    Ints less[4] = {};
    for (int r = 0; r < L::kRows; ++r) {
      const Floats next = steps::larger(cost + price[r], Floats{} + least);
      const Floats bucket = steps::smaller(next * s_.per_bucket, Floats{} + kLastBucket);
      store(&next_[16 * t + 4 * static_cast<size_t>(r)], next);
      store(&bucket_[16 * t + 4 * static_cast<size_t>(r)], __builtin_convertvector(bucket, Ints));
      less[r] = next < steps::magnitude(old[r]);
    }
    return steps::flags(less[0], less[1], less[2], less[3]) & s_.graph.steps[cell];
  }

  void prices(std::uint32_t cell, Floats (&price)[L::kRows]) const {
    times_(cell, price);
    if constexpr (Weighted) {
      const float* hazard = s_.price.hazard();
      Floats at[L::kRows];
      L::gather(hazard + cell, cols_, at);
      for (int r = 0; r < L::kRows; ++r)
        price[r] *= 1 + s_.price.half_weight() * (hazard[cell] + at[r]);
    }
  }

  template <class T, class V>
  static void store(T* to, V from) {
    std::memcpy(to, &from, sizeof from);
  }

  std::ptrdiff_t cols_;
  Times times_;
  std::array<std::int32_t, 16> offset_{};
  alignas(16) std::array<float, 16 * kTogether> next_{};
  alignas(16) std::array<std::int32_t, 16 * kTogether> bucket_{};
};

template <class L, class Times>
std::unique_ptr<Share> make_share(const Search& s, const Times& times) {
  if (s.price.weighted()) return std::make_unique<LaneShare<L, Times, true>>(s, times);
  return std::make_unique<LaneShare<L, Times, false>>(s, times);
}

template <class L>
std::unique_ptr<Share> make_share(const Search& s) {
  if (s.times) return make_share<L>(s, steps::HeldTimes<L>(*s.times));
  if (s.graph.level) return make_share<L>(s, steps::LaneTimes<L, false>(s.graph, s.price));
  return make_share<L>(s, steps::LaneTimes<L, true>(s.graph, s.price));
}

Deal deal_rows(const GridSpec& g, int asked) {
  Deal out;
  out.per_col = (std::uint64_t{1} << 44) / static_cast<std::uint64_t>(g.cols) + 1;
  out.shares = asked > 0 ? asked : 1;
  if (asked == 0 && g.size() > 250'000) out.shares = std::clamp(core_count(), 1, 4);
  if (out.shares > 1) out.log_rows = 6;
  return out;
}

// As wide as a step over ground of the harmonic mean price: then few cells are passed on twice.
double bucket_width(const Search& s) {
  double speed = 0;
  size_t count = 0;
  const float level = s.graph.pace.at(0);
  for (size_t i = 0; i < s.graph.slowness.size(); i += 61) {
    if (!s.graph.open(i)) continue;
    float price = s.graph.slowness[i] * level;
    if (s.price.weighted()) price *= 1 + 2 * s.price.half_weight() * s.price.hazard()[i];
    speed += 1.0 / static_cast<double>(price);
    ++count;
  }
  return speed > 0 ? s.graph.spec.cell_m * static_cast<double>(count) / speed : 1;
}

}  // namespace

bool search_on(const WalkGraph& graph, const CostQuery& query,
               const std::vector<std::uint32_t>& labelled, std::vector<float>& cost,
               const std::stop_token& stop) {
  Search search{graph,
                StepPrice(graph, query.hazard_per_min, query.weight_s, query.toward_starts),
                query.times,
                cost.data(),
                deal_rows(graph.spec, query.shares),
                1};
  search.per_bucket = static_cast<float>(1 / bucket_width(search));
  std::vector<std::unique_ptr<Share>> shares;
  for (int k = 0; k < search.deal.shares; ++k)
    shares.push_back(graph.directions == 8 ? make_share<steps::Eight>(search)
                                           : make_share<steps::Sixteen>(search));
  for (const std::uint32_t cell : labelled)
    shares[static_cast<size_t>(search.deal.owner(search.deal.row_of(cell)))]->hold(cell);
  std::int32_t bucket = 0;
  for_each_round(
      search.deal.shares,
      [&](int k) { shares[static_cast<size_t>(k)]->round(bucket, shares, static_cast<size_t>(k)); },
      [&] {
        bucket = CostBuckets::kNone;
        for (const auto& share : shares) {
          share->turn();
          bucket = std::min(bucket, share->first());
        }
        return bucket != CostBuckets::kNone && !stop.stop_requested();
      });
  if (stop.stop_requested()) return false;
  for (float& one : cost) one = std::abs(one);
  return true;
}

Result<CostField> cheapest_ways(const WalkGraph& graph, const CostQuery& query,
                                std::stop_token stop) {
  CostField out{graph.spec, std::vector<float>(graph.spec.size(), kInf), query.weight_s,
                query.toward_starts};
  if (graph.spec.empty()) return out;
  std::vector<std::uint32_t> labelled;
  for (const size_t start : query.starts) {
    if (!graph.open(start)) continue;
    labelled.push_back(static_cast<std::uint32_t>(start));
    out.cost[start] = 0;
  }
  if (!search_on(graph, query, labelled, out.cost, stop))
    return fail(ErrorCode::cancelled, "cancelled");
  return out;
}

std::vector<std::size_t> trace_way(const WalkGraph& graph, const CostField& field,
                                   const std::vector<float>* hazard_per_min, std::size_t cell) {
  std::vector<std::size_t> cells;
  if (cell >= field.cost.size() || !std::isfinite(field.cost[cell])) return cells;
  const StepPrice price(graph, hazard_per_min, field.weight_s, field.toward_starts);
  cells.push_back(cell);
  struct Back {
    std::ptrdiff_t offset;
    int here, there;  // lanes of the step from there to here, and of its way back
  };
  std::vector<Back> backs;
  for (int d = 0; d < kDirections; ++d) {
    const Step s = kSteps[static_cast<size_t>(d)];
    if (const int lane = graph.lane(d); lane >= 0)
      backs.push_back(
          {s.dr * std::ptrdiff_t{graph.spec.cols} + s.dc, graph.lane(opposite(d)), lane});
  }
  while (field.cost[cell] > 0) {
    size_t best = cell;
    float best_cost = kInf;
    for (const Back& b : backs) {
      if ((graph.steps[cell] >> b.there & 1U) == 0) continue;
      const auto from = static_cast<size_t>(static_cast<std::ptrdiff_t>(cell) + b.offset);
      if (!(field.cost[from] < field.cost[cell])) continue;
      const float cost = StepPrice::after(field.cost[from], price(from, cell, b.here));
      if (cost < best_cost) best_cost = cost, best = from;
      if (cost <= field.cost[cell]) break;  // none is better than the search found
    }
    if (best == cell) return {};
    cell = best;
    cells.push_back(cell);
  }
  if (!field.toward_starts) std::reverse(cells.begin(), cells.end());
  return cells;
}

}  // namespace leeward::compute
