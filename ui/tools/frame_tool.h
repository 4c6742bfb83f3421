// FrameTool: the printed page's frame placed on the map by hand: dragged, a corner pulled for the
// scale, a knob turned; and by keys.
#pragma once

#include "ui/print/hunt_map.h"
#include "ui/tools/map_view.h"
#include "ui/tools/tool.h"

#include <QObject>

#include <optional>

namespace leeward::ui {

/// Where the map of a page lies on the ground.
struct PrintFrame {
  LocalXY centre;
  double denominator = 0;
  double up_deg = 0;  ///< Grid bearing of its upper side, -180 .. 180.
  QSizeF frame_mm;    ///< On paper.
  /// Of several pages; empty for one.
  std::vector<AtlasSheet> sheets;

  bool several() const { return sheets.size() > 1; }
  /// Of all pages together: lower left, upper left, upper right, lower right on the page.
  std::array<LocalXY, 4> corners() const;
};

/// Outlines, names of several, and a mark at each upper side; with `handles` what can be dragged.
void drawPrintFrame(QPainter& painter, const MapTransform& t, const PrintFrame& frame,
                    bool handles);

class FrameTool : public QObject, public Tool {
  Q_OBJECT

 public:
  explicit FrameTool(MapView& map) : map_(map) {}
  void show(const PrintFrame& frame);
  const PrintFrame& frame() const { return frame_; }
  /// Where the knob is drawn.
  QPointF knob() const;

  bool press(const Pointer& p) override;
  void move(const Pointer& p, bool dragging) override;
  void release(const Pointer& p) override;
  void click(const Pointer&) override {}
  void doubleClick(const Pointer&) override {}
  bool key(const QKeyEvent& event) override;
  void paint(QPainter&) override {}  // the overlay draws it, with any tool in hand
  QCursor cursor() const override;
  QString hint() const override;
  void leave() override { emit left(); }

 signals:
  void placed(const PrintFrame& frame);
  /// Another tool took over.
  void left();

 private:
  enum class Grip { none, inside, corner, knob };
  Grip gripAt(QPointF px) const;
  void put(PrintFrame frame);

  MapView& map_;
  PrintFrame frame_;
  Grip grip_ = Grip::none, hover_ = Grip::none;
  LocalXY held_;  ///< From the centre to where the frame was taken.
};

/// The nearest scale of three leading digits at most; of the usual ones with `round`.
double roundScale(double denominator, bool round);
/// The usual scale next above or below.
double nextScale(double denominator, bool larger_ground);

}  // namespace leeward::ui
