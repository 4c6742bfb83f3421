// Results as text for people and as JSON for programs.
#pragma once

#include "core/eval/results.h"

#include <string>
#include <vector>

namespace leeward::batch {

/// One line a stand, then each stand's explanation when `full`.
std::string text_answer(const Document& document, const Results& results,
                        const std::vector<Uid>& stands, bool full);
/// The same figures in metres, seconds and degrees; keys carry their units.
std::string json_answer(const Document& document, const Results& results,
                        const std::vector<Uid>& stands);

}  // namespace leeward::batch
