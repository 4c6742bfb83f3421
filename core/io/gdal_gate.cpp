#include "core/io/gdal_gate.h"

#include "core/io/gdal_open.h"

#include <cpl_conv.h>
#include <cpl_http.h>
#include <cpl_string.h>
#include <cpl_vsi_virtual.h>
#include <gdal_frmts.h>
#include <gdal_priv.h>
#include <ogr_spatialref.h>
#include <ogr_srs_api.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <string_view>
#include <system_error>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;

constexpr std::array<const char*, 8> kRasterDrivers = {"GTiff",   "PNG",  "JPEG",    "JP2OpenJPEG",
                                                       "MBTiles", "GPKG", "AAIGrid", nullptr};
constexpr std::array<const char*, 6> kVectorDrivers = {"GPKG",   "GeoJSON",        "GPX",
                                                       "LIBKML", "ESRI Shapefile", nullptr};
constexpr std::array<const char*, 2> kGribDriver = {"GRIB", nullptr};
constexpr std::array<const char*, 2> kGeoPackageDriver = {"GPKG", nullptr};

constexpr std::array<std::string_view, 3> kAllowedPrefixes = {"/vsimem/", "/vsizip/",
                                                              "/vsisubfile/"};

/// A virtual file system in which there is nothing.
class DeniedFiles final : public VSIFilesystemHandler {
 public:
  using VSIFilesystemHandler::Open;
  VSIVirtualHandle* Open(const char*, const char*, bool, CSLConstList) override {
    errno = EACCES;
    return nullptr;
  }
  int Stat(const char*, VSIStatBufL*, int) override {
    errno = EACCES;
    return -1;
  }
};

CPLHTTPResult* refuse_fetch(const char* url, CSLConstList, GDALProgressFunc, void*,
                            CPLHTTPFetchWriteFunc, void*, void*) {
  // An answer must be allocated: a null would make GDAL fetch by itself.
  auto* result = static_cast<CPLHTTPResult*>(CPLCalloc(1, sizeof(CPLHTTPResult)));
  result->nStatus = 1;
  result->pszErrBuf = CPLStrdup("Leeward works offline and fetches nothing");
  CPLError(CE_Failure, CPLE_AppDefined, "refused to fetch %.200s", url ? url : "");
  return result;
}

void deny_other_file_systems() {
  // GDAL forgets the handlers that are replaced; they may still be referred to, so they are kept,
  // to the very end and in sight of a leak check.
  static auto& replaced = *new std::vector<VSIFilesystemHandler*>;
  char** prefixes = VSIFileManager::GetPrefixes();
  for (char** p = prefixes; p && *p; ++p) {
    if (std::find(kAllowedPrefixes.begin(), kAllowedPrefixes.end(), *p) != kAllowedPrefixes.end())
      continue;
    replaced.push_back(VSIFileManager::GetHandler(*p));
    VSIFileManager::InstallHandler(*p, new DeniedFiles);  // the manager keeps it to the end
  }
  CSLDestroy(prefixes);
}

void register_drivers() {
  GDALRegister_GTiff();
  GDALRegister_MEM();
  GDALRegister_PNG();
  GDALRegister_JPEG();
  GDALRegister_JP2OpenJPEG();
  GDALRegister_AAIGrid();
  GDALRegister_GRIB();
  GDALRegister_MBTiles();
  RegisterOGRGeoPackage();
  RegisterOGRGeoJSON();
  RegisterOGRGPX();
  RegisterOGRLIBKML();
  RegisterOGRShape();
}

void set_options() {
  for (const auto& [key, value] : std::array<std::pair<const char*, const char*>, 14>{{
           {"PROJ_NETWORK", "OFF"},
           {"GDAL_HTTP_MAX_RETRY", "0"},
           {"GDAL_HTTP_TIMEOUT", "1"},
           {"GDAL_CACHEMAX", "64"},
           {"GDAL_PAM_ENABLE_MARK_DIRTY", "NO"},
           {"GDAL_NUM_THREADS", "1"},
           {"GDAL_ENABLE_WMS_CACHE", "NO"},
           {"GTIFF_IGNORE_READ_ERRORS", "NO"},
           {"CPL_DEBUG", "OFF"},
           {"OGR_SQLITE_JOURNAL", "DELETE"},
           {"OGR_SQLITE_SYNCHRONOUS", "FULL"},
           {"OGR_SQLITE_LOAD_EXTENSIONS", ""},
           {"OGR_GEOJSON_MAX_OBJ_SIZE", "50"},
           {"OGR_WKT_PRECISION", "17"},
       }}) {
    CPLSetConfigOption(key, value);
  }
  OSRSetPROJEnableNetwork(0);
}

