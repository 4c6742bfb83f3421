#include "core/io/gdal_gate.h"
#include "core/io/gdal_open.h"
#include "core/io/raster_files.h"
#include "core/io/store_paths.h"

#include <cpl_conv.h>
#include <cpl_string.h>
#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <array>
#include <limits>
#include <system_error>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;

Error cannot_write(const fs::path& path, const GdalMessages& messages) {
  return fail(ErrorCode::io, path.string() + ": cannot be written: " + messages.text() +
                                 "; check the folder and the space on the disk");
}

DatasetPtr create_tiff(const fs::path& path, int width, int height, int bands, GDALDataType type,
                       const CPLStringList& options) {
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GTiff");
  return DatasetPtr(driver->Create(path.c_str(), width, height, bands, type, options.List()));
}

bool place(GDALDataset& dataset, const Box& box, int width, int height,
           const OGRSpatialReference& srs) {
  std::array<double, 6> g = {box.min_x, box.width_m() / width,   0, box.max_y,
                             0,         -box.height_m() / height};
  return dataset.SetGeoTransform(g.data()) == CE_None && dataset.SetSpatialRef(&srs) == CE_None;
}

/// Closes and moves the finished file into place; what was not `fine` is removed.
Status finish(bool fine, DatasetPtr dataset, const fs::path& temporary, const fs::path& path,
              const GdalMessages& messages) {
  CPLErrorReset();
  dataset.reset();
  std::error_code ec;
  if (!fine || CPLGetLastErrorType() >= CE_Failure) {
    fs::remove(temporary, ec);
    return cannot_write(path, messages);
  }
  Status done = rename_file(temporary, path, true);
  if (!done) fs::remove(temporary, ec);
  return done;
}

fs::path temporary_tiff(const fs::path& path) {
  fs::path out = temporary_beside(path);
  out.replace_extension(".tif");
  return out;
}

// Red, green, blue and, of four bands, alpha; colours as they are without their transparency.
bool write_planes(GDALDataset& dataset, const Picture& picture) {
  std::vector<std::uint8_t> plane(picture.argb.size());
  for (int b = 0; b < dataset.GetRasterCount(); ++b) {
    for (size_t i = 0; i < plane.size(); ++i) {
      const unsigned pixel = picture.argb[i], a = pixel >> 24U;
      const unsigned value = b == 3 ? a : pixel >> (16 - 8 * b) & 255U;
      plane[i] = static_cast<std::uint8_t>(
          b == 3 || a == 255 || a == 0 ? value : std::min(255U, (value * 255 + a / 2) / a));
    }
    if (dataset.GetRasterBand(b + 1)->RasterIO(GF_Write, 0, 0, picture.width_px, picture.height_px,
                                               plane.data(), picture.width_px, picture.height_px,
                                               GDT_Byte, 0, 0, nullptr) != CE_None) {
      return false;
    }
  }
  return true;
}

Status write_picture(const fs::path& path, const Picture& picture, const Box& box, const CrsId& crs,
                     int bands, const CPLStringList& options) {
  auto srs = make_srs(crs);
  if (!srs) return std::move(srs.error());
  if (picture.empty()) return fail(ErrorCode::invalid_argument, shown(path) + ": nothing to write");
  GdalMessages messages;
  const fs::path temporary = temporary_tiff(path);
  DatasetPtr dataset =
      create_tiff(temporary, picture.width_px, picture.height_px, bands, GDT_Byte, options);
  if (!dataset) return cannot_write(path, messages);
  bool fine = place(*dataset, box, picture.width_px, picture.height_px, **srs) &&
              write_planes(*dataset, picture);
  if (fine) {
    std::vector<int> factors;
    for (int f = 2; std::max(picture.width_px, picture.height_px) / f >= kTilePx / 2; f *= 2)
      factors.push_back(f);
    dataset->FlushCache(false);
    fine = factors.empty() ||
           dataset->BuildOverviews("AVERAGE", static_cast<int>(factors.size()), factors.data(), 0,
                                   nullptr, nullptr, nullptr, nullptr) == CE_None;
  }
  return finish(fine, std::move(dataset), temporary, path, messages);
}

}  // namespace

Status write_geotiff(const fs::path& path, const Raster<float>& raster, const CrsId& crs) {
  auto srs = make_srs(crs);
  if (!srs) return std::move(srs.error());
  if (raster.empty()) return fail(ErrorCode::invalid_argument, shown(path) + ": nothing to write");
  GdalMessages messages;
  CPLStringList options;
  options.SetNameValue("TILED", "YES");
  options.SetNameValue("COMPRESS", "DEFLATE");
  options.SetNameValue("PREDICTOR", "3");
  options.SetNameValue("BIGTIFF", "IF_SAFER");
  const fs::path temporary = temporary_tiff(path);
  const int w = raster.spec.cols, h = raster.spec.rows;
  DatasetPtr dataset = create_tiff(temporary, w, h, 1, GDT_Float32, options);
  if (!dataset) return cannot_write(path, messages);
  GDALRasterBand& band = *dataset->GetRasterBand(1);
  std::vector<float> row(static_cast<size_t>(w));
  bool fine = place(*dataset, raster.spec.box(), w, h, **srs) &&
              band.SetNoDataValue(std::numeric_limits<double>::quiet_NaN()) == CE_None;
  for (int r = 0; fine && r < h; ++r) {
    std::copy_n(raster.row(r), w, row.begin());
    fine = band.RasterIO(GF_Write, 0, r, w, 1, row.data(), w, 1, GDT_Float32, 0, 0, nullptr) ==
           CE_None;
  }
  return finish(fine, std::move(dataset), temporary, path, messages);
}

Status write_rgb_geotiff(const fs::path& path, const Picture& picture, const Box& box,
                         const CrsId& crs, int jpeg_quality) {
  const std::string quality = std::to_string(jpeg_quality);
  CPLStringList options;
  options.SetNameValue("TILED", "YES");
  options.SetNameValue("COMPRESS", "JPEG");
  options.SetNameValue("PHOTOMETRIC", "YCBCR");
  options.SetNameValue("JPEG_QUALITY", quality.c_str());
  options.SetNameValue("BIGTIFF", "IF_SAFER");
  const CPLConfigOptionSetter set_quality("JPEG_QUALITY_OVERVIEW", quality.c_str(), false);
  return write_picture(path, picture, box, crs, 3, options);
}

Status write_rgba_geotiff(const fs::path& path, const Picture& picture, const Box& box,
                          const CrsId& crs) {
  CPLStringList options;
  options.SetNameValue("TILED", "YES");
  options.SetNameValue("COMPRESS", "DEFLATE");
  options.SetNameValue("PREDICTOR", "2");
  options.SetNameValue("ALPHA", "YES");
  options.SetNameValue("PHOTOMETRIC", "RGB");
  options.SetNameValue("BIGTIFF", "IF_SAFER");
  return write_picture(path, picture, box, crs, 4, options);
}

}  // namespace leeward::io
