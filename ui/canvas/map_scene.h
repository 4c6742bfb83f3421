// MapScene: all that a map shows, drawn in layers from below: ground; scent, sight and doubts;
// areas and lines; the rest of the answers; points and names. Each can be drawn by itself, so that
// a new answer leaves the land as it is drawn, and in parts, so that panning draws only what comes
// in.
#pragma once

#include "core/eval/results.h"
#include "core/eval/season.h"
#include "ui/canvas/air_layers.h"
#include "ui/canvas/tile_layer.h"
#include "ui/canvas/view_state.h"
#include "ui/render/fields.h"

#include <bitset>
#include <vector>

class QPainter;
class QRegion;

namespace leeward::ui {

enum class MapLayer { ground, fields, land, answers, names };
inline constexpr std::size_t kMapLayers = 5;
/// Layers that look otherwise after a change.
using LayerSet = std::bitset<kMapLayers>;
constexpr unsigned long long bit(MapLayer layer) { return 1ULL << static_cast<unsigned>(layer); }

/// How far a sheet of the map reaches beyond the view, once there was time for it.
inline constexpr double kSheetMarginPx = 160;

class MapScene {
 public:
  /// Not owned; nullptr: no pictures.
  void setTiles(TileLayer* tiles) { tiles_ = tiles; }
  LayerSet setDocument(Ref<Document> document);
  LayerSet setSelection(const Uid& selection);
  LayerSet setTerrain(Ref<Terrain> terrain);
  LayerSet setResults(Ref<Results> results);
  /// Its rose is drawn at the selected stand; nullptr: none.
  LayerSet setSeason(Ref<Season> season);
  LayerSet setView(const ViewState& view);
  void setConvergence(double deg) { convergence_deg_ = deg; }

  const Ref<Document>& document() const { return document_; }
  const Ref<Terrain>& terrain() const { return terrain_; }
  const ViewState& view() const { return view_; }
  double convergenceDeg() const { return convergence_deg_; }
  std::vector<LegendRow> legend() const;

  /// Draws a layer of the map `t` within `part` (device units). `seen`: the part of the device
  /// where names had rather stand; the same for all parts of one sheet.
  void draw(MapLayer layer, QPainter& painter, const MapTransform& t, const QRegion& part,
            const QRectF& seen) const;

 private:
  void drawGround(QPainter& painter, const MapTransform& t, const QRegion& part) const;
  void drawFields(QPainter& painter, const MapTransform& t) const;
  void drawAnswers(QPainter& painter, const MapTransform& t) const;
  void drawNames(QPainter& painter, const MapTransform& t, const QRectF& seen) const;
  void drawWays(QPainter& painter, const MapTransform& t) const;
  void drawSeason(QPainter& painter, const MapTransform& t) const;
  bool shows(Kind kind) const { return view_.kinds[static_cast<std::size_t>(kind)]; }
  const StandResult* selectedStand() const;
  /// The selected stand, or all without one.
  std::vector<const StandResult*> standsWithRings() const;
  void updateFields();

  TileLayer* tiles_ = nullptr;
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
  Ref<compute::ScentPlume> scent_of_;
  Ref<Raster<std::uint8_t>> sight_of_;
  AirLayers air_;
};

}  // namespace leeward::ui
