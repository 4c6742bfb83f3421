// Small file work of the property store: names beside a file, flushing to the disk, raster paths.
#pragma once

#include "core/base/result.h"
#include "core/model/document.h"

#include <filesystem>
#include <string>

namespace leeward::io {

/// A fresh name in the folder of `path`, hidden, ending in ".gpkg".
std::filesystem::path temporary_beside(const std::filesystem::path& path);

/// A folder of its own under the system's temporary folder, removed with all in it at the end.
class TemporaryFolder {
 public:
  static Result<TemporaryFolder> make();
  TemporaryFolder(TemporaryFolder&& other) noexcept : path_(std::move(other.path_)) {
    other.path_.clear();
  }
  TemporaryFolder& operator=(TemporaryFolder&&) = delete;
  ~TemporaryFolder();
  const std::filesystem::path& path() const { return path_; }

 private:
  explicit TemporaryFolder(std::filesystem::path path) : path_(std::move(path)) {}
  std::filesystem::path path_;
};

/// Forces the file and its folder entry to the disk. ERRORS: io.
Status flush_to_disk(const std::filesystem::path& path);
/// Renames; with `replace` false an existing target is an error. The folder is flushed.
/// ERRORS: io, invalid_argument.
Status rename_file(const std::filesystem::path& from, const std::filesystem::path& to,
                   bool replace);
/// The end of an export: what was `written` takes the place of `to`; else, or if that fails, it
/// goes. `why`: what the writer said. ERRORS: io.
Status put_in_place(bool written, const std::filesystem::path& temporary,
                    const std::filesystem::path& to, const std::string& why);

/// SQLite's "<file>-journal" or "<file>-wal" with something in it: a write was cut off, or runs.
bool has_journal(const std::filesystem::path& path);
/// Copies the file with its journals into `folder`. ERRORS: io.
Result<std::filesystem::path> copy_with_journal(const std::filesystem::path& path,
                                                const std::filesystem::path& folder);

/// The document with raster paths that lead from the folder of `to` where they led from the folder
/// of `from`.
Document moved_rasters(const Document& document, const std::filesystem::path& from,
                       const std::filesystem::path& to);
/// `target` as seen from the folder of `property_file`: relative where one root holds both.
std::string relative_raster_path(const std::filesystem::path& target,
                                 const std::filesystem::path& property_file);
/// Where a layer's file is.
std::filesystem::path raster_file(const RasterLayer& layer,
                                  const std::filesystem::path& property_file);

}  // namespace leeward::io
