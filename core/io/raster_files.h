// Raster files: what they are, terrain for the evaluators, pictures for canvas and print.
#pragma once

#include "core/base/result.h"
#include "core/model/document.h"
#include "core/model/terrain.h"

#include <cstdint>
#include <filesystem>
#include <functional>
#include <stop_token>
#include <string>
#include <vector>

namespace leeward::io {

using LoadProgress = std::function<void(double share, const char* what)>;

/// What a raster file is, without reading its pixels.
struct RasterFacts {
  std::string driver;  ///< "GTiff".
  int width_px = 0, height_px = 0, bands = 0;
  bool has_crs = false;
  std::string crs_name;
  bool georeferenced = false;         ///< It has a geotransform (or a world file).
  LonLat centre_wgs84;                ///< NaN when unknown.
  Box box;                            ///< In the property's CRS, when one was asked for.
  double cell_m = 0;                  ///< Ground size of a pixel at the centre.
  double metres_per_unit = 1;         ///< From the vertical unit, when the file states one.
  bool looks_like_elevation = false;  ///< One band, not 8-bit, or a float type.
};
/// ERRORS: io, parse, unsupported; the message names the file, what is wrong, and the mend.
Result<RasterFacts> inspect_raster(const std::filesystem::path& path, const CrsId& crs = {});

/// Ground and canopy on one grid in the property's CRS: the elevation's own cells (never finer than
/// 0.5 m, at most 4000 x 4000 cells), over the elevation's extent cut to the property's extent
/// grown by `margin_m`. Files that are missing or bad become notes, not errors; only cancellation
/// is an error.
Result<Ref<Terrain>> load_terrain(const Document& document,
                                  const std::filesystem::path& property_file, double margin_m = 800,
                                  std::stop_token stop = {}, const LoadProgress& progress = {});

/// ARGB32 premultiplied pixels (0xAARRGGBB), row 0 north.
struct Picture {
  int width_px = 0, height_px = 0;
  std::vector<std::uint32_t> argb;
  bool empty() const { return argb.empty(); }
};
/// One layer warped to the property's CRS and resampled to `box` at width x height; transparent
/// where it has no data. Synchronous (for print and batch). The layer's opacity is not applied.
Result<Picture> render_layer(const RasterLayer& layer, const std::filesystem::path& property_file,
                             const CrsId& crs, const Box& box, int width_px, int height_px,
                             std::stop_token stop = {});

/// Tiles lie on one world grid for all layers: at `level`, a pixel is 2^level metres; tile (x, y)
/// covers eastings from x*256*2^level and northings from y*256*2^level (y grows north).
struct TileKey {
  Uid layer;
  int level = 0;
  int x = 0, y = 0;
  friend auto operator<=>(const TileKey&, const TileKey&) = default;
};
inline constexpr int kTilePx = 256;
struct Tile {
  TileKey key;
  Picture picture;  ///< 256 x 256, or empty where the layer has nothing there.
};
Box tile_box(const TileKey& key);

/// Reads tiles on its own thread from the best overview. GDAL's block cache stays at 64 MiB.
class TileLoader {
 public:
  using Deliver = std::function<void(Ref<Tile>)>;  ///< On the loader's thread.
  using Complain = std::function<void(const Uid& layer, const Error&)>;  ///< Once a layer.
  TileLoader(std::filesystem::path property_file, CrsId crs, Deliver deliver, Complain complain);
  ~TileLoader();
  TileLoader(const TileLoader&) = delete;
  TileLoader& operator=(const TileLoader&) = delete;

  /// Layers that may be asked for from now on.
  void set_layers(Rows<RasterLayer> layers);
  /// Replaces the waiting requests; the first is read first. Never blocks on the disk.
  void want(std::vector<TileKey> keys);

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

/// Writes a float raster as a tiled, compressed GeoTIFF in the property's CRS (dump, generator).
Status write_geotiff(const std::filesystem::path& path, const Raster<float>& raster,
                     const CrsId& crs);
/// Writes an RGB picture (alpha dropped) as a JPEG-compressed, tiled GeoTIFF with overviews.
Status write_rgb_geotiff(const std::filesystem::path& path, const Picture& picture, const Box& box,
                         const CrsId& crs, int jpeg_quality = 80);
/// The same with its transparency, compressed without loss.
Status write_rgba_geotiff(const std::filesystem::path& path, const Picture& picture, const Box& box,
                          const CrsId& crs);

}  // namespace leeward::io
