#include "core/io/document_file.h"

#include "core/io/gdal_gate.h"
#include "core/io/ogr_shapes.h"
#include "core/io/property_rows.h"
#include "core/io/property_store.h"
#include "core/io/row_mends.h"
#include "core/io/store_paths.h"
#include "core/model/edit.h"

#include <cpl_conv.h>
#include <cpl_string.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <fstream>
#include <memory>
#include <optional>
#include <system_error>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;

constexpr const char* kWrittenBy = "Leeward 0.1";
constexpr size_t kMaxRowVertices = 1'000'000;

struct FeatureDeleter {
  void operator()(OGRFeature* f) const { OGRFeature::DestroyFeature(f); }
};
using RowPtr = std::unique_ptr<OGRFeature, FeatureDeleter>;

RowPtr new_row(OGRLayer& layer) { return RowPtr(OGRFeature::CreateFeature(layer.GetLayerDefn())); }

Error damaged(const fs::path& path, const std::string& why) {
  return fail(ErrorCode::parse,
              shown(path) + ": the file is damaged (" + why + "); restore it from a copy");
}

std::uint32_t big_endian(const unsigned char* p) {
  return static_cast<std::uint32_t>(p[0]) << 24 | static_cast<std::uint32_t>(p[1]) << 16 |
         static_cast<std::uint32_t>(p[2]) << 8 | p[3];
}

// Header of a SQLite file: https://www.sqlite.org/fileformat2.html, section 1.3; the application id
// "GPKG": OGC 12-128r18, requirement 2.
Status judge_header(const fs::path& path, bool journal) {
  std::ifstream in(path, std::ios::binary);
  std::array<unsigned char, 100> h{};
  in.read(reinterpret_cast<char*>(h.data()), h.size());
  const std::string_view magic(reinterpret_cast<const char*>(h.data()), 15);
  if (in.gcount() < 100 || magic != "SQLite format 3") {
    return fail(ErrorCode::unsupported,
                shown(path) + ": it is not a property file; choose a .gpkg that Leeward made");
  }
  const std::uint32_t application = big_endian(&h[68]);
  if (application != 0x47504B47) {
    return fail(
        ErrorCode::unsupported,
        shown(path) + ": it is a database but no GeoPackage; choose a .gpkg that Leeward made");
  }
  std::uint32_t page = static_cast<std::uint32_t>(h[16]) << 8 | h[17];
  if (page == 1) page = 65536;
  const std::uint64_t claimed = std::uint64_t{page} * big_endian(&h[28]);
  std::error_code ec;
  const auto size = fs::file_size(path, ec);
  if (!journal && (ec || size < claimed)) {
    return damaged(path, "it should hold " + std::to_string(claimed) + " bytes and holds " +
                             std::to_string(size));
  }
  return ok();
}

std::optional<std::string> query_text(GDALDataset& dataset, const char* sql) {
  OGRLayer* answer = dataset.ExecuteSQL(sql, nullptr, nullptr);
  if (!answer) return std::nullopt;
  std::optional<std::string> out;
  if (const RowPtr row{answer->GetNextFeature()}; row && row->GetFieldCount() > 0)
    out = row->GetFieldAsString(0);
  dataset.ReleaseResultSet(answer);
  return out;
}

Result<int> schema_of(GDALDataset& dataset, const fs::path& path) {
  OGRLayer* schema = dataset.GetLayerByName(kSchemaTable);
  if (!schema) {
    return fail(ErrorCode::unsupported,
                shown(path) + ": it is a GeoPackage but not a property; import it instead");
  }
  const RowPtr row(schema->GetNextFeature());
  schema->ResetReading();
  if (!row || row->GetFieldIndex("schema_version") < 0)
    return damaged(path, "its schema version is missing");
  const int version = row->GetFieldAsInteger("schema_version");
  if (version > kSchemaVersion) {
    return fail(ErrorCode::newer_version,
                shown(path) + ": a newer version of Leeward made it (schema " +
                    std::to_string(version) + ", this program knows " +
                    std::to_string(kSchemaVersion) + "); open it with that version");
  }
  if (version < 0) return damaged(path, "its schema version is " + std::to_string(version));
  return version;
}

