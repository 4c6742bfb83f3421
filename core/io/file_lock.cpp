#include "core/io/file_lock.h"

#include <cerrno>
#include <cstring>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <system_error>
#include <unistd.h>

namespace leeward::io {
namespace {

bool same_file(int fd, const std::filesystem::path& path) {
  struct stat by_fd = {}, by_path = {};
  return fstat(fd, &by_fd) == 0 && stat(path.c_str(), &by_path) == 0 &&
         by_fd.st_dev == by_path.st_dev && by_fd.st_ino == by_path.st_ino;
}

}  // namespace

Result<FileLock> FileLock::take(const std::filesystem::path& property_file) {
  std::error_code ec;
  std::filesystem::path path = std::filesystem::weakly_canonical(property_file, ec);
  if (ec) path = property_file;
  path += ".lwlock";
  for (int attempt = 0; attempt < 20; ++attempt) {
    const int fd = open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0666);
    if (fd < 0) {
      return fail(ErrorCode::io, path.string() + ": the lock file cannot be made: " +
                                     std::strerror(errno) + "; check the folder's permissions");
    }
    if (flock(fd, LOCK_EX | LOCK_NB) != 0) {
      close(fd);
      return fail(ErrorCode::locked, property_file.filename().string() +
                                         ": it is open in another window or program of Leeward");
    }
    if (same_file(fd, path)) {
      FileLock lock;
      lock.fd_ = fd;
      lock.path_ = std::move(path);
      return lock;
    }
    close(fd);  // its last holder has just removed it: make a new one
  }
  return fail(ErrorCode::locked,
              path.string() + ": the lock file does not come to rest; try again");
}

FileLock::~FileLock() {
  if (fd_ < 0) return;
  unlink(path_.c_str());  // while the lock is still held
  close(fd_);
}

}  // namespace leeward::io
