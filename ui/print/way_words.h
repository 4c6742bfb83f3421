// A way as a walker is told it in the dark: a turn a line, with a compass bearing, the distance,
// the steps, and what lies on the leg.
#pragma once

#include "core/eval/results.h"
#include "ui/print/norths.h"

#include <QString>
#include <QStringList>

#include <vector>

namespace leeward::ui {

struct WayTurn {
  double compass_deg = 0;  ///< From its first point to its last; as norths.compassDeg() gives it.
  double length_m = 0;     ///< Over the bends that are told.
  int steps = 0;
  QString along;      ///< The path or road that it follows; empty: across country.
  QString landmarks;  ///< "over Stone creek at 60 yd; past Farmhouse, 20 yd left"; may be empty.
};

/// Something on the land that a leg from `from` to `to` meets.
struct Landmark {
  Uid feature;
  double at_m = 0;   ///< Along the leg.
  QString words;     ///< "over Stone creek".
  QString at_words;  ///< "60 yd" where it helps to know, else empty.
};
/// Named lines that are crossed, points within 25 m of the leg, and named areas that are entered;
/// nearest to the beginning first. What is in `without` is left out.
std::vector<Landmark> landmarksOn(const Document& document, LocalXY from, LocalXY to,
                                  const std::vector<Uid>& without);

/// The way in walking order. Bends that leave the straight line by less than 5 m are not told, and
/// legs that keep within 8 m of one named path or road are told as one. Landmarks: the two first of
/// each turn.
std::vector<WayTurn> turnsOf(const Document& document, const Way& way, const Norths& norths);

/// "124°" of a compass bearing.
QString bearingWords(double compass_deg);
/// "124° 120 yd (146 steps) along East path".
QString turnWords(const WayTurn& turn, UnitSystem units);

}  // namespace leeward::ui
