// Tool: turns pointer and keys on the map into edits. It never writes the document itself.
#pragma once

#include "core/geo/point.h"

#include <QCursor>
#include <QPointF>
#include <QString>

class QKeyEvent;
class QPainter;

namespace leeward::ui {

struct Pointer {
  LocalXY at;
  QPointF px;  ///< Logical pixels of the map.
  Qt::KeyboardModifiers modifiers;
};

class Tool {
 public:
  virtual ~Tool() = default;
  /// Left button down. True: the tool takes the drag; false: the map pans.
  virtual bool press(const Pointer& p) = 0;
  /// Pointer moved; `dragging` with the button held after press() took it.
  virtual void move(const Pointer& p, bool dragging) = 0;
  /// Button up after a drag that press() took.
  virtual void release(const Pointer& p) = 0;
  /// Button up without a move after press() had left the drag to the map.
  virtual void click(const Pointer& p) = 0;
  virtual void doubleClick(const Pointer& p) = 0;
  /// True: used.
  virtual bool key(const QKeyEvent& event) = 0;
  virtual void paint(QPainter& painter) = 0;
  virtual QCursor cursor() const { return Qt::ArrowCursor; }
  /// What can be done now, in one line.
  virtual QString hint() const = 0;
  /// Another tool takes over.
  virtual void leave() {}
};

}  // namespace leeward::ui
