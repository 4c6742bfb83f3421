// Contours of the ground for a printed map: smoothed, at a round interval, every fifth labelled.
#pragma once

#include "core/geo/raster.h"
#include "core/model/property.h"
#include "ui/print/page.h"
#include "ui/render/labels.h"

#include <vector>

namespace leeward::ui {

inline constexpr int kIndexEvery = 5;

struct Contour {
  int step = 0;  ///< Its height is step * interval.
  Path line;
  bool index() const { return step % kIndexEvery == 0; }
};

struct Contours {
  double interval = 0;  ///< In `unit`: feet or metres.
  const char* unit = "";
  std::vector<Contour> lines;
};

/// The ground of `box` smoothed over about 0.7 mm of a map at 1 : denominator. The interval is the
/// smallest round one (of 1, 2, 5, 10 ... metres; 5, 10, 20, 40, 100 ... feet) whose lines lie 1.5
/// mm apart on the median slope. Empty without ground.
Contours contoursOf(const Raster<float>& ground, const Box& box, double denominator,
                    UnitSystem units);

void drawContours(Page& page, const MapTransform& t, const Contours& contours);
/// Heights on index lines, along them, where nothing else stands; at most one each 70 mm.
void drawContourLabels(Page& page, const MapTransform& t, const Contours& contours,
                       LabelPlacer& labels);

}  // namespace leeward::ui
