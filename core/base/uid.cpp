#include "core/base/uid.h"

#include <array>
#include <cstdint>
#include <random>

namespace leeward {
namespace {

std::string format(std::uint64_t hi, std::uint64_t lo) {
  hi = (hi & ~0xF000ULL) | 0x4000ULL;                         // version 4
  lo = (lo & 0x3FFFFFFFFFFFFFFFULL) | 0x8000000000000000ULL;  // variant 1
  static constexpr char kHex[] = "0123456789abcdef";
  std::string out;
  out.reserve(36);
  for (int i = 0; i < 32; ++i) {
    if (i == 8 || i == 12 || i == 16 || i == 20) out += '-';
    const std::uint64_t word = i < 16 ? hi : lo;
    out += kHex[(word >> (60 - 4 * (i % 16))) & 0xF];
  }
  return out;
}

// splitmix64 (Vigna, public domain): used only to turn seed text into well-mixed bits.
std::uint64_t mix(std::uint64_t x) {
  x += 0x9E3779B97F4A7C15ULL;
  x = (x ^ (x >> 30)) * 0xBF58476D1CE4E5B9ULL;
  x = (x ^ (x >> 27)) * 0x94D049BB133111EBULL;
  return x ^ (x >> 31);
}

}  // namespace

Uid Uid::random() {
  std::random_device device;
  const auto word = [&] { return (std::uint64_t{device()} << 32) | device(); };
  return Uid(format(word(), word()));
}

Uid Uid::from_seed(std::string_view seed) {
  std::uint64_t h = 0xCBF29CE484222325ULL;  // FNV-1a
  for (const char c : seed) h = (h ^ static_cast<unsigned char>(c)) * 0x100000001B3ULL;
  return Uid(format(mix(h), mix(h ^ 0xA5A5A5A5A5A5A5A5ULL)));
}

bool Uid::is_well_formed(std::string_view text) {
  if (text.size() != 36) return false;
  for (size_t i = 0; i < 36; ++i) {
    const char c = text[i];
    const bool dash = i == 8 || i == 13 || i == 18 || i == 23;
    const bool hex = (c >= '0' && c <= '9') || (c >= 'a' && c <= 'f');
    if (dash ? c != '-' : !hex) return false;
  }
  return true;
}

}  // namespace leeward
