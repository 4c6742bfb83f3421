// What the evaluators of mock scrapes and cameras answer: one check a line, each with its number,
// its state and what mends it.
#pragma once

#include "core/base/uid.h"
#include "core/geo/point.h"

#include <string>
#include <vector>

namespace leeward {

/// `mend`: something is to be done. `note`: worth knowing, nothing is wrong. `unknown`: what the
/// check needs is not entered or not drawn.
enum class CheckState { good, mend, note, unknown };

enum class CheckId {
  // Of a mock scrape.
  on_trail,     ///< Value: metres to the nearest deer trail.
  trails_meet,  ///< Trails that pass within 15 m.
  in_reach,     ///< Metres to the best stand.
  between,      ///< Metres to the nearest edge of bedding, food or cover.
  pinch,        ///< Metres to a gap, or the width of the passage.
  watched,      ///< Metres to the camera that sees it, or to the nearest.
  wind,         ///< Share (0..1) of the winds that take the sitter's scent over it.
  fresh,        ///< Days since it was refreshed (or hung).
  hang,         ///< Metres of the lower end above the ground.
  limb,         ///< Metres of the limb above the ground.
  ground,       ///< Metres across the bare ground.
  hanger,       ///< Metres of vine or rope.
  lure,         ///< 1: scent was used.
  // Of a camera.
  faces,      ///< Scrapes and trails in its view.
  low_sun,    ///< Minutes a day, mean over the season, of a low sun before the lens.
  reachable,  ///< 1: a way that enters no bedding; 0: none.
  service,    ///< 1: the scene's hour lies in the service window.
  battery,    ///< Days since the last change.
  card        ///< Days since the last change.
};
inline constexpr int kCheckCount = 19;

struct Check {
  CheckId id = CheckId::on_trail;
  CheckState state = CheckState::unknown;
  double value = 0;  ///< See CheckId; NaN: not known.
  std::string says;  ///< The number in words and the user's units, one clause, no full stop.
  std::string mend;  ///< What to do or to know, one sentence; empty: nothing.
};

struct ScrapeResult {
  Uid scrape;
  std::vector<Check> checks;  ///< In the order of CheckId.
  Uid stand;                  ///< Best stand for it; empty: none.
  Uid camera;                 ///< That sees it; empty: none.
};

/// Three mock scrapes or more along one trail.
struct ScrapeLine {
  Uid trail;
  std::vector<Uid> scrapes;        ///< In the trail's drawn order.
  std::vector<double> spacings_m;  ///< Along the trail, one fewer than scrapes.
  double mean_m = 0;               ///< Of the spacings.
  std::vector<LocalXY> stops;      ///< On the trail, one a scrape.
  Path along;                      ///< The trail from the first to the last.
};

struct CameraResult {
  Uid camera;
  std::vector<Check> checks;  ///< In the order of CheckId.
  /// What it sees: a ring from the camera along the far end of each line of sight; a vertex every 2
  /// degrees or less, anticlockwise edge first.
  Path view;
  double view_share = 0;  ///< Of the unclipped wedge's ground, 0..1.
  std::vector<Uid> sees;  ///< Mock scrapes, then trails.
};

/// "on_trail" for files and "On a trail" for people.
struct CheckWords {
  const char* key;
  const char* title;
};
const CheckWords& check_words(CheckId id);
/// "good", "mend", "note", "unknown".
const char* word(CheckState state);
/// How many of them ask for something to be done.
int to_mend(const std::vector<Check>& checks);
const Check* find_check(const std::vector<Check>& checks, CheckId id);

}  // namespace leeward
