// What lies under the pointer.
#pragma once

#include "core/model/document.h"
#include "ui/render/features.h"
#include "ui/render/map_transform.h"

#include <QString>

#include <optional>
#include <vector>

class QPainter;

namespace leeward::ui {

/// Reach of the pointer, logical pixels.
inline constexpr double kReachPx = 7;

/// All features at a place (device units), the most wanted first: points before lines, lines before
/// areas, small areas before large; within a rank the nearest.
std::vector<Ref<Feature>> featuresAt(const Document& document, const MapTransform& t, KindSet shown,
                                     QPointF device);
/// The first of them, or nullptr.
Ref<Feature> featureAt(const Document& document, const MapTransform& t, KindSet shown,
                       QPointF device);

/// A vertex of a shape: part and index.
struct VertexRef {
  std::size_t part = 0;
  std::size_t index = 0;
  friend bool operator==(const VertexRef&, const VertexRef&) = default;
};
std::optional<VertexRef> vertexAt(const Shape& shape, const MapTransform& t, QPointF device);

/// The edge under the pointer: a new vertex would stand before `before`.
struct EdgeRef {
  VertexRef before;
  LocalXY point;
};
std::optional<EdgeRef> edgeAt(const Shape& shape, const MapTransform& t, QPointF device);

/// What a drawn point snaps to. A node is an end that meets another line.
enum class SnapTo { place, corner, end, node, edge };
struct Snap {
  LocalXY at;
  SnapTo to = SnapTo::corner;
  Uid of;
};
/// The nearest vertex of any shown feature within reach, other than of `except`; without one, the
/// nearest edge within reach.
std::optional<Snap> snapAt(const Document& document, const MapTransform& t, KindSet shown,
                           QPointF device, const Uid& except = {});
/// "end of Bed to clover", "edge of unnamed cover".
QString snapWords(const Document& document, const Snap& snap);
/// A mark of its own for each thing that is snapped to.
void drawSnap(QPainter& painter, const MapTransform& t, const Snap& snap);

}  // namespace leeward::ui
