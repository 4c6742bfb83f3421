// Words for people from the checks of mock scrapes and cameras.
#pragma once

#include "core/eval/explain.h"

namespace leeward {

/// "✓ good", "▲ mend", "• note", "? unknown": a sign and a word, so that colour is not needed.
std::string state_text(CheckState state);
/// "3 of 13 checks ask for work", "All 13 checks are good or notes".
std::string checks_summary(const std::vector<Check>& checks);
/// Each check as a line; nothing for a feature that has none. A line of scrapes is told with its
/// spacing.
std::vector<Sentence> explain_checks(const Document& document, const Results& results,
                                     const Uid& feature);
/// What is to be done: "Creek scrape: Refresh it: ...", for all scrapes and cameras.
std::vector<std::string> work_to_do(const Document& document, const Results& results);

}  // namespace leeward
