// Frame: the property's projected CRS and the only road between degrees and metres (PROJ). Wraps
// one PROJ context: it belongs to the thread that made it; make another with the same CrsId
// elsewhere.
#pragma once

#include "core/base/result.h"
#include "core/geo/point.h"

#include <memory>
#include <string>

namespace leeward {

/// "EPSG:32615", or WKT for a CRS without a code. Fixed when a property is created.
using CrsId = std::string;

/// UTM CRS of a place on WGS 84, "EPSG:326zz" or "EPSG:327zz".
/// ERRORS: unsupported within 1 degree of the antimeridian or beyond 84 N / 80 S.
Result<CrsId> utm_crs_for(LonLat wgs84);

class Frame {
 public:
  /// ERRORS: invalid_argument for an unknown CRS, or one that is not projected in metres.
  static Result<Frame> make(const CrsId& crs);
  Frame(Frame&&) noexcept;
  Frame& operator=(Frame&&) noexcept;
  ~Frame();

  const CrsId& crs() const;
  /// "WGS 84 / UTM zone 15N".
  const std::string& name() const;
  /// WKT1 (for PDF GCS entries and files).
  const std::string& wkt() const;
  /// UTM zone (1-60) and north, or 0 if the CRS is not UTM.
  int utm_zone() const;

  /// NaN components where the projection has no answer.
  LocalXY to_local(LonLat wgs84) const;
  LonLat to_wgs84(LocalXY p) const;
  /// Meridian convergence at p: grid north as an angle clockwise from true north, degrees.
  /// grid bearing = true bearing - convergence. (PROJ factors.)
  double convergence_deg(LocalXY p) const;
  /// Point scale factor (grid length / ground length). (PROJ factors.)
  double scale_factor(LocalXY p) const;
  Bearing true_to_grid(double true_deg, LocalXY p) const {
    return Bearing::degrees(true_deg - convergence_deg(p));
  }
  double grid_to_true_deg(Bearing grid, LocalXY p) const {
    return wrap_360(grid.degrees() + convergence_deg(p));
  }

 private:
  struct Impl;
  explicit Frame(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

/// "16T 501087 E 4870943 N": zone with latitude band, whole metres of WGS 84 / UTM, truncated.
/// Empty beyond 84 N / 80 S.
std::string utm_text(LonLat wgs84);

/// US National Grid reference of a WGS 84 place, FGDC-STD-011-2001: truncated, `digits` (1-5) each
/// for easting and northing: "15S WD 57700 11627". Empty beyond 84 N / 80 S.
std::string usng(LonLat wgs84, int digits);

}  // namespace leeward
