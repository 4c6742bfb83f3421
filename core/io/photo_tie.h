// Tying a plain picture (a photo from the air, a scanned map) to the ground by control points that
// somebody placed by eye.
#pragma once

#include "core/base/result.h"
#include "core/io/raster_files.h"

#include <filesystem>
#include <functional>
#include <stop_token>
#include <vector>

namespace leeward::io {

struct ControlPoint {
  double px_x = 0, px_y = 0;  ///< Pixels from the picture's upper left corner, right and down.
  LocalXY ground;             ///< In the property's frame.
};

/// Polynomials of the first to third degree in both directions (GDAL's, by least squares).
enum class TieFit { affine, second, third };
constexpr size_t least_points(TieFit fit) {
  return fit == TieFit::affine ? 3 : fit == TieFit::second ? 6 : 10;
}

struct PictureTie {
  std::vector<double>
      miss_m;  ///< Of each point: from where it was placed to where the fit puts it.
  double rms_m = 0;
  double cell_m = 0;           ///< Ground size of a pixel in the middle of the picture.
  Box box;                     ///< What the picture will cover.
  Path outline;                ///< Its edge on the ground, from the upper left corner on.
  std::vector<LocalXY> lands;  ///< Where the fit puts each point.
};
/// ERRORS: invalid_argument with the mend: too few points, points on one line or in one place, two
/// points swapped so that the picture would lie mirrored or folded.
Result<PictureTie> fit_picture(const std::vector<ControlPoint>& points, TieFit fit, int width_px,
                               int height_px);

/// A picture as it is, whether it says where it lies or not, its longer side at most `most_px`
/// (grey, colour or palette of 8 bits). `width_px` and `height_px` are those of the file.
struct PlainPicture {
  Picture picture;
  int width_px = 0, height_px = 0;
};
/// ERRORS: io, parse, unsupported.
Result<PlainPicture> read_plain_picture(const std::filesystem::path& path, int most_px);

/// Writes the picture as tied as a GeoTIFF with transparent surroundings. Pictures above 8000
/// pixels a side are taken smaller. Nothing is left behind on failure.
/// ERRORS: cancelled; those of fit_picture and read_plain_picture; io when it cannot be written.
Status write_tied_picture(const std::filesystem::path& picture,
                          const std::vector<ControlPoint>& points, TieFit fit, const CrsId& crs,
                          const std::filesystem::path& to, std::stop_token stop = {},
                          const std::function<void(double)>& progress = {});

}  // namespace leeward::io
