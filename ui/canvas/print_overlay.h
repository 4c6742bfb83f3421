// The printed page's frame over the map, whichever tool is in hand; it takes no pointer.
#pragma once

#include "ui/tools/frame_tool.h"

#include <QWidget>

namespace leeward::ui {

class PrintOverlay : public QWidget {
 public:
  /// Lies over the map, as a child of its canvas, and follows its size.
  PrintOverlay(QWidget& canvas, const MapView& map);
  void showFrame(const PrintFrame& frame, bool handles);
  const PrintFrame& frame() const { return frame_; }

 protected:
  void paintEvent(QPaintEvent* event) override;
  bool eventFilter(QObject* canvas, QEvent* event) override;

 private:
  const MapView& map_;
  PrintFrame frame_;
  bool handles_ = false;
};

}  // namespace leeward::ui