Status write_schema(GDALDataset& dataset, int version) {
  OGRLayer* layer = dataset.GetLayerByName(kSchemaTable);
  if (!layer) return fail(ErrorCode::io, "table leeward_schema is missing");
  layer->ResetReading();
  RowPtr row(layer->GetNextFeature());
  layer->ResetReading();
  const bool is_new = !row;
  if (is_new) row = new_row(*layer);
  row->SetField("schema_version", version);
  row->SetField("written_by", kWrittenBy);
  const OGRErr wrote = is_new ? layer->CreateFeature(row.get()) : layer->SetFeature(row.get());
  if (wrote != OGRERR_NONE) return fail(ErrorCode::io, "the schema version cannot be written");
  return ok();
}

// --- writing rows ------------------------------------------------------------------------------

/// Writes rows of one table inside a transaction that is already open.
class TableWriter {
 public:
  TableWriter(GDALDataset& dataset, const char* table, std::unordered_map<Uid, std::int64_t>& fids)
      : table_(table), layer_(dataset.GetLayerByName(table)), fids_(fids) {}

  template <class T>
  Status difference(const Rows<T>& before, const Rows<T>& after, const std::set<Uid>& mended) {
    std::unordered_map<Uid, Ref<T>> old;
    for (const auto& row : before) old.emplace(row->uid, row);
    std::vector<Ref<T>> changed;
    for (const auto& row : after) {
      const auto it = old.find(row->uid);
      if (it == old.end()) {
        changed.push_back(row);
        continue;
      }
      const bool same = it->second == row || *it->second == *row;
      if (!same || mended.contains(row->uid)) changed.push_back(row);
      old.erase(it);
    }
    for (const auto& [uid, row] : old)
      if (Status done = remove(uid); !done) return done;
    for (const auto& row : changed)
      if (Status done = put(*row); !done) return done;
    return ok();
  }

 private:
  Status failed(const char* what, const Uid& uid) {
    return fail(ErrorCode::io,
                "a row of table " + table_ + " cannot be " + what + " (" + uid.str() + ")");
  }
  Status remove(const Uid& uid) {
    const auto it = fids_.find(uid);
    if (!layer_ || it == fids_.end() || layer_->DeleteFeature(it->second) != OGRERR_NONE)
      return failed("removed", uid);
    fids_.erase(it);
    return ok();
  }
  template <class T>
  Status put(const T& value) {
    if (!layer_) return failed("written", value.uid);
    const auto it = fids_.find(value.uid);
    if (it == fids_.end()) {
      const RowPtr row = new_row(*layer_);
      put_columns(value, *row);
      if (layer_->CreateFeature(row.get()) != OGRERR_NONE) return failed("written", value.uid);
      fids_[value.uid] = row->GetFID();
      return ok();
    }
    // The row as it is on disk, so that columns which another program added keep their values.
    const RowPtr row(layer_->GetFeature(it->second));
    if (!row) return failed("found again", value.uid);
    put_columns(value, *row);
    if (layer_->SetFeature(row.get()) != OGRERR_NONE) return failed("written", value.uid);
    return ok();
  }

  std::string table_;
  OGRLayer* layer_;
  std::unordered_map<Uid, std::int64_t>& fids_;
};

Status write_settings(GDALDataset& dataset, const Settings& settings) {
  OGRLayer* layer = dataset.GetLayerByName(kSettingsTable);
  if (!layer) return fail(ErrorCode::io, "table settings is missing");
  layer->ResetReading();
  RowPtr row(layer->GetNextFeature());
  layer->ResetReading();
  const bool is_new = !row;
  if (is_new) row = new_row(*layer);
  put_columns(settings, *row);
  const OGRErr wrote = is_new ? layer->CreateFeature(row.get()) : layer->SetFeature(row.get());
  if (wrote != OGRERR_NONE) return fail(ErrorCode::io, "the settings cannot be written");
  return ok();
}

/// Calls fn(table, rows of a, rows of b, index) for each table of rows until one fails.
template <class Fn>
Status for_each_rows(const Document& a, const Document& b, Fn&& fn) {
  for (size_t k = 0; k < kKindCount; ++k) {
    if (Status done = fn(info(static_cast<Kind>(k)).table, *a.features[k], *b.features[k], k);
        !done)
      return done;
  }
  const size_t n = kKindCount;
  if (Status done = fn(kTableOf<Weapon>, *a.weapons, *b.weapons, n); !done) return done;
  if (Status done = fn(kTableOf<RasterLayer>, *a.rasters, *b.rasters, n + 1); !done) return done;
  if (Status done = fn(kTableOf<Forecast>, *a.forecasts, *b.forecasts, n + 2); !done) return done;
  if (Status done = fn(kTableOf<WindHour>, *a.stored_hours, *b.stored_hours, n + 3); !done)
    return done;
  return fn(kTableOf<Visit>, *a.visits, *b.visits, n + 4);
}

