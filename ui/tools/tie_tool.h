// TieTool: points on the map where spots of a plain picture belong.
#pragma once

#include "ui/tools/map_view.h"
#include "ui/tools/tool.h"

#include <QObject>

#include <vector>

namespace leeward::ui {

class TieTool : public QObject, public Tool {
  Q_OBJECT

 public:
  /// `lands`: where the fit puts the spot; the point itself while there is no fit.
  struct Mark {
    LocalXY at, lands;
    int number = 0;
    bool chosen = false;
  };
  explicit TieTool(MapView& map) : map_(map) {}
  /// `outline`: the picture's edge as fitted, or empty.
  void show(std::vector<Mark> marks, Path outline);

  bool press(const Pointer& p) override;
  void move(const Pointer& p, bool dragging) override;
  void release(const Pointer&) override { dragged_ = -1; }
  void click(const Pointer& p) override { emit placed(p.at); }
  void doubleClick(const Pointer&) override {}
  bool key(const QKeyEvent& event) override;
  void paint(QPainter& painter) override;
  QCursor cursor() const override { return Qt::CrossCursor; }
  QString hint() const override;

 signals:
  void placed(LocalXY at);
  void moved(int number, LocalXY at);
  /// Esc.
  void left();

 private:
  MapView& map_;
  std::vector<Mark> marks_;
  Path outline_;
  int dragged_ = -1;  // a mark's number
};

/// A numbered ring with a cross in it, at a place in logical pixels; the map and the picture have
/// the same.
void drawTieMark(QPainter& painter, QPointF at, int number, bool chosen);

}  // namespace leeward::ui
