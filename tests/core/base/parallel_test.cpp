#include "core/base/parallel.h"

#include <gtest/gtest.h>

#include <atomic>
#include <numeric>
#include <vector>

namespace leeward {
namespace {

// Each share hands its number to the next at every round; with plain variables only, so that a
// missing order between rounds shows under the thread sanitizer.
TEST(ForEachRound, SharesSeeWhatTheRoundBeforeWrote) {
  for (const int shares : {1, 2, 3, 5}) {
    std::vector<int> held(static_cast<size_t>(shares)), handed(held.size());
    std::iota(held.begin(), held.end(), 0);
    int rounds = 0;
    for_each_round(
        shares,
        [&](int k) {
          const size_t next = static_cast<size_t>((k + 1) % shares);
          handed[next] = held[static_cast<size_t>(k)] + 10;
        },
        [&] {
          held = handed;
          return ++rounds < 1000;
        });
    EXPECT_EQ(rounds, 1000);
    for (int k = 0; k < shares; ++k) {
      const int from = ((k - 1000) % shares + shares) % shares;
      EXPECT_EQ(held[static_cast<size_t>(k)], from + 10000) << shares;
    }
  }
}

// Inside another job there is one thread only: all shares are done by it, in order.
TEST(ForEachRound, RunsOnOneThreadInsideAnotherJob) {
  std::atomic<int> wrong{0};
  for_each_index(4, [&](int) {
    int rounds = 0, next = 0;
    for_each_round(
        3, [&](int k) { wrong += k != next++; },
        [&] {
          next = 0;
          return ++rounds < 50;
        });
    wrong += rounds != 50;
  });
  EXPECT_EQ(wrong, 0);
}

}  // namespace
}  // namespace leeward
