#include "ui/canvas/map_scene.h"

#include "core/compute/scent_plume.h"
#include "ui/render/checks.h"
#include "ui/render/fire.h"
#include "ui/render/labels.h"
#include "ui/render/overlays.h"
#include "ui/render/season_rose.h"
#include "ui/style/palette.h"

#include <QPainter>
#include <QRegion>

#include <cmath>
#include <utility>

namespace leeward::ui {
namespace {

constexpr unsigned long long kAnswers =
    bit(MapLayer::fields) | bit(MapLayer::answers) | bit(MapLayer::names);
constexpr unsigned long long kLand = bit(MapLayer::land) | kAnswers;

/// Kinds that are drawn above the answers.
KindSet pointKinds() {
  KindSet out;
  for (const KindInfo& k : all_kinds()) out[static_cast<std::size_t>(k.kind)] = k.point && !k.area;
  return out;
}

/// True if areas and lines may look otherwise.
bool landDiffers(const Document& a, const Document& b) {
  const KindSet points = pointKinds();
  for (std::size_t k = 0; k < kKindCount; ++k)
    if (!points[k] && a.features[k] != b.features[k]) return true;
  return false;
}

}  // namespace

LayerSet MapScene::setDocument(Ref<Document> document) {
  const bool rasters = document->rasters != document_->rasters;
  const bool land = landDiffers(*document_, *document);
  document_ = std::move(document);
  if (rasters && tiles_) tiles_->setLayers(*document_->rasters);
  return LayerSet((land ? kLand : kAnswers) | (rasters ? bit(MapLayer::ground) : 0));
}

LayerSet MapScene::setSelection(const Uid& selection) {
  selection_ = selection;
  updateFields();
  return LayerSet(kLand);
}

LayerSet MapScene::setTerrain(Ref<Terrain> terrain) {
  terrain_ = std::move(terrain);
  relief_ = terrain_ ? reliefImage(terrain_->ground) : GroundImage{};
  return LayerSet(bit(MapLayer::ground));
}

LayerSet MapScene::setResults(Ref<Results> results) {
  results_ = std::move(results);
  air_.setResults(results_);
  updateFields();
  return LayerSet(kAnswers);
}

LayerSet MapScene::setSeason(Ref<Season> season) {
  if (season == season_) return {};
  season_ = std::move(season);
  return LayerSet(kAnswers);
}

LayerSet MapScene::setView(const ViewState& view) {
  const bool ground = !(view.relief == view_.relief) || view.brightness != view_.brightness;
  view_ = view;
  updateFields();
  return LayerSet(kLand | (ground ? bit(MapLayer::ground) : 0));
}

const StandResult* MapScene::selectedStand() const {
  return results_ ? results_->find(selection_) : nullptr;
}

void MapScene::updateFields() {
  const StandResult* stand = selectedStand();
  const Ref<compute::ScentPlume> scent = stand && view_.scent.visible ? stand->scent : nullptr;
  const Ref<Raster<std::uint8_t>> sight = stand && view_.sight.visible ? stand->sight : nullptr;
  if (scent != scent_of_) {
    scent_of_ = scent;
    scent_ = scent ? scentPicture(scent->field(results_->hazard_in->spec)) : ScentPicture{};
  }
  if (sight != sight_of_) {
    sight_of_ = sight;
    sight_ = sight ? sightImage(*sight) : GroundImage{};
  }
}

std::vector<LegendRow> MapScene::legend() const { return air_.legend(view_, selectedStand()); }

void MapScene::draw(MapLayer layer, QPainter& painter, const MapTransform& t, const QRegion& part,
                    const QRectF& seen) const {
  switch (layer) {
    case MapLayer::ground:
      return drawGround(painter, t, part);
    case MapLayer::fields:
      return drawFields(painter, t);
    case MapLayer::land:
      return drawFeatures(painter, t, *document_, view_.kinds & ~pointKinds(), selection_);
    case MapLayer::answers:
      return drawAnswers(painter, t);
    case MapLayer::names:
      return drawNames(painter, t, seen);
  }
}

void MapScene::drawGround(QPainter& painter, const MapTransform& t, const QRegion& part) const {
  painter.fillRect(t.viewport(), theme().land);
  if (tiles_) {
    tiles_->draw(painter, t, part);
    tiles_->requestMissing();
    if (view_.brightness != 0) {
      QColor veil(view_.brightness > 0 ? Qt::white : Qt::black);
      veil.setAlphaF(static_cast<float>(std::abs(view_.brightness)) / 100.0F);
      painter.fillRect(t.viewport(), veil);
    }
  }
  if (view_.relief.visible) drawGroundImage(painter, t, relief_, view_.relief.opacity);
}

void MapScene::drawFields(QPainter& painter, const MapTransform& t) const {
  drawGroundImage(painter, t, sight_, view_.sight.opacity);
  drawScent(painter, t, scent_, view_.scent.opacity);
  air_.drawDoubts(painter, t, view_);
}

void MapScene::drawWays(QPainter& painter, const MapTransform& t) const {
  const StandResult* stand = selectedStand();
  if (!stand || !view_.ways) return;
  const auto trade = static_cast<std::size_t>(results_->scene.trade);
  if (stand->way_out[trade]) drawWay(painter, t, *stand->way_out[trade], true);
  if (stand->way_in[trade]) drawWay(painter, t, *stand->way_in[trade], false);
}

void MapScene::drawAnswers(QPainter& painter, const MapTransform& t) const {
  const StandResult* selected = selectedStand();
  const Ref<Feature> at = selected ? document_->find(selected->stand) : nullptr;
  air_.drawFlow(painter, t, view_);
  drawSeason(painter, t);
  if (view_.fire && at) drawFire(painter, t, at->shape.position(), *selected, false);
  for (const StandResult* stand : standsWithRings()) drawRingLines(painter, t, *stand);
  if (results_)
    drawViewsAndLines(painter, t, *document_, *results_, shows(Kind::mock_scrape),
                      shows(Kind::camera));
  drawWays(painter, t);
}

void MapScene::drawNames(QPainter& painter, const MapTransform& t, const QRectF& seen) const {
  const StandResult* selected = selectedStand();
  const UnitSystem units = document_->settings->units;
  const bool scrapes = shows(Kind::mock_scrape), cameras = shows(Kind::camera);
  // As far as a sheet ever reaches: with and without its margin names stand alike.
  const double reach = t.px(kSheetMarginPx);
  LabelPlacer placer(seen.adjusted(-reach, -reach, reach, reach), seen);
  for (const QRectF& box : air_.drawMargin(painter, t, view_, *document_, selected))
    placer.take(box);
  drawFeatures(painter, t, *document_, view_.kinds & pointKinds(), selection_);
  if (results_) drawMendSigns(painter, t, *document_, *results_, scrapes, cameras);
  if (view_.labels) {
    takeSymbols(t, *document_, view_.kinds, placer);
    // Before the wall's own name, which would stand in its gap.
    if (results_ && shows(Kind::barrier)) drawGapLabels(painter, t, results_->gaps, placer);
    drawFeatureLabels(painter, t, *document_, view_.kinds, selection_, placer);
  }
  for (const StandResult* stand : standsWithRings())
    drawRingLabels(painter, t, *stand, units, placer);
  if (const Ref<Feature> at = selected ? document_->find(selected->stand) : nullptr;
      at && view_.fire)
    drawFireLabels(painter, t, *document_, at->shape.position(), *selected, placer);
  if (!results_ || !scrapes || !view_.labels) return;
  for (const ScrapeLine& line : results_->scrape_lines)
    drawScrapeLineLabels(painter, t, line, units, placer);
}

void MapScene::drawSeason(QPainter& painter, const MapTransform& t) const {
  const Ref<Feature> at = season_ ? document_->find(selection_) : nullptr;
  if (!at || at->kind() != Kind::stand) return;
  for (const SeasonStand& s : season_->stands)
    if (s.stand == selection_)
      drawSeasonRose(painter, t.toDevice(at->shape.position()), t.px(72),
                     -convergence_deg_ - t.up_deg(), *season_, s);
}

std::vector<const StandResult*> MapScene::standsWithRings() const {
  std::vector<const StandResult*> out;
  if (!view_.rings || !results_) return out;
  const StandResult* selected = selectedStand();
  for (const StandResult& stand : results_->stands)
    if (!selected || &stand == selected) out.push_back(&stand);
  return out;
}

}  // namespace leeward::ui
