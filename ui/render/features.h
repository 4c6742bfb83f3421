// Painters of features on the map.
#pragma once

#include "core/model/document.h"
#include "ui/render/map_transform.h"

#include <bitset>

class QPainter;
class QPainterPath;

namespace leeward::ui {

struct FeatureLook {
  bool selected = false;
  bool vector = false;  ///< For paper: patterns as strokes.
};

/// Outline of any shape in device units: areas closed with holes, lines open.
QPainterPath devicePath(const MapTransform& t, const Shape& shape);

/// One feature with its symbol, line or pattern; no label.
void drawFeature(QPainter& painter, const MapTransform& t, const Feature& feature,
                 FeatureLook look);

using KindSet = std::bitset<kKindCount>;

/// All features whose kind is in `shown`: areas first, lines, then points; the selected one last.
void drawFeatures(QPainter& painter, const MapTransform& t, const Document& document, KindSet shown,
                  const Uid& selected, bool vector = false);

class LabelPlacer;
/// Keeps the symbols of points clear of labels.
void takeSymbols(const MapTransform& t, const Document& document, KindSet shown,
                 LabelPlacer& placer);
/// Labels of the named features in order of weight, placed clear of each other and of what is
/// taken.
void drawFeatureLabels(QPainter& painter, const MapTransform& t, const Document& document,
                       KindSet shown, const Uid& selected, LabelPlacer& placer);

/// The stretches of a barrier that stand, its gaps cut out, in walking order.
std::vector<Path> standingParts(const Path& barrier, const std::vector<Gap>& gaps);

}  // namespace leeward::ui
