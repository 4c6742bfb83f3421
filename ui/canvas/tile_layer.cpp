#include "ui/canvas/tile_layer.h"

#include <QPainter>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

/// Edges snapped to whole device pixels, so that neighbours meet without a seam.
QRectF snapped(const QRectF& r, double ratio) {
  const auto snap = [&](double v) { return std::round(v * ratio) / ratio; };
  return QRectF(QPointF(snap(r.left()), snap(r.top())), QPointF(snap(r.right()), snap(r.bottom())));
}

/// Looks into the picture, which must outlive it.
QImage imageOf(const io::Picture& p) {
  return {reinterpret_cast<const uchar*>(p.argb.data()), p.width_px, p.height_px, p.width_px * 4,
          QImage::Format_ARGB32_Premultiplied};
}

void put(QPainter& painter, const MapTransform& t, const Box& box, const QImage& image,
         const QRectF& source) {
  const double ratio = painter.device()->devicePixelRatioF();
  if (!t.isTurned()) return painter.drawImage(snapped(t.toDevice(box), ratio), image, source);
  painter.save();
  painter.setTransform(t.turning(), true);
  painter.drawImage(t.level().toDevice(box), image, source);
  painter.restore();
}

io::TileKey ancestor(const io::TileKey& key, int levels) {
  io::TileKey up = key;
  up.level += levels;
  up.x >>= levels;
  up.y >>= levels;
  return up;
}

}  // namespace

std::size_t TileCache::sizeOf(const io::Tile& tile) {
  return sizeof(io::Tile) + tile.picture.argb.size() * sizeof(std::uint32_t) + 128;
}

void TileCache::put(Ref<io::Tile> tile) {
  if (const auto old = index_.find(tile->key); old != index_.end()) {
    bytes_ -= sizeOf(**old->second);
    order_.erase(old->second);
    index_.erase(old);
  }
  bytes_ += sizeOf(*tile);
  order_.push_front(std::move(tile));
  index_[order_.front()->key] = order_.begin();
  while (bytes_ > capacity_ && order_.size() > 1) {
    bytes_ -= sizeOf(*order_.back());
    index_.erase(order_.back()->key);
    order_.pop_back();
  }
}

Ref<io::Tile> TileCache::get(const io::TileKey& key) {
  const auto it = index_.find(key);
  if (it == index_.end()) return nullptr;
  order_.splice(order_.begin(), order_, it->second);
  return *it->second;
}

void TileCache::forget(const Uid& layer) {
  for (auto it = order_.begin(); it != order_.end();) {
    if ((*it)->key.layer == layer) {
      bytes_ -= sizeOf(**it);
      index_.erase((*it)->key);
      it = order_.erase(it);
    } else {
      ++it;
    }
  }
}

int tileLevel(double metres_per_device_px) {
  return static_cast<int>(std::floor(std::log2(metres_per_device_px) + 0.35));
}

std::vector<io::TileKey> tilesIn(const Uid& layer, int level, const Box& box) {
  std::vector<io::TileKey> keys;
  if (box.empty()) return keys;
  const double side = io::kTilePx * std::exp2(level);
  const auto cell = [&](double v) { return static_cast<int>(std::floor(v / side)); };
  for (int y = cell(box.min_y); y <= cell(box.max_y); ++y)
    for (int x = cell(box.min_x); x <= cell(box.max_x); ++x) keys.push_back({layer, level, x, y});
  const LocalXY middle = box.centre();
  std::stable_sort(keys.begin(), keys.end(), [&](const io::TileKey& a, const io::TileKey& b) {
    return distance_m(io::tile_box(a).centre(), middle) <
           distance_m(io::tile_box(b).centre(), middle);
  });
  return keys;
}

TileLayer::TileLayer(const std::filesystem::path& property_file, const CrsId& crs)
    : cache_(kCacheBytes) {
  loader_ = std::make_unique<io::TileLoader>(
      property_file, crs,
      [this](Ref<io::Tile> tile) {
        QMetaObject::invokeMethod(
            this,
            [this, tile = std::move(tile)] {
              cache_.put(tile);
              emit arrived(io::tile_box(tile->key));
            },
            Qt::QueuedConnection);
      },
      [this](const Uid& layer, const Error& error) {
        QMetaObject::invokeMethod(
            this,
            [this, layer, why = QString::fromStdString(error.message)] { emit failed(layer, why); },
            Qt::QueuedConnection);
      });
}

