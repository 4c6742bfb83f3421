// What the evaluators answer and the views read. Immutable once published. Rasters are in the
// property's frame; "analysis grid" is 5 m cells, "fine grid" the elevation's own cells.
#pragma once

#include "core/eval/checks.h"
#include "core/eval/fire.h"
#include "core/eval/stand_light.h"
#include "core/model/document.h"
#include "core/model/terrain.h"

#include <array>
#include <optional>
#include <string>
#include <vector>

namespace leeward::compute {
class ScentPlume;
}

namespace leeward {

struct HazardModel;

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
  /// The class as a real number, 0 = A .. 5 = F, blended around sunrise and sunset.
  double stability_index = 3;
  bool stability_by_hand = false;
  double direction_sd_deg = 0;  ///< Spread of direction in the open at 10 m, all causes together.
  /// The part of it that comes from gusts, a stated range and the turn to the neighbouring hours.
  double extra_sd_deg = 0;
  std::vector<std::string> doubts;  ///< What was missing or assumed for this hour, in sentences.
};

/// Why the wind at a place is of low confidence, as bits.
enum AirDoubt : std::uint8_t {
  kDoubtLee = 1,         ///< On ground that falls steeply along the wind, or sheltered by it.
  kDoubtCalm = 2,        ///< Open ground here would have under 1 m/s at 2 m: wanders to all sides.
  kDoubtTransition = 4,  ///< Within about an hour of sunrise or sunset in light wind.
  kDoubtTimber = 8,      ///< Below a canopy, further than ten tree heights from its edge.
};

/// The local wind of an hour at 2 m above ground: bent by the land, thinned by cover, with slope
/// air. Vectors point where the air goes (east, north), m/s. Cells of 10 m or more.
struct AirMap {
  Raster<float> east, north;
  Raster<float> slope_east, slope_north;  ///< Slope air alone, as far as the wind leaves it.
  Raster<std::uint8_t> doubt;             ///< Bits of AirDoubt.
  bool bent = false;  ///< False: the land's effect is not solved yet (or there is no elevation).
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
  double longest_m = 0;       ///< The longest stretch of it in one piece.
  double walk_s = 0;          ///< How long a deer is in the seen part, at the stated pace.
  double shot_from_m = 0;     ///< Nearest and farthest seen point in reach, horizontal;
  double shot_to_m = 0;       ///< both 0 where nothing is seen.
  /// 0..1, share of the seen part (of a point: the point) from where a deer has the sitter's head
  /// against the sky.
  double skyline = 0;
  bool steep = false;  ///< The nearest shot is a steep one (kSteepWithin_m).
  /// Past the aim point, with the weapon of the shortest reach that gets there; unknown without
  /// ground or farthest travel.
  compute::LineOfFire line;
};
/// From a platform, a shot nearer than this goes steeply down (10 yd; common practice, no source).
inline constexpr double kSteepWithin_m = 9.144;

/// Where the sitter's scent goes: mean relative exposure on an area, and its share of all.
struct ScentOn {
  Uid area;
  Kind kind = Kind::bedding;
  double occupancy = 0;  ///< Chance that deer are there at the hour, 0..1.
  double exposure = 0;  ///< Mean relative exposure (compute/plume.h: 1 is 25 m downwind of a person
                        ///< on the ground).
  double worst = 0;     ///< Largest relative exposure on it.
  double low = 0, high = 0;  ///< 80 % band of the mean exposure.
};

/// The air at a stand, at the height where scent leaves.
struct LocalAir {
  double speed_mps = 0;
  Bearing toward;          ///< Grid; where it goes.
  double spread_deg = 0;   ///< Of direction, over the hour.
  double slope_mps = 0;    ///< Slope air's share, at 2 m.
  Bearing slope_toward;    ///< Grid.
  std::uint8_t doubt = 0;  ///< Bits of AirDoubt.
  /// When air begins to drain downhill here (up to six hours on), if it does not yet.
  std::optional<Instant> drains_from;
  Bearing drains_toward;  ///< Down the slope, grid.
  Uid drains_on;          ///< The deer area that lies that way within 400 m, else empty.
};

/// How far the wind may swing to each side before the exposure of a deer area, times the chance
/// that deer are there, passes the user's limit.
struct SwingMargin {
  static constexpr double kMost_deg = 90;  ///< Looked at; a margin of 90 means 90 or more.
  bool passed = false;                     ///< Passed already, with no swing; both margins are 0.
  double veer_deg = kMost_deg;             ///< Clockwise (the wind comes from further right).
  double back_deg = kMost_deg;             ///< Anticlockwise.
  Uid veer_area, back_area;                ///< Whose limit is passed first; empty: none.
};

