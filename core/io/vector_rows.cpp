#include "core/io/vector_rows.h"

#include "core/io/forecast_parse.h"
#include "core/io/gdal_gate.h"
#include "core/io/gdal_open.h"
#include "core/io/ogr_shapes.h"

#include <cpl_string.h>
#include <gdal_priv.h>
#include <ogr_spatialref.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <memory>
#include <system_error>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;

constexpr size_t kMaxVertices = 200'000;  // of one feature
constexpr size_t kMaxAllVertices = 2'000'000;
constexpr int kMaxFeatures = 20'000;
constexpr std::uintmax_t kMaxBytes = 512U * 1024 * 1024;
constexpr double kNear_m = 500'000;  // of the property's own place, for files without a CRS
constexpr auto kLongest = std::chrono::milliseconds(4500);

constexpr int kMaxFields = 24;
constexpr size_t kMaxValue = 60;

struct FeatureDeleter {
  void operator()(OGRFeature* f) const { OGRFeature::DestroyFeature(f); }
};
using RowPtr = std::unique_ptr<OGRFeature, FeatureDeleter>;
struct CoordinateDeleter {
  void operator()(OGRCoordinateTransformation* t) const {
    OGRCoordinateTransformation::DestroyCT(t);
  }
};
using TransformPtr = std::unique_ptr<OGRCoordinateTransformation, CoordinateDeleter>;

std::string counted(size_t n, const char* one, const char* many) {
  return std::to_string(n) + " " + (n == 1 ? one : many);
}

/// GPX repeats the vertices of its tracks and routes as layers of points.
bool repeats_vertices(GDALDataset& dataset, OGRLayer& layer) {
  return EQUAL(dataset.GetDriverName(), "GPX") &&
         (EQUAL(layer.GetName(), "track_points") || EQUAL(layer.GetName(), "route_points"));
}

Result<DatasetPtr> open_bounded(const fs::path& path) {
  std::error_code ec;
  if (fs::is_regular_file(path, ec) && fs::file_size(path, ec) > kMaxBytes) {
    return fail(ErrorCode::unsupported,
                shown(path) + ": it is larger than 512 MB; cut it to the property first");
  }
  auto dataset = open_vector(path);
  if (!dataset) return dataset;
  if ((*dataset)->GetLayerCount() == 0)
    return fail(ErrorCode::parse,
                shown(path) + ": it holds no layer of features; choose another file");
  if (EQUAL((*dataset)->GetDriverName(), "GPKG")) {
    GdalMessages messages;  // a virtual table could name another file
    OGRLayer* odd = (*dataset)->ExecuteSQL(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND sql LIKE 'create virtual%' AND "
        "sql NOT LIKE '%using%rtree%'",
        nullptr, nullptr);
    const bool has_virtual = odd && RowPtr(odd->GetNextFeature()) != nullptr;
    if (odd) (*dataset)->ReleaseResultSet(odd);
    if (has_virtual) {
      return fail(ErrorCode::unsupported,
                  shown(path) +
                      ": it holds virtual tables, which are not opened; export its layers "
                      "to a new file");
    }
  }
  return dataset;
}

class Reader {
 public:
  Reader(const Frame& frame, std::string file, std::stop_token stop,
         const std::function<void(double)>& progress)
      : frame_(frame), file_(std::move(file)), stop_(std::move(stop)), progress_(progress) {}

  Status read(GDALDataset& dataset) {
    for (int i = 0; i < std::min(dataset.GetLayerCount(), 1000) && expected_ >= 0; ++i) {
      const GIntBig here = dataset.GetLayer(i)->GetFeatureCount(FALSE);
      expected_ = here < 0 ? -1 : expected_ + here;
    }
    for (int i = 0; i < std::min(dataset.GetLayerCount(), 1000); ++i) {
      OGRLayer& layer = *dataset.GetLayer(i);
      if (repeats_vertices(dataset, layer)) continue;
      if (Status done = read_layer(layer); !done) return done;
    }
    return ok();
  }

  VectorRows take() {
    const auto say = [&](size_t n, const std::string& rest) {
      if (n > 0) out_.notes.push_back(counted(n, "feature", "features") + " left out: " + rest);
    };
    say(too_many_, "more than 200000 vertices.");
    say(nowhere_, "the place lies outside the property's grid.");
    say(no_shape_, "no shape.");
    std::vector<std::string> notes = notes_.take();
    out_.notes.insert(out_.notes.begin(), notes.begin(), notes.end());
    return std::move(out_);
  }

 private:
  void note(std::string sentence) { notes_.add(std::move(sentence)); }

