// One raster layer, opened on one thread and drawn piece by piece into the property's frame.
#pragma once

#include "core/io/gdal_open.h"
#include "core/io/raster_files.h"
#include "core/io/warp.h"

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

class GDALRasterBand;

namespace leeward::io {

class LayerReader {
 public:
  /// `crs_wkt` is the property's CRS. ERRORS: io, parse, unsupported (no place on the map).
  static Result<LayerReader> open(const std::filesystem::path& path, const std::string& crs_wkt);

  /// Empty when the layer has nothing there. ERRORS: cancelled, parse.
  Result<Picture> render(const Box& box, int width_px, int height_px, std::stop_token stop = {});

 private:
  /// How pixels become colours.
  enum class Look { palette, grey, colour };
  struct Level {
    double cell_m = 0;
    double pixels = 0;
    int overview = -1;
    DatasetPtr dataset;  ///< Opened when first needed.
  };

  LayerReader() = default;
  void choose_look();
  Status find_levels();
  void find_range();
  Status make_thumbnail();
  Result<GDALDataset*> source_for(double pixel_m, double share, double& cell_m);
  Picture colours(GDALDataset& warped, int width_px, int height_px) const;

  std::filesystem::path path_;
  std::string crs_wkt_;
  DatasetPtr base_;
  Placement place_;
  Look look_ = Look::grey;
  std::vector<int> bands_;
  int alpha_band_ = 0;
  bool bytes_ = true;
  std::vector<std::pair<double, double>> range_;  ///< Of each band, when not bytes.
  std::vector<std::uint32_t> palette_;
  std::vector<Level> levels_;  ///< Finest first; [0] is the file itself.
  DatasetPtr thumbnail_;
};

}  // namespace leeward::io
