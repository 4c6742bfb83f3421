// Vectors whose values are left unset until they are written: for large ones that are filled at
// once, where zeros first would cost as much as the filling.
#pragma once

#include <memory>
#include <type_traits>
#include <vector>

namespace leeward {

/// Makes values without setting them.
template <class T>
struct UnsetAllocator : std::allocator<T> {
  static_assert(std::is_trivially_destructible_v<T> && std::is_trivially_copyable_v<T>);
  template <class U>
  struct rebind {
    using other = UnsetAllocator<U>;
  };
  UnsetAllocator() = default;
  template <class U>
  explicit UnsetAllocator(const UnsetAllocator<U>&) {}
  void construct(T*) {}
  template <class... Args>
  void construct(T* at, Args&&... args) {
    std::construct_at(at, std::forward<Args>(args)...);
  }
};
template <class T>
using UnsetVector = std::vector<T, UnsetAllocator<T>>;

}  // namespace leeward
