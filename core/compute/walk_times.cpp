#include "core/compute/walk_times.h"

#include "core/base/parallel.h"
#include "core/compute/walk_steps.h"

#include <algorithm>
#include <cstring>

namespace leeward::compute {

static constexpr int kReach = 2;  // cells, of what a step's time rests on

// The times of the cells from `first` up to `end`, each to its line.
template <class L, bool Sloped>
static void fill_cells(const WalkGraph& graph, const steps::StepPrice& price, std::uint32_t first,
                       std::uint32_t end, float* line) {
  const steps::LaneTimes<L, Sloped> times(graph, price);
  const steps::LaneCells inside(graph);
  for (std::uint32_t cell = first; cell < end; ++cell, line += 16) {
    if (!graph.open(cell) || !inside.has(cell)) continue;
    steps::Floats at[L::kRows];
    times(cell, at);
    std::memcpy(line, at, sizeof at);
  }
}

StepTimes::StepTimes(const WalkGraph& graph, bool toward_starts)
    : toward_starts_(toward_starts),
      slowness_(graph.slowness),
      ground_m_(graph.ground_m.cells),
      lines_(std::make_unique_for_overwrite<Line[]>(graph.spec.size())) {
  for_each_index(graph.spec.rows, [&](int row) { fill(graph, row, {0, graph.spec.cols}); });
}

void StepTimes::follow(const WalkGraph& graph) {
  const int rows = graph.spec.rows;
  std::vector<Span> other(static_cast<size_t>(rows));
  for (int row = 0; row < rows; ++row) other[static_cast<size_t>(row)] = take_over(graph, row);
  for_each_index(rows, [&](int row) {
    Span span{graph.spec.cols, 0};
    for (int r = std::max(0, row - kReach); r < std::min(rows, row + kReach + 1); ++r) {
      const Span& s = other[static_cast<size_t>(r)];
      if (s.first < s.end) span = {std::min(span.first, s.first), std::max(span.end, s.end)};
    }
    if (span.first >= span.end) return;
    fill(graph, row,
         {std::max(0, span.first - kReach), std::min(graph.spec.cols, span.end + kReach)});
  });
}

// The columns between which the row's cells differ from those it knew, which it then knows.
StepTimes::Span StepTimes::take_over(const WalkGraph& graph, int row) {
  const auto cols = static_cast<size_t>(graph.spec.cols);
  const size_t at = graph.spec.index(0, row);
  Span out{graph.spec.cols, 0};
  const auto take = [&](const std::vector<float>& from, std::vector<float>& known) {
    const float* a = from.data() + at;
    float* b = known.data() + at;
    if (std::memcmp(a, b, cols * sizeof *a) == 0) return;
    const auto same = [](float x, float y) { return std::memcmp(&x, &y, sizeof x) == 0; };
    const auto first = std::mismatch(a, a + cols, b, same).first - a;
    auto end = static_cast<std::ptrdiff_t>(cols);
    while (same(a[end - 1], b[end - 1])) --end;
    std::copy(a + first, a + end, b + first);
    out = {std::min(out.first, static_cast<int>(first)), std::max(out.end, static_cast<int>(end))};
  };
  take(graph.slowness, slowness_);
  take(graph.ground_m.cells, ground_m_);
  return out;
}

void StepTimes::fill(const WalkGraph& graph, int row, Span span) {
  const steps::StepPrice price(graph, nullptr, 0, toward_starts_);
  const auto first = static_cast<std::uint32_t>(graph.spec.index(span.first, row));
  const auto end = first + static_cast<std::uint32_t>(span.end - span.first);
  float* line = lines_[first].seconds;
  if (graph.directions == 8)
    fill_cells<steps::Eight, true>(graph, price, first, end, line);
  else
    fill_cells<steps::Sixteen, true>(graph, price, first, end, line);
}

}  // namespace leeward::compute