void CPL_STDCALL keep_message(CPLErr level, CPLErrorNum, const char* message) {
  if (auto* messages = static_cast<GdalMessages*>(CPLGetErrorHandlerUserData()))
    messages->add(level >= CE_Failure, message);
}

/// The file itself and the sidecars that are its own, as GDAL's list of siblings.
CPLStringList own_siblings(const fs::path& path) {
  const std::string name = path.filename().string(), stem = path.stem().string();
  std::string ext = path.extension().string();
  CPLStringList out;
  out.AddString(name.c_str());
  std::vector<std::string> wanted = {name + ".aux.xml", name + ".ovr", name + "w", stem + ".wld",
                                     stem + ".prj"};
  if (ext.size() >= 4) {  // ".tif" -> ".tfw"
    wanted.push_back(stem + "." + ext[1] + ext[ext.size() - 1] + "w");
    wanted.push_back(stem + "." + ext[1] + ext[ext.size() - 1] + "W");
  }
  wanted.push_back(stem + ".WLD");
  std::error_code ec;
  for (const std::string& w : wanted)
    if (fs::is_regular_file(path.parent_path() / w, ec)) out.AddString(w.c_str());
  return out;
}

std::string because(const GdalMessages& messages) {
  const std::string text = messages.text();
  return text.empty() ? std::string{} : " (" + text + ")";
}

constexpr const char* kWaitForLock = "PRAGMA busy_timeout = 1500";  // milliseconds
constexpr double kMaxBlockBytes = 256.0 * 1024 * 1024;

Status check_blocks(GDALDataset& dataset, const fs::path& path) {
  if (dataset.GetRasterCount() < 1)
    return fail(ErrorCode::unsupported,
                shown(path) + ": it holds no picture; choose a raster file");
  int width = 0, height = 0;
  GDALRasterBand* band = dataset.GetRasterBand(1);
  band->GetBlockSize(&width, &height);
  const double bytes = static_cast<double>(width) * height *
                       GDALGetDataTypeSizeBytes(band->GetRasterDataType()) *
                       std::min(dataset.GetRasterCount(), 4);
  if (dataset.GetRasterCount() > 1000 || bytes > kMaxBlockBytes) {
    return fail(ErrorCode::unsupported,
                shown(path) + ": its blocks of " + std::to_string(width) + " x " +
                    std::to_string(height) +
                    " pixels are too large to read; save it as a tiled GeoTIFF");
  }
  if (dataset.GetMetadataItem("OVERVIEW_FILE", "OVERVIEWS")) {
    return fail(ErrorCode::unsupported,
                shown(path) +
                    ": it names another file as its overview, which is not opened; "
                    "rebuild its overviews into the file");
  }
  return ok();
}

Result<DatasetPtr> open_with(const fs::path& path, unsigned flags, const char* const* drivers,
                             const char* const* options, const char* const* siblings,
                             const char* what) {
  enter_gdal();
  if (Status regular = check_regular_file(path); !regular) return std::move(regular.error());
  GdalMessages messages;
  // An absolute path never looks like a URL, a "DRIVER:..." name or a document.
  std::error_code ec;
  const fs::path absolute = fs::absolute(path, ec);
  DatasetPtr dataset(
      static_cast<GDALDataset*>(GDALOpenEx(absolute.c_str(), flags, drivers, options, siblings)));
  if (!dataset) {
    return fail(ErrorCode::parse,
                shown(path) + ": it cannot be read as " + what + because(messages));
  }
  return dataset;
}

}  // namespace

void enter_gdal() {
  static const bool entered = [] {
    CPLSetErrorHandler(CPLQuietErrorHandler);
    set_options();
    CPLHTTPSetFetchCallback(refuse_fetch, nullptr);
    register_drivers();
    deny_other_file_systems();
    return true;
  }();
  static_cast<void>(entered);
}

