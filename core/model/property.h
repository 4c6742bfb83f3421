// The rows of a property: features on the land, weapons, raster layers, wind hours, settings.
// Plain values. Every attribute struct lists its fields once, in `fields`; the store, the
// inspector, the importer and the JSON output all walk that list.
#pragma once

#include "core/base/civil_time.h"
#include "core/base/ref.h"
#include "core/base/uid.h"
#include "core/geo/frame.h"
#include "core/geo/shape.h"

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace leeward {

// --- kinds -------------------------------------------------------------------------------------

enum class Kind : std::uint8_t {
  boundary,
  bedding,
  food,
  cover,
  sanctuary,
  water,
  deer_trail,
  human_path,
  barrier,
  shooting_lane,
  road,
  dwelling,
  gate,
  stand,
  mock_scrape,
  camera,
  note
};
inline constexpr int kKindCount = 17;

struct KindInfo {
  Kind kind;
  const char* table;       ///< Table name in the property file, and the word in batch JSON.
  const char* noun;        ///< "felled-tree wall", lower case, for sentences.
  const char* plural;      ///< For lists and legends.
  bool point, line, area;  ///< Shapes it may have.
};
const std::array<KindInfo, kKindCount>& all_kinds();
const KindInfo& info(Kind kind);
std::optional<Kind> kind_from_table(std::string_view table);
bool allows(Kind kind, ShapeType type);

// --- enumerations, stored as their words ---------------------------------------------------------

template <class E>
struct EnumWords;  // specialised below: static constexpr std::array<std::pair<E, const char*>, N>
                   // words

#define LEEWARD_ENUM(Name, N, ...)                                                        \
  template <>                                                                             \
  struct EnumWords<Name> {                                                                \
    static constexpr std::array<std::pair<Name, const char*>, N> words = {{__VA_ARGS__}}; \
  }

enum class DeerGroup : std::uint8_t { any, does, bucks };
enum class FoodType : std::uint8_t { plot, crop, mast, browse };
enum class CoverType : std::uint8_t {
  hardwood,
  conifer,
  mixed,
  brush,
  tall_grass,
  standing_crop,
  hinge_cut,
  open
};
inline constexpr size_t kCoverTypes = 8;
enum class WaterType : std::uint8_t { pond, creek, ditch, wetland };
enum class TrailUse : std::uint8_t { light, moderate, heavy };
enum class TrailDirection : std::uint8_t { both_ways, toward_end, toward_start };
enum class PathType : std::uint8_t { foot, vehicle };
enum class BarrierType : std::uint8_t { felled_trees, fence, cliff };
enum class RoadType : std::uint8_t { public_road, farm_road };
enum class StandType : std::uint8_t { ladder, hang_on, saddle, tower, ground_blind };
enum class WeaponType : std::uint8_t { bow, crossbow, shotgun, muzzleloader, rifle, handgun };
enum class RasterRole : std::uint8_t { aerial, elevation, surface };
enum class UnitSystem : std::uint8_t { us, metric };
enum class PaperSize : std::uint8_t { letter, legal, tabloid, a4, a3, custom };
/// For which eyes and lights a page is printed.
enum class PrintLook : std::uint8_t { colour, red_light, grey };
/// How much time a walk may cost to lower its exposure.
enum class Trade : std::uint8_t { quick, balanced, careful };
inline constexpr int kTradeCount = 3;
/// What a mock scrape's lure hangs by, and what was put on it or on the ground below.
enum class Hanger : std::uint8_t { vine, rope, branch };
enum class ScrapeScent : std::uint8_t { none, preorbital, other };
/// When a stand is meant to be sat.
enum class SitTime : std::uint8_t { any, mornings, evenings };
/// Where a walk begins.
enum class GateType : std::uint8_t { gate, parking, drop_off };
/// Why somebody was there.
enum class VisitType : std::uint8_t { sit, shot, camera, work, recovery, walk };
/// What a shot must keep its distance from.
enum class SetbackFrom : std::uint8_t { dwelling, road, boundary, stand, gate, human_path };
inline constexpr int kSetbackCount = 6;

LEEWARD_ENUM(DeerGroup, 3, {DeerGroup::any, "any"}, {DeerGroup::does, "does"},
             {DeerGroup::bucks, "bucks"});
LEEWARD_ENUM(FoodType, 4, {FoodType::plot, "plot"}, {FoodType::crop, "crop"},
             {FoodType::mast, "mast"}, {FoodType::browse, "browse"});
LEEWARD_ENUM(CoverType, 8, {CoverType::hardwood, "hardwood"}, {CoverType::conifer, "conifer"},
             {CoverType::mixed, "mixed"}, {CoverType::brush, "brush"},
             {CoverType::tall_grass, "tall grass"}, {CoverType::standing_crop, "standing crop"},
             {CoverType::hinge_cut, "hinge cut"}, {CoverType::open, "open"});
LEEWARD_ENUM(WaterType, 4, {WaterType::pond, "pond"}, {WaterType::creek, "creek"},
             {WaterType::ditch, "ditch"}, {WaterType::wetland, "wetland"});
LEEWARD_ENUM(TrailUse, 3, {TrailUse::light, "light"}, {TrailUse::moderate, "moderate"},
             {TrailUse::heavy, "heavy"});
LEEWARD_ENUM(TrailDirection, 3, {TrailDirection::both_ways, "both ways"},
             {TrailDirection::toward_end, "toward end"},
             {TrailDirection::toward_start, "toward start"});
LEEWARD_ENUM(PathType, 2, {PathType::foot, "foot"}, {PathType::vehicle, "vehicle"});
LEEWARD_ENUM(BarrierType, 3, {BarrierType::felled_trees, "felled trees"},
             {BarrierType::fence, "fence"}, {BarrierType::cliff, "cliff"});
LEEWARD_ENUM(RoadType, 2, {RoadType::public_road, "public"}, {RoadType::farm_road, "farm"});
LEEWARD_ENUM(StandType, 5, {StandType::ladder, "ladder"}, {StandType::hang_on, "hang-on"},
             {StandType::saddle, "saddle"}, {StandType::tower, "tower"},
             {StandType::ground_blind, "ground blind"});
LEEWARD_ENUM(WeaponType, 6, {WeaponType::bow, "bow"}, {WeaponType::crossbow, "crossbow"},
             {WeaponType::shotgun, "shotgun"}, {WeaponType::muzzleloader, "muzzleloader"},
             {WeaponType::rifle, "rifle"}, {WeaponType::handgun, "handgun"});
LEEWARD_ENUM(RasterRole, 3, {RasterRole::aerial, "aerial"}, {RasterRole::elevation, "elevation"},
             {RasterRole::surface, "surface"});
LEEWARD_ENUM(UnitSystem, 2, {UnitSystem::us, "US"}, {UnitSystem::metric, "metric"});
LEEWARD_ENUM(PaperSize, 6, {PaperSize::letter, "Letter"}, {PaperSize::legal, "Legal"},
             {PaperSize::tabloid, "Tabloid"}, {PaperSize::a4, "A4"}, {PaperSize::a3, "A3"},
             {PaperSize::custom, "custom"});
LEEWARD_ENUM(PrintLook, 3, {PrintLook::colour, "colour"}, {PrintLook::red_light, "red light"},
             {PrintLook::grey, "grey"});
LEEWARD_ENUM(Trade, 3, {Trade::quick, "quick"}, {Trade::balanced, "balanced"},
             {Trade::careful, "careful"});
LEEWARD_ENUM(Hanger, 3, {Hanger::vine, "vine"}, {Hanger::rope, "rope"}, {Hanger::branch, "branch"});
LEEWARD_ENUM(ScrapeScent, 3, {ScrapeScent::none, "none"}, {ScrapeScent::preorbital, "preorbital"},
             {ScrapeScent::other, "other"});
LEEWARD_ENUM(SitTime, 3, {SitTime::any, "any"}, {SitTime::mornings, "mornings"},
             {SitTime::evenings, "evenings"});
LEEWARD_ENUM(GateType, 3, {GateType::gate, "gate"}, {GateType::parking, "parked vehicle"},
             {GateType::drop_off, "drop-off"});
LEEWARD_ENUM(VisitType, 6, {VisitType::sit, "sit"}, {VisitType::shot, "shot"},
             {VisitType::camera, "camera visit"}, {VisitType::work, "work"},
             {VisitType::recovery, "recovery"}, {VisitType::walk, "walked through"});
LEEWARD_ENUM(SetbackFrom, 6, {SetbackFrom::dwelling, "dwelling"}, {SetbackFrom::road, "road"},
             {SetbackFrom::boundary, "boundary"}, {SetbackFrom::stand, "stand"},
             {SetbackFrom::gate, "gate"}, {SetbackFrom::human_path, "human path"});
#undef LEEWARD_ENUM

template <class E>
const char* word(E value) {
  for (const auto& [v, w] : EnumWords<E>::words)
    if (v == value) return w;
  return "";
}
template <class E>
std::optional<E> from_word(std::string_view text) {
  for (const auto& [v, w] : EnumWords<E>::words)
    if (text == w) return v;
  return std::nullopt;
}

/// Months as a set; stored as "9,10,11".
struct MonthSet {
  std::uint16_t bits = 0;  ///< Bit 0 = January.
  bool has(int month) const { return (bits >> (month - 1)) & 1; }
  void set(int month, bool on = true) {
    const std::uint16_t m = static_cast<std::uint16_t>(1U << (month - 1));
    bits = static_cast<std::uint16_t>(on ? bits | m : bits & ~m);
  }
  static MonthSet all() { return {0x0FFF}; }
  static MonthSet range(int first, int last);  ///< range(9, 1) = September to January.
  std::string str() const;
  static std::optional<MonthSet> parse(std::string_view text);
  friend bool operator==(const MonthSet&, const MonthSet&) = default;
};

/// An opening in a barrier, `at_m` along it to its middle. Stored as "120.0:6.0;240.0:4.0".
struct Gap {
  double at_m = 0;
  double width_m = 5;
  friend bool operator==(const Gap&, const Gap&) = default;
};
std::string gaps_to_text(const std::vector<Gap>& gaps);
std::optional<std::vector<Gap>> gaps_from_text(std::string_view text);

// --- attributes, one struct a kind
// ----------------------------------------------------------------- fields(visit): visit("column",
// &Struct::member, "Label", "unit or empty").

struct BoundaryAttrs {
  template <class V>
  static void fields(V&&) {}
  friend bool operator==(const BoundaryAttrs&, const BoundaryAttrs&) = default;
};
struct BeddingAttrs {
  DeerGroup group = DeerGroup::any;
  template <class V>
  static void fields(V&& v) {
    v("deer_group", &BeddingAttrs::group, "Deer", "");
  }
  friend bool operator==(const BeddingAttrs&, const BeddingAttrs&) = default;
};
struct FoodAttrs {
  FoodType type = FoodType::plot;
  std::string crop;
  MonthSet months = MonthSet::range(9, 1);  ///< Months when it draws deer.
  std::string from;   ///< ISO date from which it draws (acorns drop), or empty.
  std::string until;  ///< ISO date of the last day (harvest), or empty.
  template <class V>
  static void fields(V&& v) {
    v("food_type", &FoodAttrs::type, "Type", "");
    v("crop", &FoodAttrs::crop, "Crop", "");
    v("months", &FoodAttrs::months, "Draws deer in", "");
    v("draws_from", &FoodAttrs::from, "Not before", "date");
    v("draws_until", &FoodAttrs::until, "Not after", "date");
  }
  friend bool operator==(const FoodAttrs&, const FoodAttrs&) = default;
};
/// Densities are the share of sight lost a metre (Beer-Lambert coefficient, 1/m).
struct CoverAttrs {
  CoverType type = CoverType::hardwood;
  double height_m = 18;
  double leaf_on_per_m = 0.06;
  double leaf_off_per_m = 0.03;
  std::string cut_on = {};  ///< ISO date from which it is open ground (a crop cut, a wood felled).
  template <class V>
  static void fields(V&& v) {
    v("cover_type", &CoverAttrs::type, "Type", "");
    v("height_m", &CoverAttrs::height_m, "Height", "m");
    v("leaf_on_per_m", &CoverAttrs::leaf_on_per_m, "Density, leaves on", "1/m");
    v("leaf_off_per_m", &CoverAttrs::leaf_off_per_m, "Density, leaves off", "1/m");
    v("cut_on", &CoverAttrs::cut_on, "Cut on", "date");
  }
  friend bool operator==(const CoverAttrs&, const CoverAttrs&) = default;
};
/// Nobody enters it, but on a day with a reason (recovery of a deer, dated work).
struct SanctuaryAttrs {
  std::string open_on;  ///< ISO date, or empty.
  std::string reason;   ///< Without one the date does not open it.
  template <class V>
  static void fields(V&& v) {
    v("open_on", &SanctuaryAttrs::open_on, "May be entered on", "date");
    v("open_reason", &SanctuaryAttrs::reason, "For what", "");
  }
  friend bool operator==(const SanctuaryAttrs&, const SanctuaryAttrs&) = default;
};
struct WaterAttrs {
  WaterType type = WaterType::pond;
  bool walkable = false;  ///< Confirmed by the user, never on ice or in high water.
  MonthSet walkable_in = MonthSet::all();
  double width_m = 3;  ///< Of a creek or ditch drawn as a line.
  double banks_m = 0;  ///< Its bed lies this deep below the land and hides who walks in it.
  template <class V>
  static void fields(V&& v) {
    v("water_type", &WaterAttrs::type, "Type", "");
    v("walkable", &WaterAttrs::walkable, "Can be waded", "");
    v("walkable_in", &WaterAttrs::walkable_in, "Confirmed for", "");
    v("width_m", &WaterAttrs::width_m, "Width", "m");
    v("banks_m", &WaterAttrs::banks_m, "Bed below the land", "m");
  }
  friend bool operator==(const WaterAttrs&, const WaterAttrs&) = default;
};
struct DeerTrailAttrs {
  TrailUse use = TrailUse::moderate;
  TrailDirection direction = TrailDirection::both_ways;
  MonthSet months = MonthSet::all();
  template <class V>
  static void fields(V&& v) {
    v("trail_use", &DeerTrailAttrs::use, "Use", "");
    v("direction", &DeerTrailAttrs::direction, "Direction", "");
    v("months", &DeerTrailAttrs::months, "Used in", "");
  }
  friend bool operator==(const DeerTrailAttrs&, const DeerTrailAttrs&) = default;
};
struct HumanPathAttrs {
  PathType type = PathType::foot;
  template <class V>
  static void fields(V&& v) {
    v("path_type", &HumanPathAttrs::type, "Type", "");
  }
  friend bool operator==(const HumanPathAttrs&, const HumanPathAttrs&) = default;
};
struct BarrierAttrs {
  BarrierType type = BarrierType::felled_trees;
  double height_m = 1.5;
  std::vector<Gap> gaps;
  template <class V>
  static void fields(V&& v) {
    v("barrier_type", &BarrierAttrs::type, "Type", "");
    v("height_m", &BarrierAttrs::height_m, "Height", "m");
    v("gaps", &BarrierAttrs::gaps, "Gaps", "");
  }
  friend bool operator==(const BarrierAttrs&, const BarrierAttrs&) = default;
};
struct ShootingLaneAttrs {
  double width_m = 3;
  template <class V>
  static void fields(V&& v) {
    v("width_m", &ShootingLaneAttrs::width_m, "Width", "m");
  }
  friend bool operator==(const ShootingLaneAttrs&, const ShootingLaneAttrs&) = default;
};
struct RoadAttrs {
  RoadType type = RoadType::public_road;
  template <class V>
  static void fields(V&& v) {
    v("road_type", &RoadAttrs::type, "Type", "");
  }
  friend bool operator==(const RoadAttrs&, const RoadAttrs&) = default;
};
struct DwellingAttrs {
  bool occupied = true;
  template <class V>
  static void fields(V&& v) {
    v("occupied", &DwellingAttrs::occupied, "Lived in", "");
  }
  friend bool operator==(const DwellingAttrs&, const DwellingAttrs&) = default;
};
struct GateAttrs {
  GateType type = GateType::gate;
  bool parking = true;
  template <class V>
  static void fields(V&& v) {
    v("gate_type", &GateAttrs::type, "Type", "");
    v("parking", &GateAttrs::parking, "Parking", "");
  }
  friend bool operator==(const GateAttrs&, const GateAttrs&) = default;
};
struct StandAttrs {
  StandType type = StandType::ladder;
  double platform_m = 5;        ///< Platform above ground.
  double facing_deg = 0;        ///< Grid bearing the sitter faces.
  double trimmed_radius_m = 4;  ///< Branches cut away around the stand.
  std::vector<Uid> weapons;     ///< Empty: all of the property's.
  std::string sitter;           ///< Who takes it on the next sit; empty: nobody.
  SitTime meant_for = SitTime::any;
  bool watch_only = false;  ///< For sits to watch and learn, not to hunt.
  std::string checked;  ///< ISO date when straps, tree and steps were last looked over, or empty.
  template <class V>
  static void fields(V&& v) {
    v("stand_type", &StandAttrs::type, "Type", "");
    v("platform_m", &StandAttrs::platform_m, "Platform height", "m");
    v("facing_deg", &StandAttrs::facing_deg, "Faces (grid)", "°");
    v("trimmed_radius_m", &StandAttrs::trimmed_radius_m, "Trimmed to", "m");
    v("weapons", &StandAttrs::weapons, "Weapons", "");
    v("sitter", &StandAttrs::sitter, "Taken by", "");
    v("meant_for", &StandAttrs::meant_for, "Meant for", "");
    v("watch_only", &StandAttrs::watch_only, "To watch and learn", "");
    v("checked", &StandAttrs::checked, "Safety checked on", "date");
  }
  friend bool operator==(const StandAttrs&, const StandAttrs&) = default;
};
/// Defaults are common practice, no source: a green vine, its lower end waist to navel high, hung
/// 2.5 to 5 cm lower in leaf (the limb rises when the leaves fall), bare ground below. Limbs over
/// natural scrapes hung 0.76 to 1.78 m above them (Kile and Marchinton 1977).
struct MockScrapeAttrs {
  std::string hung;       ///< ISO date, or empty.
  std::string refreshed;  ///< ISO date of the last refresh, or empty.
  Hanger hanger = Hanger::vine;
  double length_m = 1.35;
  double diameter_mm = 18;
  std::string tie;           ///< What ties it to the limb.
  double limb_m = 2.3;       ///< Of the limb it is tied to, above the ground.
  double lower_end_m = 1.0;  ///< Above the ground.
  double cleared_m = 0.9;    ///< Across the bare ground below; 0: not cleared.
  ScrapeScent scent = ScrapeScent::none;
  std::vector<Uid> stands;   ///< That it is meant to serve.
  std::vector<Uid> cameras;  ///< That are meant to watch it.
  template <class V>
  static void fields(V&& v) {
    v("hung", &MockScrapeAttrs::hung, "Hung on", "date");
    v("refreshed", &MockScrapeAttrs::refreshed, "Refreshed on", "date");
    v("hanger", &MockScrapeAttrs::hanger, "Hangs", "");
    v("length_m", &MockScrapeAttrs::length_m, "Length", "m");
    v("diameter_mm", &MockScrapeAttrs::diameter_mm, "Thickness", "mm");
    v("tie", &MockScrapeAttrs::tie, "Tied with", "");
    v("limb_m", &MockScrapeAttrs::limb_m, "Limb height", "m");
    v("lower_end_m", &MockScrapeAttrs::lower_end_m, "Lower end at", "m");
    v("cleared_m", &MockScrapeAttrs::cleared_m, "Bare ground across", "m");
    v("scent", &MockScrapeAttrs::scent, "Scent used", "");
    v("stands", &MockScrapeAttrs::stands, "Serves stands", "stand");
    v("cameras", &MockScrapeAttrs::cameras, "Watched by", "camera");
  }
  friend bool operator==(const MockScrapeAttrs&, const MockScrapeAttrs&) = default;
};
/// A camera inside bedding is visited in its service window only: months and hours of the day
/// (local, "from" up to "to") when nobody is home. No months: no window.
struct CameraAttrs {
  double facing_deg = 0;
  double field_of_view_deg = 45;
  double reach_m = 20;
  double height_m = 1;     ///< Of the lens above the ground.
  std::string battery_on;  ///< ISO date of the last battery change, or empty.
  std::string card_on;     ///< ISO date of the last card change, or empty.
  MonthSet service_months;
  int service_from_h = 11;
  int service_to_h = 14;
  template <class V>
  static void fields(V&& v) {
    v("facing_deg", &CameraAttrs::facing_deg, "Faces (grid)", "°");
    v("field_of_view_deg", &CameraAttrs::field_of_view_deg, "Field of view", "°");
    v("reach_m", &CameraAttrs::reach_m, "Reach", "m");
    v("height_m", &CameraAttrs::height_m, "Lens height", "m");
    v("battery_on", &CameraAttrs::battery_on, "Battery changed on", "date");
    v("card_on", &CameraAttrs::card_on, "Card changed on", "date");
    v("service_months", &CameraAttrs::service_months, "Service in", "");
    v("service_from_h", &CameraAttrs::service_from_h, "Service from", "h");
    v("service_to_h", &CameraAttrs::service_to_h, "Service until", "h");
  }
  friend bool operator==(const CameraAttrs&, const CameraAttrs&) = default;
};
struct NoteAttrs {
  template <class V>
  static void fields(V&&) {}
  friend bool operator==(const NoteAttrs&, const NoteAttrs&) = default;
};

/// Alternatives stand in the order of Kind.
using Attributes =
    std::variant<BoundaryAttrs, BeddingAttrs, FoodAttrs, CoverAttrs, SanctuaryAttrs, WaterAttrs,
                 DeerTrailAttrs, HumanPathAttrs, BarrierAttrs, ShootingLaneAttrs, RoadAttrs,
                 DwellingAttrs, GateAttrs, StandAttrs, MockScrapeAttrs, CameraAttrs, NoteAttrs>;
static_assert(std::variant_size_v<Attributes> == kKindCount);

/// The attributes of a kind with their defaults.
Attributes default_attributes(Kind kind);
/// Density, height by common practice for a cover type (no source), for new patches.
CoverAttrs typical_cover(CoverType type);

struct Feature {
  Uid uid;
  std::string name;
  std::string remarks;
  Shape shape;
  Attributes attrs;

  Kind kind() const { return static_cast<Kind>(attrs.index()); }
  template <class A>
  const A& as() const {
    return std::get<A>(attrs);
  }
  template <class A>
  A& as() {
    return std::get<A>(attrs);
  }
  friend bool operator==(const Feature&, const Feature&) = default;
};
/// A new feature with a random uid and default attributes.
Feature make_feature(Kind kind, Shape shape, std::string name = {});
/// "North ladder", or "unnamed stand".
std::string display_name(const Feature& f);

// --- the rest of a property
// ------------------------------------------------------------------------

inline constexpr double kMostReach_m = 2000;    ///< Of a weapon's reach and rings.
inline constexpr double kMostTravel_m = 20000;  ///< Of a farthest travel and of a setback.
inline constexpr size_t kMostRings = 5;
inline constexpr double kLeastPaper_mm = 100, kMostPaper_mm = 1200;  ///< Of a custom paper.

/// Reach and rings are horizontal distances in metres, the user's own entries. So are the setbacks
/// and the farthest travel: nothing is offered for them, and what is not entered is not known.
struct Weapon {
  Uid uid;
  std::string name;
  WeaponType type = WeaponType::bow;
  double inner_m = 0;
  double outer_m = 27.432;                                ///< 30 yd.
  std::vector<double> rings_m = {9.144, 18.288, 27.432};  ///< Up to kMostRings, rising.
  std::optional<double> max_travel_m = {};                ///< Of the projectile.
  /// By SetbackFrom: how near a shot may come to it; 0 is an entry too.
  std::array<std::optional<double>, kSetbackCount> setback_m = {};
  friend bool operator==(const Weapon&, const Weapon&) = default;
};

struct RasterLayer {
  Uid uid;
  std::string name;
  std::string path;  ///< Relative to the property file's folder; never a URL.
  RasterRole role = RasterRole::aerial;
  double opacity = 1;
  int order = 0;  ///< Larger is drawn later (on top).
  bool visible = true;
  double metres_per_unit = 1;  ///< Of elevation values: 1, 0.3048 or 1200/3937.
  friend bool operator==(const RasterLayer&, const RasterLayer&) = default;
};

/// Where a set of wind hours came from.
struct Forecast {
  Uid uid;
  std::string source;  ///< File name and format.
  Instant imported{};
  std::optional<Instant> issued = {};  ///< By whoever made it; empty: not said.
  friend bool operator==(const Forecast&, const Forecast&) = default;
};

/// Wind at 10 m in the open, for the hour that begins at `at`. A missing number is unknown, not
/// zero.
struct WindHour {
  Uid uid;
  Uid forecast;
  Instant at{};
  std::optional<double>
      from_deg;  ///< Grid bearing it blows from; absent: unknown, variable or calm.
  std::optional<double> speed_mps;
  std::optional<double> speed_range_mps;  ///< Width of a stated range ("10 to 15 mph").
  std::optional<double> gust_mps;
  std::optional<double> cloud;  ///< 0 clear .. 1 overcast.
  std::optional<double> temperature_c;
  friend bool operator==(const WindHour&, const WindHour&) = default;
};

struct HandWind {
  double from_deg = 270;  ///< Grid bearing it blows from.
  double speed_mps = 3;
  double cloud = 0.3;
  friend bool operator==(const HandWind&, const HandWind&) = default;
};

/// Somebody was on the land: what rests from then on.
struct Visit {
  Uid uid;
  VisitType type = VisitType::sit;
  Instant at{};
  Uid place;  ///< A stand, camera or other feature; empty: only what was entered.
  std::vector<Uid> entered = {};  ///< Bedding, food, sanctuary or trails that were walked through.
  std::string who = {};
  std::string remarks = {};
  friend bool operator==(const Visit&, const Visit&) = default;
};

/// A constant of the exposure model that the user sets for this property (core/eval/judgement.h).
struct NamedValue {
  std::string name;
  double value = 0;
  friend bool operator==(const NamedValue&, const NamedValue&) = default;
};

/// The chance that deer are on a kind of area, by hours from sunrise or sunset, set by the user:
/// linear between knots, flat beyond.
struct CurveKnot {
  double hours = 0, chance = 0;
  friend bool operator==(const CurveKnot&, const CurveKnot&) = default;
};
struct DeerCurve {
  std::string name;  ///< One of core/eval/deer.h.
  std::vector<CurveKnot> knots;
  friend bool operator==(const DeerCurve&, const DeerCurve&) = default;
};

/// Days of the rut as the user dates them.
struct RutPhase {
  std::string name;
  std::string from, until;  ///< ISO dates, both counted.
  double daylight = 1.5;    ///< Times as many bucks on trails by day as otherwise.
  friend bool operator==(const RutPhase&, const RutPhase&) = default;
};

struct PrintLayout {
  PaperSize paper = PaperSize::letter;
  bool landscape = false;
  double scale_denominator = 0;   ///< 0: the largest round scale that fits.
  std::optional<LocalXY> centre;  ///< Empty: the middle of the boundary.
  Trade trade = Trade::balanced;
  bool aerial = true;
  std::optional<Instant> hour;                               ///< Empty: the hour on the strip.
  double custom_width_mm = 215.9, custom_height_mm = 279.4;  ///< Of PaperSize::custom, upright.
  double turned_deg = 0;  ///< Grid bearing of the map frame's upper side, -180 .. 180.
  bool contours = true;
  PrintLook look = PrintLook::colour;
  bool large_type = false;
  friend bool operator==(const PrintLayout&, const PrintLayout&) = default;
};

/// What somebody needs who must find or fetch a hunter: the user's own entries, printed as they
/// stand. Empty: not entered.
struct EmergencyPlan {
  std::optional<LocalXY> meeting;  ///< Where helpers are met.
  std::string meeting_words;       ///< How that place is found from the road.
  std::string numbers;             ///< One a line: whom, and the number.
  std::string due_back;            ///< When everybody is out.
  std::string call_if_late;        ///< Who is told then, by whom.
  friend bool operator==(const EmergencyPlan&, const EmergencyPlan&) = default;
};

struct Settings {
  std::string name = "New property";
  std::string time_zone = "America/Chicago";
  CrsId crs;
  UnitSystem units = UnitSystem::us;
  /// Legal shooting hours are the user's own entry (minutes before sunrise, after sunset).
  std::optional<int> legal_before_sunrise_min;
  std::optional<int> legal_after_sunset_min;
  int sit_minutes = 180;  ///< From arriving to leaving.
  bool use_hand_wind = false;
  HandWind hand_wind;
  std::optional<int> stability;  ///< By hand, 0 = A .. 5 = F; empty: by the key.
  /// Relative exposure times the chance of deer that the user will not have on a deer area.
  double scent_limit = 0.01;
  /// Every dwelling and road within the farthest travel is drawn. False: ground without them counts
  /// as unknown.
  bool surroundings_drawn = false;
  double deer_pace_mps = 0.9;    ///< Of a deer that walks a trail (common practice, no source).
  double glare_within_deg = 25;  ///< A low sun within this angle of the line of sight dazzles.
  /// On the stand this long before legal light, mornings (common practice, no source).
  int settle_min = 30;
  /// A stand whose safety check is older is withheld from the plan; empty: not reminded.
  std::optional<int> safety_check_months;
  bool pick_up = false;          ///< A way out may be a ride: where vehicles are routine.
  bool beyond_boundary = false;  ///< Ways may cross a neighbour's ground: he said so.
  std::vector<NamedValue> constants;
  std::vector<DeerCurve> curves;
  std::vector<RutPhase> rut;
  double pace_m = 0.75;  ///< One step of whoever walks by a card (common practice, no source).
  EmergencyPlan emergency;
  PrintLayout layout;
  friend bool operator==(const Settings&, const Settings&) = default;
};

}  // namespace leeward
