#include "ui/canvas/air_layers.h"

#include "ui/render/air.h"
#include "ui/render/margin_arc.h"

#include <QPainter>

#include <algorithm>
#include <utility>

namespace leeward::ui {

void AirLayers::setResults(Ref<Results> results) {
  results_ = std::move(results);
  const Ref<AirMap> air = results_ ? results_->air_map : nullptr;
  if (air == air_) return;
  air_ = air;
  doubt_ = air_ ? doubtPicture(air_->doubt) : DoubtPicture{};
}

void AirLayers::drawDoubts(QPainter& painter, const MapTransform& t, const ViewState& view) const {
  if (air_ && view.doubt) drawDoubt(painter, t, doubt_);
}

void AirLayers::drawFlow(QPainter& painter, const MapTransform& t, const ViewState& view) const {
  if (air_ && view.slope_air) drawSlopeAir(painter, t, *air_);
  if (air_ && view.wind) drawWindStrokes(painter, t, *air_);
}

std::vector<QRectF> AirLayers::drawMargin(QPainter& painter, const MapTransform& t,
                                          const ViewState& view, const Document& document,
                                          const StandResult* stand) const {
  if (!stand || !view.margin || !windIsDirected(*results_)) return {};
  const Ref<Feature> at = document.find(stand->stand);
  if (!at) return {};
  return drawMarginArc(painter, t, marginArc(t, at->shape.position(), results_->air.from, *stand));
}

std::vector<LegendRow> AirLayers::legend(const ViewState& view, const StandResult* stand) const {
  LegendAsk ask;
  if (results_) {
    ask.trade = static_cast<std::size_t>(results_->scene.trade);
    ask.rings = view.rings && (stand ? !stand->rings.empty()
                                     : std::any_of(results_->stands.begin(), results_->stands.end(),
                                                   [](const auto& s) { return !s.rings.empty(); }));
    ask.margin = view.margin && windIsDirected(*results_);
    askOfChecks(*results_, view.kinds[static_cast<std::size_t>(Kind::mock_scrape)],
                view.kinds[static_cast<std::size_t>(Kind::camera)], ask);
  }
  ask.stand = stand;
  ask.fire = view.fire;
  ask.air = air_.get();
  ask.doubt = air_ && view.doubt ? &doubt_ : nullptr;
  ask.scent = view.scent.visible;
  ask.sight = view.sight.visible;
  ask.ways = view.ways;
  ask.wind = view.wind;
  ask.slope_air = view.slope_air;
  return legendRows(ask);
}

}  // namespace leeward::ui
