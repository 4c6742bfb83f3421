// What pointer, fingers and keys do on the map.
#include "ui/canvas/map_canvas.h"

#include <QGestureEvent>
#include <QKeyEvent>
#include <QLineF>
#include <QMouseEvent>
#include <QNativeGestureEvent>
#include <QTouchEvent>
#include <QWheelEvent>
#include <QWindow>

#include <algorithm>
#include <cmath>
#include <utility>

namespace leeward::ui {
namespace {

constexpr double kStartPx = 3;  // before a press is a drag
constexpr double kPanStepPx = 90;
constexpr double kZoomStep = 1.4;
constexpr double kWheelTurn_deg = 5;
constexpr double kTurnStep_deg = 15;
constexpr double kFingersTurnAfter_deg = 8;  // fingers that pinch turn a little unmeant
constexpr double kNorthCatches_deg = 2.5;    // a hand near north means north

double caught(double up_deg) { return std::abs(wrap_180(up_deg)) < kNorthCatches_deg ? 0 : up_deg; }

}  // namespace

Pointer MapCanvas::pointer(const QPointF& px, Qt::KeyboardModifiers modifiers) const {
  return {transform_.toLocal(px), px, modifiers};
}

/// Clockwise from the top, about the middle of the view.
double MapCanvas::clockAngle(QPointF px) const {
  const QPointF d = px - middle();
  return Bearing::of(d.x(), -d.y()).degrees();
}

MapCanvas::Drag MapCanvas::dragFor(const QMouseEvent& event) const {
  const bool hand =
      event.button() == Qt::MiddleButton || (event.button() == Qt::LeftButton && space_);
  if (event.button() == Qt::RightButton || (hand && (event.modifiers() & Qt::ShiftModifier)))
    return Drag::turn;
  return hand ? Drag::pan : Drag::none;
}

void MapCanvas::mousePressEvent(QMouseEvent* event) {
  const QPointF px = event->position();
  ringed_ = false;
  pressed_px_ = last_px_ = px;
  moved_ = false;
  drag_ = dragFor(*event);
  if (drag_ == Drag::turn) {
    turn_from_deg_ = transform_.up_deg();
    clock_from_deg_ = clockAngle(px);
    setCursor(Qt::CrossCursor);
  } else if (drag_ == Drag::none) {
    if (event->button() != Qt::LeftButton) return;
    if (legend_.hit(px)) {
      if (legend_.hitBar(px)) toggleLegend();
      return;
    }
    if (dial_.hit(px)) {
      drag_ = Drag::dial;
      emit windTurned(dial_.bearingAt(px, event->modifiers() & Qt::ShiftModifier), false);
    } else {
      drag_ = tool_ && tool_->press(pointer(px, event->modifiers())) ? Drag::tool : Drag::pan;
      if (drag_ == Drag::tool) keep_fitted_ = false;  // nothing jumps from under a hand
    }
  }
  if (drag_ == Drag::pan) setCursor(Qt::ClosedHandCursor);
}

void MapCanvas::dragTurn(QPointF px, bool by_steps) {
  const double up = turn_from_deg_ - (clockAngle(px) - clock_from_deg_);
  stopGlide();
  zoomTurn(transform_.metresPerPx(),
           by_steps ? std::round(up / kTurnStep_deg) * kTurnStep_deg : caught(up), middle());
}

void MapCanvas::mouseMoveEvent(QMouseEvent* event) {
  const QPointF px = event->position();
  const Pointer p = pointer(px, event->modifiers());
  emit pointerAt(p.at);
  if (drag_ == Drag::pan || drag_ == Drag::turn) {
    if (!moved_ && QLineF(pressed_px_, px).length() < kStartPx) return;
    moved_ = true;
    if (drag_ == Drag::turn) return dragTurn(px, event->modifiers() & Qt::ControlModifier);
    panBy(px - last_px_);
    last_px_ = px;
    return;
  }
  if (drag_ == Drag::dial) {
    emit windTurned(dial_.bearingAt(px, event->modifiers() & Qt::ShiftModifier), false);
    return;
  }
  if (!tool_) return;
  tool_->move(p, drag_ == Drag::tool);
  setCursor(dial_.hit(px) || legend_.hitBar(px) ? QCursor(Qt::PointingHandCursor)
                                                : tool_->cursor());
}

void MapCanvas::mouseReleaseEvent(QMouseEvent* event) {
  const Pointer p = pointer(event->position(), event->modifiers());
  const Drag was = std::exchange(drag_, Drag::none);
  if (was == Drag::dial) {
    emit windTurned(dial_.bearingAt(p.px, event->modifiers() & Qt::ShiftModifier), true);
  } else if (was == Drag::tool && tool_) {
    tool_->release(p);
  } else if (was == Drag::pan && !moved_ && tool_ && event->button() == Qt::LeftButton) {
    tool_->click(p);
  }
  setCursor(tool_ ? tool_->cursor() : QCursor(Qt::ArrowCursor));
  if (tool_) emit hintChanged(tool_->hint());
  update();
}

void MapCanvas::mouseDoubleClickEvent(QMouseEvent* event) {
  const QPointF px = event->position();
  if (event->button() != Qt::LeftButton || dial_.hit(px) || legend_.hit(px)) return;
  if (tool_) tool_->doubleClick(pointer(px, event->modifiers()));
}

void MapCanvas::wheelEvent(QWheelEvent* event) {
  const QPointF px = event->position();
  const double turn = event->angleDelta().y() / 120.0;
  event->accept();
  if (turn == 0) return;
  if (dial_.hit(px)) return emit windSpeedStepped(turn > 0 ? 1 : -1);
  const bool turns = event->modifiers() & Qt::ShiftModifier;
  const double factor = turns ? 1 : std::exp2(turn / 2.5),
               by_deg = turns ? turn * kWheelTurn_deg : 0;
  if (event->phase() == Qt::NoScrollPhase) return glideBy(factor, by_deg, px);
  stopGlide();  // a touchpad's many small steps are smooth by themselves
  zoomTurn(transform_.metresPerPx() / factor, transform_.up_deg() + by_deg, px);
}

bool MapCanvas::nativeGesture(const QNativeGestureEvent& event) {
  const double scale = transform_.metresPerPx(), up = transform_.up_deg();
  switch (event.gestureType()) {
    case Qt::BeginNativeGesture:
      pinch_turn_deg_ = 0;
      return true;
    case Qt::ZoomNativeGesture:
      stopGlide();
      zoomTurn(scale / std::max(0.2, 1 + event.value()), up, event.position());
      return true;
    case Qt::RotateNativeGesture:
      pinch_turn_deg_ += event.value();
      if (std::abs(pinch_turn_deg_) < kFingersTurnAfter_deg) return true;
      stopGlide();
      zoomTurn(scale, up - event.value(), event.position());
      return true;
    case Qt::SmartZoomNativeGesture:
      glideBy(2, 0, event.position());
      return true;
    case Qt::EndNativeGesture:
      zoomTurn(scale, caught(up), event.position());
      return true;
    default:
      return false;
  }
}

// The fingers themselves, for Qt's pinch tells distances that lag behind them.
bool MapCanvas::eventFilter(QObject* watched, QEvent* event) {
  const auto type = event->type();
  if (type == QEvent::TouchBegin || type == QEvent::TouchUpdate) {
    const auto& points = static_cast<const QTouchEvent*>(event)->points();
    if (points.size() == 2)
      fingers_ = QLineF(points[0].globalPosition(), points[1].globalPosition());
  }
  return QWidget::eventFilter(watched, event);
}

void MapCanvas::showEvent(QShowEvent* event) {
  QWidget::showEvent(event);
  if (QWindow* handle = window()->windowHandle()) handle->installEventFilter(this);
}

bool MapCanvas::pinch(const QGestureEvent& event) {
  const QGesture* gesture = event.gesture(Qt::PinchGesture);
  if (!gesture || fingers_.length() <= 0) return false;
  if (gesture->state() == Qt::GestureStarted) {
    pinch_from_ = fingers_;
    pinch_map_ = transform_;
    if (drag_ == Drag::tool && tool_) tool_->leave();
    drag_ = Drag::none;
  }
  const double turned = wrap_180(pinch_from_.angle() - fingers_.angle());  // clockwise
  const double meant = turned - std::clamp(turned, -kFingersTurnAfter_deg, kFingersTurnAfter_deg);
  const double up = pinch_map_.up_deg() - meant;
  const QPointF from = mapFromGlobal(pinch_from_.center()), to = mapFromGlobal(fingers_.center());
  stopGlide();
  zoomTurn(pinch_map_.pannedBy(to - from),
           pinch_map_.metresPerPx() * pinch_from_.length() / fingers_.length(),
           gesture->state() == Qt::GestureFinished ? caught(up) : up, to);
  return true;
}

bool MapCanvas::event(QEvent* event) {
  if (event->type() == QEvent::NativeGesture &&
      nativeGesture(*static_cast<QNativeGestureEvent*>(event)))
    return true;
  if (event->type() == QEvent::Gesture && pinch(*static_cast<QGestureEvent*>(event))) return true;
  return QWidget::event(event);
}

bool MapCanvas::viewKey(const QKeyEvent& event) {
  switch (event.key()) {
    case Qt::Key_Left:
      return panBy({kPanStepPx, 0}), true;
    case Qt::Key_Right:
      return panBy({-kPanStepPx, 0}), true;
    case Qt::Key_Up:
      return panBy({0, kPanStepPx}), true;
    case Qt::Key_Down:
      return panBy({0, -kPanStepPx}), true;
    case Qt::Key_Plus:
    case Qt::Key_Equal:
      return glideBy(kZoomStep, 0, middle()), true;
    case Qt::Key_Minus:
      return glideBy(1 / kZoomStep, 0, middle()), true;
    case Qt::Key_Home:
      return fitAll(), true;
    case Qt::Key_End:
      return setTurn(0), true;
    default:
      return false;
  }
}

void MapCanvas::keyPressEvent(QKeyEvent* event) {
  if (event->key() == Qt::Key_Space && !event->isAutoRepeat()) {
    space_ = true;
    setCursor(Qt::OpenHandCursor);
    return;
  }
  if (tool_ && tool_->key(*event)) return;
  if (!viewKey(*event)) QWidget::keyPressEvent(event);
}

void MapCanvas::keyReleaseEvent(QKeyEvent* event) {
  if (event->key() == Qt::Key_Space && !event->isAutoRepeat()) {
    space_ = false;
    setCursor(tool_ ? tool_->cursor() : QCursor(Qt::ArrowCursor));
    return;
  }
  QWidget::keyReleaseEvent(event);
}

void MapCanvas::leaveEvent(QEvent*) { emit pointerLeft(); }

}  // namespace leeward::ui