/// A deer that walks a trail toward the stand: what does it meet first?
struct TrailMeeting {
  Uid trail;
  bool from_start = true;  ///< Walking from the line's first point.
  enum class First { neither, reach, scent, together } first = First::neither;
  double before_m =
      0;  ///< How long before the other, along the trail (0 if the other never comes).
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

/// A straight piece of a way, as a person is told it.
struct WayLeg {
  LocalXY to;
  Bearing toward;       ///< Grid.
  double length_m = 0;  ///< Horizontal.
  double climb_m = 0;   ///< Sum of all that rises on it,
  double drop_m = 0;    ///< and of all that falls.
  double time_s = 0;
  double hazard = 0;
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
  std::vector<WayLeg> legs;
  std::vector<double> seconds;  ///< From each point to the next.
  Ref<HazardModel> walked_in;   ///< What reasons_of() (ways.h) takes the hazard apart by.
  /// Of a drawn way: what is wrong with it ("crosses the sanctuary North bed"), else empty.
  std::vector<std::string> warnings;
};

struct StandResult {
  Uid stand;
  double ground_m = 0;  ///< Metres above sea under the stand; NaN unknown.
  double eye_m = 0;     ///< Above ground.
  /// 0..255 share of sight that reaches a target 0.8 m above ground, fine grid, 400 m around.
  Ref<Raster<std::uint8_t>> sight;
  /// Relative exposure to the sitter's scent (scale: compute/scent_plume.h) and its band, place by
  /// place. Who draws it asks for its field().
  Ref<compute::ScentPlume> scent;
  std::vector<Ring> rings;
  std::vector<InReach> in_reach;  ///< Nearest first.
  std::vector<WeaponFire> fire;   ///< By the stand's weapons.
  StandLight light;
  std::vector<ScentOn> scent_on;    ///< Worst first.
  std::vector<SeenFrom> seen_from;  ///< Largest share times occupancy first.
  double sit_hazard_per_min = 0;    ///< Scent of the sitter alone, at the hour.
  LocalAir air;
  SwingMargin margin;
  std::vector<TrailMeeting> meetings;        ///< Of trails that come into reach or meet the scent.
  std::array<Ref<Way>, kTradeCount> way_in;  ///< nullptr: no way found.
  std::array<Ref<Way>, kTradeCount> way_out;
  /// The human path whose end lies within 30 m of the stand, walked as drawn, if there is one.
  Ref<Way> drawn_in, drawn_out;
  Uid drawn_path;
  std::string no_way;  ///< Why there is no way, in words, else empty.
};

/// A gap of a barrier that stops deer, and how much of what goes between bed and food leads through
/// it, as current in a net of 20 m cells (compute/circulation.h; each bed sends the same, every
/// food takes). It compares places; nobody has counted deer.
struct GapUse {
  Uid barrier;
  std::size_t gap = 0;  ///< In BarrierAttrs::gaps.
  LocalXY at;
  double share = 0;  ///< 0..1.
  friend bool operator==(const GapUse&, const GapUse&) = default;
};

struct Results {
  std::uint64_t revision = 0;  ///< Of the document it answers.
  Scene scene;
  bool interim = false;  ///< A quick answer: something is left out (Snapshot::in_full).
  SunDay sun_day;
  SunNow sun;
  SunNow sun_leave;
  MoonDay moon;
  AirNow air;  ///< At `arrive`.
  AirNow air_leave;
  Ref<AirMap> air_map;           ///< At `arrive`.
  bool wind_pending = false;     ///< The land's effect on the wind is still to be solved.
  bool leaf_on = false;          ///< By the month: May to October.
  Ref<Raster<float>> hazard_in;  ///< Per minute for a walker, analysis grid; NaN: no entry.
  Ref<Raster<float>> hazard_out;
  std::vector<StandResult> stands;  ///< In the document's order.
  std::vector<GapUse> gaps;         ///< Of barriers that stop deer.
  bool gaps_pending = false;        ///< They are as last known, and due for a new count.
  std::vector<ScrapeResult> scrapes;
  std::vector<ScrapeLine> scrape_lines;
  std::vector<CameraResult> cameras;
  std::vector<std::string> notes;  ///< Missing inputs and doubts, in sentences.

  const StandResult* find(const Uid& stand) const {
    for (const auto& s : stands)
      if (s.stand == stand) return &s;
    return nullptr;
  }
};

}  // namespace leeward
