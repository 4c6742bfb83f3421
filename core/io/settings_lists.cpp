#include "core/io/settings_lists.h"

#include <nlohmann/json.hpp>

namespace leeward::io {
namespace {

using Json = nlohmann::ordered_json;  // a list keeps its order

std::string text_of(const Json& list) {
  return list.empty() ? std::string() : list.dump(-1, ' ', false, Json::error_handler_t::replace);
}

template <class T, class Fn>
bool read(const std::string& text, std::vector<T>& out, Fn&& row) {
  std::vector<T> rows;
  if (!text.empty()) {
    const Json list = Json::parse(text, nullptr, false);
    try {
      if (!list.is_structured()) return false;
      for (const auto& [key, value] : list.items()) rows.push_back(row(key, value));
    } catch (const Json::exception&) {
      return false;
    }
  }
  out = std::move(rows);
  return true;
}

}  // namespace

std::string list_text(const std::vector<NamedValue>& values) {
  Json out = Json::object();
  for (const NamedValue& v : values) out[v.name] = v.value;
  return text_of(out);
}

std::string list_text(const std::vector<DeerCurve>& curves) {
  Json out = Json::array();
  for (const DeerCurve& c : curves) {
    Json knots = Json::array();
    for (const CurveKnot& k : c.knots) knots.push_back({k.hours, k.chance});
    out.push_back({{"name", c.name}, {"knots", std::move(knots)}});
  }
  return text_of(out);
}

std::string list_text(const std::vector<RutPhase>& phases) {
  Json out = Json::array();
  for (const RutPhase& r : phases)
    out.push_back(
        {{"name", r.name}, {"from", r.from}, {"until", r.until}, {"daylight", r.daylight}});
  return text_of(out);
}

bool read_list(const std::string& text, std::vector<NamedValue>& out) {
  return read(text, out, [](const std::string& key, const Json& value) {
    return NamedValue{key, value.get<double>()};
  });
}

bool read_list(const std::string& text, std::vector<DeerCurve>& out) {
  return read(text, out, [](const std::string&, const Json& value) {
    DeerCurve curve{value.at("name").get<std::string>(), {}};
    for (const Json& k : value.at("knots"))
      curve.knots.push_back({k.at(0).get<double>(), k.at(1).get<double>()});
    return curve;
  });
}

bool read_list(const std::string& text, std::vector<RutPhase>& out) {
  return read(text, out, [](const std::string&, const Json& value) {
    return RutPhase{value.at("name").get<std::string>(), value.at("from").get<std::string>(),
                    value.at("until").get<std::string>(), value.at("daylight").get<double>()};
  });
}

}  // namespace leeward::io
