// LatestWins: one worker thread and at most one waiting job; a newer job replaces the waiting one.
//
//   idle --submit--> running --submit--> running + waiting --submit--> running + (newer) waiting
//                       '--done--> next waiting, or idle
//
// The running job finishes, or is asked to stop, as the newer submit says.
#pragma once

#include "core/base/parallel.h"

#include <condition_variable>
#include <functional>
#include <mutex>
#include <optional>
#include <stop_token>
#include <thread>

namespace leeward {

enum class WhenSuperseded { finish, stop };

/// THREADS: submit() from any thread. The destructor stops and joins: declare it last.
template <class Job>
class LatestWins {
 public:
  using Run = std::function<void(const Job&, std::stop_token)>;
  explicit LatestWins(Run run)
      : run_(std::move(run)), thread_([this](std::stop_token quit) {
          give_way();
          work(quit);
        }) {}
  ~LatestWins() {
    {
      const std::lock_guard lock(mutex_);
      if (running_) running_->request_stop();
    }
    thread_.request_stop();
    wake_.notify_all();
  }
  LatestWins(const LatestWins&) = delete;
  LatestWins& operator=(const LatestWins&) = delete;

  void submit(Job job, WhenSuperseded running) {
    {
      const std::lock_guard lock(mutex_);
      waiting_ = std::move(job);
      if (running_ && running == WhenSuperseded::stop) running_->request_stop();
    }
    wake_.notify_all();
  }

 private:
  void work(const std::stop_token& quit) {
    for (;;) {
      std::optional<Job> job;
      std::stop_source source;
      {
        std::unique_lock lock(mutex_);
        wake_.wait(lock, quit, [this] { return waiting_.has_value(); });
        if (quit.stop_requested()) return;
        job.swap(waiting_);
        running_ = source;
      }
      run_(*job, source.get_token());
      const std::lock_guard lock(mutex_);
      running_.reset();
    }
  }

  Run run_;
  std::mutex mutex_;
  std::condition_variable_any wake_;
  std::optional<Job> waiting_;
  std::optional<std::stop_source> running_;
  std::jthread thread_;
};

}  // namespace leeward
