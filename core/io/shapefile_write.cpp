// Shapefiles (ESRI Shapefile Technical Description, July 1998) in one zip: a layer for each kind
// and geometry, for a layer holds one geometry only.
#include "core/io/gdal_gate.h"
#include "core/io/gdal_open.h"
#include "core/io/map_export.h"
#include "core/io/ogr_shapes.h"
#include "core/io/store_paths.h"

#include <cpl_string.h>
#include <cpl_vsi.h>
#include <gdal_priv.h>
#include <ogr_spatialref.h>
#include <ogrsf_frmts.h>

#include <map>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;

struct Row {
  std::string kind, name, remarks;
  Shape shape;
};
using Layers = std::map<std::string, std::vector<Row>>;

const char* geometry_word(ShapeType type) {
  return type == ShapeType::point ? "point" : type == ShapeType::line ? "line" : "area";
}

OGRwkbGeometryType geometry_type(ShapeType type) {
  return type == ShapeType::point ? wkbPoint : type == ShapeType::line ? wkbLineString : wkbPolygon;
}

Layers layers_of(const ExportMap& map) {
  Layers out;
  const auto add = [&](Row row) {
    out[row.kind + "_" + geometry_word(row.shape.type)].push_back(std::move(row));
  };
  for (const auto& f : map.features)
    add({info(f->kind()).table, display_name(*f), f->remarks, f->shape});
  for (const GpxTrack& way : map.ways) add({"way", way.name, way.remarks, Shape::line(way.points)});
  return out;
}

bool write_layer(GDALDataset& folder, const std::string& name, const std::vector<Row>& rows,
                 OGRSpatialReference& srs) {
  CPLStringList options;
  options.SetNameValue("ENCODING", "UTF-8");
  OGRLayer* layer =
      folder.CreateLayer(name.c_str(), &srs, geometry_type(rows[0].shape.type), options.List());
  if (!layer) return false;
  for (const auto& [field, width] : {std::pair("kind", 24), {"name", 120}, {"remarks", 254}}) {
    OGRFieldDefn column(field, OFTString);
    column.SetWidth(width);
    if (layer->CreateField(&column) != OGRERR_NONE) return false;
  }
  for (const Row& r : rows) {
    OGRFeature feature(layer->GetLayerDefn());
    feature.SetField("kind", r.kind.c_str());
    feature.SetField("name", r.name.c_str());
    feature.SetField("remarks", r.remarks.c_str());
    const GeometryPtr shape = to_ogr(r.shape);
    feature.SetGeometry(shape.get());
    if (layer->CreateFeature(&feature) != OGRERR_NONE) return false;
  }
  return true;
}

/// Every file of a folder in memory, in one zip.
bool zip_folder(const std::string& folder, const fs::path& to) {
  const std::string zip = "/vsizip/" + to.string();
  VSILFILE* whole = VSIFOpenL(zip.c_str(), "wb");  // keeps the archive open between its files
  if (!whole) return false;
  bool fine = true;
  const CPLStringList names(VSIReadDir(folder.c_str()));
  for (int i = 0; i < names.Count() && fine; ++i) {
    vsi_l_offset size = 0;
    const GByte* bytes = VSIGetMemFileBuffer((folder + "/" + names[i]).c_str(), &size, false);
    if (!bytes) continue;
    VSILFILE* file = VSIFOpenL((zip + "/" + names[i]).c_str(), "wb");
    fine = file && VSIFWriteL(bytes, 1, static_cast<size_t>(size), file) == size;
    if (file) fine = VSIFCloseL(file) == 0 && fine;
  }
  return VSIFCloseL(whole) == 0 && fine;
}

}  // namespace

Status write_shapefiles(const fs::path& path, const CrsId& crs, const ExportMap& map) {
  const Layers layers = layers_of(map);
  if (layers.empty())
    return fail(ErrorCode::invalid_argument, path.string() + ": there is nothing to write");
  enter_gdal();
  GdalMessages messages;
  auto srs = make_srs(crs);
  if (!srs) return std::move(srs.error());
  const std::string folder = "/vsimem/leeward_shapes_" + Uid::random().str();
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("ESRI Shapefile");
  DatasetPtr shapes(driver->Create(folder.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
  bool fine = shapes != nullptr;
  for (const auto& [name, rows] : layers) fine = fine && write_layer(*shapes, name, rows, **srs);
  CPLErrorReset();
  shapes.reset();
  fs::path temporary = fs::absolute(temporary_beside(path));
  temporary.replace_extension(".zip");
  fine = fine && CPLGetLastErrorType() < CE_Failure && zip_folder(folder, temporary);
  VSIRmdirRecursive(folder.c_str());
  return put_in_place(fine, temporary, path, messages.text());
}

}  // namespace leeward::io
