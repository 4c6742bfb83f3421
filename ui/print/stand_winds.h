// Which winds suit the stands: the hour evaluated once more for sixteen directions at its own speed
// and sky.
#pragma once

#include "core/eval/engine.h"

#include <array>
#include <optional>
#include <vector>

namespace leeward::ui {

inline constexpr int kRoseSectors = 16;
inline constexpr double kSectorWidth_deg = 22.5;

/// `fair`: the scent limit holds in the whole sector. `edge`: at its middle, but not to both of its
/// sides. `foul`: the limit is passed at its middle.
enum class WindSuit : std::uint8_t { fair, edge, foul };

struct StandRose {
  Uid stand;
  std::array<WindSuit, kRoseSectors> suits{};  ///< Sector 0 is a wind from true north.
};

struct StandWinds {
  bool known = false;  ///< False: the hour's wind is unknown or calm.
  double speed_mps = 0;
  std::vector<StandRose> stands;  ///< In the document's order.
  const StandRose* find(const Uid& stand) const;
};

/// `ask` is the snapshot whose answer is `base`. ERRORS: cancelled.
Result<StandWinds> standWinds(Engine& engine, const Snapshot& ask, const Results& base,
                              std::stop_token stop = {}, const Progress& progress = {});

/// Where to go when the wind passes a stand's limit to one side.
struct Fallback {
  double past_true_deg = 0;  ///< The direction that is passed.
  bool veering = false;
  Uid stand;  ///< Empty: no other stand stays fair there.
};
/// For each side on which the swing margin ends. `stand` is nowhere fair already when its margin is
/// passed: then nothing. A stand to go to is fair in the sector behind the limit and the next one,
/// has a way in, is nobody else's, is not withheld and is meant for hunting; of several the
/// nearest.
std::vector<Fallback> fallbacks(const Document& document, const Results& base,
                                const StandWinds& winds, const StandResult& stand);

}  // namespace leeward::ui
