// Shelf: things that are dear to make and of no meaning once used, kept for whoever needs one next.
#pragma once

#include <array>
#include <atomic>
#include <cstddef>
#include <memory>

namespace leeward {

/// At most kPlaces lie on it. THREADS: any number at once; nobody waits.
template <class T, std::size_t kPlaces>
class Shelf {
 public:
  Shelf() = default;
  Shelf(const Shelf&) = delete;
  Shelf& operator=(const Shelf&) = delete;
  ~Shelf() {
    while (take()) {
    }
  }

  /// nullptr: nothing lies there.
  std::unique_ptr<T> take() {
    for (auto& place : places_)
      if (T* one = place.exchange(nullptr)) return std::unique_ptr<T>(one);
    return nullptr;
  }
  /// One too many is thrown away.
  void give_back(std::unique_ptr<T> one) {
    for (auto& place : places_) {
      T* nothing = nullptr;
      if (place.compare_exchange_strong(nothing, one.get())) {
        static_cast<void>(one.release());
        return;
      }
    }
  }

 private:
  std::array<std::atomic<T*>, kPlaces> places_ = {};
};

}  // namespace leeward
