#include "core/io/store_paths.h"

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <fcntl.h>
#include <stdlib.h>
#include <system_error>
#include <unistd.h>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;

fs::path absolute_of(const fs::path& path) {
  std::error_code ec;
  fs::path out = fs::weakly_canonical(path, ec);
  if (ec) out = fs::absolute(path, ec);
  return out.lexically_normal();
}

Status sync_path(const fs::path& path, int flags) {
  const int fd = open(path.c_str(), flags | O_CLOEXEC);
  if (fd < 0)
    return fail(ErrorCode::io, path.string() + ": cannot be flushed: " + std::strerror(errno));
  const int failed = fsync(fd);
  const int why = errno;
  close(fd);
  // Some file systems cannot sync a folder; that is no failure of the write.
  if (failed != 0 && why != EINVAL)
    return fail(ErrorCode::io, path.string() + ": cannot be flushed: " + std::strerror(why));
  return ok();
}

fs::path folder_of(const fs::path& path) {
  return path.has_parent_path() ? path.parent_path() : fs::path(".");
}

}  // namespace

fs::path temporary_beside(const fs::path& path) {
  return folder_of(path) /
         ("." + path.stem().string() + "." + Uid::random().str().substr(0, 8) + ".gpkg");
}

Result<TemporaryFolder> TemporaryFolder::make() {
  std::error_code ec;
  std::string name = (fs::temp_directory_path(ec) / "leeward-XXXXXX").string();
  if (ec || !mkdtemp(name.data()))
    return fail(ErrorCode::io, "no temporary folder can be made; check the space in " + name);
  return TemporaryFolder(name);
}

TemporaryFolder::~TemporaryFolder() {
  std::error_code ec;
  if (!path_.empty()) fs::remove_all(path_, ec);
}

Status flush_to_disk(const fs::path& path) {
  if (Status done = sync_path(path, O_RDONLY); !done) return done;
  return sync_path(folder_of(path), O_RDONLY | O_DIRECTORY);
}

Status rename_file(const fs::path& from, const fs::path& to, bool replace) {
  const unsigned flags = replace ? 0U : RENAME_NOREPLACE;
  int failed = renameat2(AT_FDCWD, from.c_str(), AT_FDCWD, to.c_str(), flags);
  if (failed != 0 && errno == EINVAL && !replace) {  // a file system without the flag
    failed = link(from.c_str(), to.c_str());
    if (failed == 0) unlink(from.c_str());
  }
  if (failed != 0) {
    const int why = errno;
    if (why == EEXIST) {
      return fail(ErrorCode::invalid_argument,
                  to.string() + ": the file exists already; choose another name");
    }
    return fail(ErrorCode::io, to.string() + ": cannot be written: " + std::strerror(why));
  }
  return sync_path(folder_of(to), O_RDONLY | O_DIRECTORY);
}

Status put_in_place(bool written, const fs::path& temporary, const fs::path& to,
                    const std::string& why) {
  Status done = written ? rename_file(temporary, to, true)
                        : Status(fail(ErrorCode::io, to.string() + ": cannot be written: " + why +
                                                         "; check the folder and the space on "
                                                         "the disk"));
  std::error_code ec;
  if (!done) fs::remove(temporary, ec);
  return done;
}

bool has_journal(const fs::path& path) {
  for (const char* suffix : {"-journal", "-wal"}) {
    fs::path journal = path;
    journal += suffix;
    std::error_code ec;
    const auto size = fs::file_size(journal, ec);
    if (!ec && size > 0) return true;
  }
  return false;
}

Result<fs::path> copy_with_journal(const fs::path& path, const fs::path& folder) {
  const fs::path copy = folder / path.filename();
  for (const char* suffix : {"", "-journal", "-wal"}) {
    fs::path from = path, to = copy;
    from += suffix;
    to += suffix;
    std::error_code ec;
    if (*suffix != '\0' && !fs::exists(from, ec)) continue;
    fs::copy_file(from, to, ec);
    if (ec) {
      return fail(ErrorCode::io,
                  from.string() + ": cannot be copied to " + folder.string() + ": " + ec.message());
    }
    fs::permissions(to, fs::perms::owner_read | fs::perms::owner_write, ec);
  }
  return copy;
}

std::string relative_raster_path(const fs::path& target, const fs::path& property_file) {
  const fs::path relative =
      absolute_of(target).lexically_relative(absolute_of(folder_of(property_file)));
  return relative.empty() ? absolute_of(target).string() : relative.string();
}

fs::path raster_file(const RasterLayer& layer, const fs::path& property_file) {
  return (folder_of(property_file) / layer.path).lexically_normal();
}

Document moved_rasters(const Document& document, const fs::path& from, const fs::path& to) {
  if (absolute_of(folder_of(from)) == absolute_of(folder_of(to))) return document;
  Document out = document;
  Rows<RasterLayer> rows;
  for (const auto& r : *document.rasters) {
    RasterLayer moved = *r;
    moved.path = relative_raster_path(raster_file(*r, from), to);
    rows.push_back(make_ref<RasterLayer>(std::move(moved)));
  }
  out.rasters = make_ref<Rows<RasterLayer>>(std::move(rows));
  return out;
}

}  // namespace leeward::io
