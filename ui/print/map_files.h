// The map as a file for a phone or a receiver, by the file's ending: .gpx, .kml, .kmz, .geojson,
// .mbtiles, or .zip for Shapefiles.
#pragma once

#include "ui/print/hunt_map.h"
#include "ui/render/features.h"

namespace leeward::ui {

struct MapFileRequest {
  HuntMapRequest map;  ///< Its stands, hour and trade hold for the ways.
  KindSet kinds;       ///< What is given away.
  /// False: nothing shows where a stand is; its lanes, ways, rings and lines of fire stay at home
  /// too.
  bool stands = true;
  bool ways = true;
  bool aerial = true;  ///< Under .kmz and .mbtiles.
};

/// The document with nothing but what is given away.
Document sharedPart(const MapFileRequest& request);

/// REQUIRES: a QGuiApplication (for .mbtiles). ERRORS: io; invalid_argument for another ending, or
/// nothing to write; cancelled.
Status writeMapFile(const MapFileRequest& request, const std::filesystem::path& to,
                    std::stop_token stop = {}, const PrintProgress& progress = {});

}  // namespace leeward::ui
