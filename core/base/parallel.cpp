// A fixed pool; the caller works too. One job at a time: jobs are short and never nest.
#include "core/base/parallel.h"

#include <algorithm>
#include <atomic>
#include <condition_variable>
#include <cstdint>
#include <limits>
#include <mutex>
#include <thread>
#ifdef __linux__
#include <sys/resource.h>
#include <unistd.h>
#endif
#include <vector>

namespace leeward {
namespace {

thread_local bool inside_job = false;

class Pool {
 public:
  Pool() {
    const int cores = core_count();
    for (int i = 1; i < cores; ++i) {
      threads_.emplace_back([this](const std::stop_token& quit) {
        give_way();
        work(quit);
      });
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

// The pace of for_each_round. The leader offers each present helper its share of the round, does
// its own and what no helper has begun by then, and waits for those that are at work. So a helper
// whom the system has put aside for another program does not hold up the round.
class Rounds {
 public:
  Rounds(int shares, const std::function<void(int)>& share, const std::function<bool()>& again)
      : share_(share), again_(again), helpers_(static_cast<size_t>(shares)) {}

  void work(int k) { k == 0 ? lead() : help(k, helpers_[static_cast<size_t>(k)]); }

 private:
  static constexpr std::uint64_t kOver = std::numeric_limits<std::uint64_t>::max();
  struct alignas(64) Helper {
    std::atomic<bool> present{false};
    std::atomic<std::uint64_t> offer{0};  // twice the round; odd once somebody has taken it
    std::atomic<std::uint64_t> done{0};   // the last offer that the helper did
  };

  template <class Done>
  static void spin_until(const std::atomic<std::uint64_t>& value, Done done) {
    for (int spins = 0; !done(value.load(std::memory_order_acquire)); ++spins)
      if (spins > 2000) std::this_thread::yield();
  }
  // True for the first that asks for this offer.
  static bool take(Helper& helper, std::uint64_t offer) {
    return helper.offer.compare_exchange_strong(offer, offer + 1, std::memory_order_acq_rel);
  }

  void lead() {
    std::vector<bool> offered(helpers_.size());
    std::uint64_t offer = 0;
    do {
      offer += 2;
      for (size_t k = 1; k < helpers_.size(); ++k) {
        offered[k] = helpers_[k].present.load(std::memory_order_acquire);
        if (offered[k]) helpers_[k].offer.store(offer, std::memory_order_release);
      }
      share_(0);
      for (size_t k = 1; k < helpers_.size(); ++k)
        if (!offered[k] || take(helpers_[k], offer)) {
          offered[k] = false;
          share_(static_cast<int>(k));
        }
      for (size_t k = 1; k < helpers_.size(); ++k)
        if (offered[k]) spin_until(helpers_[k].done, [&](std::uint64_t v) { return v == offer; });
    } while (again_());
    for (size_t k = 1; k < helpers_.size(); ++k)
      helpers_[k].offer.store(kOver, std::memory_order_release);
  }

  void help(int k, Helper& self) {
    self.present.store(true, std::memory_order_release);
    for (;;) {
      std::uint64_t offer = 0;
      spin_until(self.offer, [&](std::uint64_t v) {
        offer = v;
        return v == kOver || (v != 0 && v % 2 == 0);
      });
      if (offer == kOver) return;
      if (!take(self, offer)) continue;
      share_(k);
      self.done.store(offer, std::memory_order_release);
    }
  }

  const std::function<void(int)>& share_;
  const std::function<bool()>& again_;
  std::vector<Helper> helpers_;
};

}  // namespace

void for_each_round(int shares, const std::function<void(int)>& share,
                    const std::function<bool()>& again) {
  Rounds rounds(shares, share, again);
  for_each_index(shares, [&](int k) { rounds.work(k); });
}

bool for_each_index(int count, const std::function<void(int)>& fn, std::stop_token stop) {
  if (inside_job || count <= 1) {
    for (int i = 0; i < count && !stop.stop_requested(); ++i) fn(i);
    return !stop.stop_requested();
  }
  static Pool pool;
  return pool.run(count, fn, stop);
}

void give_way() {
#ifdef __linux__
  setpriority(PRIO_PROCESS, static_cast<id_t>(gettid()), 5);  // of this thread alone
#endif
}

int core_count() { return std::max(1, static_cast<int>(std::thread::hardware_concurrency())); }

}  // namespace leeward
