// Where deer are, by the hour: the areas that a person's scent, sight and sound must not reach.
#pragma once

#include "core/eval/results.h"

#include <vector>

namespace leeward {

/// A bedding, food or trail feature, with the points that stand for it.
struct DeerArea {
  Uid uid;
  Kind kind = Kind::bedding;
  Ref<Feature> feature;
  std::vector<LocalXY> samples;  ///< At most 16, spread evenly, about 40 m apart.
  double patch_m = 0;            ///< Mean distance of a deer from the sample it counts for.
  double occupancy = 0;          ///< Chance that deer are on it, 0..1.
};

/// Areas in the document's order, without occupancy.
std::vector<DeerArea> deer_areas(const Document& document);

/// Chance that deer are on a feature at an instant: piecewise linear in hours from sunrise and
/// sunset. Bedding by day, food by night, trails between; food only in its months, trails by their
/// use. Deer move most at dawn and dusk (Webb et al. 2010; reference values are common practice, no
/// source).
double occupancy(const Feature& feature, Instant at, const SunDay& day, int month);

/// Cells of `spec` that a feature covers (its path for a trail), at least one if it lies on the
/// grid.
std::vector<std::size_t> cells_of(const Feature& feature, const GridSpec& spec);
/// Of each area, in their order.
using AreaCells = std::vector<std::vector<std::size_t>>;
AreaCells area_cells(const std::vector<DeerArea>& areas, const GridSpec& spec);

}  // namespace leeward
