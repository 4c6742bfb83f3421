// The plan for the coming sits: every stand at every morning and evening, side by side. Scores are
// relative: they order sits of one property in one forecast, they predict nothing.
#pragma once

#include "core/eval/engine.h"

#include <string>
#include <vector>

namespace leeward {

/// A morning from before legal light on, or an evening up to its end.
struct PlanSit {
  Instant arrive{}, leave{};
  bool morning = false;
  std::string date;                 ///< ISO, of the property's clock.
  AirNow air;                       ///< At arrival.
  double swing_deg = 0;             ///< Largest turn of the forecast's wind from that of arrival.
  std::vector<std::string> doubts;  ///< Of any of its hours, each once.
};

/// `withheld`: not to be sat then, whatever the wind (safety, no way, not meant for it).
enum class Verdict { better, even, leave_alone, withheld };
const char* word(Verdict verdict);

/// What a score is the product of; all 0..1, larger is better.
struct PlanParts {
  double in = 0;       ///< Chance of going in unnoticed.
  double sit = 0;      ///< Of sitting unnoticed from arrival to leaving.
  double out = 0;      ///< Of leaving unnoticed.
  double traffic = 0;  ///< Chance of deer in reach, seen, in legal light, that met no scent before.
  double steady = 0;   ///< Chance that the wind keeps within the margin, mean over the hours.
  double light = 0;    ///< Share of what is in reach that does not lie against a low sun.
  double rest = 0;     ///< What entries of the last days leave of its worth.
  double score() const { return in * sit * out * traffic * steady * light * rest; }
};

struct PlanCell {
  std::size_t sit = 0;  ///< Index into Plan::sits.
  Uid stand;
  Verdict verdict = Verdict::even;
  bool watch_only = false;  ///< To watch and learn; ranked apart.
  PlanParts parts;
  double score = 0;
  double low = 0, high = 0;  ///< With the hazards of way and sit at the ends of their band.
  /// 1 for the best of its sit (hunts and watches apart); equal where the order does not hold over
  /// the whole band, or scores lie within a tenth. 0: left alone or withheld.
  int rank = 0;
  std::optional<Instant> scent_from;  ///< Scent lies on deer from then to the end, not before.
  /// The last quarter of an hour before that, where the way out is clean then.
  std::optional<Instant> out_by;
  bool by_ride = false;              ///< The way out is a pick-up.
  bool deer_at_dark = false;         ///< Deer are likely before the stand at the end of an evening.
  std::vector<std::string> reasons;  ///< In sentences, weightiest first.
};

struct Plan {
  std::uint64_t revision = 0;  ///< Of the document it answers.
  Trade trade = Trade::balanced;
  std::vector<PlanSit> sits;
  std::vector<PlanCell> cells;  ///< By sit, in each in the document's order of stands.

  const PlanCell* find(std::size_t sit, const Uid& stand) const {
    for (const PlanCell& c : cells)
      if (c.sit == sit && c.stand == stand) return &c;
    return nullptr;
  }
};

/// Mornings and evenings of `days` local days from that of `first` on whose end lies after `first`.
/// By legal light where the user has entered it, else by sunrise and sunset; the sit's length and
/// the time to settle are the settings'.
std::vector<PlanSit> coming_sits(const Document& document, LonLat place, Instant first, int days);

/// Evaluates every sit hour by hour, and by quarters of an hour where the scent of a stand comes to
/// lie on deer. `ask`: document and terrain, the trade to walk by, and with
/// its arrival the first moment that counts. The engine keeps what it can from sit to sit. ERRORS:
/// cancelled.
Result<Plan> make_plan(Engine& engine, const Snapshot& ask, int days, std::stop_token stop = {},
                       const Progress& progress = {});

/// What the scores of one sit are made from; used by make_plan() alone.
struct PlanHour {
  Instant at{};
  Ref<Results> results;
};
struct SitAnswers {
  std::vector<PlanHour> hours;  ///< From arrival to leaving.
  std::vector<PlanHour> early;  ///< Of leaving at another moment than at the end.
};
/// Place in the hours of the first from which a stand's scent lies on deer to the end, after one at
/// which it does not; none: always, never, or only on leaving.
std::optional<std::size_t> scent_onset(const std::vector<PlanHour>& hours, const Uid& stand);
PlanCell plan_cell(const Document& document, const PlanSit& sit, const SitAnswers& answers,
                   const Feature& stand);
/// Ranks and verdicts of the cells of one sit.
void rank_cells(std::vector<PlanCell*>& cells);

/// What entries leave of a stand's worth at a moment, and the weightiest of them in words (empty:
/// none that matters).
struct Rest {
  double share = 1;
  std::string why;
};
Rest rest_of(const Document& document, const Feature& stand, Instant at);

/// Why a stand is withheld at a time, whatever the wind; empty: it is not.
std::string withheld_because(const Document& document, const Feature& stand, bool morning,
                             Instant at);

}  // namespace leeward
