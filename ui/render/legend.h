// What the marks of results mean: rows of the legend on the map and on the printed page. Only what
// is shown is named.
#pragma once

#include "core/eval/results.h"
#include "ui/render/doubt.h"
#include "ui/render/map_transform.h"

#include <QString>

#include <vector>

class QPainter;

namespace leeward::ui {

enum class LegendMark {
  scent,
  sight,
  wind,
  slope_air,
  lee,
  calm,
  transition,
  timber,
  words,  ///< A row without a mark.
  margin,
  margin_passed,
  way_in,
  way_out,
  ring,
  camera_view,
  mend,
  scrape_line,
  no_shot,
  no_ground,
  ground_unknown
};
struct LegendRow {
  LegendMark mark = LegendMark::words;
  QString words;
  friend bool operator==(const LegendRow&, const LegendRow&) = default;
};

/// What a map shows. Null where it shows none.
struct LegendAsk {
  const StandResult* stand = nullptr;  ///< Whose scent, sight, ways and margin may be shown.
  const AirMap* air = nullptr;
  const DoubtPicture* doubt = nullptr;
  bool scent = false, sight = false, ways = false, margin = false, rings = false;
  bool wind = false, slope_air = false;
  std::size_t trade = 0;  ///< Whose ways.
  bool fire = false;      ///< Of `stand`.
  /// What of the checks is drawn: a camera's view, a sign, a line of scrapes.
  bool camera_view = false, mend = false, scrape_line = false;
};
std::vector<LegendRow> legendRows(const LegendAsk& ask);
/// Which marks of checks are drawn for the shown kinds.
void askOfChecks(const Results& results, bool scrapes, bool cameras, LegendAsk& ask);
/// Rows for what drawFire() shows of these stands.
std::vector<LegendRow> fireRows(const std::vector<const StandResult*>& stands);

/// The mark of a row as it looks on the map, inside `box` (device); `unit` device units a logical
/// pixel.
void drawLegendMark(QPainter& painter, LegendMark mark, const QRectF& box, double unit);

/// "Relative exposure: 1 = 25 m straight downwind of a person on the ground".
QString scentScaleWords();

/// The legend's box on a map: a bar with its title and, when `open`, the rows under it. `corner`:
/// its right lower end.
struct LegendBox {
  QRectF box, bar;
};
LegendBox legendBox(const std::vector<LegendRow>& rows, bool open, QPointF corner);
void drawLegend(QPainter& painter, const std::vector<LegendRow>& rows, bool open,
                const LegendBox& where);

}  // namespace leeward::ui
