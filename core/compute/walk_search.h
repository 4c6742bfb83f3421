// The search from cells that have a label. For walk_solve.cpp and walk_repair.cpp alone.
#pragma once

#include "core/compute/walk_graph.h"

namespace leeward::compute {

/// Passes labels on until none betters another. `cost`: of `labelled` cells positive; of cells that
/// hold with respect to each other their cost with its sign turned, which tells that it has been
/// passed on; infinity elsewhere. Afterwards all are positive. False if it was cancelled.
bool search_on(const WalkGraph& graph, const CostQuery& query,
               const std::vector<std::uint32_t>& labelled, std::vector<float>& cost,
               const std::stop_token& stop);

}  // namespace leeward::compute
