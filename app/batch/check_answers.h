// Mock scrapes, cameras and gaps of barriers as JSON.
#pragma once

#include "core/eval/results.h"

#include <nlohmann/json_fwd.hpp>

namespace leeward::batch {

nlohmann::json scrapes_json(const Document& document, const Results& results);
nlohmann::json scrape_lines_json(const Document& document, const Results& results);
nlohmann::json gaps_json(const Document& document, const Results& results);
nlohmann::json cameras_json(const Document& document, const Results& results);

}  // namespace leeward::batch
