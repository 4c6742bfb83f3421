// Painters of results that are lines: rings and ways.
#pragma once

#include "core/eval/results.h"
#include "ui/render/labels.h"
#include "ui/render/map_transform.h"

class QPainter;

namespace leeward::ui {

/// Distance rings around a stand: solid where the ring is seen, faint and dotted where it is not.
/// Rings that the stand's own symbol would cover are left out.
void drawRingLines(QPainter& painter, const MapTransform& t, const StandResult& stand);
/// The range of each ring in display units, where there is room.
void drawRingLabels(QPainter& painter, const MapTransform& t, const StandResult& stand,
                    UnitSystem units, LabelPlacer& placer);

/// A way coloured and widened by its exposure per minute. The way in is solid, the way out dashed;
/// arrows point in walking direction.
void drawWay(QPainter& painter, const MapTransform& t, const Way& way, bool out);

/// Width of a way at a place on the exposure ramp (exposureShare()), logical pixels.
double wayWidthPx(double exposure_share);

}  // namespace leeward::ui
