// Painters of what is known of mock scrapes, cameras and gaps of walls.
#pragma once

#include "core/eval/results.h"
#include "ui/render/labels.h"
#include "ui/render/map_transform.h"

class QPainter;

namespace leeward::ui {

/// What a camera sees, filled; the rest of its wedge, which ground or cover hides, dotted.
void drawCameraView(QPainter& painter, const MapTransform& t, const CameraResult& camera,
                    const CameraAttrs& attrs);
/// The trail from the first to the last of a line of scrapes, with a stroke across at each.
void drawScrapeLine(QPainter& painter, const MapTransform& t, const ScrapeLine& line);
/// The distance between each two of them, where there is room.
void drawScrapeLineLabels(QPainter& painter, const MapTransform& t, const ScrapeLine& line,
                          UnitSystem units, LabelPlacer& placer);
/// At each gap that deer pass the share of them that it takes, where there is room.
void drawGapLabels(QPainter& painter, const MapTransform& t, const std::vector<GapUse>& gaps,
                   LabelPlacer& placer);
/// A small triangle at the upper right of a symbol: something here asks for work.
void drawMendSign(QPainter& painter, QPointF symbol, double unit);

/// All of it for a document's scrapes and cameras: what lies below the symbols, and what lies on
/// them. A view too small to be read is left out.
void drawViewsAndLines(QPainter& painter, const MapTransform& t, const Document& document,
                       const Results& results, bool scrapes, bool cameras);
void drawMendSigns(QPainter& painter, const MapTransform& t, const Document& document,
                   const Results& results, bool scrapes, bool cameras);

}  // namespace leeward::ui
