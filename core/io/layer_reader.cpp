#include "core/io/layer_reader.h"

#include <cpl_conv.h>
#include <gdal_priv.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace leeward::io {
namespace {

/// More source pixels than this for one picture are not averaged but sampled, so that a header's
/// claim of a gigantic image costs no more than a look.
constexpr double kMaxSourcePixels = 3.0e8;
constexpr int kThumbnailPx = 256;
constexpr int kRangeSamplePx = 256;

std::uint32_t argb(unsigned a, unsigned r, unsigned g, unsigned b) {
  return a << 24 | r << 16 | g << 8 | b;
}

std::uint32_t premultiplied(unsigned a, unsigned r, unsigned g, unsigned b) {
  if (a == 255) return argb(a, r, g, b);
  const auto times = [a](unsigned v) { return (v * a + 127) / 255; };
  return argb(a, times(r), times(g), times(b));
}

bool is_alpha(GDALDataset& d, int band) {
  return d.GetRasterBand(band)->GetColorInterpretation() == GCI_AlphaBand;
}

int band_of(GDALDataset& d, GDALColorInterp colour) {
  for (int i = 1; i <= std::min(d.GetRasterCount(), 16); ++i)
    if (d.GetRasterBand(i)->GetColorInterpretation() == colour) return i;
  return 0;
}

template <class T>
std::vector<T> read_band(GDALDataset& d, int band, int width, int height, GDALDataType type) {
  std::vector<T> out(static_cast<size_t>(width) * static_cast<size_t>(height));
  if (d.GetRasterBand(band)->RasterIO(GF_Read, 0, 0, width, height, out.data(), width, height, type,
                                      0, 0, nullptr) != CE_None) {
    out.assign(out.size(), T{});
  }
  return out;
}

}  // namespace

Result<LayerReader> LayerReader::open(const std::filesystem::path& path,
                                      const std::string& crs_wkt) {
  auto dataset = open_raster(path);
  if (!dataset) return std::move(dataset.error());
  GdalMessages messages;
  const char* missing = !has_geotransform(**dataset) ? "it does not say where it lies"
                        : !has_crs(**dataset)        ? "it names no coordinate system"
                                                     : nullptr;
  if (missing) {
    return fail(ErrorCode::unsupported,
                shown(path) + ": " + missing + "; georeference it in a GIS first");
  }
  auto place = placement_of(**dataset, crs_wkt);
  if (!place) {
    return fail(ErrorCode::unsupported,
                shown(path) +
                    ": it cannot be brought into the property's coordinate system; "
                    "cut it to the property's surroundings first");
  }
  LayerReader out;
  out.path_ = path;
  out.crs_wkt_ = crs_wkt;
  out.base_ = std::move(*dataset);
  out.place_ = *place;
  out.choose_look();
  if (Status found = out.find_levels(); !found) return std::move(found.error());
  if (!out.bytes_) out.find_range();
  return out;
}

void LayerReader::choose_look() {
  GDALDataset& d = *base_;
  const int n = d.GetRasterCount();
  bytes_ = d.GetRasterBand(1)->GetRasterDataType() == GDT_Byte;
  for (int i = 2; i <= std::min(n, 4); ++i)  // only what says so is transparency: NAIP's fourth
    if (is_alpha(d, i)) alpha_band_ = i;     // band is near infrared
  const GDALColorTable* table = d.GetRasterBand(1)->GetColorTable();
  if (table && bytes_ && (n == 1 || alpha_band_ == 2)) {
    look_ = Look::palette;
    bands_ = {1};
    palette_.assign(256, 0);
    for (int i = 0; i < std::min(table->GetColorEntryCount(), 256); ++i) {
      const GDALColorEntry* e = table->GetColorEntry(i);
      palette_[static_cast<size_t>(i)] =
          premultiplied(static_cast<unsigned>(e->c4) & 255, static_cast<unsigned>(e->c1) & 255,
                        static_cast<unsigned>(e->c2) & 255, static_cast<unsigned>(e->c3) & 255);
    }
  } else if (n - (alpha_band_ > 0 ? 1 : 0) >= 3) {
    look_ = Look::colour;
    const int r = band_of(d, GCI_RedBand), g = band_of(d, GCI_GreenBand),
              b = band_of(d, GCI_BlueBand);
    bands_ = r > 0 && g > 0 && b > 0 ? std::vector<int>{r, g, b} : std::vector<int>{1, 2, 3};
  } else {
    look_ = Look::grey;
    bands_ = {1};
  }
}

