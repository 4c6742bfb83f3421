// What every answer's JSON is put together from; what is not known is null.
#pragma once

#include "core/model/document.h"

#include <nlohmann/json.hpp>

#include <cmath>
#include <optional>

namespace leeward::batch {

/// Empty where there is no such feature.
inline std::string name_of(const Document& d, const Uid& uid) {
  const Ref<Feature> f = d.find(uid);
  return f ? display_name(*f) : std::string();
}
inline nlohmann::json name_or_null(const Document& d, const Uid& uid) {
  const Ref<Feature> f = d.find(uid);
  return f ? nlohmann::json(display_name(*f)) : nlohmann::json(nullptr);
}
inline nlohmann::json instant_or_null(const std::optional<Instant>& t) {
  return t ? nlohmann::json(to_iso8601(*t)) : nlohmann::json(nullptr);
}
/// NaN is not known.
inline nlohmann::json number_or_null(double v) {
  return std::isnan(v) ? nlohmann::json(nullptr) : nlohmann::json(v);
}

}  // namespace leeward::batch
