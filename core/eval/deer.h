// Where deer are, by the hour: the areas that a person's scent, sight and sound must not reach.
#pragma once

#include "core/eval/results.h"

#include <optional>
#include <vector>

namespace leeward {

/// A piece of an area: its middle, and how far its deer are from it (standard deviation along an
/// axis).
struct DeerPatch {
  LocalXY middle;
  double sd_m = 0;
  friend bool operator==(const DeerPatch&, const DeerPatch&) = default;
};

/// A bedding, food or trail feature, or the gaps of a barrier that deer pass, with the points that
/// stand for it.
struct DeerArea {
  Uid uid;
  Kind kind = Kind::bedding;
  Ref<Feature> feature;
  /// Places of pieces of the same size, at most 16: on the feature, up to 60 m long each.
  std::vector<LocalXY> samples;
  /// The same more coarsely, up to 85 m long, for scent, which spreads.
  std::vector<DeerPatch> patches;
  double use = 1;        ///< Of a barrier: share of the deer that pass its gaps.
  double occupancy = 0;  ///< Chance that deer are on it, 0..1.
  double traffic_h = 0;  ///< Of a trail: deer-hours while ground scent lies on it.
  friend bool operator==(const DeerArea&, const DeerArea&) = default;
};

/// Gaps through which less than this passes are no place of deer (common practice, no source).
inline constexpr double kLeastGapUse = 0.1;

/// Areas in the document's order, then barriers with used gaps, without occupancy.
std::vector<DeerArea> deer_areas(const Document& document, const std::vector<GapUse>& gaps = {});

/// An instant as deer live it.
struct DeerTime {
  Instant at{};
  SunDay day;
  int month = 1;
  std::string date;     ///< ISO, of the property's clock.
  double rut = 1;       ///< Times as many bucks on trails by day (Settings::rut).
  bool by_day = false;  ///< Half an hour before sunrise to half an hour after sunset.
};
DeerTime deer_time(Instant at, const SunDay& day, const Settings& settings);

/// Chance that deer are on a feature: piecewise linear in hours from sunrise and sunset, by the
/// user's curves or the usual ones; of a barrier's gaps as of a heavily used trail. Bedding by day,
/// food by night, trails between; food only in its months and dates, trails by their use. In the
/// rut trails carry more bucks by day and beds of bucks hold fewer; those of does do not change.
/// Deer move most at dawn and dusk (Webb et al. 2010; values are common practice, no source).
double occupancy(const Feature& feature, const DeerTime& time, const Settings& settings);
/// A span in steps of up to a quarter of an hour, each by its middle.
struct DeerStep {
  double hours;
  DeerTime middle;
};
std::vector<DeerStep> deer_steps(Instant from, Instant to, const SunDay& day,
                                 const Settings& settings);
/// occupancy() summed over a span, in deer-hours.
double traffic_h(const Feature& feature, const std::vector<DeerStep>& span,
                 const Settings& settings);

/// Whether most deer on a trail walk from its first point: from food to beds until midday, from
/// beds to food after it. Nothing where both ends lie nearer to the same of the two.
std::optional<bool> most_walk_from_start(const Document& document, const Feature& trail,
                                         const DeerTime& time);

/// The curves by name, the user's own in place of the usual.
std::vector<DeerCurve> deer_curves(const Settings& settings);

/// Cells of `spec` that a feature covers (its path for a trail), at least one if it lies on the
/// grid.
std::vector<std::size_t> cells_of(const Feature& feature, const GridSpec& spec);
/// Of a barrier the gaps that deer pass.
std::vector<std::size_t> cells_of(const DeerArea& area, const GridSpec& spec);
/// Of each area, in their order.
using AreaCells = std::vector<std::vector<std::size_t>>;
AreaCells area_cells(const std::vector<DeerArea>& areas, const GridSpec& spec);

}  // namespace leeward
