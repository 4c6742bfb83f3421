// One piece of a raster, resampled into a box of the property's frame, in memory.
#pragma once

#include "core/base/result.h"
#include "core/geo/point.h"
#include "core/io/gdal_open.h"

#include <functional>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

namespace leeward::io {

enum class Resampling { nearest, bilinear, average };

struct WarpRequest {
  std::vector<int> bands;  ///< Of the source, from 1.
  int alpha_band = 0;      ///< Of the source; 0: none.
  std::string crs_wkt;     ///< Of the result.
  Box box;
  int width_px = 0, height_px = 0;
  Resampling resampling = Resampling::bilinear;
  bool as_bytes = true;    ///< Else 32-bit floats.
  bool with_alpha = true;  ///< A last band, 0 where there is no data; else NaN marks it (floats).
  int gcp_order = 0;       ///< 1 to 3: placed by the source's control points; 0: by its own place.
};

/// The result has `bands.size()` bands and the alpha band if asked for. ERRORS: cancelled, parse.
Result<DatasetPtr> warp_to_memory(GDALDataset& source, const WarpRequest& request,
                                  std::stop_token stop = {},
                                  const std::function<void(double)>& progress = {});

/// Ground size of the source's pixels and the box it covers, in the frame `crs_wkt`; nullopt where
/// the projection has no answer or the file no place.
struct Placement {
  Box box;
  double cell_x_m = 0, cell_y_m = 0;
  bool aligned = false;  ///< Same CRS, north up: cells map to cells.
};
std::optional<Placement> placement_of(GDALDataset& source, const std::string& crs_wkt);

/// True if the file says where it lies (a geotransform or a world file, and a CRS).
bool has_geotransform(GDALDataset& source);
bool has_crs(GDALDataset& source);

}  // namespace leeward::io
