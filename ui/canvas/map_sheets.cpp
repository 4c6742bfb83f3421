#include "ui/canvas/map_sheets.h"

#include "ui/style/palette.h"

#include <QElapsedTimer>
#include <QPainter>

#include <algorithm>
#include <cmath>
#include <utility>

namespace leeward::ui {
namespace {

constexpr std::array kLayers = {MapLayer::ground, MapLayer::fields, MapLayer::land,
                                MapLayer::answers, MapLayer::names};
constexpr int kMayLackPx = 96;      // of the view, without an overlay for a frame or two
constexpr int kMayWaitPx = 24;      // of the view, until there is time
constexpr qint64 kPanBudgetMs = 3;  // of a frame while panning, before what is left must wait
constexpr int kAheadPx = 160;  // the longest side of a strip that is drawn at once ahead of need

}  // namespace

void MapSheets::setStale(LayerSet layers) {
  for (std::size_t i = 0; i < kMapLayers; ++i)
    if (layers[i]) sheets_[i].stale = true;
}

MapTransform MapSheets::sheetTransform() const {
  const QSizeF size = view_.viewport().size();
  return view_.resized(
      QRectF(0, 0, size.width() + 2 * kSheetMarginPx, size.height() + 2 * kSheetMarginPx));
}

QRect MapSheets::viewOn(const Sheet& sheet) const {
  const QPointF corner = sheet.transform.toDevice(view_.toLocal(view_.viewport().topLeft()));
  const QRectF view(corner, view_.viewport().size());
  return view.adjusted(-0.5, -0.5, 0.5, 0.5).toAlignedRect();
}

bool MapSheets::fits(const Sheet& sheet) const {
  const QSize pixels = (sheetTransform().viewport().size() * ratio_).toSize();
  return !sheet.image.isNull() && sheet.image.size() == pixels &&
         sheet.image.devicePixelRatioF() == ratio_ &&
         sheet.transform.metresPerPx() == view_.metresPerPx() &&
         sheet.transform.up_deg() == view_.up_deg();
}

bool MapSheets::holdsView(const Sheet& sheet) const {
  return sheet.transform.viewport().toAlignedRect().contains(viewOn(sheet));
}

bool MapSheets::complete() const {
  return !gliding_ && arrived_.empty() &&
         std::all_of(sheets_.begin(), sheets_.end(), [this](const Sheet& s) {
           return !s.stale && fits(s) && holdsView(s) && !s.missing.intersects(viewOn(s));
         });
}

void MapSheets::begin(Sheet& s) {
  ++redraws_;
  s.transform = sheetTransform();
  const QSize pixels = (s.transform.viewport().size() * ratio_).toSize();
  if (s.image.size() != pixels) s.image = QImage(pixels, QImage::Format_ARGB32_Premultiplied);
  s.image.setDevicePixelRatio(ratio_);
  s.image.fill(Qt::transparent);
  s.missing = s.transform.viewport().toAlignedRect();
  s.seen = viewOn(s);
  s.stale = false;
}

// Moves what is drawn by whole device pixels, so that the view lies in the middle again.
void MapSheets::scroll(Sheet& s) {
  const MapTransform old = s.transform;
  const QPointF to = old.viewport().center() - old.toDevice(view_.centre());
  const QPoint pixels = (to * ratio_).toPoint();
  QImage next(s.image.size(), s.image.format());
  next.setDevicePixelRatio(ratio_);
  next.fill(Qt::transparent);
  const QPointF by = QPointF(pixels) / ratio_;
  {
    QPainter painter(&next);
    painter.setCompositionMode(QPainter::CompositionMode_Source);
    painter.drawImage(by, s.image);
  }
  s.image = std::move(next);
  s.transform = old.pannedBy(by);
  const QRect whole = old.viewport().toAlignedRect();
  const QRectF moved(by, old.viewport().size());
  const QRect kept = QRect(
      QPoint(static_cast<int>(std::ceil(moved.left())), static_cast<int>(std::ceil(moved.top()))),
      QPoint(static_cast<int>(std::floor(moved.right())) - 1,
             static_cast<int>(std::floor(moved.bottom())) - 1));
  s.missing.translate(by.toPoint());
  s.missing = (s.missing + (QRegion(whole) - kept)) & whole;
}

void MapSheets::draw(MapLayer layer, const QRegion& part) {
  if (part.isEmpty()) return;
  Sheet& s = sheet(layer);
  s.missing -= part;
  QPainter painter(&s.image);
  const auto clear = [&](const QRect& rect) {
    painter.setCompositionMode(QPainter::CompositionMode_Source);
    painter.fillRect(rect, Qt::transparent);
    painter.setCompositionMode(QPainter::CompositionMode_SourceOver);
  };
  if (layer == MapLayer::ground || layer == MapLayer::names) {  // these must see the whole sheet
    painter.setClipRegion(part);
    clear(part.boundingRect());
    return scene_.draw(layer, painter, s.transform, part, s.seen);
  }
  for (const QRect& rect : part) {  // what reaches over an edge is drawn from both sides
    painter.setClipRect(rect);
    clear(rect);
    scene_.draw(layer, painter, s.transform.part(rect), rect, s.seen);
  }
}

void MapSheets::prepare(MapLayer layer) {
  Sheet& s = sheet(layer);
  if (s.stale || !fits(s)) {
    begin(s);
    if (layer == MapLayer::ground) arrived_.clear();
  } else if (!holdsView(s)) {
    layer == MapLayer::names ? begin(s) : scroll(s);  // names are placed anew
  }
  if (layer != MapLayer::ground) return;
  const QRect all = s.transform.viewport().toAlignedRect();
  for (const Box& box : std::exchange(arrived_, {}))
    s.missing += s.transform.enclosing(box).toAlignedRect().adjusted(-1, -1, 1, 1) & all;
}

bool MapSheets::refresh(const MapTransform& view, double ratio, bool gliding) {
  view_ = view;
  ratio_ = ratio;
  if (gliding && !gliding_ && !ground().image.isNull() && !fits(ground())) flatten();
  gliding_ = gliding && !flat_.image.isNull() && !fits(ground());
  if (gliding_) return false;
  flat_.image = {};
  QElapsedTimer timer;
  timer.start();
  bool left = false;
  for (const MapLayer layer : kLayers) {
    prepare(layer);
    const Sheet& s = sheet(layer);
    const QRect view_on = viewOn(s);
    const QRegion lacks = s.missing & view_on;
    if (lacks.isEmpty()) continue;
    // What changed is drawn at once. Where a hand pans, a strip may come a frame or two late.
    int widest = 0;
    for (const QRect& rect : lacks)
      widest = std::max(widest, std::min(rect.width(), rect.height()));
    const bool strips = widest < kMayLackPx;
    if (!strips || layer == MapLayer::ground) {
      draw(layer, lacks);
    } else if (widest >= kMayWaitPx || layer == MapLayer::names) {
      left |= !drawStrips(layer, view_on, timer);
    }  // else idle time draws it, from the view outward
  }
  return left;
}

// Whole strips, for they cost hardly more than their nearest part.
bool MapSheets::drawStrips(MapLayer layer, const QRect& near, const QElapsedTimer& since) {
  const QRegion missing = sheet(layer).missing;
  for (const QRect& rect : missing) {
    if (!rect.intersects(near)) continue;
    if (since.elapsed() >= kPanBudgetMs) return false;
    draw(layer, rect);
  }
  return true;
}

bool MapSheets::drawnAhead() const {
  return gliding_ || std::all_of(sheets_.begin(), sheets_.end(),
                                 [](const Sheet& s) { return s.stale || s.missing.isEmpty(); });
}

bool MapSheets::drawAhead() {
  if (gliding_) return false;
  const bool in_view = !complete();
  for (const MapLayer layer : kLayers) {
    const Sheet& s = sheet(layer);
    if (s.stale || !fits(s) || s.missing.isEmpty()) continue;
    const auto next = std::find_if(s.missing.begin(), s.missing.end(), [&](const QRect& rect) {
      return !in_view || rect.intersects(viewOn(s));
    });
    if (next == s.missing.end()) continue;
    QRect strip = *next;
    if (in_view) return draw(layer, strip), true;
    if (strip.width() > strip.height()) {
      strip.setHeight(std::min(strip.height(), kAheadPx));
    } else {
      strip.setWidth(std::min(strip.width(), kAheadPx));
    }
    draw(layer, strip);
    return true;
  }
  return false;
}

void MapSheets::paint(QPainter& painter) const {
  painter.fillRect(view_.viewport(), theme().land);
  if (gliding_) {
    painter.save();
    painter.setTransform(view_.fromDeviceOf(flat_.transform), true);
    painter.drawImage(QPointF(0, 0), flat_.image);
    painter.restore();
    return;
  }
  const auto snap = [this](double v) { return std::round(v * ratio_) / ratio_; };
  for (const Sheet& s : sheets_) {
    const QPointF corner = view_.toDevice(s.transform.toLocal(QPointF(0, 0)));
    painter.drawImage(QPointF(snap(corner.x()), snap(corner.y())), s.image);
  }
}

// One picture of all sheets as they are: what glides then costs a frame one image, not five.
void MapSheets::flatten() {
  flat_.transform = ground().transform;
  flat_.image = QImage(ground().image.size(), QImage::Format_RGB32);
  flat_.image.setDevicePixelRatio(ground().image.devicePixelRatioF());
  flat_.image.fill(theme().land);
  QPainter painter(&flat_.image);
  for (const Sheet& s : sheets_) {
    if (s.image.isNull() || s.transform.metresPerPx() != flat_.transform.metresPerPx() ||
        s.transform.up_deg() != flat_.transform.up_deg())
      continue;
    painter.drawImage(flat_.transform.toDevice(s.transform.toLocal(QPointF(0, 0))), s.image);
  }
}

}  // namespace leeward::ui