Status write_rows(GDALDataset& dataset, const Document& before, const Document& after,
                  RowKeys& keys, const std::set<Uid>& mended) {
  Status rows = for_each_rows(
      before, after,
      [&](const char* table, const auto& old_rows, const auto& new_rows, size_t index) {
        if (&old_rows == &new_rows && mended.empty()) return ok();
        return TableWriter(dataset, table, keys.fids[index]).difference(old_rows, new_rows, mended);
      });
  if (!rows) return rows;
  if (before.settings == after.settings || *before.settings == *after.settings) return ok();
  return write_settings(dataset, *after.settings);
}

Document with_unlike_settings(const Document& document) {
  Document empty;
  Settings unlike = *document.settings;
  unlike.sit_minutes = -1;
  empty.settings = make_ref<Settings>(std::move(unlike));
  return empty;
}

// --- reading rows ------------------------------------------------------------------------------

/// Gives a row its place in the document; a missing or repeated uid is replaced.
class Collector {
 public:
  explicit Collector(LoadedDocument& out) : out_(out) {}

  template <class T>
  void keep(T row, std::int64_t fid, size_t index, const std::string& problem, const char* table,
            std::vector<Ref<T>>& rows) {
    auto& fids = out_.keys.fids[index];
    if (!Uid::is_well_formed(row.uid.str()) || !seen_.insert(row.uid).second) {
      row.uid = Uid::random();
      seen_.insert(row.uid);
      out_.mended.insert(row.uid);
    }
    if (!problem.empty()) note(table, fid, problem + "; the usual value stands in for it");
    fids[row.uid] = fid;
    rows.push_back(make_ref<T>(std::move(row)));
  }
  void note(const char* table, std::int64_t fid, const std::string& text) {
    ++notes_;
    if (notes_ <= 20)
      out_.notes.push_back("Row " + std::to_string(fid) + " of table " + table + ": " + text + ".");
  }
  void finish() {
    if (notes_ > 20) out_.notes.push_back(std::to_string(notes_ - 20) + " more rows were odd.");
  }

 private:
  LoadedDocument& out_;
  std::set<Uid> seen_;
  int notes_ = 0;
};

/// The shape of a row, mended if another program left it invalid; an error says why it is unusable.
Result<Shape> shape_of_row(const OGRFeature& row, Kind kind, std::string& problem) {
  const OGRGeometry* geometry = row.GetGeometryRef();
  if (!geometry) return fail(ErrorCode::parse, "it has no shape");
  ReadShapes read = from_ogr(*geometry, kMaxRowVertices);
  if (read.too_many) return fail(ErrorCode::parse, "its shape has too many vertices");
  if (read.shapes.empty()) return fail(ErrorCode::parse, "its shape is empty");
  if (read.shapes.size() > 1) problem = "only the first part of its shape is used";
  Shape shape = std::move(read.shapes.front());
  if (!allows(kind, shape.type)) return fail(ErrorCode::parse, "its shape is not of its kind");
  if (shape_problem(shape).empty()) return shape;
  auto mended = repaired(shape);
  if (!mended || mended->pieces.empty() || !allows(kind, mended->pieces.front().type))
    return fail(ErrorCode::parse, "its shape is not valid: " + shape_problem(shape));
  problem = "its shape was mended: " + mended->note;
  return std::move(mended->pieces.front());
}

void load_features(GDALDataset& dataset, Kind kind, Collector& collector, Rows<Feature>& rows) {
  const char* table = info(kind).table;
  OGRLayer& layer = *dataset.GetLayerByName(table);
  const NoNumbers words = no_numbers(dataset, layer);
  layer.ResetReading();
  for (RowPtr row(layer.GetNextFeature()); row; row.reset(layer.GetNextFeature())) {
    for (const std::string& problem : mend(*row, words))
      collector.note(table, row->GetFID(), problem);
    ReadRow<Feature> read = read_feature_columns(kind, *row);
    std::string shape_note;
    auto shape = shape_of_row(*row, kind, shape_note);
    std::string unusable = shape ? std::string{} : shape.error().message;
    if (shape) {
      read.row.shape = std::move(*shape);
      unusable = feature_problem(read.row);
    }
    if (!unusable.empty()) {
      collector.note(table, row->GetFID(), unusable + "; it is left out and left alone on disk");
      continue;
    }
    const std::string& problem = read.problem.empty() ? shape_note : read.problem;
    collector.keep(std::move(read.row), row->GetFID(), static_cast<size_t>(kind), problem, table,
                   rows);
  }
}

