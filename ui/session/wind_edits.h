// Edits of the wind by hand.
#pragma once

#include "core/model/edit.h"

#include <optional>

namespace leeward::ui {

/// Sets the wind by hand; what is not given is taken from the wind that holds at `at`.
/// `from_deg`: grid bearing. Steps of one drag merge.
EditStep handWindStep(const Document& document, Instant at, std::optional<double> from_deg,
                      std::optional<double> speed_mps, std::optional<double> cloud = {});

/// Goes back to the forecast, or (false) to the wind by hand.
EditStep windSourceStep(const Document& document, bool by_hand);

/// Sets the stability by hand, 0 = A .. 5 = F, or (nullopt) leaves it to the key.
EditStep stabilityStep(const Document& document, std::optional<int> stability);

/// The relative exposure times the chance of deer that the user will not have on a deer area.
/// Steps that follow each other merge.
EditStep scentLimitStep(const Document& document, double limit);
inline constexpr double kLeastScentLimit = 0.001, kMostScentLimit = 1;

}  // namespace leeward::ui
