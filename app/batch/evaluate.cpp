#include "app/batch/answers.h"
#include "app/batch/open_property.h"
#include "app/batch/verbs.h"

#include <memory>

namespace leeward::batch {
namespace {

struct EvaluateOptions {
  std::string file, at, trade = "balanced", output;
  std::vector<std::string> stands;
  bool json = false, full = false;
};

Result<int> evaluate(const EvaluateOptions& o) {
  auto asked = open_asked(o.file, o.at, o.stands);
  if (!asked) return std::move(asked.error());
  const OpenProperty& property = asked->property;
  auto trade = choose_trade(o.trade);
  if (!trade) return std::move(trade.error());
  auto results = evaluate_at(property, asked->at, *trade);
  if (!results) return std::move(results.error());
  const std::string answer =
      o.json ? json_answer(*property.document, **results, asked->stands)
             : text_answer(*property.document, **results, asked->stands, o.full);
  return write_answer(answer, o.output);
}

}  // namespace

void add_evaluate(CLI::App& app, Run& run) {
  CLI::App* verb = app.add_subcommand(
      "evaluate", "Answer for each stand at an hour: reach, scent, ways in and out");
  verb->footer(
      "JSON, where it is not plain: air: the forecast's air at arrival (air_leave: at leaving); "
      "stability_index\n0 = A to 5 = F; direction_sd_deg holds extra_sd_deg (gusts, range, turn to "
      "the hours beside it);\ndoubts: what was missing and what stands in for it. land_wind: "
      "whether the land bends the wind.\nOf a stand: scent_on: mean relative exposure with its 80 "
      "% "
      "band; air: where the sitter's scent goes,\nwith slope air and when air begins to drain; "
      "doubt: lee, calm, transition, timber; margin: how far the\nwind may veer or back before "
      "exposure times the chance of deer passes scent_limit (most_deg: that or\nmore); meetings: "
      "whether a deer on a trail comes into reach or meets the scent first, and how long\nbefore. "
      "Bearings named grid are from grid north, true from true north.\n"
      "mock_scrapes, cameras: each check with its state (good, mend, note, unknown), its value "
      "(null: "
      "not\nknown), words and what mends it; values are metres (on_trail, in_reach, between, "
      "pinch, "
      "watched, hang,\nlimb, ground, hanger), counts (trails_meet, faces), days (fresh, battery, "
      "card), minutes a day (low_sun),\na share of winds (wind), or 1 and 0 (lure, reachable, "
      "service). view_m: the ring that a camera sees,\nview_share: its part of the wedge. "
      "scrape_lines: three or more along one trail, and their spacings.\n"
      "gaps: of all deer between bed and food the share that passes each gap of a barrier.\n"
      "in_reach: seen_m: with half of sight or more; longest_m: in one piece; walk_s: a deer in it "
      "at the\nproperty's pace; steep: nearer than 10 yd from a platform; skyline_share: from "
      "where "
      "the sitter's head is\nagainst the sky. fire, by weapon: closed: arcs in which a shot to "
      "outer_m comes into a setback or near\npeople; lines: past the outer reach, to where they "
      "meet ground; as_drawn: by the drawn path, not\nthe proposed way; open_share: of the reach, "
      "seen "
      "and not closed, null until all is entered.\n"
      "light: null where no ground is known; direct_sun: over the land, trees\nleft out. A "
      "direction "
      "that nothing closes is not thereby safe.");
  auto o = std::make_shared<EvaluateOptions>();
  verb->add_option("property", o->file, "Property file")->required();
  verb->add_option("--at", o->at,
                   "Arrival, in the property's clock (2026-11-14T14:30) or ISO 8601 with a zone");
  verb->add_option("--stand", o->stands, "Only this stand (may be given again)");
  verb->add_option("--trade", o->trade, "quick, balanced or careful: how much time a way may cost");
  verb->add_flag("--json", o->json, "JSON in metres, seconds and degrees");
  verb->add_flag("--full", o->full, "Text with every stand's explanation");
  verb->add_option("--output", o->output, "Write to a file instead of stdout");
  verb->callback([o, &run] { run = [o] { return evaluate(*o); }; });
}

}  // namespace leeward::batch
