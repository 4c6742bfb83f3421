#include "core/eval/checks.h"

#include <algorithm>
#include <array>

namespace leeward {

const CheckWords& check_words(CheckId id) {
  static constexpr std::array<CheckWords, kCheckCount> kWords = {
      {{"on_trail", "On a trail"},
       {"trails_meet", "Trails that meet"},
       {"in_reach", "In reach of a stand"},
       {"between", "Edge, bed to food"},
       {"pinch", "Pinch"},
       {"watched", "Camera"},
       {"wind", "Your scent"},
       {"fresh", "Refreshed"},
       {"hang", "Lower end"},
       {"limb", "Limb"},
       {"ground", "Ground below"},
       {"hanger", "Vine"},
       {"lure", "Scent used"},
       {"faces", "In view"},
       {"low_sun", "Low sun"},
       {"reachable", "Way to it"},
       {"service", "Service window"},
       {"battery", "Battery"},
       {"card", "Card"}}};
  return kWords[static_cast<size_t>(id)];
}

const char* word(CheckState state) {
  static constexpr const char* kWords[] = {"good", "mend", "note", "unknown"};
  return kWords[static_cast<size_t>(state)];
}

int to_mend(const std::vector<Check>& checks) {
  return static_cast<int>(std::count_if(
      checks.begin(), checks.end(), [](const Check& c) { return c.state == CheckState::mend; }));
}

const Check* find_check(const std::vector<Check>& checks, CheckId id) {
  for (const Check& c : checks)
    if (c.id == id) return &c;
  return nullptr;
}

}  // namespace leeward
