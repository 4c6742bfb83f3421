// Features from GPX, KML/KMZ, GeoJSON, Shapefile, GeoPackage and tables of points.
#pragma once

#include "core/base/result.h"
#include "core/io/vector_rows.h"
#include "core/model/document.h"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace leeward::io {

struct VectorImport {
  std::vector<Feature> features;  ///< Valid, in the property's frame, multi-parts split.
  int taken = 0, changed = 0, left_out = 0;
  std::vector<std::string> notes;  ///< What was changed or left out, and why.
};

/// Rows of one shape that share a layer, or the value of a field.
struct ImportGroup {
  std::string label;  ///< The layer's name, or the value; empty: without one.
  ShapeType type = ShapeType::point;
  size_t count = 0;
  std::optional<Kind> kind = {};  ///< What it becomes; empty: left out.
};
/// The groups by layer (`field` < 0) or by the values of a field, with a guess of what each is from
/// its words. At most `most` groups; further ones share the last.
std::vector<ImportGroup> groups_of(const VectorRows& rows, int field, size_t most = 60);
/// The kind that the words speak of and that may have the shape, or nothing.
std::optional<Kind> guessed_kind(const std::string& words, ShapeType type);

/// Rows as features of their group's kind; shapes that it cannot be are left out with a note.
VectorImport take_rows(const VectorRows& rows, int field, const std::vector<ImportGroup>& groups);

/// Reads every layer as features of `kind`. ERRORS: io, parse, unsupported.
Result<VectorImport> read_vector(const std::filesystem::path& path, Kind kind, const Frame& frame);

/// Number of features and their shapes, for a preview ("12 lines in 2 layers").
Result<std::string> inspect_vector(const std::filesystem::path& path);

}  // namespace leeward::io