template <class T>
Ref<Rows<T>> load_rows(GDALDataset& dataset, Collector& collector, size_t index) {
  Rows<T> rows;
  OGRLayer* layer = dataset.GetLayerByName(kTableOf<T>);
  const NoNumbers words = no_numbers(dataset, *layer);
  layer->ResetReading();
  for (RowPtr row(layer->GetNextFeature()); row; row.reset(layer->GetNextFeature())) {
    for (const std::string& problem : mend(*row, words))
      collector.note(kTableOf<T>, row->GetFID(), problem);
    ReadRow<T> read = read_columns<T>(*row);
    if constexpr (std::is_same_v<T, WindHour>) {
      const std::string problem = mend(read.row);
      if (!problem.empty())
        collector.note(kTableOf<T>, row->GetFID(), problem + "; it counts as unknown");
    }
    if constexpr (std::is_same_v<T, Weapon>) {
      for (const std::string& problem : mend(read.row))
        collector.note(kTableOf<T>, row->GetFID(), problem);
    }
    collector.keep(std::move(read.row), row->GetFID(), index, read.problem, kTableOf<T>, rows);
  }
  if constexpr (std::is_same_v<T, WindHour> || std::is_same_v<T, Visit>) {
    std::stable_sort(rows.begin(), rows.end(),
                     [](const auto& a, const auto& b) { return a->at < b->at; });
  }
  return make_ref<Rows<T>>(std::move(rows));
}

Result<Settings> load_settings(GDALDataset& dataset, std::vector<std::string>& notes) {
  OGRLayer* layer = dataset.GetLayerByName(kSettingsTable);
  const NoNumbers words = no_numbers(dataset, *layer);
  layer->ResetReading();
  const RowPtr row(layer->GetNextFeature());
  layer->ResetReading();
  if (!row) return fail(ErrorCode::parse, "table settings is empty");
  for (const std::string& problem : mend(*row, words))
    notes.push_back("Settings: " + problem + ".");
  ReadRow<Settings> read = read_columns<Settings>(*row);
  if (!read.problem.empty()) return fail(ErrorCode::parse, "settings: " + read.problem);
  if (!is_time_zone(read.row.time_zone))
    return fail(ErrorCode::parse, "settings: time zone '" + read.row.time_zone + "' is not known");
  mend(read.row, notes);
  return std::move(read.row);
}

// --- migrations: kMigrations[n] takes a file from schema n to n + 1
// -------------------------------

/// Schema 0 was that of the first trials: tables and columns were still being added. Schema 1 had
/// no stability and no scent limit among its settings; schema 2 had no setbacks, no farthest
/// travel, no visits, no rut, and little about mock scrapes and cameras; schema 3 had no emergency
/// plan, no pace and no look of the print. Values are the usual ones
/// until a row is next written.
Status add_what_is_missing(GDALDataset& dataset) {
  CrsId crs;
  if (OGRLayer* settings = dataset.GetLayerByName(kSettingsTable)) {
    settings->ResetReading();
    const RowPtr row(settings->GetNextFeature());
    if (row && row->GetFieldIndex("crs") >= 0) crs = row->GetFieldAsString("crs");
    settings->ResetReading();
  }
  return add_missing_tables_and_columns(dataset, crs);
}

using Migration = Status (*)(GDALDataset&);
constexpr std::array<Migration, kSchemaVersion> kMigrations = {
    add_what_is_missing, add_what_is_missing, add_what_is_missing, add_what_is_missing};

}  // namespace