Status check_regular_file(const fs::path& path) {
  const std::string text = path.string();
  if (text.empty()) return fail(ErrorCode::invalid_argument, "no file was named; choose a file");
  if (text.starts_with("/vsi") || text.find("://") != std::string::npos) {
    return fail(ErrorCode::unsupported,
                text + ": only files on this computer are opened; save it to disk first");
  }
  std::error_code ec;
  const fs::file_status status = fs::status(path, ec);
  if (!fs::exists(status))
    return fail(ErrorCode::not_found, text + ": there is no such file; check the path");
  if (fs::is_directory(status))
    return fail(ErrorCode::unsupported, text + ": it is a folder; choose a file inside it");
  if (!fs::is_regular_file(status))
    return fail(ErrorCode::unsupported,
                text + ": it is not an ordinary file; copy it to disk first");
  return ok();
}

void DatasetCloser::operator()(GDALDataset* dataset) const { GDALClose(dataset); }
void SrsReleaser::operator()(OGRSpatialReference* srs) const { srs->Release(); }

GdalMessages::GdalMessages() { CPLPushErrorHandlerEx(keep_message, this); }
GdalMessages::~GdalMessages() { CPLPopErrorHandler(); }

void GdalMessages::add(bool failure, const char* message) {
  std::string text(message ? message : "");
  std::replace(text.begin(), text.end(), '\n', ' ');
  if (text.size() > 300) text.resize(300);
  (failure ? failure_ : warning_) = std::move(text);
}

std::string GdalMessages::text() const { return failure_.empty() ? warning_ : failure_; }

Result<DatasetPtr> open_raster(const fs::path& path, int overview) {
  CPLStringList options;
  if (overview >= 0)
    options.SetNameValue("OVERVIEW_LEVEL", (std::to_string(overview) + "only").c_str());
  const CPLStringList siblings = own_siblings(path);
  auto dataset = open_with(path, GDAL_OF_RASTER | GDAL_OF_READONLY, kRasterDrivers.data(),
                           options.List(), siblings.List(),
                           "GeoTIFF, JPEG, PNG, JPEG 2000, MBTiles, GeoPackage or ASCII grid");
  if (!dataset) return dataset;
  GdalMessages messages;
  if (Status fine = check_blocks(**dataset, path); !fine) return std::move(fine.error());
  return dataset;
}

Result<DatasetPtr> open_vector(const fs::path& path) {
  return open_with(path, GDAL_OF_VECTOR | GDAL_OF_READONLY, kVectorDrivers.data(), nullptr, nullptr,
                   "GPX, KML, KMZ, GeoJSON, Shapefile or GeoPackage");
}

Result<DatasetPtr> open_grib(const fs::path& path) {
  return open_with(path, GDAL_OF_RASTER | GDAL_OF_READONLY, kGribDriver.data(), nullptr, nullptr,
                   "a GRIB file");
}

Result<DatasetPtr> open_geopackage(const fs::path& path, bool update) {
  const unsigned access = update ? GDAL_OF_UPDATE : GDAL_OF_READONLY;
  auto dataset = open_with(path, GDAL_OF_VECTOR | access, kGeoPackageDriver.data(), nullptr,
                           nullptr, "a GeoPackage");
  if (!dataset) return dataset;
  GdalMessages messages;
  if (OGRLayer* answer = (*dataset)->ExecuteSQL(kWaitForLock, nullptr, nullptr))
    (*dataset)->ReleaseResultSet(answer);
  return dataset;
}

Result<SrsPtr> make_srs(const CrsId& crs) {
  enter_gdal();
  GdalMessages messages;
  SrsPtr srs(new OGRSpatialReference);
  srs->SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
  // An authority code or WKT only: SetFromUserInput would also take a file or a URL.
  const char* const limits[] = {"ALLOW_NETWORK_ACCESS=NO", "ALLOW_FILE_ACCESS=NO", nullptr};
  if (crs.empty() || srs->SetFromUserInput(crs.c_str(), limits) != OGRERR_NONE) {
    return fail(ErrorCode::invalid_argument,
                "coordinate system '" + crs.substr(0, 60) + "' is not known" + because(messages));
  }
  return srs;
}

std::string shown(const fs::path& path) { return path.filename().string(); }

}  // namespace leeward::io
