#include "ui/panels/photo_view.h"

#include "ui/tools/tie_tool.h"

#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <QWheelEvent>

#include <algorithm>
#include <cmath>

namespace leeward::ui {

PhotoView::PhotoView(QWidget* parent) : QWidget(parent) {
  setFocusPolicy(Qt::StrongFocus);
  setCursor(Qt::CrossCursor);
  setMinimumSize(240, 200);
  setAccessibleName(tr("The picture"));
  setAccessibleDescription(
      tr("Arrow keys move the cross hair, Shift by single pixels; Enter marks the spot; plus and "
         "minus zoom"));
}

void PhotoView::setPicture(const QImage& image, QSize full) {
  image_ = image;
  full_ = full;
  cross_ = {full_.width() / 2, full_.height() / 2};
  fit();
}

void PhotoView::setMarks(std::vector<Mark> marks) {
  marks_ = std::move(marks);
  update();
}

void PhotoView::fit() {
  if (full_.isEmpty()) return;
  scale_ = std::min(width() / full_.width(), height() / full_.height());
  offset_ = {(width() - full_.width() * scale_) / 2, (height() - full_.height() * scale_) / 2};
  fitted_ = true;
  update();
}

void PhotoView::zoomAbout(QPointF px, double factor) {
  const QPointF at = toPicture(px);
  const double least = std::min(width() / full_.width(), height() / full_.height());
  scale_ = std::clamp(scale_ * factor, least, 16.0);
  offset_ = px - at * scale_;
  fitted_ = scale_ == least;
  if (fitted_) fit();
  update();
}

void PhotoView::paintEvent(QPaintEvent*) {
  QPainter painter(this);
  painter.fillRect(rect(), palette().color(QPalette::Base));
  painter.setRenderHint(QPainter::SmoothPixmapTransform, scale_ < 2);
  painter.drawImage(QRectF(offset_, full_ * scale_), image_);
  painter.setRenderHint(QPainter::Antialiasing);
  for (const Mark& m : marks_) drawTieMark(painter, toWidget(m.at), m.number, m.chosen);
  if (cross_shown_ && hasFocus()) {
    const QPointF at = toWidget(cross_);
    for (const auto& [colour, pen] : {std::pair{Qt::white, 3.0}, {Qt::black, 1.0}}) {
      painter.setPen(QPen(colour, pen));
      painter.drawLine(QPointF(at.x(), 0), QPointF(at.x(), height()));
      painter.drawLine(QPointF(0, at.y()), QPointF(width(), at.y()));
    }
  }
  if (hasFocus()) {
    painter.setPen(QPen(palette().color(QPalette::Highlight), 2));
    painter.setBrush(Qt::NoBrush);
    painter.drawRect(QRectF(rect()).adjusted(1, 1, -1, -1));
  }
}

void PhotoView::resizeEvent(QResizeEvent*) {
  if (fitted_) fit();
}

void PhotoView::wheelEvent(QWheelEvent* event) {
  zoomAbout(event->position(), std::pow(2.0, event->angleDelta().y() / 240.0));
}

void PhotoView::mousePressEvent(QMouseEvent* event) {
  pressed_ = last_ = event->position();
  dragging_ = false;
  cross_shown_ = false;
}

void PhotoView::mouseMoveEvent(QMouseEvent* event) {
  if (!(event->buttons() & (Qt::LeftButton | Qt::MiddleButton))) return;
  if (!dragging_ && (event->position() - pressed_).manhattanLength() < 4) return;
  dragging_ = true;
  offset_ += event->position() - last_;
  last_ = event->position();
  fitted_ = false;
  update();
}

void PhotoView::mouseReleaseEvent(QMouseEvent* event) {
  if (dragging_ || event->button() != Qt::LeftButton) return;
  const QPointF at = toPicture(event->position());
  if (QRectF(QPointF(), full_).contains(at)) emit marked(at);
}

void PhotoView::keyPressEvent(QKeyEvent* event) {
  const double step = event->modifiers() & Qt::ShiftModifier ? 1 : std::max(1.0, 12 / scale_);
  QPointF by;
  switch (event->key()) {
    case Qt::Key_Left:
      by = {-step, 0};
      break;
    case Qt::Key_Right:
      by = {step, 0};
      break;
    case Qt::Key_Up:
      by = {0, -step};
      break;
    case Qt::Key_Down:
      by = {0, step};
      break;
    case Qt::Key_Plus:
    case Qt::Key_Equal:
      return zoomAbout(toWidget(cross_), 1.4);
    case Qt::Key_Minus:
      return zoomAbout(toWidget(cross_), 1 / 1.4);
    case Qt::Key_Home:
      return fit();
    case Qt::Key_Return:
    case Qt::Key_Enter:
      cross_shown_ = true;
      return emit marked(cross_);
    default:
      return QWidget::keyPressEvent(event);
  }
  cross_shown_ = true;
  cross_ = {std::clamp(cross_.x() + by.x(), 0.0, full_.width()),
            std::clamp(cross_.y() + by.y(), 0.0, full_.height())};
  update();
}

}  // namespace leeward::ui
