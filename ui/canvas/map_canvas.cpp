#include "ui/canvas/map_canvas.h"

#include "ui/render/checks.h"
#include "ui/render/fire.h"
#include "ui/render/furniture.h"
#include "ui/render/labels.h"
#include "ui/render/overlays.h"
#include "ui/render/season_rose.h"
#include "ui/style/palette.h"

#include <QKeyEvent>
#include <QLineF>
#include <QMouseEvent>
#include <QPainter>
#include <QWheelEvent>

#include <algorithm>
#include <cmath>
#include <utility>

namespace leeward::ui {
namespace {

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

MapCanvas::MapCanvas(QWidget* parent) : QWidget(parent) {
  ground_.margin_px = kMarginPx;
  setMouseTracking(true);
  setFocusPolicy(Qt::StrongFocus);
  setMinimumSize(320, 240);
  setAttribute(Qt::WA_OpaquePaintEvent);
  setAccessibleName(tr("Map"));
  tile_timer_.setSingleShot(true);
  tile_timer_.setInterval(40);
  connect(&tile_timer_, &QTimer::timeout, this, qOverload<>(&QWidget::update));
  zoom_timer_.setSingleShot(true);
  zoom_timer_.setInterval(60);
  connect(&zoom_timer_, &QTimer::timeout, this, qOverload<>(&QWidget::update));
}

MapCanvas::~MapCanvas() = default;

void MapCanvas::setTiles(std::unique_ptr<TileLayer> tiles) {
  tiles_ = std::move(tiles);
  if (tiles_) {
    connect(tiles_.get(), &TileLayer::arrived, this, [this](const Box& place) {
      arrived_.push_back(place);
      if (!tile_timer_.isActive()) tile_timer_.start();
    });
  }
  groundChanged();
}

void MapCanvas::setDocument(Ref<Document> document) {
  const bool rasters = document->rasters != document_->rasters;
  const bool land = landDiffers(*document_, *document);
  document_ = std::move(document);
  if (rasters && tiles_) tiles_->setLayers(*document_->rasters);
  if (rasters) groundChanged();
  answersChanged();
  if (land) land_.stale = true;
}

void MapCanvas::setSelection(const Uid& selection) {
  selection_ = selection;
  if (tool_) emit hintChanged(tool_->hint());
  updateFields();
  landChanged();
}

void MapCanvas::setTerrain(Ref<Terrain> terrain) {
  terrain_ = std::move(terrain);
  relief_ = terrain_ ? reliefImage(terrain_->ground) : GroundImage{};
  if (keep_fitted_) fitAll();
  groundChanged();
}

void MapCanvas::setResults(Ref<Results> results) {
  results_ = std::move(results);
  air_.setResults(results_);
  updateFields();
  answersChanged();
}

void MapCanvas::setSeason(Ref<Season> season) {
  if (season == season_) return;
  season_ = std::move(season);
  answersChanged();
}

void MapCanvas::setView(const ViewState& view) {
  const bool ground = !(view.relief == view_.relief) || view.brightness != view_.brightness;
  view_ = view;
  updateFields();
  if (ground) groundChanged();
  landChanged();
}

void MapCanvas::setWind(std::optional<double> from_deg, std::optional<double> speed_mps,
                        QString words) {
  dial_.show(from_deg, speed_mps, std::move(words), true);
  update();
}

void MapCanvas::setTool(Tool* tool) {
  if (tool_ && tool_ != tool) tool_->leave();
  tool_ = tool;
  drag_ = Drag::none;
  setCursor(tool_ ? tool_->cursor() : QCursor(Qt::ArrowCursor));
  emit hintChanged(tool_ ? tool_->hint() : QString());
  update();
}

void MapCanvas::updateFields() {
  const StandResult* stand = results_ ? results_->find(selection_) : nullptr;
  const Ref<Raster<float>> scent = stand && view_.scent.visible ? stand->scent : nullptr;
  const Ref<Raster<std::uint8_t>> sight = stand && view_.sight.visible ? stand->sight : nullptr;
  if (scent != scent_of_) {
    scent_of_ = scent;
    scent_ = scent ? scentPicture(*scent) : ScentPicture{};
  }
  if (sight != sight_of_) {
    sight_of_ = sight;
    sight_ = sight ? sightImage(*sight) : GroundImage{};
  }
}

void MapCanvas::refreshLegend() {
  const StandResult* stand = results_ ? results_->find(selection_) : nullptr;
  legend_.show(air_.legend(view_, stand), view_.legend);
}

void MapCanvas::toggleLegend() {
  const bool was_hidden = !view_.legend;
  legend_.setOpen(was_hidden || !legend_.open());
  view_.legend = true;
  refreshLegend();
  if (was_hidden) emit viewChanged(view_);
  update();
}

void MapCanvas::landChanged() {
  land_.stale = true;
  answersChanged();
}

void MapCanvas::answersChanged() {
  refreshLegend();
  fields_.stale = answers_.stale = true;
  update();
}

void MapCanvas::groundChanged() {
  ground_.stale = true;
  update();
}

// --- place ---------------------------------------------------------------------------------------

void MapCanvas::setTransform(const MapTransform& t) {
  const bool scaled = t.metresPerPx() != transform_.metresPerPx();
  transform_ = t;
  if (scaled) {
    zoom_timer_.start();
    emit scaleChanged();
  }
  update();
}

void MapCanvas::fitAll() {
  Box box = document_->extent();
  if (box.empty() && terrain_ && !terrain_->ground.empty()) box = terrain_->ground.spec.box();
  if (box.empty()) return;
  fitTo(box);
  keep_fitted_ = true;
}

void MapCanvas::fitTo(const Box& box) {
  keep_fitted_ = false;
  setTransform(MapTransform::fitting(box, QRectF(rect()), 36));
}

void MapCanvas::zoomBy(double factor, QPointF about) {
  const double scale = std::clamp(transform_.metresPerPx() / factor, 0.03, 200.0);
  keep_fitted_ = false;
  setTransform(transform_.zoomedAbout(about, scale));
}

void MapCanvas::setScale(double denominator) {
  zoomBy(transform_.metresPerPx() / MapTransform::metresPerPxAtScale(denominator),
         QRectF(rect()).center());
}

double MapCanvas::scaleDenominator() const {
  return transform_.metresPerPx() / MapTransform::metresPerPxAtScale(1);
}

bool MapCanvas::settled() const {
  if (!covers(ground_) || !arrived_.empty()) return false;
  for (const Sheet* sheet : {&fields_, &land_, &answers_})
    if (!covers(*sheet)) return false;
  return !tiles_ || tiles_->complete();
}

void MapCanvas::resizeEvent(QResizeEvent*) {
  transform_ = transform_.resized(QRectF(rect()));
  if (keep_fitted_) fitAll();
  dial_.place(QPointF(width() - WindDial::kRadiusPx - 20, WindDial::kRadiusPx + 20));
  legend_.place(QPointF(width() - 12, height() - 12));
}

// --- painting ------------------------------------------------------------------------------------

bool MapCanvas::sameScale(const Sheet& sheet) const {
  const QSize pixels =
      (sheetTransform(sheet.margin_px).viewport().size() * devicePixelRatioF()).toSize();
  return !sheet.image.isNull() && sheet.image.size() == pixels &&
         sheet.transform.metresPerPx() == transform_.metresPerPx() &&
         sheet.image.devicePixelRatioF() == devicePixelRatioF();
}

bool MapCanvas::covers(const Sheet& sheet) const {
  if (sheet.stale || !sameScale(sheet)) return false;
  const QPointF shift = transform_.toDevice(sheet.transform.centre()) - QRectF(rect()).center();
  return std::abs(shift.x()) <= sheet.margin_px && std::abs(shift.y()) <= sheet.margin_px;
}

bool MapCanvas::mayStretch(const Sheet& sheet) const {
  return zoom_timer_.isActive() && !sheet.image.isNull() && !sameScale(sheet);
}

MapTransform MapCanvas::sheetTransform(double margin_px) const {
  return transform_.resized(QRectF(0, 0, width() + 2 * margin_px, height() + 2 * margin_px));
}

void MapCanvas::redrawAll(Sheet& sheet, void (MapCanvas::*draw)(QPainter&, const MapTransform&)) {
  ++redraws_;
  sheet.transform = sheetTransform(sheet.margin_px);
  const double ratio = devicePixelRatioF();
  const QSize pixels = (sheet.transform.viewport().size() * ratio).toSize();
  if (sheet.image.size() != pixels)
    sheet.image = QImage(pixels, QImage::Format_ARGB32_Premultiplied);
  sheet.image.setDevicePixelRatio(ratio);
  sheet.image.fill(Qt::transparent);
  sheet.stale = false;
  QPainter painter(&sheet.image);
  (this->*draw)(painter, sheet.transform);
}

void MapCanvas::refresh(Sheet& sheet, void (MapCanvas::*draw)(QPainter&, const MapTransform&)) {
  if (covers(sheet) || mayStretch(sheet)) return;
  // A margin costs as much again as the map: it is drawn when the map is panned, not while it
  // changes.
  const bool panned = !sheet.stale && sameScale(sheet);
  sheet.margin_px = panned ? kMarginPx : 0;
  redrawAll(sheet, draw);
}

void MapCanvas::refreshGround() {
  if (mayStretch(ground_)) return;
  if (ground_.stale || !sameScale(ground_)) {
    arrived_.clear();
    return redrawAll(ground_, &MapCanvas::drawGround);
  }
  if (!covers(ground_)) scrollGround();
  if (arrived_.empty()) return;
  QRegion part;
  for (const Box& box : arrived_)
    part += ground_.transform.toDevice(box).toAlignedRect().adjusted(-1, -1, 1, 1);
  arrived_.clear();
  paintGround(part & ground_.transform.viewport().toAlignedRect());
}

// Moves what is drawn by whole device pixels and draws only the strips that come into view.
void MapCanvas::scrollGround() {
  const double ratio = devicePixelRatioF();
  const MapTransform& old = ground_.transform;
  const QPointF to = old.viewport().center() - old.toDevice(transform_.centre());
  const QPoint pixels = (to * ratio).toPoint();
  QImage next(ground_.image.size(), ground_.image.format());
  next.setDevicePixelRatio(ratio);
  const QPointF by = QPointF(pixels) / ratio;
  {
    QPainter painter(&next);
    painter.setCompositionMode(QPainter::CompositionMode_Source);
    painter.drawImage(by, ground_.image);
  }
  ground_.image = std::move(next);
  ground_.transform = old.pannedBy(by);
  const QRect whole = old.viewport().toAlignedRect();
  const QRect kept = QRectF(by, old.viewport().size()).toRect().adjusted(1, 1, -1, -1);
  paintGround(QRegion(whole) - kept);
}

void MapCanvas::paintGround(const QRegion& part) {
  QPainter painter(&ground_.image);
  painter.setClipRegion(part);
  drawGroundPart(painter, ground_.transform, part);
}

void MapCanvas::putSheet(QPainter& painter, const Sheet& sheet) const {
  const double ratio = devicePixelRatioF();
  const auto snap = [&](double v) { return std::round(v * ratio) / ratio; };
  if (!sameScale(sheet)) {  // for a moment, until the timer has it drawn anew
    painter.drawImage(transform_.toDevice(sheet.transform.visible()), sheet.image);
    return;
  }
  const QPointF corner = transform_.toDevice(sheet.transform.toLocal({0, 0}));
  painter.drawImage(QPointF(snap(corner.x()), snap(corner.y())), sheet.image);
}

void MapCanvas::drawGround(QPainter& painter, const MapTransform& t) {
  drawGroundPart(painter, t, t.viewport().toAlignedRect());
}

void MapCanvas::drawGroundPart(QPainter& painter, const MapTransform& t, const QRegion& part) {
  painter.fillRect(t.viewport(), QColor(chrome::kLand));
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

void MapCanvas::drawResults(QPainter& painter, const MapTransform& t) {
  const StandResult* stand = results_ ? results_->find(selection_) : nullptr;
  if (!stand || !view_.ways) return;
  const auto trade = static_cast<std::size_t>(results_->scene.trade);
  if (stand->way_out[trade]) drawWay(painter, t, *stand->way_out[trade], true);
  if (stand->way_in[trade]) drawWay(painter, t, *stand->way_in[trade], false);
}

void MapCanvas::drawFields(QPainter& painter, const MapTransform& t) {
  drawGroundImage(painter, t, sight_, view_.sight.opacity);
  drawScent(painter, t, scent_, view_.scent.opacity);
  air_.drawDoubts(painter, t, view_);
}

void MapCanvas::drawLand(QPainter& painter, const MapTransform& t) {
  drawFeatures(painter, t, *document_, view_.kinds & ~pointKinds(), selection_);
}

void MapCanvas::drawAnswers(QPainter& painter, const MapTransform& t) {
  air_.drawFlow(painter, t, view_);
  const std::vector<const StandResult*> ringed = standsWithRings();
  const StandResult* selected = results_ ? results_->find(selection_) : nullptr;
  const Ref<Feature> stand_at = selected ? document_->find(selected->stand) : nullptr;
  const bool fire = view_.fire && stand_at;
  drawSeason(painter, t);
  if (fire) drawFire(painter, t, stand_at->shape.position(), *selected, false);
  for (const StandResult* stand : ringed) drawRingLines(painter, t, *stand);
  const bool scrapes = view_.kinds[static_cast<std::size_t>(Kind::mock_scrape)],
             cameras = view_.kinds[static_cast<std::size_t>(Kind::camera)];
  if (results_) drawViewsAndLines(painter, t, *document_, *results_, scrapes, cameras);
  drawResults(painter, t);
  LabelPlacer placer(t.viewport());
  for (const QRectF& box : air_.drawMargin(painter, t, view_, *document_, selected))
    placer.take(box);
  drawFeatures(painter, t, *document_, view_.kinds & pointKinds(), selection_);
  if (results_) drawMendSigns(painter, t, *document_, *results_, scrapes, cameras);
  if (view_.labels) drawFeatureLabels(painter, t, *document_, view_.kinds, selection_, placer);
  const UnitSystem units = document_->settings->units;
  for (const StandResult* stand : ringed) drawRingLabels(painter, t, *stand, units, placer);
  if (fire) drawFireLabels(painter, t, *document_, stand_at->shape.position(), *selected, placer);
  if (!results_ || !scrapes || !view_.labels) return;
  for (const ScrapeLine& line : results_->scrape_lines)
    drawScrapeLineLabels(painter, t, line, units, placer);
}

void MapCanvas::drawSeason(QPainter& painter, const MapTransform& t) {
  const Ref<Feature> at = season_ ? document_->find(selection_) : nullptr;
  if (!at || at->kind() != Kind::stand) return;
  for (const SeasonStand& s : season_->stands)
    if (s.stand == selection_)
      drawSeasonRose(painter, t.toDevice(at->shape.position()), t.px(72), -convergence_deg_,
                     *season_, s);
}

std::vector<const StandResult*> MapCanvas::standsWithRings() const {
  std::vector<const StandResult*> out;
  if (!view_.rings || !results_) return out;
  const StandResult* selected = results_->find(selection_);
  for (const StandResult& stand : results_->stands)
    if (!selected || &stand == selected) out.push_back(&stand);
  return out;
}

void MapCanvas::drawFurniture(QPainter& painter) {
  drawScaleBar(painter, transform_, QPointF(18, height() - 16), document_->settings->units);
  drawNorthMark(painter, QPointF(30, 44), 1, convergence_deg_);
  legend_.paint(painter);
  dial_.paint(painter);
}

void MapCanvas::paintEvent(QPaintEvent*) {
  QElapsedTimer timer;
  timer.start();
  refreshGround();
  refresh(fields_, &MapCanvas::drawFields);
  refresh(land_, &MapCanvas::drawLand);
  refresh(answers_, &MapCanvas::drawAnswers);
  QPainter painter(this);
  painter.fillRect(rect(), QColor(chrome::kLand));
  for (const Sheet* sheet : {&ground_, &fields_, &land_, &answers_}) putSheet(painter, *sheet);
  if (tool_) tool_->paint(painter);
  drawFurniture(painter);
  longest_paint_ms_ = std::max(longest_paint_ms_, static_cast<double>(timer.nsecsElapsed()) * 1e-6);
}

double MapCanvas::takeLongestPaintMs() { return std::exchange(longest_paint_ms_, 0); }

// --- pointer and keys ----------------------------------------------------------------------------

Pointer MapCanvas::pointer(const QPointF& px, Qt::KeyboardModifiers modifiers) const {
  return {transform_.toLocal(px), px, modifiers};
}

void MapCanvas::mousePressEvent(QMouseEvent* event) {
  const QPointF px = event->position();
  pressed_px_ = last_px_ = px;
  moved_ = false;
  if (event->button() == Qt::MiddleButton || (event->button() == Qt::LeftButton && space_)) {
    drag_ = Drag::pan;
  } else if (event->button() != Qt::LeftButton) {
    return;
  } else if (legend_.hit(px)) {
    if (legend_.hitBar(px)) toggleLegend();
    return;
  } else if (dial_.hit(px)) {
    drag_ = Drag::dial;
    emit windTurned(dial_.bearingAt(px, event->modifiers() & Qt::ShiftModifier), false);
  } else {
    drag_ = tool_ && tool_->press(pointer(px, event->modifiers())) ? Drag::tool : Drag::pan;
    if (drag_ == Drag::tool) keep_fitted_ = false;  // nothing jumps from under a hand
  }
  if (drag_ == Drag::pan) setCursor(Qt::ClosedHandCursor);
}

void MapCanvas::mouseMoveEvent(QMouseEvent* event) {
  const QPointF px = event->position();
  const Pointer p = pointer(px, event->modifiers());
  emit pointerAt(p.at);
  if (drag_ == Drag::pan) {
    if (!moved_ && QLineF(pressed_px_, px).length() < 3) return;
    moved_ = true;
    keep_fitted_ = false;
    setTransform(transform_.pannedBy(px - last_px_));
    last_px_ = px;
    return;
  }
  if (drag_ == Drag::dial) {
    emit windTurned(dial_.bearingAt(px, event->modifiers() & Qt::ShiftModifier), false);
    return;
  }
  if (!tool_) return;
  tool_->move(p, drag_ == Drag::tool);
  setCursor(dial_.hit(px) || legend_.hitBar(px) ? QCursor(Qt::PointingHandCursor)
                                                : tool_->cursor());
}

void MapCanvas::mouseReleaseEvent(QMouseEvent* event) {
  const Pointer p = pointer(event->position(), event->modifiers());
  const Drag was = std::exchange(drag_, Drag::none);
  if (was == Drag::dial) {
    emit windTurned(dial_.bearingAt(p.px, event->modifiers() & Qt::ShiftModifier), true);
  } else if (was == Drag::tool && tool_) {
    tool_->release(p);
  } else if (was == Drag::pan && !moved_ && tool_ && event->button() == Qt::LeftButton) {
    tool_->click(p);
  }
  setCursor(tool_ ? tool_->cursor() : QCursor(Qt::ArrowCursor));
  if (tool_) emit hintChanged(tool_->hint());
}

void MapCanvas::mouseDoubleClickEvent(QMouseEvent* event) {
  const QPointF px = event->position();
  if (event->button() != Qt::LeftButton || dial_.hit(px) || legend_.hit(px)) return;
  if (tool_) tool_->doubleClick(pointer(px, event->modifiers()));
}

void MapCanvas::wheelEvent(QWheelEvent* event) {
  const double turn = event->angleDelta().y() / 120.0;
  if (turn == 0) return;
  if (dial_.hit(event->position())) {
    emit windSpeedStepped(turn > 0 ? 1 : -1);
  } else {
    zoomBy(std::exp2(turn / 2.5), event->position());
  }
  event->accept();
}

void MapCanvas::keyPressEvent(QKeyEvent* event) {
  if (event->key() == Qt::Key_Space && !event->isAutoRepeat()) {
    space_ = true;
    setCursor(Qt::OpenHandCursor);
    return;
  }
  if (tool_ && tool_->key(*event)) return;
  constexpr double kStepPx = 90;
  const auto pan = [this](QPointF by) {
    keep_fitted_ = false;
    setTransform(transform_.pannedBy(by));
  };
  switch (event->key()) {
    case Qt::Key_Left:
      return pan({kStepPx, 0});
    case Qt::Key_Right:
      return pan({-kStepPx, 0});
    case Qt::Key_Up:
      return pan({0, kStepPx});
    case Qt::Key_Down:
      return pan({0, -kStepPx});
    case Qt::Key_Plus:
    case Qt::Key_Equal:
      return zoomBy(1.4, QRectF(rect()).center());
    case Qt::Key_Minus:
      return zoomBy(1 / 1.4, QRectF(rect()).center());
    case Qt::Key_Home:
      return fitAll();
    default:
      QWidget::keyPressEvent(event);
  }
}

void MapCanvas::keyReleaseEvent(QKeyEvent* event) {
  if (event->key() == Qt::Key_Space && !event->isAutoRepeat()) {
    space_ = false;
    setCursor(tool_ ? tool_->cursor() : QCursor(Qt::ArrowCursor));
    return;
  }
  QWidget::keyReleaseEvent(event);
}

void MapCanvas::leaveEvent(QEvent*) { emit pointerLeft(); }

}  // namespace leeward::ui
