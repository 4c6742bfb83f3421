#include "ui/canvas/print_overlay.h"

#include <QEvent>
#include <QPainter>

namespace leeward::ui {

PrintOverlay::PrintOverlay(QWidget& canvas, const MapView& map) : QWidget(&canvas), map_(map) {
  setAttribute(Qt::WA_TransparentForMouseEvents);
  setFocusPolicy(Qt::NoFocus);
  canvas.installEventFilter(this);
  setGeometry(canvas.rect());
  QWidget::show();
}

void PrintOverlay::showFrame(const PrintFrame& frame, bool handles) {
  frame_ = frame;
  handles_ = handles;
  update();
}

void PrintOverlay::paintEvent(QPaintEvent*) {
  if (!(frame_.denominator > 0)) return;
  QPainter painter(this);
  drawPrintFrame(painter, map_.transform(), frame_, handles_);
}

bool PrintOverlay::eventFilter(QObject* canvas, QEvent* event) {
  if (event->type() == QEvent::Resize) setGeometry(static_cast<QWidget*>(canvas)->rect());
  return false;
}

}  // namespace leeward::ui
