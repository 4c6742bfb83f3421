// Uid: the lasting identity of a row (RFC 4122 version 4, 36 lower-case characters).
#pragma once

#include <functional>
#include <string>
#include <string_view>

namespace leeward {

class Uid {
 public:
  Uid() = default;
  explicit Uid(std::string text) : text_(std::move(text)) {}
  /// A fresh random identity (std::random_device).
  static Uid random();
  /// A reproducible identity: the same seed text gives the same Uid (for generated data and tests).
  static Uid from_seed(std::string_view seed);
  /// True for 36 characters of the 8-4-4-4-12 hexadecimal form.
  static bool is_well_formed(std::string_view text);

  const std::string& str() const { return text_; }
  bool empty() const { return text_.empty(); }
  friend auto operator<=>(const Uid&, const Uid&) = default;

 private:
  std::string text_;
};

}  // namespace leeward

template <>
struct std::hash<leeward::Uid> {
  size_t operator()(const leeward::Uid& u) const noexcept {
    return std::hash<std::string>{}(u.str());
  }
};
