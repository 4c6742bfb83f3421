// Directions in which nobody may shoot from a stand, what lies behind each ring, and who is where
// on the same sit. Directions are taken away, never cleared: outside all of this a direction is
// only one about which nothing is known against it.
#pragma once

#include "core/compute/line_of_fire.h"
#include "core/compute/setback_arcs.h"
#include "core/model/document.h"
#include "core/model/terrain.h"

#include <array>
#include <stop_token>
#include <string>
#include <vector>

namespace leeward {

struct Way;

/// Something drawn that takes directions away.
struct KeptFrom {
  Uid feature;
  SetbackFrom from = SetbackFrom::dwelling;
  double setback_m = 0;  ///< The user's entry.
  double nearest_m = 0;  ///< From the stand, horizontal.
  /// Directions in which a shot out to the weapon's outer reach would come within the setback.
  std::vector<compute::SetbackArc> arcs;
};

/// Somebody else of the same sit, within the projectile's farthest travel. Their whole ways count,
/// the proposed and the drawn: people come early and leave late, and so may the shooter.
struct PersonInReach {
  enum class Doing { sitting, walking_in, walking_out };
  Uid stand;         ///< Where they sit.
  std::string name;  ///< As entered at that stand.
  Doing doing = Doing::sitting;
  bool as_drawn = false;  ///< Walks the drawn path to the stand, not the proposed way.
  std::vector<compute::SetbackArc> arcs;  ///< Directions whose path comes within kClearOfPeople_m.
  double nearest_m = 0;
  Bearing toward;  ///< Grid, to where they come nearest.
  Instant at{};    ///< When that is.
};
/// Directions that pass a person or a person's way nearer than this are taken away (common
/// practice, no source: room for a way that is not walked to the metre; not a legal distance).
inline constexpr double kClearOfPeople_m = 20;
/// One weapon at one stand.
struct WeaponFire {
  Uid weapon;
  double outer_m = 0;
  std::vector<SetbackFrom> not_entered;  ///< Setbacks that the user has still to look up.
  bool travel_entered = false;
  /// Everything that is to be entered is entered. If not, no direction counts as looked at.
  bool entered() const { return not_entered.empty() && travel_entered; }
  std::vector<KeptFrom> kept_from;          ///< Nearest first.
  std::vector<compute::SetbackArc> closed;  ///< All arcs together, people's too.
  /// The line of fire past a target at the outer reach, every two degrees from grid north. Empty:
  /// the farthest travel is not entered, or no ground is known at the stand.
  std::vector<compute::LineOfFire> lines;
  std::vector<PersonInReach> people;
  /// Share of the ground within the outer reach that is seen and in no closed arc; 0 until all is
  /// entered.
  double open_share = 0;
};

/// Whether ground that ends a shot was found in each direction, as a count for words.
struct FireCount {
  int meets_ground = 0, clears_ground = 0, unknown = 0, blocked = 0, all = 0;
};
FireCount count_lines(const WeaponFire& fire);

struct Sitter {
  Uid stand;
  std::string name;
  LocalXY at;
  std::array<const Way*, 2> in{}, out{};  ///< Proposed and as drawn; nullptr: none.
};

/// Past a target at each weapon's outer reach, in the weapons' order; empty for a weapon without a
/// farthest travel and where no ground is known. ERRORS: cancelled.
using FireLines = std::vector<std::vector<compute::LineOfFire>>;
Result<FireLines> fire_lines(const Terrain& terrain, LocalXY at, double eye_m,
                             const Rows<Weapon>& weapons, std::stop_token stop);

/// Setbacks and what lies behind; people come by add_people. `own_path`: the human path that ends
/// at the stand, which does not close its own stand.
std::vector<WeaponFire> stand_fire(const Document& document, const Feature& stand,
                                   const Rows<Weapon>& weapons, const Uid& own_path,
                                   const FireLines& lines, const Raster<std::uint8_t>& sight);

/// Adds what the others of the sit take away. A weapon without a farthest travel gets nobody: its
/// whole ring is closed to words anyway.
void add_people(std::vector<WeaponFire>& fire, const Uid& stand, LocalXY at,
                const std::vector<Sitter>& sitters, Instant arrive, Instant leave,
                const Rows<Weapon>& weapons, const Raster<std::uint8_t>& sight);

}  // namespace leeward
