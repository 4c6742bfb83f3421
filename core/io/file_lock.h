// Who may write a property: an flock(2) lock on "<property file>.lwlock" beside it. The operating
// system frees it when its holder ends, however it ends, so that a file left over is harmless. It
// is not a lock on the property file itself, because SQLite's own locks live there.
#pragma once

#include "core/base/result.h"

#include <filesystem>
#include <utility>

namespace leeward::io {

class FileLock {
 public:
  FileLock() = default;
  FileLock(FileLock&& other) noexcept
      : fd_(std::exchange(other.fd_, -1)), path_(std::move(other.path_)) {}
  FileLock& operator=(FileLock&& other) noexcept {
    std::swap(fd_, other.fd_);
    std::swap(path_, other.path_);
    return *this;
  }
  ~FileLock();

  /// Does not wait. ERRORS: locked (somebody else holds it), io (no lock file can be made there).
  static Result<FileLock> take(const std::filesystem::path& property_file);

  bool held() const { return fd_ >= 0; }

 private:
  int fd_ = -1;
  std::filesystem::path path_;
};

}  // namespace leeward::io
