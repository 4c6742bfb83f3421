// Wind that a weather station has measured.
#pragma once

#include "core/base/civil_time.h"

#include <optional>

namespace leeward {

struct StationHour {
  Instant at{};
  std::optional<double> true_from_deg;  ///< Missing: calm, variable or not recorded.
  std::optional<double> speed_mps;      ///< At 10 m; missing: not recorded.
};

}  // namespace leeward
