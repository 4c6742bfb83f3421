// A queue of cells by cost. Bucket i holds costs from i * width up; a cell may stand in several
// buckets, and only its best label counts. For the search of ways alone.
#pragma once

#include <algorithm>
#include <cstdint>
#include <limits>
#include <vector>

namespace leeward::compute {

class CostBuckets {
 public:
  static constexpr std::int32_t kNone = std::numeric_limits<std::int32_t>::max();

  /// Puts a cell into bucket `index`, no earlier than the current one.
  [[gnu::always_inline]] void push(std::int32_t index, std::uint32_t cell) {
    if (index - now_ < kWindow) [[likely]] {
      auto& bucket = ring_[slot(index)];
      if (bucket.size() == bucket.capacity()) [[unlikely]]
        bucket.reserve(std::max<size_t>(kFirstRoom, 2 * bucket.size()));
      bucket.push_back(cell);
      ++waiting_;
    } else {
      far_.push_back(cell);
      far_first_ = std::min(far_first_, index);
    }
  }

  /// Makes `index` the current bucket; earlier ones must be empty. `index_of(cell)` tells the
  /// bucket of a cell's label, kNone when the label is done with.
  template <class IndexOf>
  void go_to(std::int32_t index, IndexOf index_of) {
    now_ = index;
    if (far_.empty() || far_first_ - now_ >= kWindow / 2) return;
    far_first_ = kNone;
    std::vector<std::uint32_t> far;
    far.swap(far_);
    for (const std::uint32_t cell : far)
      if (const std::int32_t i = index_of(cell); i != kNone) push(i, cell);
  }

  /// Moves the content of the current bucket into `out`; false if there is none.
  bool take(std::vector<std::uint32_t>& out) {
    auto& bucket = ring_[slot(now_)];
    out.clear();
    out.swap(bucket);
    waiting_ -= out.size();
    lend(bucket);
    return !out.empty();
  }

  /// The first bucket that may hold cells, kNone if there is none.
  std::int32_t first() const {
    if (waiting_ == 0) return far_first_;
    std::int32_t i = now_;
    while (ring_[slot(i)].empty()) ++i;
    return std::min(i, far_first_);
  }

 private:
  static constexpr std::int32_t kWindow = 4096;
  static constexpr size_t kFirstRoom = 128;  // cells
  // Gives what room an empty bucket has to one soon to come, so that little memory is touched.
  void lend(std::vector<std::uint32_t>& room) {
    constexpr std::int32_t kSoon = 16;
    if (room.capacity() == 0) return;
    for (std::int32_t i = now_ + 1; i <= now_ + kSoon; ++i)
      if (ring_[slot(i)].capacity() == 0) return room.swap(ring_[slot(i)]);
  }
  static size_t slot(std::int32_t index) { return static_cast<size_t>(index & (kWindow - 1)); }

  std::vector<std::vector<std::uint32_t>> ring_{static_cast<size_t>(kWindow)};
  std::size_t waiting_ = 0;         // cells in the ring
  std::vector<std::uint32_t> far_;  // beyond the ring
  std::int32_t now_ = 0, far_first_ = kNone;
};

}  // namespace leeward::compute
