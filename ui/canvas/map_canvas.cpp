#include "ui/canvas/map_canvas.h"

#include "ui/render/furniture.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QFocusEvent>
#include <QPainter>
#include <QStyle>

#include <algorithm>
#include <cmath>
#include <utility>

namespace leeward::ui {
namespace {

constexpr double kFitMarginPx = 36;
constexpr double kFinest = 0.03, kCoarsest = 200;  // metres a pixel
constexpr int kGlideMs = 150, kFrameMs = 12, kIdleMs = 30;

}  // namespace

MapCanvas::MapCanvas(QWidget* parent) : QWidget(parent) {
  setMouseTracking(true);
  setFocusPolicy(Qt::StrongFocus);
  setMinimumSize(240, 200);
  setAttribute(Qt::WA_OpaquePaintEvent);
  setAttribute(Qt::WA_AcceptTouchEvents);
  grabGesture(Qt::PinchGesture);
  setAccessibleName(tr("Map"));
  setAccessibleDescription(
      tr("Arrow keys pan, plus and minus zoom, Home shows all, End puts north up; the list of "
         "features reaches everything on it"));
  for (const auto& [timer, wait_ms] :
       {std::pair(&tile_timer_, 40), {&still_timer_, 60}, {&idle_timer_, kIdleMs}}) {
    timer->setSingleShot(true);
    timer->setInterval(wait_ms);
  }
  connect(&tile_timer_, &QTimer::timeout, this, qOverload<>(&QWidget::update));
  connect(&still_timer_, &QTimer::timeout, this, qOverload<>(&QWidget::update));
  connect(&idle_timer_, &QTimer::timeout, this, [this] {
    const bool shown = sheets_.complete();
    if (!sheets_.drawAhead()) return;
    if (!shown) update();
    idle_timer_.start(0);
  });
  glide_timer_.setTimerType(Qt::PreciseTimer);
  glide_timer_.setInterval(kFrameMs);
  connect(&glide_timer_, &QTimer::timeout, this, &MapCanvas::glideOn);
  takeLook();
}

MapCanvas::~MapCanvas() = default;

void MapCanvas::setTiles(std::unique_ptr<TileLayer> tiles) {
  tiles_ = std::move(tiles);
  scene_.setTiles(tiles_.get());
  if (tiles_) {
    connect(tiles_.get(), &TileLayer::arrived, this, [this](const Box& place) {
      sheets_.arrived(place);
      if (!tile_timer_.isActive()) tile_timer_.start();
    });
  }
  changed(bit(MapLayer::ground));
}

void MapCanvas::setDocument(Ref<Document> document) {
  changed(scene_.setDocument(std::move(document)));
}

void MapCanvas::setSelection(const Uid& selection) {
  const LayerSet layers = scene_.setSelection(selection);
  if (tool_) emit hintChanged(tool_->hint());
  changed(layers);
}

void MapCanvas::setTerrain(Ref<Terrain> terrain) {
  const LayerSet layers = scene_.setTerrain(std::move(terrain));
  if (keep_fitted_) fitAll();
  changed(layers);
}

void MapCanvas::setResults(Ref<Results> results) { changed(scene_.setResults(std::move(results))); }
void MapCanvas::setSeason(Ref<Season> season) { changed(scene_.setSeason(std::move(season))); }
void MapCanvas::setView(const ViewState& view) { changed(scene_.setView(view)); }

void MapCanvas::setWind(std::optional<double> from_deg, std::optional<double> speed_mps,
                        QString words) {
  dial_.show(from_deg, speed_mps, std::move(words), true);
  update();
}

void MapCanvas::setConvergence(double deg) {
  scene_.setConvergence(deg);
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

void MapCanvas::refreshLegend() { legend_.show(scene_.legend(), view().legend); }

void MapCanvas::toggleLegend() {
  ViewState next = view();
  const bool was_hidden = !next.legend;
  legend_.setOpen(was_hidden || !legend_.open());
  next.legend = true;
  changed(scene_.setView(next));
  if (was_hidden) emit viewChanged(next);
}

void MapCanvas::changed(LayerSet layers) {
  if (layers.none()) return;
  sheets_.setStale(layers);
  refreshLegend();
  update();
}

// --- place ---------------------------------------------------------------------------------------

void MapCanvas::setTransform(const MapTransform& t) {
  const bool scaled = t.metresPerPx() != transform_.metresPerPx();
  const bool turned = t.up_deg() != transform_.up_deg();
  transform_ = t;
  if (scaled || turned) still_timer_.start();
  if (scaled) emit scaleChanged();
  if (turned) {
    dial_.setUp(t.up_deg());
    emit turnChanged(t.up_deg());
  }
  update();
}

void MapCanvas::fitAll() {
  Box box = scene_.document()->extent();
  const Ref<Terrain>& terrain = scene_.terrain();
  if (box.empty() && terrain && !terrain->ground.empty()) box = terrain->ground.spec.box();
  if (box.empty()) return;
  fitTo(box);
  keep_fitted_ = true;
}

void MapCanvas::fitTo(const Box& box) {
  stopGlide();
  keep_fitted_ = false;
  setTransform(transform_.resized(QRectF(rect())).fitted(box, kFitMarginPx));
}

void MapCanvas::panBy(QPointF by) {
  stopGlide();
  keep_fitted_ = false;
  setTransform(transform_.pannedBy(by));
}

void MapCanvas::zoomTurn(const MapTransform& from, double metres_per_px, double up_deg,
                         QPointF about) {
  keep_fitted_ = false;
  const MapTransform zoomed =
      from.zoomedAbout(about, std::clamp(metres_per_px, kFinest, kCoarsest));
  setTransform(zoomed.turnedAbout(about, std::abs(wrap_180(up_deg)) < 1e-6 ? 0 : up_deg));
}

void MapCanvas::zoomBy(double factor, QPointF about) {
  stopGlide();
  zoomTurn(transform_.metresPerPx() / factor, transform_.up_deg(), about);
}

void MapCanvas::glideBy(double factor, double turn_deg, QPointF about) {
  const bool on = glide_timer_.isActive();
  const double scale = on ? glide_.to_scale : transform_.metresPerPx();
  const double target_deg = (on ? glide_.from_deg + glide_.by_deg : transform_.up_deg()) + turn_deg;
  glide_.from_scale = transform_.metresPerPx();
  glide_.to_scale = std::clamp(scale / factor, kFinest, kCoarsest);
  glide_.from_deg = transform_.up_deg();
  glide_.by_deg = wrap_180(target_deg - glide_.from_deg);
  glide_.about = about;
  glide_.since.start();
  if (style()->styleHint(QStyle::SH_Widget_Animation_Duration, nullptr, this) <= 0)
    return zoomTurn(glide_.to_scale, target_deg, about);
  glide_timer_.start();
}

void MapCanvas::glideOn() {
  const double share = std::min(1.0, static_cast<double>(glide_.since.elapsed()) / kGlideMs);
  if (share >= 1) stopGlide();
  const double eased = 1 - std::pow(1 - share, 3);
  zoomTurn(glide_.from_scale * std::pow(glide_.to_scale / glide_.from_scale, eased),
           glide_.from_deg + glide_.by_deg * eased, glide_.about);
}

void MapCanvas::setScale(double denominator) {
  zoomBy(transform_.metresPerPx() / MapTransform::metresPerPxAtScale(denominator), middle());
}

double MapCanvas::scaleDenominator() const {
  return transform_.metresPerPx() / MapTransform::metresPerPxAtScale(1);
}

void MapCanvas::setTurn(double up_deg) {
  stopGlide();
  const bool fitted = keep_fitted_;
  zoomTurn(transform_.metresPerPx(), up_deg, middle());
  if (fitted) fitAll();
}

bool MapCanvas::settled() const {
  return !glide_timer_.isActive() && sheets_.complete() && (!tiles_ || tiles_->complete());
}

void MapCanvas::placeFurniture() {
  // The dial grows with its type, but leaves a small map its room.
  const double unit = textScale();
  const double dial = std::min(unit, std::max(1.0, width() / 420.0));
  dial_.place(QPointF(width() - dial * (WindDial::kRadiusPx + space(5)),
                      dial * (WindDial::kRadiusPx + space(5))),
              dial);
  legend_.place(QPointF(width() - space(3), height() - space(3)), unit, size());
}

void MapCanvas::takeLook() {
  transform_ = transform_.withTypeScale(textScale());
  placeFurniture();
  sheets_.setStale(LayerSet().set());
  update();
}

void MapCanvas::changeEvent(QEvent* event) {
  if (event->type() == QEvent::StyleChange) takeLook();
  QWidget::changeEvent(event);
}

void MapCanvas::resizeEvent(QResizeEvent*) {
  transform_ = transform_.resized(QRectF(rect()));
  if (keep_fitted_) fitAll();
  placeFurniture();
}

// --- painting ------------------------------------------------------------------------------------

void MapCanvas::drawFurniture(QPainter& painter) {
  const double unit = textScale();
  drawScaleBar(painter, transform_, QPointF(space(4), height() - space(4)),
               scene_.document()->settings->units);
  drawNorthMark(painter, QPointF(30, 44) * unit, unit, scene_.convergenceDeg(),
                transform_.up_deg());
  legend_.paint(painter);
  dial_.paint(painter);
}

void MapCanvas::paintEvent(QPaintEvent*) {
  QElapsedTimer timer;
  timer.start();
  const bool left = sheets_.refresh(transform_, devicePixelRatioF(), still_timer_.isActive());
  QPainter painter(this);
  sheets_.paint(painter);
  if (tool_) tool_->paint(painter);
  drawFurniture(painter);
  if (ringed_) {
    painter.setBrush(Qt::NoBrush);
    painter.setPen(QPen(theme().sheet, 4));
    painter.drawRect(QRectF(rect()).adjusted(1, 1, -1, -1));
    painter.setPen(QPen(theme().accent, 2));
    painter.drawRect(QRectF(rect()).adjusted(1, 1, -1, -1));
  }
  if (left) update();
  if (!sheets_.drawnAhead() && !idle_timer_.isActive()) idle_timer_.start(kIdleMs);
  longest_paint_ms_ = std::max(longest_paint_ms_, static_cast<double>(timer.nsecsElapsed()) * 1e-6);
}

double MapCanvas::takeLongestPaintMs() { return std::exchange(longest_paint_ms_, 0); }

void MapCanvas::focusInEvent(QFocusEvent* event) {
  ringed_ = event->reason() == Qt::TabFocusReason || event->reason() == Qt::BacktabFocusReason ||
            event->reason() == Qt::ShortcutFocusReason;
  QWidget::focusInEvent(event);
}

void MapCanvas::focusOutEvent(QFocusEvent* event) {
  ringed_ = false;
  QWidget::focusOutEvent(event);
}

}  // namespace leeward::ui
