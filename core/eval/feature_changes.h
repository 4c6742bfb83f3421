// What differs between the features of a kind before and now, and where that may show on a grid
// into which they are burned in their order.
#pragma once

#include "core/eval/cell_bands.h"
#include "core/model/document.h"

#include <cstdint>
#include <vector>

namespace leeward {

/// Features of a kind with a flag each that counts as part of them; flags may be fewer (0).
struct FlaggedRows {
  Ref<Rows<Feature>> rows;
  std::vector<std::uint8_t> flags;

  bool flag(std::size_t i) const { return i < flags.size() && flags[i] != 0; }
  friend bool operator==(const FlaggedRows&, const FlaggedRows&) = default;
};

/// A feature that is no longer as it was, or no longer in its place among the others.
struct FeatureChange {
  const Feature* was = nullptr;  ///< Null: new.
  const Feature* is = nullptr;   ///< Null: gone.
  bool same_flag = true;

  /// All but the shape, the name and the remarks.
  bool alike() const { return was && is && same_flag && was->attrs == is->attrs; }
};
std::vector<FeatureChange> changes_between(const FlaggedRows& before, const FlaggedRows& now);

/// Adds the cells within `grow_m` of what changed: of an area that only has other corners those
/// between its old and its new outline, else all of the old and of the new shape.
void add_change(const FeatureChange& change, double grow_m, CellBands& to);

}  // namespace leeward
