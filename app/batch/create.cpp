// create: a property from rasters and vector files. check: what is wrong or missing.
#include "app/batch/open_property.h"
#include "app/batch/verbs.h"
#include "core/io/new_property.h"
#include "core/io/property_store.h"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <memory>

namespace leeward::batch {
namespace {

struct CreateOptions {
  std::string file, units = "US", elevation_unit = "file";
  io::NewProperty request;
  std::vector<std::string> aerials, features;
  std::string elevation, surface, forecast;
};

Result<double> unit_factor(const std::string& unit) {
  if (unit == "file") return 0.0;
  if (unit == "m") return 1.0;
  if (unit == "ft") return kMetresPerFoot;
  if (unit == "usft") return kMetresPerUsSurveyFoot;
  return fail(ErrorCode::invalid_argument,
              "'" + unit + "' is not an elevation unit; there are file, m, ft, usft");
}

Result<int> create(CreateOptions o) {
  const auto units = from_word<UnitSystem>(o.units);
  if (!units)
    return fail(ErrorCode::invalid_argument,
                "'" + o.units + "' is not a unit system; there are US and metric");
  auto factor = unit_factor(o.elevation_unit);
  if (!factor) return std::move(factor.error());
  o.request.units = *units;
  o.request.elevation_metres_per_unit = *factor;
  o.request.aerials.assign(o.aerials.begin(), o.aerials.end());
  o.request.elevation = o.elevation;
  o.request.surface = o.surface;
  o.request.forecast = o.forecast;
  for (const std::string& item : o.features) {
    const size_t equals = item.find('=');
    const auto kind =
        equals == std::string::npos ? std::nullopt : kind_from_table(item.substr(0, equals));
    if (!kind) {
      std::string known;
      for (const KindInfo& k : all_kinds())
        known += std::string(known.empty() ? "" : ", ") + k.table;
      return fail(ErrorCode::invalid_argument,
                  "'" + item + "': say KIND=FILE, where KIND is one of " + known);
    }
    o.request.vectors.push_back({*kind, item.substr(equals + 1)});
  }
  show_progress(0.1, "reading");
  auto made = io::make_property(o.request, o.file);
  if (!made) return std::move(made.error());
  for (const std::string& note : made->notes) std::fprintf(stderr, "note: %s\n", note.c_str());
  show_progress(0.7, "writing");
  auto store = io::PropertyStore::create(o.file, make_ref<Document>(std::move(made->document)));
  if (!store) return std::move(store.error());
  Status s = (*store)->flush();
  if (!s) return std::move(s.error());
  show_progress(1, "done");
  std::printf("%s\n", o.file.c_str());
  return 0;
}

// What the file's reader finds, and what an evaluation finds: stands that no way reaches.
Result<int> check(const std::string& file) {
  auto property = open_property(file);
  if (!property) return std::move(property.error());
  const Document& document = *property->document;
  const Instant now = std::chrono::floor<std::chrono::seconds>(std::chrono::system_clock::now());
  auto findings = io::check_property(document, property->file, now);
  const auto warn = [&](std::string words) {
    findings.push_back({io::Finding::Level::warning, std::move(words), {}});
  };
  for (const std::string& note : property->terrain->notes) warn(note);
  if (!document.of(Kind::stand).empty() && !document.of(Kind::gate).empty()) {
    const auto hour = choose_hour(document, "");
    auto results = evaluate_at(*property, hour ? *hour : now, Trade::quick);
    if (!results) return std::move(results.error());
    for (const StandResult& s : (*results)->stands) {
      if (!s.no_way.empty())
        warn(display_name(*document.find(s.stand)) + " cannot be reached. " + s.no_way);
    }
  }
  std::stable_sort(findings.begin(), findings.end(),
                   [](const io::Finding& a, const io::Finding& b) { return a.level < b.level; });
  bool errors = false;
  for (const io::Finding& f : findings) {
    const char* level = f.level == io::Finding::Level::error     ? "error"
                        : f.level == io::Finding::Level::warning ? "warning"
                                                                 : "advice";
    errors = errors || f.level == io::Finding::Level::error;
    std::printf("%-8s %s\n", level, f.text.c_str());
  }
  if (findings.empty()) std::printf("nothing to say\n");
  return errors ? kFoundErrors : 0;
}

}  // namespace

void add_create(CLI::App& app, Run& run) {
  CLI::App* verb = app.add_subcommand("create", "Make a property from rasters and vector files");
  auto o = std::make_shared<CreateOptions>();
  verb->add_option("file", o->file, "The property to write (a GeoPackage; must not exist)")
      ->required();
  verb->add_option("--name", o->request.name, "Name of the property");
  verb->add_option("--time-zone", o->request.time_zone, "IANA time zone, e.g. America/Chicago");
  verb->add_option("--units", o->units, "US or metric, for display");
  verb->add_option(
      "--crs", o->request.crs,
      "Projected system in metres, e.g. EPSG:32615 (default: the UTM zone of the rasters)");
  verb->add_option("--aerial", o->aerials, "Aerial picture (may be given again)");
  verb->add_option("--elevation", o->elevation, "Ground elevation raster");
  verb->add_option("--elevation-unit", o->elevation_unit, "file (as it states), m, ft or usft");
  verb->add_option("--surface", o->surface,
                   "Surface raster with the treetops, same vertical reference");
  verb->add_option("--features", o->features,
                   "KIND=FILE: features of a kind from GPX, KML, GeoJSON, Shapefile, GeoPackage "
                   "(may be given again)");
  verb->add_option("--forecast", o->forecast,
                   "Wind hours: CSV, US National Weather Service JSON or GRIB2");
  verb->callback([o, &run] { run = [o] { return create(*o); }; });
}

void add_check(CLI::App& app, Run& run) {
  CLI::App* verb = app.add_subcommand("check", "Say what is wrong or missing in a property");
  auto file = std::make_shared<std::string>();
  verb->add_option("property", *file, "Property file")->required();
  verb->callback([file, &run] { run = [file] { return check(*file); }; });
}

}  // namespace leeward::batch
