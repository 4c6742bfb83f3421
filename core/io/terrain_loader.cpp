// Ground and canopy on one grid. The grid is the first elevation raster's own where that is square,
// north up and in the property's CRS, so that its cells come through unchanged; else it covers the
// area with cells of the same ground size.
#include "core/io/gdal_gate.h"
#include "core/io/gdal_open.h"
#include "core/io/raster_files.h"
#include "core/io/store_paths.h"
#include "core/io/warp.h"

#include <gdal_priv.h>
#include <ogr_spatialref.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>

namespace leeward::io {
namespace {

constexpr double kFinestCell_m = 0.5;
constexpr int kMostCells = 4000;
constexpr float kHighest_m = 12000;  // beyond any land or sea floor
constexpr double kMaxSourcePixels = 4.0e8;
constexpr float kLowestCanopy_m = -3;    // noise of two surveys; below it the cell is unknown
constexpr float kHighestCanopy_m = 100;  // no tree is taller by much

struct Source {
  Ref<RasterLayer> layer;
  std::filesystem::path path;
  DatasetPtr dataset;
  Placement place;
  double cell_m = 0;
};

std::string metres(double v) {
  char text[40];
  std::snprintf(text, sizeof text, "%.0f m", v);
  return text;
}

class Loader {
 public:
  Loader(const Document& document, const std::filesystem::path& property_file,
         const std::string& crs_wkt, std::stop_token stop, const LoadProgress& progress)
      : document_(document),
        property_file_(property_file),
        crs_wkt_(crs_wkt),
        stop_(std::move(stop)),
        progress_(progress) {}

  Result<Terrain> load(double margin_m) {
    const std::vector<Source> grounds = open_all(RasterRole::elevation);
    if (grounds.empty()) {
      note("The property has no elevation that can be used, so the ground is taken as flat.");
      return std::move(out_);
    }
    const GridSpec spec = grid(grounds, margin_m);
    if (spec.empty()) {
      note("The elevation does not reach the property, so the ground is taken as flat.");
      return std::move(out_);
    }
    auto ground = read_all(grounds, spec, 0.0, "Reading elevation");
    if (!ground) return std::move(ground.error());
    if (!any_known(*ground)) {
      note(shown(grounds.front().path) +
           " holds no heights over the property, so the ground is taken as flat.");
      return std::move(out_);
    }
    out_.ground = std::move(*ground);
    const std::vector<Source> surfaces = open_all(RasterRole::surface);
    if (surfaces.empty()) return std::move(out_);
    compare_vertical(grounds.front(), surfaces.front());
    auto surface = read_all(surfaces, spec, 0.5, "Reading the surface");
    if (!surface) return std::move(surface.error());
    make_canopy(std::move(*surface), surfaces.front());
    return std::move(out_);
  }

 private:
  void note(std::string sentence) { out_.notes.push_back(std::move(sentence)); }

  std::vector<Source> open_all(RasterRole role) {
    Rows<RasterLayer> layers;
    for (const auto& r : *document_.rasters)
      if (r->role == role) layers.push_back(r);
    std::stable_sort(layers.begin(), layers.end(),
                     [](const auto& a, const auto& b) { return a->order < b->order; });
    std::vector<Source> out;
    for (const auto& layer : layers) {
      Source s{layer, raster_file(*layer, property_file_), nullptr, {}, 0};
      auto dataset = open_raster(s.path);
      if (!dataset) {
        note(dataset.error().message + ".");
        continue;
      }
      const char* missing = !has_geotransform(**dataset) ? "does not say where it lies"
                            : !has_crs(**dataset)        ? "names no coordinate system"
                                                         : nullptr;
      if (missing) {
        note(shown(s.path) + " " + missing + " and is left out; georeference it in a GIS first.");
        continue;
      }
      const auto place = placement_of(**dataset, crs_wkt_);
      if (!place) {
        note(shown(s.path) +
             " cannot be brought into the property's coordinate system and is left out; "
             "cut it to the property's surroundings first.");
        continue;
      }
      s.dataset = std::move(*dataset);
      s.place = *place;
      s.cell_m = std::sqrt(place->cell_x_m * place->cell_y_m);
      out.push_back(std::move(s));
    }
    return out;
  }

