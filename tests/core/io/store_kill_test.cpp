// The process is killed while it saves: every edit that flush() has promised must be in the file.
// LEEWARD_KILL_ROUNDS sets the number of kills (25 when it is not set).
#include "core/io/property_store.h"
#include "core/io/store_paths.h"
#include "tests/core/io/io_support.h"

#include <algorithm>
#include <chrono>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <random>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

namespace leeward::io {
namespace {

using namespace testing;

/// Edits and saves until killed; writes the number of each edit that flush() has promised.
[[noreturn]] void edit_until_killed(const fs::path& path, int acknowledge, int first) {
  auto opened = PropertyStore::open(path);
  if (!opened || opened->read_only) _exit(3);
  Document d = *opened->document;
  for (int n = first;; ++n) {
    Feature f = make_feature(Kind::note, Shape::point({684800.0 + n % 997, 5017800}),
                             "note " + std::to_string(n));
    f.uid = Uid::from_seed("note " + std::to_string(n));
    std::vector<Edit> edits = {put(f)};
    if (n % 3 == 0 && n > 10) {  // an older one is changed, too
      const Ref<Feature> old = d.find(Uid::from_seed("note " + std::to_string(n - 7)));
      if (old) {
        Feature changed = *old;
        changed.remarks = "changed by " + std::to_string(n);
        edits.push_back(put(changed));
      }
    }
    auto next = apply(d, {"Edit", std::move(edits), {}});
    if (!next) _exit(4);
    d = std::move(*next);
    opened->store->save(make_ref<Document>(d));
    if (!opened->store->flush()) _exit(5);
    if (write(acknowledge, &n, sizeof n) != ssize_t{sizeof n}) _exit(6);
  }
}

int kill_rounds() {
  const char* asked = std::getenv("LEEWARD_KILL_ROUNDS");
  return asked ? std::max(1, std::atoi(asked)) : 25;
}

TEST(KillTest, EveryAcknowledgedEditIsThereAfterTheProcessIsKilled) {
  const Folder folder;
  const fs::path path = folder / "p.gpkg";
  make_file(path, full_document());
  std::mt19937 random(11);
  int next = 1, recovered = 0;
  for (int round = 0; round < kill_rounds(); ++round) {
    int pipe_ends[2];
    ASSERT_EQ(pipe(pipe_ends), 0);
    const pid_t child = fork();
    if (child == 0) edit_until_killed(path, pipe_ends[1], next);
    close(pipe_ends[1]);
    int last = 0, n = 0;
    const bool began = read(pipe_ends[0], &n, sizeof n) == ssize_t{sizeof n};
    if (began) last = n;
    std::this_thread::sleep_for(std::chrono::microseconds(random() % 20000));
    kill(child, SIGKILL);
    int status = 0;
    waitpid(child, &status, 0);
    ASSERT_TRUE(began && WIFSIGNALED(status))
        << "the child ended by itself, " << WEXITSTATUS(status);
    while (read(pipe_ends[0], &n, sizeof n) == ssize_t{sizeof n}) last = n;
    close(pipe_ends[0]);
    recovered += has_journal(path) ? 1 : 0;
    auto opened = PropertyStore::open(path);
    ASSERT_TRUE(opened) << opened.error().message;
    ASSERT_FALSE(opened->read_only);
    for (int i = 1; i <= last; ++i)
      ASSERT_NE(opened->document->find(Uid::from_seed("note " + std::to_string(i))), nullptr)
          << "edit " << i << " of " << last << " is lost in round " << round;
    next = last + 1;
    // One more may be there, written and not yet acknowledged.
    while (opened->document->find(Uid::from_seed("note " + std::to_string(next)))) ++next;
    EXPECT_LE(next, last + 2);
  }
  std::printf("%d rounds, %d edits, %d cut-off writes recovered\n", kill_rounds(), next - 1,
              recovered);
}

TEST(KillTest, AHotJournalIsJudgedOnACopyFirst) {
  const Folder folder;
  const fs::path path = folder / "p.gpkg";
  write_bytes(path, "not a database at all");
  write_bytes(folder / "p.gpkg-journal",
              std::string("\xd9\xd5\x05\xf9\x20\xa1\x63\xd7", 8) + std::string(600, 'x'));
  const std::string journal = bytes_of(folder / "p.gpkg-journal");
  auto opened = PropertyStore::open(path);
  ASSERT_FALSE(opened);
  EXPECT_EQ(bytes_of(path), "not a database at all");
  EXPECT_EQ(bytes_of(folder / "p.gpkg-journal"), journal);
}

}  // namespace
}  // namespace leeward::io
