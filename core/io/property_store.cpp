// The thread's life:
//
//   connect -> [ wait for a version -> write its difference as one transaction -> tell ] -> close
//                     ^                          | failure: the connection is dropped,
//                     '---- wait, try again <----'          the file is read anew before retrying
//
// After a failure the version on disk is read back, because a failed commit may or may not have
// reached the disk; the difference to what is really there is then written.
#include "core/io/property_store.h"

#include "core/io/document_file.h"
#include "core/io/file_lock.h"
#include "core/io/gdal_gate.h"
#include "core/io/gdal_open.h"
#include "core/io/store_paths.h"

#include <gdal_priv.h>

#include <cassert>
#include <chrono>
#include <condition_variable>
#include <future>
#include <mutex>
#include <optional>
#include <sys/stat.h>
#include <system_error>
#include <thread>
#include <unistd.h>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;
using namespace std::chrono_literals;

constexpr std::chrono::milliseconds kFirstRetry = 250ms;
constexpr std::chrono::milliseconds kLongestRetry = 5s;
constexpr int kTriesWhenClosing = 2;

struct FileIdentity {
  dev_t device = 0;
  ino_t inode = 0;
  friend bool operator==(const FileIdentity&, const FileIdentity&) = default;
};

std::optional<FileIdentity> identity_of(const fs::path& path) {
  struct stat s = {};
  if (stat(path.c_str(), &s) != 0) return std::nullopt;
  return FileIdentity{s.st_dev, s.st_ino};
}

void say(std::string& notice, const std::string& sentence) {
  if (!notice.empty()) notice += ' ';
  notice += sentence;
}

/// Journals left by a file of the same name that is gone would be played into the new one.
void remove_journals(const fs::path& path) {
  for (const char* suffix : {"-journal", "-wal", "-shm"}) {
    fs::path journal = path;
    journal += suffix;
    std::error_code ec;
    fs::remove(journal, ec);
  }
}

Status write_beside_and_rename(const fs::path& path, const Document& document, bool replace) {
  const fs::path temporary = temporary_beside(path);
  if (Status done = write_document_file(temporary, document); !done) return done;
  remove_journals(path);
  Status renamed = rename_file(temporary, path, replace);
  std::error_code ec;
  if (!renamed) fs::remove(temporary, ec);
  return renamed;
}

/// What opening finds out before the connection is made.
struct Prepared {
  FileLock lock;
  bool read_only = false;
  fs::path load_from;                   ///< The file, or a copy of it that was recovered.
  std::optional<TemporaryFolder> copy;  ///< Holds that copy.
  std::string notice;
};

Result<Prepared> take_lock(const fs::path& path, bool read_only) {
  Prepared out;
  out.read_only = read_only;
  out.load_from = path;
  if (read_only) return out;
  const fs::path folder = path.has_parent_path() ? path.parent_path() : fs::path(".");
  if (access(path.c_str(), W_OK) != 0 || access(folder.c_str(), W_OK) != 0) {
    out.read_only = true;
    say(out.notice,
        "The file or its folder cannot be written, so the property is open for reading only.");
    return out;
  }
  auto lock = FileLock::take(path);
  if (lock) {
    out.lock = std::move(*lock);
  } else if (lock.error().code == ErrorCode::locked) {
    out.read_only = true;
    say(out.notice,
        "Another window or program has this property open, so it is open for reading only here.");
  } else {
    out.read_only = true;
    say(out.notice, "The property is open for reading only: " + lock.error().message + ".");
  }
  return out;
}

Status use_copy(Prepared& p, const fs::path& path) {
  auto folder = TemporaryFolder::make();
  if (!folder) return std::move(folder.error());
  auto copy = copy_with_journal(path, folder->path());
  if (!copy) return std::move(copy.error());
  p.copy.emplace(std::move(*folder));
  p.load_from = std::move(*copy);
  return ok();
}

/// Judges the file. One with a journal beside it is judged as a copy, recovered there; only when
/// that copy is a sound property may the file itself be recovered.
Result<int> judge(Prepared& p, const fs::path& path) {
  if (!has_journal(path)) return judge_document_file(path);
  if (Status copied = use_copy(p, path); !copied) return std::move(copied.error());
  auto version = judge_document_file(p.load_from);
  if (!version || p.read_only) return version;
  p.copy.reset();
  p.load_from = path;
  say(p.notice,
      "The last write had been cut off; the property is as it was after the last complete one.");
  return judge_document_file(path);
}

/// A property that another process is writing may be caught half way: look again.
Result<int> judge_patiently(Prepared& p, const fs::path& path) {
  auto version = judge(p, path);
  const bool held_elsewhere = p.read_only && !p.notice.empty();
  for (int tries = 0;
       !version && version.error().code == ErrorCode::parse && held_elsewhere && tries < 10;
       ++tries) {
    std::this_thread::sleep_for(50ms);
    p.copy.reset();
    p.load_from = path;
    version = judge(p, path);
  }
  return version;
}

