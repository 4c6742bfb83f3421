// MapSheets: the layers of a map as images that reach a little beyond the view, so that panning
// only moves them. A frame draws no more than what it shows and lacks: after a change the view,
// while a hand pans the strip that comes in; what lies beyond is drawn in idle time, a strip at a
// time. While scale or turn change, one picture of all sheets is shown stretched.
#pragma once

#include "ui/canvas/map_scene.h"

#include <QElapsedTimer>
#include <QImage>
#include <QRegion>

#include <array>

namespace leeward::ui {

class MapSheets {
 public:
  explicit MapSheets(const MapScene& scene) : scene_(scene) {}

  void setStale(LayerSet layers);
  /// Pictures of the ground came in there.
  void arrived(const Box& place) { arrived_.push_back(place); }
  /// Draws what a frame at `view` needs. `gliding`: scale or turn are on their way to somewhere, a
  /// stretched picture will do. True: a strip is left for the next frame.
  bool refresh(const MapTransform& view, double ratio, bool gliding);
  void paint(QPainter& painter) const;
  /// Draws a strip beyond the view. False: nothing was left to draw.
  bool drawAhead();
  bool drawnAhead() const;
  /// True when refresh() has drawn all of the view and nothing came in since.
  bool complete() const;

  /// How often a sheet was begun anew.
  int redraws() const { return redraws_; }

 private:
  struct Sheet {
    QImage image;
    MapTransform transform;
    QRegion missing;  ///< Of the sheet, device units; not drawn yet.
    QRectF seen;      ///< The view when the sheet was begun.
    bool stale = true;
  };
  Sheet& sheet(MapLayer layer) { return sheets_[static_cast<std::size_t>(layer)]; }
  const Sheet& ground() const { return sheets_[0]; }

  MapTransform sheetTransform() const;
  /// The view on a sheet, whole device units, grown to hold it.
  QRect viewOn(const Sheet& sheet) const;
  bool fits(const Sheet& sheet) const;
  bool holdsView(const Sheet& sheet) const;
  void begin(Sheet& sheet);
  void scroll(Sheet& sheet);
  void prepare(MapLayer layer);
  void draw(MapLayer layer, const QRegion& part);
  /// Those of a layer that touch `near`; false: time ran out.
  bool drawStrips(MapLayer layer, const QRect& near, const QElapsedTimer& since);
  void flatten();

  const MapScene& scene_;
  std::array<Sheet, kMapLayers> sheets_;
  MapTransform view_;
  double ratio_ = 1;
  std::vector<Box> arrived_;  ///< Where pictures came in since the ground was drawn.
  Sheet flat_;                ///< All of them in one, while the view glides.
  bool gliding_ = false;
  int redraws_ = 0;
};

}  // namespace leeward::ui
