// Large pages for memory of many megabytes that is about to be filled: to be given it piece by
// piece costs as much as to compute in it.
#pragma once

#include <cstddef>
#include <vector>

namespace leeward {

/// Asks the system to back this untouched memory by large pages. Nothing where there are none.
void prefer_large_pages(void* memory, size_t bytes);

/// n values, in large pages where the system has them.
template <class T>
std::vector<T> large_vector(size_t n, T value = {}) {
  std::vector<T> out;
  out.reserve(n);
  prefer_large_pages(out.data(), n * sizeof(T));
  out.assign(n, value);
  return out;
}

}  // namespace leeward
