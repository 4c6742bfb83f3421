// Waypoints and tracks as GPX 1.1 for a phone or a receiver.
#pragma once

#include "core/base/result.h"
#include "core/geo/frame.h"

#include <filesystem>
#include <string>
#include <vector>

namespace leeward::io {

/// Longest name that receivers show whole, in characters (common practice, no source).
inline constexpr size_t kGpxName = 30;

/// Names longer than kGpxName are cut.
struct GpxPoint {
  std::string name, remarks;
  LocalXY at;
  std::string kind = {};  ///< "stand"; empty: not said.
};
struct GpxTrack {
  std::string name, remarks;
  Path points;  ///< In walking order, at least two.
};

/// Whole or not at all. ERRORS: io, naming the file; invalid_argument when there is nothing to
/// write.
Status write_gpx(const std::filesystem::path& path, const Frame& frame,
                 const std::vector<GpxPoint>& points, const std::vector<GpxTrack>& tracks);

}  // namespace leeward::io
