// Sections of a stand's explanation: where not to shoot, and light.
#pragma once

#include "core/eval/explain.h"

namespace leeward {

/// What of a weapon's entries is missing, in a sentence. REQUIRES: !fire.entered().
std::string fire_gap_text(const WeaponFire& fire);
void explain_fire(const Document& document, const Results& results, const StandResult& stand,
                  std::vector<Sentence>& out);
void explain_light(const Document& document, const Results& results, const StandResult& stand,
                   std::vector<Sentence>& out);

/// For a map of several stands: what of their fire is not looked at for want of an entry, and that
/// nothing is ever cleared.
std::vector<std::string> fire_cautions(const Document& document, const Results& results);

}  // namespace leeward
