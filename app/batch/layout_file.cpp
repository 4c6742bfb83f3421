#include "app/batch/layout_file.h"

#include <nlohmann/json.hpp>

#include <cmath>
#include <fstream>
#include <functional>
#include <map>
#include <sstream>

namespace leeward::batch {
namespace {

using nlohmann::json;

constexpr std::uintmax_t kMostBytes = 1 << 20;

/// Reads values of one object; the first fault is kept with its place.
class Reader {
 public:
  explicit Reader(std::string file) : file_(std::move(file)) {}

  void fault(const std::string& key, const std::string& mend) {
    if (fault_.empty()) fault_ = file_ + ": '" + key + "': " + mend;
  }
  void flag(const std::string& key, const json& v, bool& out) {
    if (v.is_boolean()) {
      out = v.get<bool>();
    } else {
      fault(key, "true or false is wanted, not " + v.dump());
    }
  }
  void number(const std::string& key, const json& v, double least, double most, double& out) {
    if (v.is_number() && v.get<double>() >= least && v.get<double>() <= most) {
      out = v.get<double>();
      return;
    }
    std::ostringstream words;
    words << "a number from " << least << " to " << most << " is wanted, not " << v.dump();
    fault(key, words.str());
  }
  void text(const std::string& key, const json& v, std::string& out) {
    if (v.is_string()) {
      out = v.get<std::string>();
    } else {
      fault(key, "words in quotes are wanted, not " + v.dump());
    }
  }
  void texts(const std::string& key, const json& v, std::vector<std::string>& out) {
    if (!v.is_array()) return fault(key, "a list in [ ] is wanted, not " + v.dump());
    for (const json& one : v) {
      std::string word;
      text(key, one, word);
      out.push_back(std::move(word));
    }
  }
  template <class E>
  void word(const std::string& key, const json& v, E& out) {
    std::string known, given;
    for (const auto& [value, name] : EnumWords<E>::words)
      known += (known.empty() ? "" : ", ") + std::string(name);
    if (v.is_string()) given = v.get<std::string>();
    if (const auto value = from_word<E>(given)) {
      out = *value;
    } else {
      fault(key, "one of " + known + " is wanted, not " + v.dump());
    }
  }
  const std::string& problem() const { return fault_; }

 private:
  std::string file_, fault_;
};

void read_paper(Reader& r, const json& v, PrintLayout& out) {
  if (!v.is_object()) return r.word("paper", v, out.paper);
  out.paper = PaperSize::custom;
  if (v.size() != 2 || !v.contains("width_mm") || !v.contains("height_mm"))
    return r.fault("paper", "width_mm and height_mm are wanted, and nothing else");
  r.number("paper.width_mm", v["width_mm"], kLeastPaper_mm, kMostPaper_mm, out.custom_width_mm);
  r.number("paper.height_mm", v["height_mm"], kLeastPaper_mm, kMostPaper_mm, out.custom_height_mm);
}

void read_centre(Reader& r, const json& v, PrintLayout& out) {
  if (!v.is_object() || v.size() != 2 || !v.contains("easting_m") || !v.contains("northing_m"))
    return r.fault("centre", "easting_m and northing_m are wanted, and nothing else");
  LocalXY at;
  r.number("centre.easting_m", v["easting_m"], -1e7, 1e7, at.x);
  r.number("centre.northing_m", v["northing_m"], -1e7, 2e7, at.y);
  out.centre = at;
}

using Field = std::function<void(const std::string&, const json&)>;

std::map<std::string, Field> fields(Reader& r, LayoutFile& out) {
  PrintLayout& l = out.layout;
  const auto flag = [&r](bool& to) {
    return [&r, &to](const std::string& key, const json& v) { r.flag(key, v, to); };
  };
  const auto number = [&r](double least, double most, double& to) {
    return [&r, &to, least, most](const std::string& key, const json& v) {
      r.number(key, v, least, most, to);
    };
  };
  const auto texts = [&r](std::vector<std::string>& to) {
    return [&r, &to](const std::string& key, const json& v) { r.texts(key, v, to); };
  };
  return {
      {"sheets", texts(out.sheets)},
      {"stands", texts(out.stands)},
      {"at", [&](const std::string& key, const json& v) { r.text(key, v, out.at); }},
      {"days",
       [&](const std::string& key, const json& v) {
         double days = 1;
         r.number(key, v, 1, 14, days);
         out.days = static_cast<int>(std::lround(days));
       }},
      {"paper", [&](const std::string&, const json& v) { read_paper(r, v, l); }},
      {"centre", [&](const std::string&, const json& v) { read_centre(r, v, l); }},
      {"landscape", flag(l.landscape)},
      {"scale", number(0, 1e6, l.scale_denominator)},
      {"turn_deg", number(-180, 180, l.turned_deg)},
      {"aerial", flag(l.aerial)},
      {"contours", flag(l.contours)},
      {"large_type", flag(l.large_type)},
      {"whole_ground", flag(out.whole_ground)},
      {"look", [&](const std::string& key, const json& v) { r.word(key, v, l.look); }},
      {"trade", [&](const std::string& key, const json& v) { r.word(key, v, l.trade); }},
  };
}

}  // namespace

Result<LayoutFile> read_layout_file(const std::filesystem::path& path, const PrintLayout& before) {
  const std::string file = path.filename().string();
  std::error_code ec;
  const std::uintmax_t size = std::filesystem::file_size(path, ec);
  std::ifstream in(path, std::ios::binary);
  if (ec || !in)
    return fail(ErrorCode::not_found, path.string() + ": there is no such file; check the path");
  if (size > kMostBytes)
    return fail(ErrorCode::parse, file + ": it is too large for a layout; is it another file?");
  json all;
  try {
    all = json::parse(in);
  } catch (const json::parse_error& e) {
    std::string why = e.what();  // "[json.exception...] parse error at line 3, column 5: ..."
    why = why.substr(std::min(why.size(), why.find("] ") + 2));
    return fail(ErrorCode::parse, file + ": it is not JSON: " + why);
  }
  if (!all.is_object()) return fail(ErrorCode::parse, file + ": it must be one object in { }");
  LayoutFile out;
  out.layout = before;
  Reader reader(file);
  const auto known = fields(reader, out);
  for (const auto& [key, value] : all.items()) {
    if (key == "$schema") continue;
    const auto field = known.find(key);
    if (field != known.end()) {
      field->second(key, value);
      continue;
    }
    std::string names;
    for (const auto& [name, unused] : known) names += (names.empty() ? "" : ", ") + name;
    reader.fault(key, "it is not known; there are " + names);
  }
  if (!reader.problem().empty()) return fail(ErrorCode::parse, reader.problem());
  return out;
}

}  // namespace leeward::batch
