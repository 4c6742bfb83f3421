// The times of all steps of a graph that is asked about many times.
#pragma once

#include "core/compute/walk_graph.h"

#include <memory>

namespace leeward::compute {

/// 72 bytes a cell. To make them takes as long as most of a search, which with them takes a little
/// more than half as long.
class StepTimes {
 public:
  /// As the steps are walked, or, for `toward_starts`, as they are walked the other way.
  StepTimes(const WalkGraph& graph, bool toward_starts);
  /// Makes them those of another graph; only where its cells differ is anything worked out.
  /// REQUIRES: the grid, the directions and the pace of the graph they were made of.
  void follow(const WalkGraph& graph);

  bool toward_starts() const { return toward_starts_; }
  /// Seconds of the steps out of an open cell, in the order of the search's lanes. Steps that may
  /// not be taken and cells at the edge of the grid hold anything.
  const float* of(std::size_t cell) const { return lines_[cell].seconds; }

 private:
  struct alignas(64) Line {
    float seconds[16];
  };
  struct Span {
    int first, end;  // columns
  };
  Span take_over(const WalkGraph& graph, int row);
  void fill(const WalkGraph& graph, int row, Span span);

  bool toward_starts_;
  std::vector<float> slowness_, ground_m_;  // of the graph
  std::unique_ptr<Line[]> lines_;
};

}  // namespace leeward::compute
