// The one door to GDAL. enter() must come before any other use of GDAL in the process; every module
// of io calls it. No GDAL type leaves io's .cpp files.
//
// It registers an allow-list of drivers by their own functions (no VRT, no web service, no PDF, no
// databases), denies every virtual file system but /vsimem/, /vsizip/ and /vsisubfile/, and answers
// every network fetch with an error. Paths are opened only if they are regular files.
#pragma once

#include "core/base/result.h"

#include <filesystem>
#include <string>

namespace leeward::io {

/// Idempotent and safe to call from any thread.
void enter_gdal();

/// Error if `path` is not a regular file that may be opened: a URL, a /vsi path, a folder, a
/// device. The message names the path and the mend.
Status check_regular_file(const std::filesystem::path& path);

}  // namespace leeward::io
