// MapCanvas: the map in the middle of the window. Pictures and drawings are kept as two images a
// little larger than the view, so that panning only moves them and draws the strips that come into
// view. They are drawn anew when the document, the results, the view or the scale change; while the
// scale changes they are shown stretched.
#pragma once

#include "core/eval/results.h"
#include "core/eval/season.h"
#include "ui/canvas/air_layers.h"
#include "ui/canvas/map_legend.h"
#include "ui/canvas/tile_layer.h"
#include "ui/canvas/view_state.h"
#include "ui/canvas/wind_dial.h"
#include "ui/render/fields.h"
#include "ui/tools/map_view.h"
#include "ui/tools/tool.h"

#include <QElapsedTimer>
#include <QImage>
#include <QTimer>
#include <QWidget>

#include <memory>
#include <optional>

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
  void setConvergence(double deg) { convergence_deg_ = deg, update(); }
  /// Not owned; nullptr: pan only.
  void setTool(Tool* tool);

  /// Unfolds a folded or hidden legend, folds an open one.
  void toggleLegend();
  const MapLegend& legend() const { return legend_; }

  void fitAll();
  void fitTo(const Box& box);
  void zoomBy(double factor, QPointF about);
  /// Shows the map at 1 : `denominator` (at 96 dots an inch), about its middle.
  void setScale(double denominator);
  double scaleDenominator() const;
  /// True when nothing is still to come: tiles are in.
  bool settled() const;

  const MapTransform& transform() const override { return transform_; }
  const ViewState& view() const override { return view_; }
  void repaintTools() override { update(); }
  void showHint(const QString& words) override { emit hintChanged(words); }

  /// How often a sheet of the map was drawn anew, for tests.
  int redraws() const { return redraws_; }
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
  void viewChanged(const ViewState& view);

 protected:
  void paintEvent(QPaintEvent* event) override;
  void resizeEvent(QResizeEvent* event) override;
  void mousePressEvent(QMouseEvent* event) override;
  void mouseMoveEvent(QMouseEvent* event) override;
  void mouseReleaseEvent(QMouseEvent* event) override;
  void mouseDoubleClickEvent(QMouseEvent* event) override;
  void wheelEvent(QWheelEvent* event) override;
  void keyPressEvent(QKeyEvent* event) override;
  void keyReleaseEvent(QKeyEvent* event) override;
  void leaveEvent(QEvent* event) override;

 private:
  enum class Drag { none, pan, tool, dial };
  struct Sheet {
    QImage image;
    MapTransform transform;
    double margin_px = 0;  ///< Drawn beyond the edges of the canvas.
    bool stale = true;
  };
  static constexpr double kMarginPx = 160;

  Pointer pointer(const QPointF& px, Qt::KeyboardModifiers modifiers) const;
  void setTransform(const MapTransform& t);
  MapTransform sheetTransform(double margin_px) const;
  void redrawAll(Sheet& sheet, void (MapCanvas::*draw)(QPainter&, const MapTransform&));
  void refreshGround();
  void refresh(Sheet& sheet, void (MapCanvas::*draw)(QPainter&, const MapTransform&));
  void scrollGround();
  void paintGround(const QRegion& part);
  bool covers(const Sheet& sheet) const;
  bool sameScale(const Sheet& sheet) const;
  /// While the scale changes the old sheet is shown stretched for a moment.
  bool mayStretch(const Sheet& sheet) const;
  void putSheet(QPainter& painter, const Sheet& sheet) const;
  void drawGround(QPainter& painter, const MapTransform& t);
  void drawGroundPart(QPainter& painter, const MapTransform& t, const QRegion& part);
  /// From below: scent, sight and doubts; areas and lines; the rest of the answers, points, labels.
  void drawFields(QPainter& painter, const MapTransform& t);
  void drawLand(QPainter& painter, const MapTransform& t);
  void drawAnswers(QPainter& painter, const MapTransform& t);
  void drawResults(QPainter& painter, const MapTransform& t);
  void drawSeason(QPainter& painter, const MapTransform& t);
  /// The selected stand, or all without one.
  std::vector<const StandResult*> standsWithRings() const;
  void drawFurniture(QPainter& painter);
  void updateFields();
  void landChanged();
  void answersChanged();
  void groundChanged();
  void refreshLegend();

  MapTransform transform_;
  ViewState view_;
  Ref<Document> document_ = make_ref<Document>();
  Uid selection_;
  Ref<Terrain> terrain_;
  Ref<Results> results_;
  Ref<Season> season_;
  double convergence_deg_ = 0;

  GroundImage relief_;
  ScentPicture scent_;
  GroundImage sight_;
  Ref<Raster<float>> scent_of_;
  Ref<Raster<std::uint8_t>> sight_of_;

  Sheet ground_;
  Sheet fields_, land_, answers_;  ///< Apart, so that a new answer leaves the land as it is drawn.
  std::unique_ptr<TileLayer> tiles_;
  QTimer tile_timer_;
  QTimer zoom_timer_;
  std::vector<Box> arrived_;  ///< Where tiles came in since the ground was drawn.

  AirLayers air_;
  MapLegend legend_;
  WindDial dial_;
  Tool* tool_ = nullptr;
  Drag drag_ = Drag::none;
  QPointF pressed_px_;
  QPointF last_px_;
  bool moved_ = false;
  bool space_ = false;
  bool keep_fitted_ = true;  ///< Until the user pans or zooms.
  double longest_paint_ms_ = 0;
  int redraws_ = 0;
};

}  // namespace leeward::ui
