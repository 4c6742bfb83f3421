// MapCanvas: the map in the middle of the window: what it shows (MapScene), as images that pan with
// the hand (MapSheets), with the marks that stand on it, and what pointer, fingers and keys do.
#pragma once

#include "ui/canvas/map_legend.h"
#include "ui/canvas/map_scene.h"
#include "ui/canvas/map_sheets.h"
#include "ui/canvas/wind_dial.h"
#include "ui/tools/map_view.h"
#include "ui/tools/tool.h"

#include <QElapsedTimer>
#include <QLineF>
#include <QTimer>
#include <QWidget>

#include <memory>
#include <optional>

class QGestureEvent;
class QNativeGestureEvent;

namespace leeward::ui {

class MapCanvas : public QWidget, public MapView {
  Q_OBJECT

 public:
  explicit MapCanvas(QWidget* parent = nullptr);
  ~MapCanvas() override;

  /// The tiles of a property; nullptr: none.
  void setTiles(std::unique_ptr<TileLayer> tiles);
  TileLayer* tiles() const { return tiles_.get(); }
  void setDocument(Ref<Document> document);
  void setSelection(const Uid& selection);
  void setTerrain(Ref<Terrain> terrain);
  void setResults(Ref<Results> results);
  /// Its rose is drawn at the selected stand; nullptr: none.
  void setSeason(Ref<Season> season);
  void setView(const ViewState& view);
  void setWind(std::optional<double> from_deg, std::optional<double> speed_mps, QString words);
  void setConvergence(double deg);
  /// Not owned; nullptr: pan only.
  void setTool(Tool* tool);

  /// Unfolds a folded or hidden legend, folds an open one.
  void toggleLegend();
  const MapLegend& legend() const { return legend_; }
  const WindDial& dial() const { return dial_; }

  void fitAll();
  void fitTo(const Box& box);
  void zoomBy(double factor, QPointF about);
  /// Zooms and turns over a few frames; steps that follow each other add up.
  void glideBy(double factor, double turn_deg, QPointF about);
  /// Shows the map at 1 : `denominator` (at 96 dots an inch), about its middle.
  void setScale(double denominator);
  double scaleDenominator() const;
  /// Puts grid bearing `up_deg` at the top, about the middle of the view; 0: north up.
  void setTurn(double up_deg);
  QPointF middle() const { return QRectF(rect()).center(); }
  /// True when nothing is still to come: tiles are in.
  bool settled() const;

  const MapTransform& transform() const override { return transform_; }
  const ViewState& view() const override { return scene_.view(); }
  void repaintTools() override { update(); }
  void showHint(const QString& words) override { emit hintChanged(words); }

  /// How often a sheet of the map was drawn anew, for tests.
  int redraws() const { return sheets_.redraws(); }
  /// Longest time spent in one paint since the last call, milliseconds.
  double takeLongestPaintMs();
  QSize sizeHint() const override { return {900, 640}; }

 signals:
  void pointerAt(const LocalXY& at);
  void pointerLeft();
  void hintChanged(const QString& words);
  /// The dial was dragged to a grid bearing; `finished` at the button's release.
  void windTurned(double from_deg, bool finished);
  void windSpeedStepped(int steps);
  void scaleChanged();
  void turnChanged(double up_deg);
  void viewChanged(const ViewState& view);

 protected:
  bool eventFilter(QObject* watched, QEvent* event) override;
  void showEvent(QShowEvent* event) override;
  bool event(QEvent* event) override;
  void changeEvent(QEvent* event) override;
  void paintEvent(QPaintEvent* event) override;
  void resizeEvent(QResizeEvent* event) override;
  void focusInEvent(QFocusEvent* event) override;
  void focusOutEvent(QFocusEvent* event) override;
  void mousePressEvent(QMouseEvent* event) override;
  void mouseMoveEvent(QMouseEvent* event) override;
  void mouseReleaseEvent(QMouseEvent* event) override;
  void mouseDoubleClickEvent(QMouseEvent* event) override;
  void wheelEvent(QWheelEvent* event) override;
  void keyPressEvent(QKeyEvent* event) override;
  void keyReleaseEvent(QKeyEvent* event) override;
  void leaveEvent(QEvent* event) override;

 private:
  enum class Drag { none, pan, turn, tool, dial };
  /// A zoom and turn on its way.
  struct Glide {
    double from_scale = 1, to_scale = 1;
    double from_deg = 0, by_deg = 0;
    QPointF about;
    QElapsedTimer since;
  };

  Pointer pointer(const QPointF& px, Qt::KeyboardModifiers modifiers) const;
  void setTransform(const MapTransform& t);
  void panBy(QPointF by);
  /// From the place `from` on.
  void zoomTurn(const MapTransform& from, double metres_per_px, double up_deg, QPointF about);
  void zoomTurn(double metres_per_px, double up_deg, QPointF about) {
    zoomTurn(transform_, metres_per_px, up_deg, about);
  }
  void glideOn();
  void stopGlide() { glide_timer_.stop(); }
  void changed(LayerSet layers);
  void takeLook();
  void placeFurniture();
  void drawFurniture(QPainter& painter);
  void refreshLegend();
  Drag dragFor(const QMouseEvent& event) const;
  double clockAngle(QPointF px) const;
  void dragTurn(QPointF px, bool by_steps);
  bool nativeGesture(const QNativeGestureEvent& event);
  bool pinch(const QGestureEvent& event);
  bool viewKey(const QKeyEvent& event);

  MapTransform transform_;
  MapScene scene_;
  MapSheets sheets_{scene_};
  std::unique_ptr<TileLayer> tiles_;
  QTimer tile_timer_;   ///< Gathers tiles that come in together.
  QTimer still_timer_;  ///< Runs while scale or turn change.
  QTimer idle_timer_;   ///< Until sheets get their margins.
  QTimer glide_timer_;
  Glide glide_;

  MapLegend legend_;
  WindDial dial_;
  Tool* tool_ = nullptr;
  Drag drag_ = Drag::none;
  QPointF pressed_px_;
  QPointF last_px_;
  double turn_from_deg_ = 0;  ///< Of the map and the pointer when a turning drag began.
  double clock_from_deg_ = 0;
  double pinch_turn_deg_ = 0;    ///< Turned by the fingers, before it counts.
  QLineF fingers_, pinch_from_;  ///< Two fingers on the screen, now and when they came down.
  MapTransform pinch_map_;       ///< Of the map when they came down.
  bool moved_ = false;
  bool space_ = false;
  bool ringed_ = false;      ///< The keyboard brought the focus here.
  bool keep_fitted_ = true;  ///< Until the user pans or zooms.
  double longest_paint_ms_ = 0;
};

}  // namespace leeward::ui