/// Migrates a copy; a writable property is then replaced by it.
Status migrate(Prepared& p, const fs::path& path, int from) {
  if (!p.copy)
    if (Status copied = use_copy(p, path); !copied) return copied;
  if (Status done = migrate_document_file(p.load_from, from); !done) return done;
  if (p.read_only) return ok();
  const fs::path temporary = temporary_beside(path);
  std::error_code ec;
  fs::copy_file(p.load_from, temporary, ec);
  if (ec) return fail(ErrorCode::io, temporary.string() + ": cannot be written: " + ec.message());
  Status done = flush_to_disk(temporary);
  if (done) done = rename_file(temporary, path, true);
  if (!done) {
    fs::remove(temporary, ec);
    return done;
  }
  p.copy.reset();
  p.load_from = path;
  say(p.notice, "The file was brought from schema " + std::to_string(from) + " to " +
                    std::to_string(kSchemaVersion) + ".");
  return ok();
}

}  // namespace

struct PropertyStore::Impl {
  fs::path path;
  bool read_only = false;
  FileLock lock;

  mutable std::mutex mutex;
  std::condition_variable changed;
  Ref<Document> waiting;               // newest version not yet on disk
  std::uint64_t asked = 0, saved = 0;  // numbers of save() calls
  std::uint64_t failures = 0;          // attempts that failed, ever
  SaveState state;
  std::function<void(const SaveState&)> callback;
  bool closing = false, hurry = false;

  // Of the store's thread alone.
  DatasetPtr dataset;
  Ref<Document> on_disk;
  RowKeys keys;
  std::set<Uid> mended;
  std::optional<FileIdentity> identity;

  std::thread thread;

  struct Connected {
    Ref<Document> document;
    std::vector<std::string> notes;
  };

  ~Impl() {
    {
      const std::lock_guard guard(mutex);
      closing = true;
    }
    changed.notify_all();
    if (thread.joinable()) thread.join();
  }

  Result<Connected> start(const fs::path& load_from) {
    std::promise<Result<Connected>> promise;
    std::future<Result<Connected>> answer = promise.get_future();
    thread = std::thread([this, load_from, p = std::move(promise)]() mutable {
      auto connected = connect(load_from);
      const bool go_on = connected.has_value() && !read_only;
      if (!go_on) dataset.reset();  // a reader that stays would only stand in a writer's way
      p.set_value(std::move(connected));
      if (go_on) run();
      dataset.reset();
    });
    return answer.get();
  }

  Result<Connected> connect(const fs::path& from) {
    auto opened = open_geopackage(from, !read_only);
    if (!opened) return std::move(opened.error());
    auto loaded = load_document(**opened);
    if (!loaded) return std::move(loaded.error()).in(shown(path));
    dataset = std::move(*opened);
    on_disk = make_ref<Document>(std::move(loaded->document));
    keys = std::move(loaded->keys);
    mended = std::move(loaded->mended);
    if (!identity) identity = identity_of(path);
    return Connected{on_disk, std::move(loaded->notes)};
  }

  Status write(const Ref<Document>& next) {
    const auto now = identity_of(path);
    if (!now || now != identity) {
      return fail(ErrorCode::io, path.string() +
                                     ": the property file was moved, removed or "
                                     "replaced; put it back or save under another name");
    }
    if (!dataset)
      if (auto again = connect(path); !again) return std::move(again.error());
    Status done = write_difference(*dataset, *on_disk, *next, keys, mended);
    if (done) {
      on_disk = next;
      return done;
    }
    dataset.reset();
    return std::move(done.error()).in(path.string());
  }

  /// True when there is a version to write now; false to end.
  bool wait_for_work(std::unique_lock<std::mutex>& guard, int failed_in_a_row) {
    if (failed_in_a_row > 0 && !closing) {
      const std::uint64_t asked_before = asked;
      auto pause = kFirstRetry * (1 << std::min(failed_in_a_row - 1, 8));
      pause = std::min(pause, kLongestRetry);
      changed.wait_for(guard, pause, [&] { return hurry || closing || asked != asked_before; });
    } else {
      changed.wait(guard, [&] { return waiting != nullptr || closing; });
    }
    return waiting != nullptr;
  }