Status LayerReader::find_levels() {
  GDALRasterBand& band = *base_->GetRasterBand(1);
  const double w = base_->GetRasterXSize(), h = base_->GetRasterYSize();
  const double cell = std::sqrt(place_.cell_x_m * place_.cell_y_m);
  levels_.push_back({cell, w * h, -1, nullptr});
  const int count = std::min(band.GetOverviewCount(), 30);
  for (int i = 0; i < count; ++i) {
    GDALRasterBand* overview = band.GetOverview(i);
    if (!overview || overview->GetXSize() < 1 || overview->GetYSize() < 1) continue;
    levels_.push_back({cell * w / overview->GetXSize(),
                       static_cast<double>(overview->GetXSize()) * overview->GetYSize(), i,
                       nullptr});
  }
  std::sort(levels_.begin(), levels_.end(),
            [](const Level& a, const Level& b) { return a.cell_m < b.cell_m; });
  return ok();
}

void LayerReader::find_range() {
  GDALDataset& d = *base_;
  const int w = std::min(d.GetRasterXSize(), kRangeSamplePx),
            h = std::min(d.GetRasterYSize(), kRangeSamplePx);
  std::vector<float> sample(static_cast<size_t>(w) * static_cast<size_t>(h));
  for (const int b : bands_) {
    GDALRasterBand& band = *d.GetRasterBand(b);
    int has = FALSE;
    const double nodata = band.GetNoDataValue(&has);
    double lo = std::numeric_limits<double>::infinity(), hi = -lo;
    if (band.RasterIO(GF_Read, 0, 0, d.GetRasterXSize(), d.GetRasterYSize(), sample.data(), w, h,
                      GDT_Float32, 0, 0, nullptr) == CE_None) {
      for (const float v : sample) {
        if (!std::isfinite(v) || (has && v == static_cast<float>(nodata)) || std::abs(v) > 1e30F)
          continue;
        lo = std::min(lo, double{v}), hi = std::max(hi, double{v});
      }
    }
    range_.emplace_back(lo <= hi ? lo : 0, hi > lo ? hi : lo <= hi ? lo + 1 : 1);
  }
}

/// A small sampled copy that stands in for an overview which a gigantic file lacks.
Status LayerReader::make_thumbnail() {
  GDALDataset& d = *base_;
  const int w = std::min(d.GetRasterXSize(), kThumbnailPx),
            h = std::min(d.GetRasterYSize(), kThumbnailPx);
  const GDALDataType type = d.GetRasterBand(1)->GetRasterDataType();
  const int n = d.GetRasterCount();
  GDALDriver* memory = GetGDALDriverManager()->GetDriverByName("MEM");
  DatasetPtr copy(memory->Create("", w, h, n, type, nullptr));
  if (!copy) return fail(ErrorCode::internal, "no memory for a picture");
  std::vector<double> row(static_cast<size_t>(w) * static_cast<size_t>(h));
  for (int b = 1; b <= n; ++b) {
    GDALRasterBand &from = *d.GetRasterBand(b), &to = *copy->GetRasterBand(b);
    int has = FALSE;
    const double nodata = from.GetNoDataValue(&has);
    if (has) to.SetNoDataValue(nodata);
    to.SetColorInterpretation(from.GetColorInterpretation());
    if (from.RasterIO(GF_Read, 0, 0, d.GetRasterXSize(), d.GetRasterYSize(), row.data(), w, h,
                      GDT_Float64, 0, 0, nullptr) != CE_None ||
        to.RasterIO(GF_Write, 0, 0, w, h, row.data(), w, h, GDT_Float64, 0, 0, nullptr) !=
            CE_None) {
      return fail(ErrorCode::parse, shown(path_) + ": its pixels cannot be read");
    }
  }
  std::array<double, 6> g{};
  d.GetGeoTransform(g.data());
  const double sx = static_cast<double>(d.GetRasterXSize()) / w,
               sy = static_cast<double>(d.GetRasterYSize()) / h;
  std::array<double, 6> scaled = {g[0], g[1] * sx, g[2] * sy, g[3], g[4] * sx, g[5] * sy};
  copy->SetGeoTransform(scaled.data());
  copy->SetSpatialRef(d.GetSpatialRef());
  thumbnail_ = std::move(copy);
  return ok();
}

