// Ref<T>: shared ownership of an immutable value. The only thing that may cross threads.
// Equality is identity: two Refs are equal when they share one object.
#pragma once

#include <memory>
#include <utility>

namespace leeward {

template <class T>
using Ref = std::shared_ptr<const T>;

template <class T, class... Args>
Ref<T> make_ref(Args&&... args) {
  return std::make_shared<const T>(std::forward<Args>(args)...);
}

}  // namespace leeward
