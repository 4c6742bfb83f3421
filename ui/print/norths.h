// True, grid and magnetic north for a page, and bearings as a compass shows them.
#pragma once

#include "core/base/civil_time.h"
#include "core/geo/frame.h"

#include <QString>

#include <optional>

namespace leeward::ui {

struct Norths {
  Instant date{};
  double page_up_deg = 0;                 ///< Grid bearing of the map frame's upper side.
  double convergence_deg = 0;             ///< Grid north clockwise from true north.
  std::optional<double> declination_deg;  ///< Magnetic clockwise from true; no model: nothing.
  double change_deg = 0;                  ///< Of it in a year.

  /// What a compass shows for a grid bearing; without a model the true bearing.
  double compassDeg(Bearing grid) const {
    return wrap_360(grid.degrees() + convergence_deg - declination_deg.value_or(0));
  }
  /// "magnetic", or "true" without a model.
  const char* kindWord() const { return declination_deg ? "magnetic" : "true"; }
};

Norths northsAt(const Frame& frame, LocalXY place, Instant date, double page_up_deg = 0);

/// Sentences beside the north mark: where the three lie, and how to turn a bearing of the map into
/// one of the compass.
QString northWords(const Norths& norths, const std::string& time_zone);

}  // namespace leeward::ui
