// A range card: what lies around a stand as its sitter sees it, all round, with ranges.
#pragma once

#include "core/eval/results.h"
#include "ui/print/norths.h"
#include "ui/print/page.h"

#include <vector>

namespace leeward::ui {

inline constexpr int kPanoramaSteps = 180;  ///< One every two degrees from grid north, clockwise.
inline constexpr size_t kPanoramaMarks = 8;

struct Panorama {
  struct Mark {
    QString name;
    Bearing toward;             ///< Grid.
    double depression_deg = 0;  ///< Of the ground there, below the level of the eye.
    double range_m = 0;         ///< Horizontal.
  };
  struct Ring {
    double range_m = 0;
    std::vector<double> depression_deg;  ///< kPanoramaSteps of them, to the aim point.
  };
  Bearing facing;
  bool ground_known = false;        ///< False: the horizon is drawn level.
  std::vector<double> horizon_deg;  ///< kPanoramaSteps, above the level of the eye.
  std::vector<Ring> rings;          ///< Nearest first; those that would lie on each other left out.
  std::vector<Mark> marks;          ///< Nearest first.
};

Panorama panoramaOf(const Document& document, const Terrain& terrain, const StandResult& stand);

/// The view all round with the facing in the middle; horizon, rings and numbered marks, compass
/// bearings below.
void drawPanorama(Page& page, const QRectF& box_mm, const Panorama& view, const Norths& norths,
                  UnitSystem units);

}  // namespace leeward::ui
