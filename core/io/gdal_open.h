// Opening files through the GDAL gate: what the other .cpp files of io share. GDAL's types are only
// named here, never included.
#pragma once

#include "core/base/result.h"
#include "core/geo/frame.h"

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

class GDALDataset;
class OGRSpatialReference;

namespace leeward::io {

struct DatasetCloser {
  void operator()(GDALDataset* dataset) const;
};
/// Belongs to the thread that opened it.
using DatasetPtr = std::unique_ptr<GDALDataset, DatasetCloser>;

struct SrsReleaser {
  void operator()(OGRSpatialReference* srs) const;
};
using SrsPtr = std::unique_ptr<OGRSpatialReference, SrsReleaser>;

/// Keeps what GDAL says on this thread while it lives, so that it goes into an Error and not to
/// stderr.
class GdalMessages {
 public:
  GdalMessages();
  ~GdalMessages();
  GdalMessages(const GdalMessages&) = delete;
  GdalMessages& operator=(const GdalMessages&) = delete;
  /// The last failure, else the last warning, without line breaks; empty if GDAL was silent.
  std::string text() const;
  void add(bool failure, const char* message);

 private:
  std::string failure_, warning_;
};

/// Opens a raster read-only with the raster drivers of the gate, and no sidecar but its own (world
/// file, .aux.xml, .ovr). `overview` >= 0 opens that overview as if it were the file. A file that
/// names another file as its overview is refused, and so is one whose header claims blocks too
/// large to hold.
/// ERRORS: io, parse, unsupported.
Result<DatasetPtr> open_raster(const std::filesystem::path& path, int overview = -1);

/// Opens a vector file read-only. ERRORS: io, parse, unsupported.
Result<DatasetPtr> open_vector(const std::filesystem::path& path);

/// Opens a GRIB file read-only. ERRORS: io, parse, unsupported.
Result<DatasetPtr> open_grib(const std::filesystem::path& path);

/// Opens a GeoPackage, for updating if asked. ERRORS: parse.
Result<DatasetPtr> open_geopackage(const std::filesystem::path& path, bool update);

/// Traditional axis order (x = east). ERRORS: invalid_argument.
Result<SrsPtr> make_srs(const CrsId& crs);

/// "name.tif", for messages.
std::string shown(const std::filesystem::path& path);

}  // namespace leeward::io
