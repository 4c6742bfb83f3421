// What stands in a vector file, before it is decided what it means: shapes in the property's frame,
// with their layer, name and attribute values.
#pragma once

#include "core/base/result.h"
#include "core/geo/frame.h"
#include "core/geo/shape.h"

#include <filesystem>
#include <functional>
#include <stop_token>
#include <string>
#include <vector>

namespace leeward::io {

struct VectorRow {
  std::string layer;
  std::string name;                 ///< From a name-like field, or empty.
  std::string which;                ///< "'North ladder'" or "Feature 7", for sentences.
  std::vector<std::string> values;  ///< By VectorRows::fields; a row may have fewer.
  Shape shape;                      ///< One part; not yet validated.
};
struct VectorRows {
  std::vector<std::string> fields;  ///< Columns of text and whole numbers, of all layers.
  std::vector<VectorRow> rows;
  int left_out = 0;
  std::vector<std::string> notes;
};

/// GPX, KML/KMZ, GeoJSON, Shapefile, GeoPackage. `progress` gets the share done where the file says
/// how much it holds. ERRORS: io, parse, unsupported, cancelled.
Result<VectorRows> read_vector_rows(const std::filesystem::path& path, const Frame& frame,
                                    std::stop_token stop = {},
                                    const std::function<void(double)>& progress = {});

/// A table of points: its columns, and the two that look like coordinates (-1: none does).
struct CsvColumns {
  std::vector<std::string> names;
  int x = -1, y = -1;
};
/// ERRORS: io, parse.
Result<CsvColumns> inspect_csv(const std::filesystem::path& path);
/// One point a line, from the columns `x` and `y`: degrees of WGS 84 when all fit, else metres of
/// the property's own grid. ERRORS: io, parse; the message names the line.
Result<VectorRows> read_csv_rows(const std::filesystem::path& path, const CsvColumns& columns,
                                 const Frame& frame);

}  // namespace leeward::io
