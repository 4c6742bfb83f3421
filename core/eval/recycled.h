// Recycled: the latest of a row of large values, each of which differs from the one before in some
// boxes of cells. What nobody holds any longer is brought up to date and used again, for a fresh
// copy of a large grid costs more than the change.
#pragma once

#include "core/base/ref.h"
#include "core/geo/cell_box.h"

#include <atomic>
#include <cstdint>
#include <deque>
#include <memory>
#include <utility>
#include <vector>

namespace leeward {

/// At most one value is kept for use again. THREADS: one at a time; values may be held and let go
/// of on any.
template <class T>
class Recycled {
 public:
  const Ref<T>& now() const { return now_; }

  /// A value that may be written and is equal to now(). `copy(from, to, boxes)` makes `to` equal
  /// to `from` in the boxes.
  template <class CopyBoxes>
  std::unique_ptr<T> copy(CopyBoxes copy_boxes) {
    const std::unique_ptr<Spare> spare(shelf_->spare.exchange(nullptr));
    if (!spare || spare->made + changes_.size() < made_) return std::make_unique<T>(*now_);
    for (std::uint64_t n = spare->made; n < made_; ++n)
      copy_boxes(*now_, *spare->value,
                 changes_[changes_.size() - static_cast<std::size_t>(made_ - n)]);
    return std::move(spare->value);
  }
  /// Makes it now(). It differs in the boxes alone from what was.
  void put(std::unique_ptr<T> value, std::vector<CellBox> boxes) {
    changes_.push_back(std::move(boxes));
    if (changes_.size() > kKept) changes_.pop_front();
    give_out(std::move(value));
  }
  /// The same, of a value that has nothing to do with what was.
  void put_new(std::unique_ptr<T> value) {
    changes_.clear();
    give_out(std::move(value));
  }
  /// A copy that was not needed: it is as now() is.
  void give_back(std::unique_ptr<T> value) { shelf_->lay(std::move(value), made_); }

 private:
  static constexpr std::size_t kKept = 16;
  struct Spare {
    std::unique_ptr<T> value;
    std::uint64_t made;  // its number
  };
  struct Shelf {
    std::atomic<Spare*> spare = nullptr;

    Shelf() = default;
    Shelf(const Shelf&) = delete;
    Shelf& operator=(const Shelf&) = delete;
    ~Shelf() { delete spare.load(); }
    // The newer of two stays.
    void lay(std::unique_ptr<T> value, std::uint64_t made) {
      Spare* out = spare.exchange(new Spare{std::move(value), made});
      if (out && out->made > made) out = spare.exchange(out);
      delete out;
    }
  };

  void give_out(std::unique_ptr<T> value) {
    ++made_;
    const std::weak_ptr<Shelf> to = shelf_;
    now_ = std::shared_ptr<T>(value.release(), [to, number = made_](T* left) {
      std::unique_ptr<T> own(left);
      if (const auto shelf = to.lock()) shelf->lay(std::move(own), number);
    });
  }

  std::shared_ptr<Shelf> shelf_ = std::make_shared<Shelf>();
  std::deque<std::vector<CellBox>> changes_;  // of the last values, up to now()
  std::uint64_t made_ = 0;
  Ref<T> now_;
};

}  // namespace leeward