  GridSpec grid(const std::vector<Source>& grounds, double margin_m) const {
    Box area;
    for (const Source& s : grounds) area.add(s.place.box);
    const Box property = document_.extent();
    if (!property.empty()) {
      const Box wanted = property.grown(margin_m);
      if (!wanted.overlaps(area)) return {};
      area = {std::max(area.min_x, wanted.min_x), std::max(area.min_y, wanted.min_y),
              std::min(area.max_x, wanted.max_x), std::min(area.max_y, wanted.max_y)};
    }
    const Source& first = grounds.front();
    const double most_m = std::max(area.width_m(), area.height_m());
    const double cell = std::max({first.cell_m, kFinestCell_m, most_m / (kMostCells - 1)});
    const bool square = std::abs(first.place.cell_x_m - first.place.cell_y_m) < 1e-9;
    if (!first.place.aligned || !square || cell > first.cell_m * (1 + 1e-12))
      return GridSpec::covering(area, cell);
    std::array<double, 6> g{};
    first.dataset->GetGeoTransform(g.data());
    GridSpec out;
    out.cell_m = g[1];
    out.west = g[0] + std::floor((area.min_x - g[0]) / g[1] + 1e-6) * g[1];
    out.north = g[3] - std::floor((g[3] - area.max_y) / g[1] + 1e-6) * g[1];
    out.cols = static_cast<int>(std::ceil((area.max_x - out.west) / g[1] - 1e-6));
    out.rows = static_cast<int>(std::ceil((out.north - area.min_y) / g[1] - 1e-6));
    return out;
  }

  /// The finest level that is needed, and its cell.
  Result<DatasetPtr> overview_for(const Source& s, double target_m, double& cell_m) const {
    cell_m = s.cell_m;
    GDALRasterBand& band = *s.dataset->GetRasterBand(1);
    int best = -1;
    for (int i = 0; i < std::min(band.GetOverviewCount(), 30); ++i) {
      GDALRasterBand* o = band.GetOverview(i);
      if (!o || o->GetXSize() < 1) continue;
      const double cell = s.cell_m * band.GetXSize() / o->GetXSize();
      if (cell <= target_m * 1.05 && cell > cell_m) best = i, cell_m = cell;
    }
    if (best < 0) return DatasetPtr{};
    return open_raster(s.path, best);
  }

  /// False if the file is not read (a note says why).
  Result<bool> read(const Source& s, Raster<float>& into,
                    const std::function<void(double)>& report) {
    const GridSpec& spec = into.spec;
    double cell_m = 0;
    auto overview = overview_for(s, spec.cell_m, cell_m);
    if (!overview) return note(overview.error().message + "."), false;
    GDALDataset& source = *overview ? **overview : *s.dataset;
    const Box part = s.place.box, all = spec.box();
    const double seen_w = std::min(part.max_x, all.max_x) - std::max(part.min_x, all.min_x);
    const double seen_h = std::min(part.max_y, all.max_y) - std::max(part.min_y, all.min_y);
    if (seen_w <= 0 || seen_h <= 0) return false;
    const double pixels = seen_w * seen_h / (cell_m * cell_m);
    if (pixels > kMaxSourcePixels) {
      note(shown(s.path) +
           " is too large to read as elevation; cut it to the property's surroundings first.");
      return false;
    }
    WarpRequest request;
    request.bands = {1};
    request.crs_wkt = crs_wkt_;
    request.box = all;
    request.width_px = spec.cols;
    request.height_px = spec.rows;
    request.as_bytes = request.with_alpha = false;
    request.resampling = keeps_cells(s, spec, cell_m) ? Resampling::nearest
                         : spec.cell_m > 1.5 * cell_m ? Resampling::average
                                                      : Resampling::bilinear;
    auto warped = warp_to_memory(source, request, stop_, report);
    if (!warped) {
      if (warped.error().code == ErrorCode::cancelled) return std::move(warped.error());
      return note(shown(s.path) + ": " + warped.error().message + "."), false;
    }
    return merge(s, **warped, into);
  }

  /// True when every cell of the grid is a cell of the file.
  static bool keeps_cells(const Source& s, const GridSpec& spec, double cell_m) {
    std::array<double, 6> g{};
    s.dataset->GetGeoTransform(g.data());
    const double dx = (spec.west - g[0]) / spec.cell_m, dy = (g[3] - spec.north) / spec.cell_m;
    return s.place.aligned && std::abs(cell_m / spec.cell_m - 1) < 1e-9 &&
           std::abs(s.place.cell_x_m - s.place.cell_y_m) < 1e-9 &&
           std::abs(dx - std::round(dx)) < 1e-3 && std::abs(dy - std::round(dy)) < 1e-3;
  }

