// Memo: one cached stage. Large inputs enter the key as Ref (identity), small ones by value;
// whatever the lambda reads must stand in the key.
#pragma once

#include "core/base/ref.h"
#include "core/base/result.h"

#include <concepts>
#include <memory>
#include <optional>
#include <utility>

namespace leeward {

template <std::equality_comparable Key, class Value>
class Memo {
 public:
  /// The cached value if the key is unchanged, else what `compute` gives. A failed or cancelled
  /// computation leaves the last good pair.
  template <class Compute>
  Result<Ref<Value>> get(const Key& key, Compute&& compute) {
    if (value_ && key_ == key) return value_;
    Result<Value> fresh = std::forward<Compute>(compute)();
    if (!fresh) return std::move(fresh.error());
    key_ = key;
    value_ = std::make_shared<const Value>(*std::move(fresh));
    ++runs_;
    return value_;
  }
  /// The same, but the object stays where the new value equals it, so that what rests on it does
  /// too.
  template <class Compute>
  Result<Ref<Value>> get_or_keep(const Key& key, Compute&& compute) {
    const Ref<Value> before = value_;
    if (Result<Ref<Value>> made = get(key, std::forward<Compute>(compute)); !made)
      return std::move(made.error());
    if (before && before != value_ && *before == *value_) value_ = before;
    return value_;
  }
  /// True if get() with this key would compute nothing.
  bool holds(const Key& key) const { return value_ && key_ == key; }
  int runs() const { return runs_; }
  /// Of the last good computation; null before.
  const Key* key() const { return key_ ? &*key_ : nullptr; }
  const Ref<Value>& value() const { return value_; }

 private:
  std::optional<Key> key_;
  Ref<Value> value_;
  int runs_ = 0;
};

}  // namespace leeward
