// Where walls make deer pass: the gaps of barriers between bed and food.
#pragma once

#include "core/eval/land.h"

#include <stop_token>
#include <vector>

namespace leeward {

/// Felled trees, cliffs, and fences higher than a deer jumps (2.2 m; common practice, no source).
bool stops_deer(const BarrierAttrs& barrier);

/// Of all gaps of barriers that stop deer; empty without bed or food or where no way leads from one
/// to the other. Deer keep to cover, off steep ground and out of water (Judgement). Shares are in
/// whole percent: finer ones would say nothing, and make a bed that is moved a little move deer at
/// every gap.
Result<std::vector<GapUse>> gap_uses(const Document& document, const AnalysisLand& land,
                                     const Judgement& j, std::stop_token stop = {});

}  // namespace leeward