  Result<bool> merge(const Source& s, GDALDataset& warped, Raster<float>& into) {
    std::vector<float> row(static_cast<size_t>(into.spec.cols));
    const auto scale = static_cast<float>(s.layer->metres_per_unit);
    size_t absurd = 0;
    for (int r = 0; r < into.spec.rows; ++r) {
      if (warped.GetRasterBand(1)->RasterIO(GF_Read, 0, r, into.spec.cols, 1, row.data(),
                                            into.spec.cols, 1, GDT_Float32, 0, 0,
                                            nullptr) != CE_None) {
        return note(shown(s.path) + ": its heights cannot be read."), false;
      }
      float* out = into.row(r);
      for (int c = 0; c < into.spec.cols; ++c) {
        float z = row[static_cast<size_t>(c)] * scale;
        if (std::abs(z) > kHighest_m) z = kUnknown, ++absurd;
        if (std::isnan(out[c])) out[c] = z;
      }
    }
    if (absurd > 0) {
      note(shown(s.path) + ": " + std::to_string(absurd) +
           " cells hold values that are no heights; they are taken as unknown.");
    }
    return true;
  }

  Result<Raster<float>> read_all(const std::vector<Source>& sources, const GridSpec& spec,
                                 double from_share, const char* what) {
    Raster<float> out(spec, kUnknown);
    for (size_t i = 0; i < sources.size(); ++i) {
      const auto report = [&](double share) {
        const double n = static_cast<double>(sources.size());
        if (progress_) progress_(from_share + 0.5 * (static_cast<double>(i) + share) / n, what);
      };
      auto done = read(sources[i], out, report);
      if (!done) return std::move(done.error());
    }
    return out;
  }

  static bool any_known(const Raster<float>& r) {
    return std::any_of(r.cells.begin(), r.cells.end(), [](float z) { return !std::isnan(z); });
  }

  /// Heights are never transformed here, so two vertical references are worth a warning.
  void compare_vertical(const Source& ground, const Source& surface) {
    const auto name = [](const Source& s) -> std::string {
      const OGRSpatialReference* srs = s.dataset->GetSpatialRef();
      const char* v = srs && srs->IsVertical() ? srs->GetAttrValue("VERT_CS") : nullptr;
      return v ? v : "";
    };
    const std::string a = name(ground), b = name(surface);
    if (!a.empty() && !b.empty() && a != b) {
      note("The elevation's heights are " + a + " and the surface's " + b +
           "; they are used as they are, so canopy heights may be off.");
    }
  }

  void make_canopy(Raster<float> surface, const Source& source) {
    std::vector<float> known;
    for (size_t i = 0; i < surface.cells.size(); ++i) {
      surface.cells[i] -= out_.ground.cells[i];
      if (!std::isnan(surface.cells[i])) known.push_back(surface.cells[i]);
    }
    if (known.empty()) {
      note(shown(source.path) +
           " holds no surface over the elevation, so canopy heights are unknown.");
      return;
    }
    const auto middle = known.begin() + static_cast<std::ptrdiff_t>(known.size() / 2);
    std::nth_element(known.begin(), middle, known.end());
    const float median = *middle;
    if (median < kLowestCanopy_m || median > kHighestCanopy_m) {
      note(shown(source.path) + ": the surface lies " + metres(std::abs(double{median})) +
           (median < 0 ? " below" : " above") +
           " the ground: it is not a surface over this elevation and is left out.");
      return;
    }
    size_t odd = 0;
    for (float& h : surface.cells) {
      if (h < kLowestCanopy_m || h > kHighestCanopy_m) {
        h = kUnknown, ++odd;
      } else if (h < 0) {
        h = 0;
      }
    }
    if (odd > 0) {
      note(shown(source.path) + ": " + std::to_string(odd) +
           " cells lie more than 3 m below or 100 m above the ground; their canopy is unknown.");
    }
    out_.canopy_m = std::move(surface);
  }

  const Document& document_;
  const std::filesystem::path& property_file_;
  const std::string& crs_wkt_;
  std::stop_token stop_;
  const LoadProgress& progress_;
  Terrain out_;
};

}  // namespace

Result<Ref<Terrain>> load_terrain(const Document& document,
                                  const std::filesystem::path& property_file, double margin_m,
                                  std::stop_token stop, const LoadProgress& progress) {
  enter_gdal();
  GdalMessages messages;
  auto frame = Frame::make(document.settings->crs);
  if (!frame) {
    Terrain flat;
    flat.notes.push_back("The ground is taken as flat: " + frame.error().message + ".");
    return make_ref<Terrain>(std::move(flat));
  }
  Loader loader(document, property_file, frame->wkt(), std::move(stop), progress);
  auto terrain = loader.load(margin_m);
  if (!terrain) return std::move(terrain.error());
  if (terrain->ground.empty() && document.extent().empty()) {
    for (const auto& layer : *document.rasters) {
      const auto facts =
          inspect_raster(property_file.parent_path() / layer->path, document.settings->crs);
      if (facts && facts->georeferenced) terrain->rasters.add(facts->box);
    }
  }
  if (progress) progress(1.0, "Terrain is ready");
  return make_ref<Terrain>(std::move(*terrain));
}

}  // namespace leeward::io
