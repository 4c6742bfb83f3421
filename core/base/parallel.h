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

}  // namespace leeward