  /// From the layer's CRS to the frame; null when the numbers are taken as they are.
  Result<TransformPtr> transform_for(OGRLayer& layer) {
    auto to = make_srs(frame_.wkt());
    if (!to) return std::move(to.error());
    const OGRSpatialReference* srs = layer.GetSpatialRef();
    const bool missing = !srs || srs->IsEmpty();
    if (missing && near_the_property(layer)) {
      note("Layer " + std::string(layer.GetName()) +
           " names no coordinate system; its numbers fit the property's own and were taken so.");
      return TransformPtr{};
    }
    if (missing) {
      return fail(
          ErrorCode::unsupported,
          file_ + ": layer " + layer.GetName() +
              " names no coordinate system; put its .prj file beside it or save it with one");
    }
    const std::unique_ptr<OGRSpatialReference> from(srs->Clone());
    from->SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    if (from->IsSame(to->get())) return TransformPtr{};
    TransformPtr transform(OGRCreateCoordinateTransformation(from.get(), to->get()));
    if (!transform) {
      return fail(
          ErrorCode::unsupported,
          file_ + ": layer " + layer.GetName() +
              " cannot be brought into the property's coordinate system; save it as WGS 84");
    }
    return transform;
  }

  /// Coordinates such as the property's own: metres of a projected grid, not degrees.
  bool near_the_property(OGRLayer& layer) const {
    OGREnvelope e;
    if (layer.GetExtent(&e, TRUE) != OGRERR_NONE) return false;
    const double reach =
        std::max({std::abs(e.MinX), std::abs(e.MaxX), std::abs(e.MinY), std::abs(e.MaxY)});
    if (!std::isfinite(reach) || reach < 1000) return false;
    const LonLat low = frame_.to_wgs84({e.MinX, e.MinY}), high = frame_.to_wgs84({e.MaxX, e.MaxY});
    if (!std::isfinite(low.lon + low.lat + high.lon + high.lat)) return false;
    const LocalXY back = frame_.to_local(low);
    return std::abs(e.MinX - 500'000) < kNear_m && e.MinY > -kNear_m && e.MaxY < 1.0e7 &&
           distance_m(back, {e.MinX, e.MinY}) < 1.0 && std::abs(high.lat - low.lat) < 2;
  }

  /// The columns of a layer as places among all fields; those of text and whole numbers only.
  std::vector<std::pair<int, size_t>> fields_of(OGRFeatureDefn& layer) {
    std::vector<std::pair<int, size_t>> out;
    for (int i = 0; i < layer.GetFieldCount(); ++i) {
      const OGRFieldDefn& f = *layer.GetFieldDefn(i);
      if (f.GetType() != OFTString && f.GetType() != OFTInteger) continue;
      const std::string name = f.GetNameRef();
      auto known = std::find(out_.fields.begin(), out_.fields.end(), name);
      if (known == out_.fields.end()) {
        if (out_.fields.size() >= size_t{kMaxFields}) continue;
        known = out_.fields.insert(known, name);
      }
      out.emplace_back(i, static_cast<size_t>(known - out_.fields.begin()));
    }
    return out;
  }

  Status read_layer(OGRLayer& layer) {
    if (layer.GetGeomType() == wkbNone) return ok();
    GdalMessages messages;
    layer.ResetReading();
    auto transform = transform_for(layer);
    if (!transform) return std::move(transform.error());
    const int name_field = name_field_of(*layer.GetLayerDefn());
    const auto fields = fields_of(*layer.GetLayerDefn());
    layer.ResetReading();
    for (RowPtr row(layer.GetNextFeature()); row; row.reset(layer.GetNextFeature())) {
      if (stop_.stop_requested()) return fail(ErrorCode::cancelled, "cancelled");
      if (progress_ && expected_ > 0 && seen_ % 256 == 0)
        progress_(std::min(1.0, static_cast<double>(seen_) / static_cast<double>(expected_)));
      if (++seen_ > kMaxFeatures || vertices_ > kMaxAllVertices || out_of_time()) {
        note(
            "The file holds more than can be taken; the rest is left out. Cut it to the property.");
        return ok();
      }
      VectorRow read;
      read.layer = layer.GetName();
      if (name_field >= 0 && row->IsFieldSetAndNotNull(name_field))
        read.name = std::string(row->GetFieldAsString(name_field)).substr(0, 200);
      read.values.resize(out_.fields.size());
      for (const auto& [from, to] : fields)
        if (row->IsFieldSetAndNotNull(from))
          read.values[to] = std::string(row->GetFieldAsString(from)).substr(0, kMaxValue);
      read_shapes(*row, transform->get(), std::move(read));
    }
    if (!messages.text().empty())
      note("Layer " + std::string(layer.GetName()) + " was read in part: " + messages.text() + ".");
    return ok();
  }

  bool out_of_time() const { return std::chrono::steady_clock::now() - began_ > kLongest; }

  static int name_field_of(OGRFeatureDefn& fields) {
    for (const char* name : {"name", "label", "title", "id_name", "street", "descr", "desc"}) {
      const int i = fields.GetFieldIndex(name);  // letter case does not matter
      if (i >= 0) return i;
    }
    for (int i = 0; i < fields.GetFieldCount(); ++i) {
      const OGRFieldDefn& f = *fields.GetFieldDefn(i);
      if (f.GetType() == OFTString &&
          CPLString(f.GetNameRef()).tolower().find("name") != std::string::npos)
        return i;
    }
    return -1;
  }

  void read_shapes(OGRFeature& row, OGRCoordinateTransformation* transform, VectorRow read) {
    const OGRGeometry* geometry = row.GetGeometryRef();
    if (!geometry || geometry->IsEmpty()) return ++no_shape_, void(++out_.left_out);
    ReadShapes shapes = from_ogr(*geometry, kMaxVertices);
    vertices_ += std::min(shapes.vertices, kMaxVertices);
    if (shapes.too_many) return ++too_many_, void(++out_.left_out);
    if (shapes.shapes.empty()) return ++no_shape_, void(++out_.left_out);
    read.which =
        read.name.empty() ? "Feature " + std::to_string(row.GetFID()) : "'" + read.name + "'";
    for (Shape& shape : shapes.shapes) {
      if (!moved_to_frame(shape, transform)) {
        ++nowhere_, ++out_.left_out;
        continue;
      }
      read.shape = std::move(shape);
      out_.rows.push_back(read);
    }
    if (shapes.shapes.size() > 1)
      note(read.which + " was split into " + std::to_string(shapes.shapes.size()) + " parts.");
  }

  static bool moved_to_frame(Shape& shape, OGRCoordinateTransformation* transform) {
    for (Path& part : shape.parts) {
      for (LocalXY& p : part) {
        if (!std::isfinite(p.x) || !std::isfinite(p.y)) return false;
        if (transform && !transform->Transform(1, &p.x, &p.y)) return false;
        if (!(std::abs(p.x) < 2e7) || !(std::abs(p.y) < 2e7)) return false;
      }
    }
    return true;
  }

  const Frame& frame_;
  std::string file_;
  std::stop_token stop_;
  const std::function<void(double)>& progress_;
  VectorRows out_;
  Notes notes_;
  int seen_ = 0;
  GIntBig expected_ = 0;  // features, where all layers say so at once
  size_t vertices_ = 0;
  size_t too_many_ = 0, nowhere_ = 0, no_shape_ = 0;
  std::chrono::steady_clock::time_point began_ = std::chrono::steady_clock::now();
};

}  // namespace