TileLayer::~TileLayer() { loader_.reset(); }

void TileLayer::setLayers(const Rows<RasterLayer>& rasters) {
  Rows<RasterLayer> aerials;
  for (const auto& r : rasters)
    if (r->role == RasterRole::aerial) aerials.push_back(r);
  std::stable_sort(aerials.begin(), aerials.end(),
                   [](const auto& a, const auto& b) { return a->order < b->order; });
  for (const auto& old : layers_) {
    const bool kept = std::any_of(aerials.begin(), aerials.end(), [&](const auto& now) {
      return now->uid == old->uid && now->path == old->path;
    });
    if (!kept) cache_.forget(old->uid);
  }
  layers_ = std::move(aerials);
  loader_->set_layers(layers_);
}

void TileLayer::setFacts(const Uid& layer, double cell_m, const Box& box) {
  Facts facts;
  if (cell_m > 0) facts.finest = static_cast<int>(std::floor(std::log2(cell_m) + 0.01));
  facts.box = box;
  facts_[layer] = facts;
}

void TileLayer::draw(QPainter& painter, const MapTransform& t, const QRegion& part) {
  missing_.clear();
  missing_coarse_.clear();
  noted_.clear();
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing, false);
  painter.setRenderHint(QPainter::SmoothPixmapTransform);
  for (const auto& layer : layers_)
    if (layer->visible && layer->opacity > 0) drawLayer(painter, t, part, *layer);
  painter.restore();
}

void TileLayer::drawLayer(QPainter& painter, const MapTransform& t, const QRegion& part,
                          const RasterLayer& layer) {
  Box box = t.visible();
  int level = tileLevel(t.metresPerPx() / painter.device()->devicePixelRatioF());
  if (const auto facts = facts_.find(layer.uid); facts != facts_.end()) {
    level = std::max(level, facts->second.finest);
    const Box& has = facts->second.box;
    if (!has.empty()) {
      box = {std::max(box.min_x, has.min_x), std::max(box.min_y, has.min_y),
             std::min(box.max_x, has.max_x), std::min(box.max_y, has.max_y)};
    }
  }
  painter.setOpacity(layer.opacity);
  for (const io::TileKey& key : tilesIn(layer.uid, level, box)) {
    const QRectF place = t.enclosing(io::tile_box(key));
    if (t.isTurned() && !place.intersects(t.viewport())) continue;
    const bool wanted = part.intersects(place.toAlignedRect());
    if (cache_.has(key)) {
      if (wanted) drawTile(painter, t, key);
      continue;
    }
    want(key);
    if (wanted) drawStandIn(painter, t, key);
  }
  painter.setOpacity(1);
}

void TileLayer::drawTile(QPainter& painter, const MapTransform& t, const io::TileKey& key) {
  const Ref<io::Tile> tile = cache_.get(key);
  if (tile->picture.empty()) return;
  const io::Picture& p = tile->picture;
  put(painter, t, io::tile_box(key), imageOf(p), QRectF(0, 0, p.width_px, p.height_px));
}

void TileLayer::drawStandIn(QPainter& painter, const MapTransform& t, const io::TileKey& key) {
  for (int up = 1; up <= 6; ++up) {
    const io::TileKey coarse = ancestor(key, up);
    const Ref<io::Tile> tile = cache_.get(coarse);
    if (!tile) continue;
    if (tile->picture.empty()) return;
    const io::Picture& p = tile->picture;
    const double part = static_cast<double>(p.width_px) / (1 << up);
    const int dx = key.x - (coarse.x << up), dy = key.y - (coarse.y << up);  // dy grows north
    const QRectF source(dx * part, p.height_px - (dy + 1) * part, part, part);
    put(painter, t, io::tile_box(key), imageOf(p), source);
    return;
  }
}

void TileLayer::want(const io::TileKey& key) {
  missing_.push_back(key);
  const io::TileKey coarse = ancestor(key, kCoarser);
  if (!cache_.has(coarse) && noted_.insert(coarse).second) missing_coarse_.push_back(coarse);
}

void TileLayer::requestMissing() {
  std::vector<io::TileKey> keys = missing_coarse_;
  keys.insert(keys.end(), missing_.begin(), missing_.end());
  loader_->want(std::move(keys));
}

}  // namespace leeward::ui
