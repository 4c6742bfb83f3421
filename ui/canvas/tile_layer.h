// Aerial pictures as tiles. The loader reads on its own thread; what has not come yet is drawn from
// coarser tiles, and nothing here ever waits for the disk.
#pragma once

#include "core/io/raster_files.h"
#include "ui/render/map_transform.h"

#include <QImage>
#include <QObject>
#include <QRegion>

#include <list>
#include <map>
#include <memory>
#include <set>

class QPainter;

namespace leeward::ui {

/// Tiles that were used last, up to a number of bytes.
class TileCache {
 public:
  explicit TileCache(std::size_t capacity_bytes) : capacity_(capacity_bytes) {}
  void put(Ref<io::Tile> tile);
  /// nullptr: not here. Counts as a use.
  Ref<io::Tile> get(const io::TileKey& key);
  bool has(const io::TileKey& key) const { return index_.contains(key); }
  void forget(const Uid& layer);
  std::size_t bytes() const { return bytes_; }

 private:
  static std::size_t sizeOf(const io::Tile& tile);
  using Order = std::list<Ref<io::Tile>>;  // most recent first
  std::size_t capacity_;
  std::size_t bytes_ = 0;
  Order order_;
  std::map<io::TileKey, Order::iterator> index_;
};

/// Level whose pixels are nearest to a device pixel of `metres_per_device_px`.
int tileLevel(double metres_per_device_px);
/// Tiles of a level that touch `box`, those nearest its middle first.
std::vector<io::TileKey> tilesIn(const Uid& layer, int level, const Box& box);

class TileLayer : public QObject {
  Q_OBJECT

 public:
  static constexpr std::size_t kCacheBytes = std::size_t{96} << 20;
  static constexpr int kCoarser = 3;  ///< Levels of the stand-in that is read first.

  TileLayer(const std::filesystem::path& property_file, const CrsId& crs);
  ~TileLayer() override;

  void setLayers(const Rows<RasterLayer>& rasters);
  /// Cell size and place of a layer, once known: nothing finer is asked for.
  void setFacts(const Uid& layer, double cell_m, const Box& box);

  /// Draws what is there of all visible aerials within `part` (device units); remembers what is
  /// missing in the whole view.
  void draw(QPainter& painter, const MapTransform& t, const QRegion& part);
  /// Asks the loader for what the last draw() missed.
  void requestMissing();
  /// True when the last draw() had every tile at its own level.
  bool complete() const { return missing_.empty(); }
  std::size_t cacheBytes() const { return cache_.bytes(); }

 signals:
  void arrived(const Box& place);
  void failed(const Uid& layer, const QString& why);

 private:
  struct Facts {
    int finest = -4;
    Box box;
  };
  void drawLayer(QPainter& painter, const MapTransform& t, const QRegion& part,
                 const RasterLayer& layer);
  /// REQUIRES: the tile is in the cache.
  void drawTile(QPainter& painter, const MapTransform& t, const io::TileKey& key);
  void drawStandIn(QPainter& painter, const MapTransform& t, const io::TileKey& key);
  void want(const io::TileKey& key);

  TileCache cache_;
  Rows<RasterLayer> layers_;
  std::map<Uid, Facts> facts_;
  std::vector<io::TileKey> missing_;
  std::vector<io::TileKey> missing_coarse_;
  std::set<io::TileKey> noted_;
  std::unique_ptr<io::TileLoader> loader_;
};

}  // namespace leeward::ui
