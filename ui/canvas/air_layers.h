// AirLayers: the local wind, slope air, its doubts and the selected stand's room for the wind, on
// the map's canvas. What an air map gives once is kept.
#pragma once

#include "core/eval/results.h"
#include "ui/canvas/view_state.h"
#include "ui/render/doubt.h"
#include "ui/render/legend.h"

#include <QRectF>

#include <vector>

class QPainter;

namespace leeward::ui {

class AirLayers {
 public:
  void setResults(Ref<Results> results);

  /// Under the features: where the air is in doubt.
  void drawDoubts(QPainter& painter, const MapTransform& t, const ViewState& view) const;
  /// On them: strokes of wind and slope air.
  void drawFlow(QPainter& painter, const MapTransform& t, const ViewState& view) const;
  /// Returns the boxes of the arc's words.
  std::vector<QRectF> drawMargin(QPainter& painter, const MapTransform& t, const ViewState& view,
                                 const Document& document, const StandResult* stand) const;
  /// What the view shows of these results, for the legend.
  std::vector<LegendRow> legend(const ViewState& view, const StandResult* stand) const;

 private:
  Ref<Results> results_;
  Ref<AirMap> air_;
  DoubtPicture doubt_;
};

}  // namespace leeward::ui
