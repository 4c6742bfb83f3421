// What lies under the pointer.
#pragma once

#include "core/model/document.h"
#include "ui/render/features.h"
#include "ui/render/map_transform.h"

#include <optional>

namespace leeward::ui {

/// Reach of the pointer, logical pixels.
inline constexpr double kReachPx = 7;

/// The feature at a place (device units): points win over lines, lines over areas, small areas over
/// large; within a rank the nearest. nullptr: nothing.
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

/// The nearest vertex or point of any shown feature within reach, other than of `except`.
std::optional<LocalXY> snapPoint(const Document& document, const MapTransform& t, KindSet shown,
                                 QPointF device, const Uid& except = {});

}  // namespace leeward::ui
