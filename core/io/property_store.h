// A property on disk: one OGC GeoPackage, every feature kind a table that any GIS opens, rasters
// outside it. The store writes the difference between two document versions, rows by uid, as one
// transaction.
//
// THREADS: one background thread owns the only connection; the public functions may be called from
// the thread that made the store. Callbacks come on the store's thread.
#pragma once

#include "core/base/result.h"
#include "core/model/document.h"

#include <filesystem>
#include <functional>
#include <memory>
#include <string>

namespace leeward::io {

inline constexpr int kSchemaVersion = 4;

struct SaveState {
  std::uint64_t asked = 0;  ///< Revision of the newest version handed to save().
  std::uint64_t saved = 0;  ///< Revision that is on disk.
  std::string problem;  ///< Why saving fails just now, in words with the mend; empty: all is well.
};

class PropertyStore {
 public:
  struct Opened;

  /// Makes a new file. Nothing is left behind when it fails. ERRORS: invalid_argument if the file
  /// exists already, io.
  static Result<std::unique_ptr<PropertyStore>> create(const std::filesystem::path& path,
                                                       Ref<Document> document);
  /// Opens a file that create() made. A file that is damaged, not a property, or of a newer schema
  /// is refused in one sentence and not changed by a byte. An older schema is migrated on a copy
  /// which then replaces it. A file that another process holds, or that cannot be written, opens
  /// read-only.
  static Result<Opened> open(const std::filesystem::path& path, bool read_only = false);

  ~PropertyStore();  ///< Writes what waits, then closes.
  PropertyStore(const PropertyStore&) = delete;
  PropertyStore& operator=(const PropertyStore&) = delete;

  const std::filesystem::path& path() const;
  bool read_only() const;

  /// Queues a version; returns at once. Versions that wait may be written together. On failure the
  /// queue is kept and tried again, and SaveState says so. REQUIRES: !read_only().
  void save(Ref<Document> next);
  /// Waits until all that was queued is on disk, or the failure that prevents it.
  Status flush();
  SaveState state() const;
  /// Called on the store's thread after every write or failure.
  void on_change(std::function<void(const SaveState&)> callback);

 private:
  struct Impl;
  explicit PropertyStore(std::unique_ptr<Impl> impl);
  std::unique_ptr<Impl> impl_;
};

struct PropertyStore::Opened {
  std::unique_ptr<PropertyStore> store;
  Ref<Document> document;
  bool read_only = false;
  std::string
      notice;  ///< Why it is read-only, or what was migrated or recovered; empty: nothing to say.
};

/// Writes `document` as a new file beside nothing else (save-as, export of a copy); atomic by
/// rename. Raster paths are rewritten to stay valid from the new folder.
Status write_copy(const Document& document, const std::filesystem::path& from,
                  const std::filesystem::path& to);

}  // namespace leeward::io
