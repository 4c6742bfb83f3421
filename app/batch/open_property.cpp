#include "app/batch/open_property.h"

#include "app/batch/verbs.h"
#include "core/io/property_store.h"
#include "core/io/raster_files.h"

#include <cstdio>
#include <fstream>
#include <unistd.h>

namespace leeward::batch {

void show_progress(double share, const char* what) {
  static const bool terminal = isatty(2) == 1;
  if (!terminal) return;
  std::fprintf(stderr, "\r%3.0f %%  %-30s%s", 100 * share, what, share >= 1 ? "\n" : "");
  std::fflush(stderr);
}

Result<OpenProperty> open_property(const std::string& file, bool with_terrain) {
  auto opened = io::PropertyStore::open(file, true);
  if (!opened) return std::move(opened.error());
  if (!opened->notice.empty()) std::fprintf(stderr, "note: %s\n", opened->notice.c_str());
  OpenProperty out{file, opened->document, make_ref<Terrain>()};
  if (!with_terrain) return out;
  auto terrain = io::load_terrain(*out.document, file, 800, {}, [](double share, const char* what) {
    show_progress(0.99 * share, what);
  });
  if (!terrain) return std::move(terrain.error());
  out.terrain = *terrain;
  return out;
}

Result<Instant> choose_hour(const Document& document, const std::string& at) {
  if (!at.empty()) {
    int y = 0, mo = 0, d = 0, h = 0, mi = 0, used = 0;
    if (std::sscanf(at.c_str(), "%4d-%2d-%2dT%2d:%2d%n", &y, &mo, &d, &h, &mi, &used) == 5 &&
        at.size() == static_cast<size_t>(used)) {
      return from_civil(y, mo, d, h, mi, document.settings->time_zone);
    }
    return parse_iso8601(at);
  }
  if (document.settings->layout.hour) return *document.settings->layout.hour;
  if (!document.wind_hours->empty()) return hours_to_come(document).front()->at;
  return fail(ErrorCode::invalid_argument,
              "no hour is stored in the property: say --at 2026-11-14T14:30");
}

Result<std::vector<Uid>> choose_stands(const Document& document,
                                       const std::vector<std::string>& names) {
  std::vector<Uid> out;
  for (const std::string& name : names) {
    const size_t before = out.size();
    std::string known;
    for (const auto& f : document.of(Kind::stand)) {
      if (f->name == name || f->uid.str() == name) out.push_back(f->uid);
      known += (known.empty() ? "" : ", ") + display_name(*f);
    }
    if (out.size() == before)
      return fail(ErrorCode::not_found, "no stand is called '" + name + "'; there are: " + known);
  }
  return out;
}

Result<Asked> open_asked(const std::string& file, const std::string& at,
                         const std::vector<std::string>& stands) {
  auto property = open_property(file);
  if (!property) return std::move(property.error());
  auto hour = choose_hour(*property->document, at);
  if (!hour) return std::move(hour.error());
  auto chosen = choose_stands(*property->document, stands);
  if (!chosen) return std::move(chosen.error());
  return Asked{*std::move(property), *hour, *std::move(chosen)};
}

Result<Trade> choose_trade(const std::string& text) {
  if (const auto t = from_word<Trade>(text)) return *t;
  return fail(ErrorCode::invalid_argument,
              "'" + text + "' is not a trade; there are quick, balanced, careful");
}

Result<Ref<Results>> evaluate_at(const OpenProperty& property, Instant at, Trade trade) {
  Engine engine;
  return engine.evaluate(
      {property.document, property.terrain, scene_at(*property.document, at, trade)}, {},
      show_progress);
}

Result<int> write_answer(const std::string& answer, const std::string& output) {
  if (output.empty()) {
    std::fputs(answer.c_str(), stdout);
    return 0;
  }
  std::ofstream out(output, std::ios::binary);
  out << answer;
  out.close();
  if (!out) return fail(ErrorCode::io, output + ": cannot be written");
  return 0;
}

}  // namespace leeward::batch
