// Checks of mock scrapes: where they hang, who sees them, what the wind does to them.
// Distances and numbers here are common practice, no source, unless one is named.
#pragma once

#include "core/eval/land.h"
#include "core/eval/results.h"

namespace leeward {

struct ScrapeInputs {
  const Document& document;
  const CoverGrid& cover;
  const Results& results;  ///< Scene, air, leaves and stands are read.
};

/// In the document's order.
std::vector<ScrapeResult> check_scrapes(const ScrapeInputs& in);

/// Trails with three mock scrapes or more within 10 m of them.
std::vector<ScrapeLine> scrape_lines(const Document& document);

/// Days from an ISO date ("2026-10-18") to the local day of `at`; empty: not a date.
std::optional<int> days_since(const std::string& iso_date, Instant at, const std::string& zone);

}  // namespace leeward
