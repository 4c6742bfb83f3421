// A property's GeoPackage: making it, judging it, reading it, writing the difference of two
// versions. Everything here runs on the thread that calls it and knows nothing of queues.
#pragma once

#include "core/base/result.h"
#include "core/io/gdal_open.h"
#include "core/model/document.h"

#include <array>
#include <cstdint>
#include <filesystem>
#include <set>
#include <string>
#include <unordered_map>
#include <vector>

namespace leeward::io {

/// Integer keys of the rows on disk, by uid: kinds first, then weapons, rasters, forecasts, hours.
inline constexpr size_t kRowTables = static_cast<size_t>(kKindCount) + 5;
struct RowKeys {
  std::array<std::unordered_map<Uid, std::int64_t>, kRowTables> fids;
};

/// What a file holds, and what had to be mended while reading (nothing is written by reading).
struct LoadedDocument {
  Document document;
  RowKeys keys;
  std::set<Uid> mended;            ///< Rows to write again with the next save.
  std::vector<std::string> notes;  ///< In sentences.
};

/// A new file at `path`, which must not exist, flushed to the disk. ERRORS: io, invalid_argument.
Status write_document_file(const std::filesystem::path& path, const Document& document);

/// Judges a file without changing it: a SQLite GeoPackage, whole, with our schema table.
/// Returns its schema version, 0 to kSchemaVersion. ERRORS: parse (damaged), unsupported (not a
/// property), newer_version.
Result<int> judge_document_file(const std::filesystem::path& path);

/// Brings an open file from schema `from` to kSchemaVersion, in one transaction. ERRORS: io, parse.
Status migrate_document_file(const std::filesystem::path& path, int from);

/// ERRORS: parse.
Result<LoadedDocument> load_document(GDALDataset& dataset);

/// Writes what differs as one transaction; on success `keys` and `mended` are up to date, on
/// failure nothing is on disk and the dataset must be opened anew. ERRORS: io.
Status write_difference(GDALDataset& dataset, const Document& before, const Document& after,
                        RowKeys& keys, std::set<Uid>& mended);

}  // namespace leeward::io
