#include "ui/panels/own_style.h"

#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QPainter>
#include <QPushButton>
#include <QStyleFactory>
#include <QStyleOption>
#include <QTabBar>

namespace leeward::ui {
namespace {

constexpr int kIndicatorPx = 16, kIconPx = 18;

void drawFocus(QPainter* painter, const QRectF& around) {
  painter->save();
  painter->setRenderHint(QPainter::Antialiasing);
  painter->setBrush(Qt::NoBrush);
  painter->setPen(QPen(theme().accent, 2));
  painter->drawRoundedRect(around.adjusted(1, 1, -1, -1), kSpacePx, kSpacePx);
  painter->restore();
}

QColor inkFor(QStyle::State state) {
  return state & QStyle::State_Enabled ? theme().ink : theme().faint;
}

/// A box, with a tick or, where only some are chosen, a bar.
void drawCheck(QPainter* painter, const QRectF& room, QStyle::State state) {
  const double side = std::min(room.width(), room.height());
  QRectF box(0, 0, side, side);
  box.moveCenter(room.center());
  painter->save();
  painter->setRenderHint(QPainter::Antialiasing);
  painter->setBrush(theme().sheet);
  painter->setPen(QPen(state & QStyle::State_Enabled ? theme().edge : theme().rule, 1));
  painter->drawRoundedRect(box.adjusted(0.5, 0.5, -0.5, -0.5), 3, 3);
  QPen pen(inkFor(state), side / 8);
  pen.setCapStyle(Qt::RoundCap);
  pen.setJoinStyle(Qt::RoundJoin);
  painter->setPen(pen);
  painter->setBrush(Qt::NoBrush);
  const auto at = [&](double x, double y) { return box.topLeft() + QPointF(x, y) * side; };
  if (state & QStyle::State_On) {
    painter->drawPolyline(QPolygonF{at(0.24, 0.52), at(0.43, 0.71), at(0.77, 0.3)});
  } else if (state & QStyle::State_NoChange) {
    painter->drawLine(at(0.28, 0.5), at(0.72, 0.5));
  }
  painter->restore();
}

/// A groove that is filled up to the handle.
void drawSlider(QPainter* painter, const QStyleOptionSlider& slider) {
  const QRectF room = slider.rect;
  const double r = typeLength(7);
  const double share =
      QStyle::sliderPositionFromValue(slider.minimum, slider.maximum, slider.sliderPosition, 1000) /
      1000.0;
  const QPointF middle(room.left() + r + 2 + share * (room.width() - 2 * r - 4), room.center().y());
  const bool on = slider.state & QStyle::State_Enabled;
  painter->save();
  painter->setRenderHint(QPainter::Antialiasing);
  const auto line = [&](double from, double to, const QColor& colour) {
    painter->setPen(QPen(colour, 3, Qt::SolidLine, Qt::RoundCap));
    painter->drawLine(QPointF(from, middle.y()), QPointF(to, middle.y()));
  };
  line(room.left() + 3, room.right() - 3, on ? theme().edge : theme().rule);
  if (on) line(room.left() + 3, middle.x(), theme().accent);
  painter->setPen(QPen(on ? theme().ink : theme().faint, 1.5));
  painter->setBrush(theme().sheet);
  painter->drawEllipse(middle, r - 1, r - 1);
  painter->restore();
}

}  // namespace

OwnStyle::OwnStyle() : QProxyStyle(QStyleFactory::create(QStringLiteral("Fusion"))) {}

void OwnStyle::drawPrimitive(PrimitiveElement element, const QStyleOption* option,
                             QPainter* painter, const QWidget* widget) const {
  if (element == PE_IndicatorCheckBox || element == PE_IndicatorItemViewItemCheck)
    return drawCheck(painter, option->rect, option->state);
  if (element != PE_FrameFocusRect)
    return QProxyStyle::drawPrimitive(element, option, painter, widget);
  if (qobject_cast<const QTabBar*>(widget) || qobject_cast<const QPushButton*>(widget))
    return;  // the style sheet draws theirs
  drawFocus(painter, option->rect);
}

void OwnStyle::drawComplexControl(ComplexControl control, const QStyleOptionComplex* option,
                                  QPainter* painter, const QWidget* widget) const {
  const auto* slider = qstyleoption_cast<const QStyleOptionSlider*>(option);
  if (control != CC_Slider || !slider || slider->orientation != Qt::Horizontal)
    return QProxyStyle::drawComplexControl(control, option, painter, widget);
  drawSlider(painter, *slider);
  if (option->state & State_HasFocus) drawFocus(painter, option->rect);
}

int OwnStyle::pixelMetric(PixelMetric metric, const QStyleOption* option,
                          const QWidget* widget) const {
  if (metric == PM_SmallIconSize || metric == PM_ButtonIconSize) return typeLength(kIconPx);
  if (metric == PM_IndicatorWidth || metric == PM_IndicatorHeight) return typeLength(kIndicatorPx);
  return QProxyStyle::pixelMetric(metric, option, widget);
}

}  // namespace leeward::ui
