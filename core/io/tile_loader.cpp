#include "core/io/gdal_gate.h"
#include "core/io/layer_reader.h"
#include "core/io/raster_files.h"
#include "core/io/store_paths.h"

#include <algorithm>
#include <cmath>
#include <condition_variable>
#include <deque>
#include <map>
#include <mutex>
#include <optional>
#include <set>
#include <thread>

namespace leeward::io {

Box tile_box(const TileKey& key) {
  const double side_m = std::ldexp(double{kTilePx}, key.level);
  return {key.x * side_m, key.y * side_m, (key.x + 1) * side_m, (key.y + 1) * side_m};
}

struct TileLoader::Impl {
  std::filesystem::path property_file;
  CrsId crs;
  Deliver deliver;
  Complain complain;

  std::mutex mutex;
  std::condition_variable_any changed;
  std::deque<TileKey> queue;
  std::map<Uid, Ref<RasterLayer>> layers;
  std::optional<TileKey> busy;
  std::stop_source busy_stop;

  /// Of the loader's thread alone: one reader a layer, dropped when its row's path changes.
  struct Open {
    std::string path;
    std::optional<LayerReader> reader;  ///< Absent: it could not be opened, and that was said.
  };
  std::map<Uid, Open> open;
  std::set<Uid> complained;
  std::string crs_wkt;

  std::jthread thread;  // last: it ends before what it uses

  void complain_once(const Uid& layer, const Error& error) {
    if (complained.insert(layer).second && complain) complain(layer, error);
  }

  LayerReader* reader_for(const RasterLayer& layer) {
    Open& o = open[layer.uid];
    if (o.path == layer.path) return o.reader ? &*o.reader : nullptr;
    o.path = layer.path;
    o.reader.reset();
    complained.erase(layer.uid);
    auto reader = LayerReader::open(raster_file(layer, property_file), crs_wkt);
    if (!reader) {
      complain_once(layer.uid, reader.error());
      return nullptr;
    }
    o.reader.emplace(std::move(*reader));
    return &*o.reader;
  }

  void read(const TileKey& key, const RasterLayer& layer, std::stop_token stop) {
    Tile tile{key, {}};
    if (LayerReader* reader = reader_for(layer)) {
      auto picture = reader->render(tile_box(key), kTilePx, kTilePx, stop);
      if (picture) {
        tile.picture = std::move(*picture);
      } else if (picture.error().code == ErrorCode::cancelled) {
        return;
      } else {
        complain_once(layer.uid, picture.error());
      }
    }
    if (deliver) deliver(make_ref<Tile>(std::move(tile)));
  }

  void forget_absent(const std::map<Uid, Ref<RasterLayer>>& now) {
    std::erase_if(open, [&](const auto& o) { return !now.contains(o.first); });
    std::erase_if(complained, [&](const Uid& uid) { return !now.contains(uid); });
  }

  void run(std::stop_token stop) {
    enter_gdal();
    if (auto frame = Frame::make(crs)) crs_wkt = frame->wkt();
    while (true) {
      TileKey key;
      Ref<RasterLayer> layer;
      std::stop_token tile_stop;
      {
        std::unique_lock guard(mutex);
        busy.reset();
        if (!changed.wait(guard, stop, [&] { return !queue.empty(); })) return;
        forget_absent(layers);
        key = queue.front();
        queue.pop_front();
        const auto it = layers.find(key.layer);
        if (it == layers.end()) continue;
        layer = it->second;
        busy = key;
        busy_stop = std::stop_source();
        tile_stop = busy_stop.get_token();
      }
      read(key, *layer, tile_stop);
    }
  }
};

TileLoader::TileLoader(std::filesystem::path property_file, CrsId crs, Deliver deliver,
                       Complain complain)
    : impl_(std::make_unique<Impl>()) {
  impl_->property_file = std::move(property_file);
  impl_->crs = std::move(crs);
  impl_->deliver = std::move(deliver);
  impl_->complain = std::move(complain);
  impl_->thread = std::jthread([impl = impl_.get()](std::stop_token stop) { impl->run(stop); });
}

TileLoader::~TileLoader() {
  impl_->thread.request_stop();
  const std::lock_guard guard(impl_->mutex);
  impl_->queue.clear();
  impl_->busy_stop.request_stop();
}

void TileLoader::set_layers(Rows<RasterLayer> layers) {
  const std::lock_guard guard(impl_->mutex);
  impl_->layers.clear();
  for (auto& layer : layers) impl_->layers.emplace(layer->uid, std::move(layer));
}

void TileLoader::want(std::vector<TileKey> keys) {
  {
    const std::lock_guard guard(impl_->mutex);
    // The tile being read is finished if it is still wanted, else given up.
    if (impl_->busy) {
      const auto it = std::find(keys.begin(), keys.end(), *impl_->busy);
      if (it != keys.end()) {
        keys.erase(it);
      } else {
        impl_->busy_stop.request_stop();
      }
    }
    impl_->queue.assign(std::make_move_iterator(keys.begin()), std::make_move_iterator(keys.end()));
  }
  impl_->changed.notify_all();
}

}  // namespace leeward::io
