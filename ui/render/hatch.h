// Area patterns. On screen a pattern is a texture; on paper its strokes are drawn one by one, so a
// PDF stays vector. Patterns keep their place on the ground while the map is panned.
#pragma once

#include "ui/render/map_transform.h"
#include "ui/style/palette.h"

#include <QBrush>
#include <QPainterPath>

class QPainter;

namespace leeward::ui {

/// Side of the repeating cell, logical pixels.
inline constexpr double kHatchCellPx = 14;

/// Fills `outline` (device) with `hatch` in `ink`. `vector`: strokes instead of a texture.
/// A valid `casing` lies under the strokes, a pixel wider on each side.
void fillHatched(QPainter& painter, const MapTransform& t, const QPainterPath& outline, Hatch hatch,
                 const QColor& ink, bool vector, const QColor& casing = {});

/// The texture of a pattern at its place on the ground, for filling many parts.
QBrush hatchBrush(const QPainter& painter, const MapTransform& t, Hatch hatch, const QColor& ink,
                  const QColor& casing = {});

/// `ink` as it would look on `ground` if it let that much through: for paper, where strokes are
/// opaque.
QColor mixed(const QColor& ink, const QColor& ground, double share);

}  // namespace leeward::ui
