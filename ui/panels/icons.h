// Icons of tools, layers and commands: the project's own drawings on one grid of 24, one stroke.
#pragma once

#include "core/model/property.h"

#include <QColor>
#include <QIcon>
#include <QString>

class QPainter;

namespace leeward::ui {

/// The drawing resources/icons/NAME.svg in the worn theme's ink, grey where disabled; sharp at any
/// size and pixel ratio, and right after a change of theme. REQUIRES: it exists.
QIcon icon(const QString& name);
/// "stand", "deer_trail": the drawing for a kind's tool.
QString iconName(Kind kind);
/// One drawing in `ink` inside `box` (logical pixels).
void drawIcon(QPainter& painter, const QString& name, const QRectF& box, const QColor& ink);

}  // namespace leeward::ui
