// The map in its frame on the page.
#pragma once

#include "ui/print/hunt_map.h"
#include "ui/print/page.h"

#include <QImage>
#include <QTransform>

#include <span>

namespace leeward::ui {

/// The limits of a scale's denominator, and those that maps are usually printed at, rising.
inline constexpr double kLeastScale = 100, kMostScale = 1e6;
std::span<const double> usualScales();

struct MapFrame {
  MapTransform transform;  ///< To dots of the page, turned as the layout says.
  /// The same place with grid north up, and a viewport that holds the turned frame: what is drawn
  /// with it is turned by `turn`.
  MapTransform upright;
  QTransform turn;
  double denominator = 0;
  Box ground;
  LocalXY want_centre;          ///< Of the ground that the map is asked for,
  QSizeF want_m;                ///< and its size along the page's sides;
  bool fits = true;             ///< whether the frame holds it.
  bool aerial = false;          ///< An aerial picture is under the map.
  double contour_interval = 0;  ///< 0: no contours are drawn.
  const char* contour_unit = "";
};
/// The transform of a request on a page of `dots_per_mm`.
MapFrame placeMap(const HuntMapRequest& request, const PageGeometry& geometry, double dots_per_mm);

/// Draws everything inside the frame; sets `frame.aerial`.
Status drawMap(Page& page, const HuntMapRequest& request, MapFrame& frame, std::stop_token stop,
               const PrintProgress& progress);

/// The map of a box without a page, grid north up, for tiles. ERRORS: cancelled; invalid_argument
/// for a picture too large to hold.
Result<QImage> mapPicture(const HuntMapRequest& request, const Box& box, double metres_per_px,
                          std::stop_token stop, const PrintProgress& progress);

/// True if the request names the stand, or names none.
bool isChosen(const HuntMapRequest& request, const Uid& stand);

/// The one chosen stand whose scent the map shows, or nullptr.
const StandResult* showsScent(const HuntMapRequest& request);
/// True if the map shows how far the wind may swing: for chosen stands, in a wind with a direction.
bool showsMargins(const HuntMapRequest& request);

}  // namespace leeward::ui
