#include "core/base/large_pages.h"

#include <cstdint>
#ifdef __linux__
#include <sys/mman.h>
#endif

namespace leeward {

void prefer_large_pages([[maybe_unused]] void* memory, [[maybe_unused]] size_t bytes) {
#ifdef __linux__
  constexpr std::uintptr_t kLarge = std::uintptr_t{2} << 20;
  const auto begin = reinterpret_cast<std::uintptr_t>(memory);
  const std::uintptr_t first = (begin + kLarge - 1) / kLarge * kLarge;
  const std::uintptr_t last = (begin + bytes) / kLarge * kLarge;
  if (last > first)  // advice: a system that cannot follow it gives small pages
    (void)madvise(reinterpret_cast<void*>(first), last - first, MADV_HUGEPAGE);
#endif
}

}  // namespace leeward
