// The layout file of `print --layout`: resources/print_layout.schema.json says what it may hold.
#pragma once

#include "core/model/property.h"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace leeward::batch {

/// What is not named stays as the property has it.
struct LayoutFile {
  PrintLayout layout;  ///< That of the property with the file's entries over it.
  std::vector<std::string> sheets, stands;
  std::string at;
  std::optional<int> days;
  bool whole_ground = false;
};

/// ERRORS: not_found, parse (with line and column, or the key, what was found and what is wanted).
Result<LayoutFile> read_layout_file(const std::filesystem::path& path, const PrintLayout& before);

}  // namespace leeward::batch