/// The coarsest level that is at least as fine as the picture; `share` is how much of the layer
/// the picture shows.
Result<GDALDataset*> LayerReader::source_for(double pixel_m, double share, double& cell_m) {
  size_t best = 0;
  for (size_t i = 1; i < levels_.size(); ++i)
    if (levels_[i].cell_m <= pixel_m * 1.05) best = i;
  Level& level = levels_[best];
  cell_m = level.cell_m;
  if (level.pixels * share > kMaxSourcePixels) {
    if (!thumbnail_)
      if (Status made = make_thumbnail(); !made) return std::move(made.error());
    cell_m = pixel_m;
    return thumbnail_.get();
  }
  if (level.overview < 0) return base_.get();
  if (!level.dataset) {
    auto opened = open_raster(path_, level.overview);
    if (!opened) return std::move(opened.error());
    level.dataset = std::move(*opened);
  }
  return level.dataset.get();
}

Picture LayerReader::colours(GDALDataset& warped, int w, int h) const {
  Picture out{w, h, {}};
  out.argb.resize(static_cast<size_t>(w) * static_cast<size_t>(h));
  const int n = static_cast<int>(bands_.size());
  const auto alpha = read_band<std::uint8_t>(warped, n + 1, w, h, GDT_Byte);
  std::vector<std::vector<std::uint8_t>> planes;
  for (int b = 0; b < n; ++b) {
    if (bytes_) {
      planes.push_back(read_band<std::uint8_t>(warped, b + 1, w, h, GDT_Byte));
      continue;
    }
    const auto values = read_band<float>(warped, b + 1, w, h, GDT_Float32);
    const auto [lo, hi] = range_[static_cast<size_t>(b)];
    auto& plane = planes.emplace_back(values.size());
    for (size_t i = 0; i < values.size(); ++i) {
      const double t = (double{values[i]} - lo) / (hi - lo) * 255.0;
      plane[i] = static_cast<std::uint8_t>(t > 0 ? std::min(t, 255.0) : 0.0);
    }
  }
  for (size_t i = 0; i < out.argb.size(); ++i) {
    if (alpha[i] == 0) continue;
    const unsigned a = alpha[i], r = planes[0][i];
    if (look_ == Look::palette) {
      out.argb[i] = palette_[r];
    } else if (look_ == Look::grey) {
      out.argb[i] = premultiplied(a, r, r, r);
    } else {
      out.argb[i] = premultiplied(a, r, planes[1][i], planes[2][i]);
    }
  }
  return out;
}

Result<Picture> LayerReader::render(const Box& box, int width_px, int height_px,
                                    std::stop_token stop) {
  GdalMessages messages;
  if (width_px < 1 || height_px < 1 || !box.overlaps(place_.box)) return Picture{};
  const double pixel_m = std::sqrt(box.width_m() / width_px * box.height_m() / height_px);
  const Box& all = place_.box;
  const double seen_w = std::min(box.max_x, all.max_x) - std::max(box.min_x, all.min_x);
  const double seen_h = std::min(box.max_y, all.max_y) - std::max(box.min_y, all.min_y);
  const double share = all.width_m() > 0 && all.height_m() > 0
                           ? seen_w * seen_h / (all.width_m() * all.height_m())
                           : 1.0;
  double cell_m = 0;
  auto source = source_for(pixel_m, share, cell_m);
  if (!source) return std::move(source.error());
  WarpRequest request;
  request.bands = bands_;
  request.alpha_band = alpha_band_;
  request.crs_wkt = crs_wkt_;
  request.box = box;
  request.width_px = width_px;
  request.height_px = height_px;
  request.as_bytes = bytes_;
  request.resampling = look_ == Look::palette || pixel_m < 0.999 * cell_m ? Resampling::nearest
                       : pixel_m > 1.5 * cell_m                           ? Resampling::average
                                                                          : Resampling::bilinear;
  auto warped = warp_to_memory(**source, request, stop);
  if (!warped) {
    if (warped.error().code == ErrorCode::cancelled) return std::move(warped.error());
    return std::move(warped.error()).in(shown(path_));
  }
  Picture picture = colours(**warped, width_px, height_px);
  const bool nothing =
      std::all_of(picture.argb.begin(), picture.argb.end(), [](std::uint32_t v) { return v == 0; });
  return nothing ? Picture{} : std::move(picture);
}

}  // namespace leeward::io
