// What the evaluators answer and the views read. Immutable once published. Rasters are in the
// property's frame; "analysis grid" is 5 m cells, "fine grid" the elevation's own cells.
#pragma once

#include "core/model/document.h"
#include "core/model/terrain.h"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace leeward {

/// The moment that is asked about: a sitter arrives at `arrive` and leaves at `leave`.
/// Scent, sight and wind on the map are those of `arrive`; the way in ends then, the way out begins
/// at `leave`.
struct Scene {
  Instant arrive{};
  Instant leave{};
  Trade trade = Trade::balanced;
  friend bool operator==(const Scene&, const Scene&) = default;
};

enum class LightPhase { night, dawn, day, dusk };

/// Sun at the property's centre on the local day of an instant (NOAA equations, reference tables in
/// tests). Missing instants: the event does not happen that day.
struct SunDay {
  std::optional<Instant> civil_dawn, rise, set, civil_dusk;
  /// From the user's own minutes, rounded inward to the minute; missing until entered.
  std::optional<Instant> legal_start, legal_end;
};
struct SunNow {
  double altitude_deg = 0;  ///< Geometric, of the disc's centre.
  double azimuth_deg = 0;   ///< Clockwise from true north.
  LightPhase phase = LightPhase::day;
  double light = 1;  ///< 0 dark .. 1 full day; drives how far a person is seen.
};

/// Pasquill stability, A (very unstable) .. F (stable).
enum class Stability { a, b, c, d, e, f };

/// The air of one hour, and what the evaluators made of it.
struct AirNow {
  bool known = false;        ///< False: no wind for the hour; scent is then spread to all sides.
  std::string source;        ///< "by hand", a forecast's name, or why it is unknown.
  WindFrom from;             ///< Grid.
  double from_true_deg = 0;  ///< The same, true, for display.
  double speed_10m_mps = 0;  ///< In the open.
  double speed_2m_mps = 0;   ///< In the open, at 2 m.
  std::optional<double> gust_mps;
  double cloud = 0;
  Stability stability = Stability::d;
  double direction_sd_deg = 0;  ///< Spread of direction used for the plume.
};

// --- per stand -----------------------------------------------------------------------------------

/// A distance ring draped on the ground: horizontal distance is exact, the slant follows the
/// terrain.
struct Ring {
  double range_m = 0;
  Uid weapon;
  Path points;                 ///< One vertex every 2 degrees, from grid north clockwise, open.
  std::vector<float> slant_m;  ///< From the shooter's eye to an aim point 0.8 m above the ground.
  std::vector<float> seen;     ///< 0..1 at each vertex.
};

struct InReach {
  Uid feature;
  Kind kind = Kind::deer_trail;
  double nearest_m = 0;       ///< Horizontal.
  double slant_m = 0;         ///< At the nearest seen point (or the nearest).
  double depression_deg = 0;  ///< Below the horizontal from the shooter's eye.
  Bearing bearing;            ///< Grid, from the stand to that point.
  double seen = 0;            ///< Mean share of sight over the part in reach.
  double reach_m = 0;         ///< Length of the line inside the outer reach; 0 for points.
  double seen_m = 0;          ///< Of that, the length with half of sight or more.
};

/// Where the sitter's scent goes: mean relative exposure on an area, and its share of all.
struct ScentOn {
  Uid area;
  Kind kind = Kind::bedding;
  double occupancy = 0;  ///< Chance that deer are there at the hour, 0..1.
  double exposure = 0;  ///< Mean relative exposure (compute/plume.h: 1 is 25 m downwind of a person
                        ///< on the ground).
  double worst = 0;     ///< Largest relative exposure on it.
};

/// A deer area from which the sitter can be seen (the same line of sight, read the other way).
struct SeenFrom {
  Uid area;
  Kind kind = Kind::bedding;
  double occupancy = 0;  ///< Chance that deer are there at the hour, 0..1.
  double share = 0;      ///< Mean share of sight over the area's part within 400 m.
  double nearest_m = 0;  ///< Horizontal, to its nearest sample point.
};

enum class Sense { scent, sight, sound, ground_scent };
inline constexpr int kSenseCount = 4;

/// One contribution to a walk's or a sit's exposure.
struct Reason {
  Uid area;
  Sense sense = Sense::scent;
  double hazard = 0;         ///< Part of -ln(chance of going unnoticed).
  double minutes = 0;        ///< Time during which it is felt.
  double share_of_walk = 0;  ///< 0..1, where along the walk its middle lies.
};

struct Way {
  Uid gate;
  Path points;                        ///< In walking order.
  std::vector<float> hazard_per_min;  ///< At each point.
  double time_s = 0;
  double length_m = 0;  ///< Horizontal.
  double climb_m = 0;
  double hazard = 0;         ///< -ln(chance of going unnoticed).
  double unnoticed = 1;      ///< exp(-hazard).
  double unnoticed_low = 1;  ///< Band from the spread of wind and the constants' uncertainty.
  double unnoticed_high = 1;
  std::vector<Reason> reasons;  ///< Largest first, at most three.
  /// Of a drawn way: what is wrong with it ("crosses the sanctuary North bed"), else empty.
  std::vector<std::string> warnings;
};

struct StandResult {
  Uid stand;
  double ground_m = 0;  ///< Metres above sea under the stand; NaN unknown.
  double eye_m = 0;     ///< Above ground.
  /// 0..255 share of sight that reaches a target 0.8 m above ground, fine grid, 400 m around.
  Ref<Raster<std::uint8_t>> sight;
  /// Relative exposure to the sitter's scent (scale: compute/plume.h), analysis grid.
  Ref<Raster<float>> scent;
  std::vector<Ring> rings;
  std::vector<InReach> in_reach;             ///< Nearest first.
  std::vector<ScentOn> scent_on;             ///< Worst first.
  std::vector<SeenFrom> seen_from;           ///< Largest share times occupancy first.
  double sit_hazard_per_min = 0;             ///< Scent of the sitter alone, at the hour.
  std::array<Ref<Way>, kTradeCount> way_in;  ///< nullptr: no way found.
  std::array<Ref<Way>, kTradeCount> way_out;
  /// The human path whose end lies within 30 m of the stand, walked as drawn, if there is one.
  Ref<Way> drawn_in, drawn_out;
  Uid drawn_path;
  std::string no_way;  ///< Why there is no way, in words, else empty.
};

struct Results {
  std::uint64_t revision = 0;  ///< Of the document it answers.
  Scene scene;
  bool interim = false;  ///< Made on a coarser grid while dragging.
  SunDay sun_day;
  SunNow sun;
  SunNow sun_leave;
  AirNow air;  ///< At `arrive`.
  AirNow air_leave;
  bool leaf_on = false;          ///< By the month: May to October.
  Ref<Raster<float>> hazard_in;  ///< Per minute for a walker, analysis grid; NaN: no entry.
  Ref<Raster<float>> hazard_out;
  std::vector<StandResult> stands;  ///< In the document's order.
  std::vector<std::string> notes;   ///< Missing inputs and doubts, in sentences.

  const StandResult* find(const Uid& stand) const {
    for (const auto& s : stands)
      if (s.stand == stand) return &s;
    return nullptr;
  }
};

}  // namespace leeward
