#include "core/io/vector_files.h"

#include "core/io/gdal_gate.h"
#include "core/io/gdal_open.h"
#include "core/io/ogr_shapes.h"
#include "core/model/edit.h"

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

const char* noun(ShapeType type) {
  return type == ShapeType::point ? "a point" : type == ShapeType::line ? "a line" : "an area";
}

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

class Importer {
 public:
  Importer(Kind kind, const Frame& frame, std::string file)
      : kind_(kind), frame_(frame), file_(std::move(file)) {}

  Status read(GDALDataset& dataset) {
    for (int i = 0; i < std::min(dataset.GetLayerCount(), 1000); ++i) {
      OGRLayer& layer = *dataset.GetLayer(i);
      if (repeats_vertices(dataset, layer)) continue;
      if (Status done = read_layer(layer); !done) return done;
    }
    return ok();
  }

  VectorImport take() {
    const auto say = [&](size_t n, const char* one, const char* many, const std::string& rest) {
      if (n > 0) out_.notes.push_back(counted(n, one, many) + rest);
    };
    say(wrong_shape_, "feature", "features",
        std::string(" left out: ") + info(kind_).noun + " cannot be " + wrong_noun_ + ".");
    say(too_many_, "feature", "features", " left out: more than 200000 vertices.");
    say(nowhere_, "feature", "features", " left out: the place lies outside the property's grid.");
    say(no_shape_, "feature", "features", " left out: no shape.");
    if (more_notes_ > 0) out_.notes.push_back(std::to_string(more_notes_) + " more were changed.");
    return std::move(out_);
  }

 private:
  void note(std::string sentence) {
    if (out_.notes.size() < 20) {
      out_.notes.push_back(std::move(sentence));
    } else {
      ++more_notes_;
    }
  }

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

  Status read_layer(OGRLayer& layer) {
    if (layer.GetGeomType() == wkbNone) return ok();
    GdalMessages messages;
    layer.ResetReading();
    auto transform = transform_for(layer);
    if (!transform) return std::move(transform.error());
    const int name_field = name_field_of(*layer.GetLayerDefn());
    layer.ResetReading();
    for (RowPtr row(layer.GetNextFeature()); row; row.reset(layer.GetNextFeature())) {
      if (++seen_ > kMaxFeatures || vertices_ > kMaxAllVertices || out_of_time()) {
        note(
            "The file holds more than can be taken; the rest is left out. Cut it to the property.");
        return ok();
      }
      read_feature(*row, transform->get(), name_field);
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

  void read_feature(OGRFeature& row, OGRCoordinateTransformation* transform, int name_field) {
    const OGRGeometry* geometry = row.GetGeometryRef();
    if (!geometry || geometry->IsEmpty()) return ++no_shape_, void(++out_.left_out);
    ReadShapes read = from_ogr(*geometry, kMaxVertices);
    vertices_ += std::min(read.vertices, kMaxVertices);
    if (read.too_many) return ++too_many_, void(++out_.left_out);
    if (read.shapes.empty()) return ++no_shape_, void(++out_.left_out);
    std::string name;
    if (name_field >= 0 && row.IsFieldSetAndNotNull(name_field))
      name = std::string(row.GetFieldAsString(name_field)).substr(0, 200);
    const std::string which =
        name.empty() ? "Feature " + std::to_string(row.GetFID()) : "'" + name + "'";
    for (Shape& shape : read.shapes) {
      if (!moved_to_frame(shape, transform)) {
        ++nowhere_, ++out_.left_out;
        continue;
      }
      take_shape(std::move(shape), name, which);
    }
    if (read.shapes.size() > 1)
      note(which + " was split into " + std::to_string(read.shapes.size()) + " parts.");
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

  /// A closed track may stand for an area, and an area's outline for a line: a GPS or a GIS rarely
  /// knows which was meant.
  bool fit_to_kind(Shape& shape, const std::string& which) {
    if (allows(kind_, shape.type)) return true;
    if (shape.type == ShapeType::line && allows(kind_, ShapeType::area) &&
        shape.path().size() > 3 && shape.path().front() == shape.path().back()) {
      shape.type = ShapeType::area;
      shape.parts[0].pop_back();
      note(which + " is a closed line and was taken as an area.");
      ++out_.changed;
      return true;
    }
    return false;
  }

  void take_shape(Shape shape, const std::string& name, const std::string& which) {
    if (!fit_to_kind(shape, which)) {
      wrong_noun_ = noun(shape.type);
      return ++wrong_shape_, void(++out_.left_out);
    }
    auto mended = repaired(shape);
    if (!mended || mended->pieces.empty()) {
      note(which + " was left out: " + (mended ? shape_problem(shape) : mended.error().message) +
           ".");
      return void(++out_.left_out);
    }
    if (!mended->note.empty()) {
      note(which + ": " + mended->note + ".");
      ++out_.changed;
    }
    for (Shape& piece : mended->pieces) {
      Feature f = make_feature(kind_, std::move(piece), name);
      if (!feature_problem(f).empty()) {
        ++out_.left_out;
        note(which + " was left out: " + feature_problem(f) + ".");
        continue;
      }
      out_.features.push_back(std::move(f));
      ++out_.taken;
    }
  }

  Kind kind_;
  const Frame& frame_;
  std::string file_;
  VectorImport out_;
  int seen_ = 0;
  size_t vertices_ = 0;
  size_t wrong_shape_ = 0, too_many_ = 0, nowhere_ = 0, no_shape_ = 0, more_notes_ = 0;
  const char* wrong_noun_ = "";
  std::chrono::steady_clock::time_point began_ = std::chrono::steady_clock::now();
};

}  // namespace

Result<VectorImport> read_vector(const fs::path& path, Kind kind, const Frame& frame) {
  auto dataset = open_bounded(path);
  if (!dataset) return std::move(dataset.error());
  GdalMessages messages;
  Importer importer(kind, frame, shown(path));
  if (Status done = importer.read(**dataset); !done) return std::move(done.error());
  return importer.take();
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
