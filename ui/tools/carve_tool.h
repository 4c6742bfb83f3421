// CarveTool: a line or ring drawn over the selected feature splits it, reshapes it, or cuts a hole.
#pragma once

#include "ui/tools/sketch.h"

#include <QObject>

namespace leeward::ui {

enum class Carve { split, reshape, hole };

class CarveTool : public QObject, public Tool {
  Q_OBJECT

 public:
  CarveTool(EditSession& session, MapView& map, Carve what, const Uid& uid);
  bool press(const Pointer& p) override;
  void move(const Pointer& p, bool dragging) override { sketch_.move(p, dragging); }
  void release(const Pointer& p) override;
  void click(const Pointer&) override {}
  void doubleClick(const Pointer&) override { finish(); }
  bool key(const QKeyEvent& event) override;
  void paint(QPainter& painter) override;
  QCursor cursor() const override { return Qt::CrossCursor; }
  QString hint() const override;
  void leave() override { sketch_.clear(); }

 signals:
  void done();

 private:
  void finish();

  EditSession& session_;
  MapView& map_;
  Carve what_;
  Uid uid_;
  Sketch sketch_;
};

}  // namespace leeward::ui
