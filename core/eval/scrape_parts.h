// Parts of the checks of one mock scrape. For scrape_checks.cpp only.
#pragma once

#include "core/eval/scrape_checks.h"

namespace leeward {

/// `trail`: the one within 15 m, or nullptr.
Check pinch_check(const Document& document, LocalXY scrape, const Feature* trail);

/// What hangs and what lies below: fresh, hang, limb, ground, hanger, lure. Of the results the
/// scene and the leaves are read.
std::vector<Check> hanging_checks(const MockScrapeAttrs& scrape, const Results& results,
                                  const Settings& settings);

}  // namespace leeward
