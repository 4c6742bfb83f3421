#include "core/eval/explain_checks.h"

#include "core/eval/check_text.h"

#include <algorithm>

namespace leeward {
namespace {

Sentence line_of(const Check& c) {
  std::string text = state_text(c.state) + "  " + check_words(c.id).title + ": " + c.says + ".";
  if (!c.mend.empty()) text += " → " + c.mend;
  return {false, false, std::move(text), {}};
}

void tell_lines(const Document& document, const Results& results, const Uid& scrape,
                std::vector<Sentence>& out) {
  const UnitSystem units = document.settings->units;
  for (const ScrapeLine& line : results.scrape_lines) {
    if (std::find(line.scrapes.begin(), line.scrapes.end(), scrape) == line.scrapes.end()) continue;
    std::string text = check_format("One of a line of %zu scrapes along ", line.scrapes.size()) +
                       feature_name(document, line.trail) + ", ";
    for (size_t i = 0; i < line.spacings_m.size(); ++i)
      text += (i > 0 ? ", " : "") + distance_text(line.spacings_m[i], units);
    text += " apart (mean " + distance_text(line.mean_m, units) + ").";
    out.push_back({false, false, text, {}});
  }
}

}  // namespace

std::string state_text(CheckState state) {
  static constexpr const char* kTexts[] = {"✓ good", "▲ mend", "• note", "? unknown"};
  return kTexts[static_cast<size_t>(state)];
}

std::string checks_summary(const std::vector<Check>& checks) {
  const int n = to_mend(checks);
  return n == 0 ? check_format("None of %zu checks asks for work.", checks.size())
                : check_format("%d of %zu checks ask%s for work.", n, checks.size(),
                               n == 1 ? "s" : "");
}

std::vector<Sentence> explain_checks(const Document& document, const Results& results,
                                     const Uid& feature) {
  std::vector<Sentence> out;
  const auto tell = [&](const std::vector<Check>& checks) {
    out.push_back({true, false, "Checks", {}});
    out.push_back({false, false, checks_summary(checks), {}});
    for (const CheckState first :
         {CheckState::mend, CheckState::unknown, CheckState::good, CheckState::note})
      for (const Check& c : checks)
        if (c.state == first) out.push_back(line_of(c));
  };
  for (const ScrapeResult& s : results.scrapes)
    if (s.scrape == feature) {
      tell(s.checks);
      tell_lines(document, results, feature, out);
    }
  for (const CameraResult& c : results.cameras)
    if (c.camera == feature) {
      tell(c.checks);
      out.push_back(
          {false, false, check_format("It sees %.0f %% of its wedge.", 100 * c.view_share), {}});
    }
  return out;
}

std::vector<std::string> work_to_do(const Document& document, const Results& results) {
  std::vector<std::string> out;
  const auto add = [&](const Uid& uid, const std::vector<Check>& checks) {
    for (const Check& c : checks)
      if (c.state == CheckState::mend) out.push_back(feature_name(document, uid) + ": " + c.mend);
  };
  for (const ScrapeResult& s : results.scrapes) add(s.scrape, s.checks);
  for (const CameraResult& c : results.cameras) add(c.camera, c.checks);
  return out;
}

}  // namespace leeward
