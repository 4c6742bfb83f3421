// The tables of a property file and the columns of their rows: one place for names and types.
// Beside the columns listed in the .cpp each table has the integer key `fid` and (settings and
// leeward_schema excepted) a `uid`. Column `geom` holds the shape of a feature.
#pragma once

#include "core/base/result.h"
#include "core/model/document.h"

#include <string>

class GDALDataset;
class OGRFeature;
class OGRLayer;

namespace leeward::io {

inline constexpr const char* kSchemaTable = "leeward_schema";
inline constexpr const char* kSettingsTable = "settings";

template <class T>
inline constexpr const char* kTableOf = nullptr;
template <>
inline constexpr const char* kTableOf<Weapon> = "weapons";
template <>
inline constexpr const char* kTableOf<RasterLayer> = "raster_layers";
template <>
inline constexpr const char* kTableOf<Forecast> = "forecasts";
template <>
inline constexpr const char* kTableOf<WindHour> = "wind_hours";
template <>
inline constexpr const char* kTableOf<Visit> = "visits";

/// Makes every table. ERRORS: io, invalid_argument (the CRS).
Status create_tables(GDALDataset& dataset, const CrsId& crs);
/// Adds the tables and columns that a file of an earlier schema lacks.
Status add_missing_tables_and_columns(GDALDataset& dataset, const CrsId& crs);
/// ERRORS: parse, naming the first table or column that is missing.
Status check_tables(GDALDataset& dataset);

/// Fills the columns of a row that exists or will.
void put_columns(const Feature& row, OGRFeature& out);
void put_columns(const Weapon& row, OGRFeature& out);
void put_columns(const RasterLayer& row, OGRFeature& out);
void put_columns(const Forecast& row, OGRFeature& out);
void put_columns(const WindHour& row, OGRFeature& out);
void put_columns(const Visit& row, OGRFeature& out);
void put_columns(const Settings& row, OGRFeature& out);

/// What a row says: an empty cell keeps the default; `problem` names the first cell that cannot be
/// understood (its default stands).
template <class T>
struct ReadRow {
  T row;
  std::string problem;
};
/// The shape is not read; see ogr_shapes.h.
ReadRow<Feature> read_feature_columns(Kind kind, const OGRFeature& in);
template <class T>
ReadRow<T> read_columns(const OGRFeature& in);

}  // namespace leeward::io
