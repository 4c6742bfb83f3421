// Result<T>: a value or an Error, with the member names of std::expected (C++23), to which it will
// move. World's faults (files, users, cancellation) are Results; a caller's mistake is an assert.
#pragma once

#include <cassert>
#include <string>
#include <string_view>
#include <utility>
#include <variant>

namespace leeward {

enum class ErrorCode {
  cancelled,
  invalid_argument,
  not_found,
  io,
  parse,
  unsupported,
  locked,
  newer_version,
  internal
};

/// Code for programs, message for people: a message names the file, the place and the mend.
struct Error {
  ErrorCode code = ErrorCode::internal;
  std::string message;

  /// Prefixes the place where it happened: "farm.tif: band 1 is missing".
  [[nodiscard]] Error in(std::string_view where) && {
    message.insert(0, ": ").insert(0, where);
    return std::move(*this);
  }
};

template <class T>
class [[nodiscard]] Result {
 public:
  Result(T value) : state_(std::in_place_index<0>, std::move(value)) {}      // NOLINT: implicit
  Result(Error error) : state_(std::in_place_index<1>, std::move(error)) {}  // NOLINT: implicit

  bool has_value() const { return state_.index() == 0; }
  explicit operator bool() const { return has_value(); }

  T& value() & { return assert(has_value()), std::get<0>(state_); }
  const T& value() const& { return assert(has_value()), std::get<0>(state_); }
  T&& value() && { return assert(has_value()), std::get<0>(std::move(state_)); }
  T& operator*() & { return value(); }
  const T& operator*() const& { return value(); }
  T&& operator*() && { return std::move(*this).value(); }
  T* operator->() { return &value(); }
  const T* operator->() const { return &value(); }

  Error& error() & { return assert(!has_value()), std::get<1>(state_); }
  const Error& error() const& { return assert(!has_value()), std::get<1>(state_); }
  Error&& error() && { return assert(!has_value()), std::get<1>(std::move(state_)); }

 private:
  std::variant<T, Error> state_;
};

using Status = Result<std::monostate>;
inline Status ok() { return std::monostate{}; }

inline Error fail(ErrorCode code, std::string message) { return Error{code, std::move(message)}; }

}  // namespace leeward
