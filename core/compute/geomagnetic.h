// Where a compass points: the World Magnetic Model of NOAA and BGS (technical report, 2025;
// spherical harmonics to degree 12), WMM2025.
#pragma once

#include "core/base/civil_time.h"
#include "core/geo/point.h"

#include <optional>

namespace leeward::compute {

inline constexpr double kMagneticEpoch_year = 2025.0;   ///< First moment it holds for,
inline constexpr double kMagneticExpiry_year = 2030.0;  ///< and the first it does not.
inline constexpr const char* kMagneticModel = "WMM2025";

struct MagneticField {
  double declination_deg = 0;  ///< Magnetic north clockwise from true north.
  double inclination_deg = 0;  ///< Of the field below the horizontal.
  double horizontal_nt = 0;
};

/// The main field at a WGS 84 place. Its stated error in declination is about 0.4 degrees in the
/// latitudes of North America (0.26 and 5417 nT / H in quadrature; from memory); iron nearby does
/// worse. Nothing for a year outside the model's, or at a pole.
std::optional<MagneticField> magnetic_field(LonLat wgs84, double height_m, double year);

/// 2026.0 at the first moment of 2026, UTC.
double decimal_year(Instant at);

}  // namespace leeward::compute
