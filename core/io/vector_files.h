// Features from GPX, KML/KMZ, GeoJSON, Shapefile, GeoPackage.
#pragma once

#include "core/base/result.h"
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

/// Reads every layer as features of `kind`; shapes that `kind` cannot be are left out with a note.
/// Names come from a name-like field. ERRORS: io, parse, unsupported.
Result<VectorImport> read_vector(const std::filesystem::path& path, Kind kind, const Frame& frame);

/// Number of features and their shapes, for a preview ("12 lines in 2 layers").
Result<std::string> inspect_vector(const std::filesystem::path& path);

}  // namespace leeward::io