Result<VectorRows> read_vector_rows(const fs::path& path, const Frame& frame, std::stop_token stop,
                                    const std::function<void(double)>& progress) {
  auto dataset = open_bounded(path);
  if (!dataset) return std::move(dataset.error());
  GdalMessages messages;
  Reader reader(frame, shown(path), std::move(stop), progress);
  if (Status done = reader.read(**dataset); !done) return std::move(done.error());
  return reader.take();
}

Result<std::string> inspect_vector(const fs::path& path) {
  auto dataset = open_bounded(path);
  if (!dataset) return std::move(dataset.error());
  GdalMessages messages;
  std::array<size_t, 3> counts{};
  size_t layers = 0, seen = 0;
  const auto began = std::chrono::steady_clock::now();
  for (int i = 0; i < std::min((*dataset)->GetLayerCount(), 1000); ++i) {
    OGRLayer& layer = *(*dataset)->GetLayer(i);
    if (repeats_vertices(**dataset, layer)) continue;
    size_t here = 0;
    layer.ResetReading();
    for (RowPtr row(layer.GetNextFeature()); row && seen < size_t{kMaxFeatures};
         row.reset(layer.GetNextFeature())) {
      if (std::chrono::steady_clock::now() - began > kLongest) break;
      ++seen;
      if (!row->GetGeometryRef()) continue;
      for (const Shape& s : from_ogr(*row->GetGeometryRef(), kMaxVertices).shapes) {
        ++counts[static_cast<size_t>(s.type)];
        ++here;
      }
    }
    layers += here > 0 ? 1U : 0U;
  }
  std::string out;
  const auto say = [&](size_t n, const char* one, const char* many) {
    if (n > 0) out += (out.empty() ? "" : ", ") + counted(n, one, many);
  };
  say(counts[0], "point", "points");
  say(counts[1], "line", "lines");
  say(counts[2], "area", "areas");
  if (out.empty()) return std::string("no features");
  return out + " in " + counted(layers, "layer", "layers");
}

}  // namespace leeward::io
