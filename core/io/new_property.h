// Making a property, and checking one.
#pragma once

#include "core/base/result.h"
#include "core/io/raster_files.h"
#include "core/model/edit.h"

#include <filesystem>
#include <string>
#include <vector>

namespace leeward::io {

struct NewProperty {
  std::string name = "New property";
  std::string time_zone = "America/Chicago";
  UnitSystem units = UnitSystem::us;
  CrsId crs;  ///< Empty: UTM zone of the elevation's centre (else an aerial's), in its datum.
  std::vector<std::filesystem::path> aerials;
  std::filesystem::path elevation;       ///< May be empty.
  double elevation_metres_per_unit = 0;  ///< 0: as the file states, else metres.
  std::filesystem::path surface;         ///< May be empty.
  struct Vector {
    Kind kind;
    std::filesystem::path path;
  };
  std::vector<Vector> vectors;
  std::filesystem::path forecast;  ///< May be empty.
};
struct Made {
  Document document;
  std::vector<std::string> notes;
};
/// A document from rasters and vector files; raster paths are made relative to `property_file`'s
/// folder. Writes nothing. A boundary is not invented: without one the rasters' extent serves.
/// ERRORS: of the first raster, vector or forecast file that cannot be used; invalid_argument when
/// nothing says where the property lies.
Result<Made> make_property(const NewProperty& request, const std::filesystem::path& property_file);

/// What is wrong or missing, worst first. Whether a way leads to each stand is for the evaluators
/// to say (core/eval); here only stands and gates on closed ground are named. Reads the rasters.
struct Finding {
  enum class Level { error, warning, advice } level = Level::warning;
  std::string text;
  Uid row;  ///< May be empty.
};
std::vector<Finding> check_property(const Document& document,
                                    const std::filesystem::path& property_file, Instant now);

}  // namespace leeward::io
