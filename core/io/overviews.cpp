#include "core/io/overviews.h"

#include "core/base/uid.h"
#include "core/io/gdal_gate.h"
#include "core/io/gdal_open.h"
#include "core/io/raster_files.h"

#include <cpl_conv.h>
#include <cpl_string.h>
#include <gdal_priv.h>

#include <algorithm>
#include <chrono>
#include <string>
#include <system_error>
#include <vector>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;

constexpr int kLarge_px = 4096;
const std::string kWorkshop = ".leeward-";

/// Takes away what a program that was killed while it built overviews of this picture left behind.
void sweep(const fs::path& raster) {
  constexpr std::chrono::hours kForgotten{24};
  std::error_code ignored;
  std::vector<fs::path> old;
  for (const auto& entry : fs::directory_iterator(raster.parent_path(), ignored)) {
    if (!entry.path().filename().string().starts_with(kWorkshop)) continue;
    const auto written = fs::last_write_time(entry.path(), ignored);
    if (!ignored && fs::exists(entry.path() / raster.filename(), ignored) &&
        fs::file_time_type::clock::now() - written > kForgotten)
      old.push_back(entry.path());
  }
  for (const fs::path& folder : old) fs::remove_all(folder, ignored);
}

/// A folder beside the picture with a second name of it; gone at the end.
class Workshop {
 public:
  explicit Workshop(const fs::path& raster)
      : folder_(fs::absolute(raster).parent_path() / (kWorkshop + Uid::random().str())),
        picture_(folder_ / raster.filename()) {
    sweep(fs::absolute(raster));
    fs::create_directory(folder_, ec_);
    if (!ec_) fs::create_hard_link(fs::absolute(raster), picture_, ec_);
  }
  ~Workshop() {
    std::error_code ignored;
    fs::remove_all(folder_, ignored);
  }
  Workshop(const Workshop&) = delete;
  Workshop& operator=(const Workshop&) = delete;
  bool ready() const { return !ec_; }
  std::string problem() const { return ec_.message(); }
  const fs::path& picture() const { return picture_; }

 private:
  fs::path folder_, picture_;
  std::error_code ec_;
};

struct Watch {
  std::stop_token stop;
  const std::function<void(double)>* progress;
};

int CPL_STDCALL watch(double share, const char*, void* self) {
  const auto* w = static_cast<const Watch*>(self);
  if (*w->progress) (*w->progress)(share);
  return w->stop.stop_requested() ? FALSE : TRUE;
}

std::vector<int> factors_for(GDALDataset& d) {
  std::vector<int> out;
  for (int f = 2; std::max(d.GetRasterXSize(), d.GetRasterYSize()) / f >= kTilePx; f *= 2)
    out.push_back(f);
  return out;
}

}  // namespace

Result<bool> lacks_overviews(const fs::path& raster) {
  auto dataset = open_raster(raster);
  if (!dataset) return std::move(dataset.error());
  GDALDataset& d = **dataset;
  if (std::max(d.GetRasterXSize(), d.GetRasterYSize()) < kLarge_px) return false;
  const std::string driver = d.GetDriverName();
  if (driver == "JP2OpenJPEG" || driver == "MBTiles") return false;
  return d.GetRasterBand(1)->GetOverviewCount() == 0;
}

Status build_overviews(const fs::path& raster, std::stop_token stop,
                       const std::function<void(double)>& progress) {
  if (Status regular = check_regular_file(raster); !regular) return regular;
  const Workshop workshop(raster);
  if (!workshop.ready())
    return fail(ErrorCode::io, shown(raster) + ": overviews cannot be written beside it (" +
                                   workshop.problem() + "); far views of it will be slow");
  auto dataset = open_raster(workshop.picture());
  if (!dataset) return std::move(dataset.error());
  GdalMessages messages;
  const std::vector<int> factors = factors_for(**dataset);
  const bool photo = (*dataset)->GetRasterCount() == 3 &&
                     (*dataset)->GetRasterBand(1)->GetRasterDataType() == GDT_Byte;
  const CPLConfigOptionSetter compress("COMPRESS_OVERVIEW", photo ? "JPEG" : "DEFLATE", false);
  const CPLConfigOptionSetter colour("PHOTOMETRIC_OVERVIEW", photo ? "YCBCR" : "MINISBLACK", false);
  const CPLConfigOptionSetter large("BIGTIFF_OVERVIEW", "IF_SAFER", false);
  Watch watched{stop, &progress};
  const CPLErr done =
      (*dataset)->BuildOverviews("AVERAGE", static_cast<int>(factors.size()), factors.data(), 0,
                                 nullptr, watch, &watched, nullptr);
  const std::string why = messages.text();
  dataset->reset();
  if (stop.stop_requested()) return fail(ErrorCode::cancelled, "overviews were not built");
  fs::path made = workshop.picture(), place = raster;
  made += ".ovr", place += ".ovr";
  std::error_code ec;
  if (done == CE_None) fs::rename(made, place, ec);
  if (done != CE_None || ec)
    return fail(ErrorCode::io, shown(raster) + ": its overviews could not be written (" +
                                   (ec ? ec.message() : why) + ")");
  return ok();
}

}  // namespace leeward::io
