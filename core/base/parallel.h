// The only thread pool. Work is split by index and each index writes only its own cells, so results
// do not depend on the number of cores.
#pragma once

#include <functional>
#include <stop_token>

namespace leeward {

/// Calls fn(i) for every i in [0, count), on up to `std::thread::hardware_concurrency()` threads,
/// and returns when all are done. Once `stop` is requested the remaining indices are skipped.
/// Nested calls run on the calling thread. Returns false if it was stopped.
/// THREADS: may be called from any thread; calls from several threads take turns.
bool for_each_index(int count, const std::function<void(int)>& fn, std::stop_token stop = {});

/// Rounds that wait for each other: share(k) for every k in [0, shares), then again(), over and
/// over until again() returns false. Shares of one round may run at the same time; again() runs
/// alone, sees what all shares wrote, and every share of the next round sees what it wrote. Share 0
/// and again() run on the same thread. The wait is a spin: for rounds of about ten microseconds.
/// A thread that comes late is not waited for: its share is done by another until then.
void for_each_round(int shares, const std::function<void(int)>& share,
                    const std::function<bool()>& again);

/// Cores of the machine, at least 1.
int core_count();

/// Lets threads that draw go first: for a thread that works in the background. Nothing where the
/// system has no such thing for single threads.
void give_way();

}  // namespace leeward
