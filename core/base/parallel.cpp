// A fixed pool; the caller works too. One job at a time: jobs are short and never nest.
#include "core/base/parallel.h"

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <mutex>
#include <thread>
#include <vector>

namespace leeward {
namespace {

thread_local bool inside_job = false;

class Pool {
 public:
  Pool() {
    const unsigned cores = std::max(1U, std::thread::hardware_concurrency());
    for (unsigned i = 1; i < cores; ++i) {
      threads_.emplace_back([this](const std::stop_token& quit) { work(quit); });
    }
  }
  ~Pool() {
    for (auto& t : threads_) t.request_stop();
    wake_.notify_all();
  }
  Pool(const Pool&) = delete;
  Pool& operator=(const Pool&) = delete;

  bool run(int count, const std::function<void(int)>& fn, const std::stop_token& stop) {
    const std::lock_guard turn(turn_);
    {
      const std::lock_guard lock(mutex_);
      fn_ = &fn;
      stop_ = &stop;
      count_ = count;
      next_.store(0, std::memory_order_relaxed);
      busy_ = static_cast<int>(threads_.size());
      ++generation_;
    }
    wake_.notify_all();
    drain(fn, count, stop);
    std::unique_lock lock(mutex_);
    done_.wait(lock, [this] { return busy_ == 0; });
    return !stop.stop_requested();
  }

 private:
  void drain(const std::function<void(int)>& fn, int count, const std::stop_token& stop) {
    inside_job = true;
    for (;;) {
      const int i = next_.fetch_add(1, std::memory_order_relaxed);
      if (i >= count || stop.stop_requested()) break;
      fn(i);
    }
    inside_job = false;
  }

  void work(const std::stop_token& quit) {
    unsigned seen = 0;
    for (;;) {
      const std::function<void(int)>* fn = nullptr;
      const std::stop_token* stop = nullptr;
      int count = 0;
      {
        std::unique_lock lock(mutex_);
        wake_.wait(lock, quit, [&] { return generation_ != seen; });
        if (quit.stop_requested()) return;
        seen = generation_;
        fn = fn_;
        stop = stop_;
        count = count_;
      }
      drain(*fn, count, *stop);
      const std::lock_guard lock(mutex_);
      if (--busy_ == 0) done_.notify_all();
    }
  }

  std::mutex turn_, mutex_;
  std::condition_variable_any wake_, done_;
  const std::function<void(int)>* fn_ = nullptr;
  const std::stop_token* stop_ = nullptr;
  int count_ = 0, busy_ = 0;
  unsigned generation_ = 0;
  std::atomic<int> next_{0};
  std::vector<std::jthread> threads_;
};

}  // namespace

bool for_each_index(int count, const std::function<void(int)>& fn, std::stop_token stop) {
  if (inside_job || count <= 1) {
    for (int i = 0; i < count && !stop.stop_requested(); ++i) fn(i);
    return !stop.stop_requested();
  }
  static Pool pool;
  return pool.run(count, fn, stop);
}

}  // namespace leeward
