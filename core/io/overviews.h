// Smaller copies of a picture, beside it, so that a far view reads little.
#pragma once

#include "core/base/result.h"

#include <filesystem>
#include <functional>
#include <stop_token>

namespace leeward::io {

/// True for a large picture without overviews whose format keeps none of its own.
Result<bool> lacks_overviews(const std::filesystem::path& raster);

/// Writes "name.tif.ovr" beside the picture: built under another name and put in place whole, so
/// that a crash or a cancel leaves nothing half made. `progress` gets the share done.
/// ERRORS: cancelled; io when the folder cannot be written; parse, unsupported.
Status build_overviews(const std::filesystem::path& raster, std::stop_token stop,
                       const std::function<void(double)>& progress);

}  // namespace leeward::io