  void run() {
    std::unique_lock guard(mutex);
    int failed_in_a_row = 0;
    while (wait_for_work(guard, failed_in_a_row)) {
      const Ref<Document> job = waiting;
      const std::uint64_t number = asked;
      hurry = false;
      guard.unlock();
      Status done = write(job);
      guard.lock();
      if (done) {
        saved = number;
        state.saved = job->revision;
        state.problem.clear();
        failed_in_a_row = 0;
        if (asked == number) waiting.reset();
      } else {
        ++failures;
        ++failed_in_a_row;
        state.problem = std::move(done.error().message);
      }
      tell(guard);
      if (closing && failed_in_a_row >= kTriesWhenClosing) return;
    }
  }

  void tell(std::unique_lock<std::mutex>& guard) {
    changed.notify_all();
    if (!callback) return;
    const auto fn = callback;
    const SaveState now = state;
    guard.unlock();
    fn(now);
    guard.lock();
  }
};

PropertyStore::PropertyStore(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
PropertyStore::~PropertyStore() = default;

Result<std::unique_ptr<PropertyStore>> PropertyStore::create(const fs::path& path,
                                                             Ref<Document> document) {
  enter_gdal();
  std::error_code ec;
  if (fs::exists(path, ec)) {
    return fail(ErrorCode::invalid_argument,
                path.string() + ": the file exists already; choose another name");
  }
  const fs::path folder = path.has_parent_path() ? path.parent_path() : fs::path(".");
  if (!fs::is_directory(folder, ec)) {
    return fail(ErrorCode::io, folder.string() + ": there is no such folder; make it first");
  }
  auto lock = FileLock::take(path);
  if (!lock) return std::move(lock.error());
  if (Status done = write_beside_and_rename(path, *document, false); !done)
    return std::move(done.error());
  auto impl = std::make_unique<Impl>();
  impl->path = path;
  impl->lock = std::move(*lock);
  if (auto connected = impl->start(path); !connected) {
    fs::remove(path, ec);
    return std::move(connected.error());
  }
  impl->state = {document->revision, document->revision, {}};
  return std::unique_ptr<PropertyStore>(new PropertyStore(std::move(impl)));
}

Result<PropertyStore::Opened> PropertyStore::open(const fs::path& path, bool read_only) {
  enter_gdal();
  if (Status regular = check_regular_file(path); !regular) return std::move(regular.error());
  auto prepared = take_lock(path, read_only);
  if (!prepared) return std::move(prepared.error());
  auto version = judge_patiently(*prepared, path);
  if (!version) return std::move(version.error());
  if (*version < kSchemaVersion)
    if (Status done = migrate(*prepared, path, *version); !done) return std::move(done.error());
  auto impl = std::make_unique<Impl>();
  impl->path = path;
  impl->read_only = prepared->read_only;
  impl->lock = std::move(prepared->lock);
  auto connected = impl->start(prepared->load_from);
  if (!connected) return std::move(connected.error());
  if (!connected->notes.empty()) say(prepared->notice, path.filename().string() + ":");
  for (const std::string& note : connected->notes) say(prepared->notice, note);
  Opened out;
  out.read_only = impl->read_only;
  out.notice = std::move(prepared->notice);
  out.document = connected->document;
  out.store.reset(new PropertyStore(std::move(impl)));
  return out;
}

const fs::path& PropertyStore::path() const { return impl_->path; }
bool PropertyStore::read_only() const { return impl_->read_only; }

void PropertyStore::save(Ref<Document> next) {
  assert(!impl_->read_only && next);
  {
    const std::lock_guard guard(impl_->mutex);
    impl_->state.asked = next->revision;
    impl_->waiting = std::move(next);
    ++impl_->asked;
  }
  impl_->changed.notify_all();
}

Status PropertyStore::flush() {
  std::unique_lock guard(impl_->mutex);
  const std::uint64_t target = impl_->asked, failed_before = impl_->failures;
  if (impl_->saved >= target) return ok();
  impl_->hurry = true;
  impl_->changed.notify_all();
  impl_->changed.wait(guard,
                      [&] { return impl_->saved >= target || impl_->failures > failed_before; });
  if (impl_->saved >= target) return ok();
  return fail(ErrorCode::io, impl_->state.problem);
}

SaveState PropertyStore::state() const {
  const std::lock_guard guard(impl_->mutex);
  return impl_->state;
}

void PropertyStore::on_change(std::function<void(const SaveState&)> callback) {
  const std::lock_guard guard(impl_->mutex);
  impl_->callback = std::move(callback);
}

Status write_copy(const Document& document, const fs::path& from, const fs::path& to) {
  enter_gdal();
  std::error_code ec;
  const fs::path folder = to.has_parent_path() ? to.parent_path() : fs::path(".");
  if (!fs::is_directory(folder, ec))
    return fail(ErrorCode::io, folder.string() + ": there is no such folder; make it first");
  auto lock = FileLock::take(to);
  if (!lock) return std::move(lock.error());
  return write_beside_and_rename(to, moved_rasters(document, from, to), true);
}

}  // namespace leeward::io