Status write_document_file(const fs::path& path, const Document& document) {
  enter_gdal();
  std::error_code ec;
  if (fs::exists(path, ec))
    return fail(ErrorCode::invalid_argument, path.string() + ": the file exists already");
  GdalMessages messages;
  // Nobody knows this file yet: it is flushed once, as a whole, at the end.
  const CPLConfigOptionSetter unsynced("OGR_SQLITE_SYNCHRONOUS", "OFF", false);
  GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPKG");
  CPLStringList options;
  options.SetNameValue("VERSION", "1.3");
  options.SetNameValue("ADD_GPKG_OGR_CONTENTS", "NO");
  DatasetPtr dataset(driver->Create(path.c_str(), 0, 0, 0, GDT_Unknown, options.List()));
  if (!dataset)
    return fail(ErrorCode::io, path.string() + ": cannot be written: " + messages.text());
  Status done = create_tables(*dataset, document.settings->crs);
  if (done) done = write_schema(*dataset, kSchemaVersion);
  RowKeys keys;
  std::set<Uid> mended;
  if (done)
    done = write_difference(*dataset, with_unlike_settings(document), document, keys, mended);
  CPLErrorReset();
  dataset.reset();
  if (done && CPLGetLastErrorType() >= CE_Failure)
    done = fail(ErrorCode::io, path.string() + ": cannot be finished: " + messages.text());
  if (done) done = flush_to_disk(path);
  if (!done) fs::remove(path, ec);
  return done;
}

Result<int> judge_document_file(const fs::path& path) {
  const bool journal = has_journal(path);
  if (Status header = judge_header(path, journal); !header) return std::move(header.error());
  auto dataset = open_geopackage(path, journal);  // a journal lies only beside our own copy
  if (!dataset) return damaged(path, "it cannot be opened");
  GdalMessages messages;
  const auto whole = query_text(**dataset, "PRAGMA integrity_check(1)");
  if (whole != "ok") return damaged(path, whole ? *whole : "its pages cannot be read");
  auto version = schema_of(**dataset, path);
  if (!version || *version < kSchemaVersion) return version;
  if (Status tables = check_tables(**dataset); !tables)
    return damaged(path, tables.error().message);
  return version;
}

Status migrate_document_file(const fs::path& path, int from) {
  auto dataset = open_geopackage(path, true);
  if (!dataset) return std::move(dataset.error());
  for (int version = from; version < kSchemaVersion; ++version) {
    Status done = kMigrations[static_cast<size_t>(version)](**dataset);
    if (done) done = write_schema(**dataset, version + 1);
    if (!done) return std::move(done.error()).in("schema " + std::to_string(version));
  }
  if (Status tables = check_tables(**dataset); !tables)
    return damaged(path, tables.error().message);
  dataset->reset();
  return flush_to_disk(path);
}

Result<LoadedDocument> load_document(GDALDataset& dataset) {
  GdalMessages messages;
  LoadedDocument out;
  if (Status tables = check_tables(dataset); !tables) return std::move(tables.error());
  auto settings = load_settings(dataset, out.notes);
  if (!settings) return std::move(settings.error());
  out.document.settings = make_ref<Settings>(std::move(*settings));
  Collector collector(out);
  for (const KindInfo& kind : all_kinds()) {
    Rows<Feature> rows;
    load_features(dataset, kind.kind, collector, rows);
    out.document.features[static_cast<size_t>(kind.kind)] =
        make_ref<Rows<Feature>>(std::move(rows));
  }
  const size_t n = kKindCount;
  out.document.weapons = load_rows<Weapon>(dataset, collector, n);
  out.document.rasters = load_rows<RasterLayer>(dataset, collector, n + 1);
  out.document.forecasts = load_rows<Forecast>(dataset, collector, n + 2);
  out.document.stored_hours = load_rows<WindHour>(dataset, collector, n + 3);
  out.document.visits = load_rows<Visit>(dataset, collector, n + 4);
  collector.finish();
  take_hours_in_force(out.document);
  return out;
}

Status write_difference(GDALDataset& dataset, const Document& before, const Document& after,
                        RowKeys& keys, std::set<Uid>& mended) {
  GdalMessages messages;
  const auto because = [&](Error error) {
    if (!messages.text().empty()) error.message += ": " + messages.text();
    return error;
  };
  if (dataset.StartTransaction() != OGRERR_NONE)
    return because(fail(ErrorCode::io, "no transaction can be begun"));
  RowKeys next = keys;
  if (Status done = write_rows(dataset, before, after, next, mended); !done) {
    Error error = because(std::move(done.error()));
    dataset.RollbackTransaction();
    return error;
  }
  if (dataset.CommitTransaction() != OGRERR_NONE)
    return because(fail(ErrorCode::io, "the transaction cannot be completed"));
  keys = std::move(next);
  mended.clear();
  return ok();
}

}  // namespace leeward::io
