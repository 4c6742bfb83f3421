// forecasts: what is stored of them, and how well they foretold the wind.
#include "app/batch/json_parts.h"
#include "app/batch/open_property.h"
#include "app/batch/verbs.h"
#include "core/eval/explain.h"
#include "core/eval/forecast_record.h"
#include "core/geo/frame.h"
#include "core/io/station_records.h"

#include <array>
#include <cstdio>
#include <memory>

namespace leeward::batch {
namespace {

using nlohmann::json;

struct ForecastsOptions {
  std::string file, records, output;
  bool json = false;
};

std::string figure(double value, const char* format, const char* unit) {
  char out[40];
  std::snprintf(out, sizeof out, format, value);
  return std::isnan(value) ? "-" : std::string(out) + unit;
}

std::string forecasts_text(const Document& d, const std::vector<ForecastRecord>& records) {
  const std::string& zone = d.settings->time_zone;
  std::string out = d.settings->name + "\n\n";
  const auto add = [&](const std::array<std::string, 7>& cells, const std::string& source) {
    char line[120];
    std::snprintf(line, sizeof line, "%-23s%6s%10s%15s%15s%13s%11s  ", cells[0].c_str(),
                  cells[1].c_str(), cells[2].c_str(), cells[3].c_str(), cells[4].c_str(),
                  cells[5].c_str(), cells[6].c_str());
    out += line + source + "\n";
  };
  add({"Made", "hours", "compared", "direction off", "within 30 deg", "too strong", "speed off"},
      "forecast");
  bool imported = false;
  for (const ForecastRecord& r : records) {
    const Instant made = made_at(*r.forecast);
    imported = imported || !r.forecast->issued;
    add({date_text(made, zone) + " " + clock_text(made, zone) + (r.forecast->issued ? "" : "*"),
         std::to_string(r.hours), std::to_string(r.compared), figure(r.turn_deg, "%.0f", " deg"),
         figure(100 * r.within_30_deg, "%.0f", " %"), figure(r.too_strong_mps, "%+.1f", " m/s"),
         figure(r.off_mps, "%.1f", " m/s")},
        r.forecast->source);
  }
  if (records.empty()) out += "No forecast is stored: open one in the window.\n";
  if (imported) out += "* when it was imported: it does not say when it was issued.\n";
  return out + "\n";
}

std::string forecasts_json(const Document& d, const std::vector<ForecastRecord>& records,
                           const std::string& against) {
  json list = json::array();
  for (const ForecastRecord& r : records)
    list.push_back({{"source", r.forecast->source},
                    {"imported", to_iso8601(r.forecast->imported)},
                    {"issued", instant_or_null(r.forecast->issued)},
                    {"hours", r.hours},
                    {"compared", r.compared},
                    {"direction_off_deg", number_or_null(r.turn_deg)},
                    {"within_30_deg", number_or_null(r.within_30_deg)},
                    {"too_strong_mps", number_or_null(r.too_strong_mps)},
                    {"speed_off_mps", number_or_null(r.off_mps)}});
  const json out = {
      {"property", d.settings->name}, {"against", against}, {"forecasts", std::move(list)}};
  return out.dump(1) + "\n";
}

Result<int> forecasts(const ForecastsOptions& o) {
  auto property = open_property(o.file, false);
  if (!property) return std::move(property.error());
  const Document& d = *property->document;
  auto frame = Frame::make(d.settings->crs);
  if (!frame) return std::move(frame.error());
  io::StationRecords measured;
  if (!o.records.empty()) {
    auto read = io::read_station_records(o.records, d.settings->time_zone);
    if (!read) return std::move(read.error());
    measured = *std::move(read);
  }
  const std::string against =
      o.records.empty() ? "what newer forecasts said" : "a station: " + measured.format;
  const auto judged =
      judge_forecasts(d, frame->convergence_deg(d.extent().centre()), measured.hours);
  return write_answer(o.json ? forecasts_json(d, judged, against)
                             : forecasts_text(d, judged) + "Compared with " + against + ".\n",
                      o.output);
}

}  // namespace

void add_forecasts(CLI::App& app, Run& run) {
  CLI::App* verb =
      app.add_subcommand("forecasts", "List the stored forecasts and how well they foretold");
  verb->footer(
      "Directions are compared in hours in which both winds blow with at least 1 m/s. "
      "too_strong_mps: mean of\nwhat was said less what blew.");
  auto o = std::make_shared<ForecastsOptions>();
  verb->add_option("property", o->file, "Property file")->required();
  verb->add_option("--records", o->records,
                   "Records of a weather station near by: ISD, TMY3, EPW, or hourly CSV; without "
                   "them newer forecasts serve");
  verb->add_flag("--json", o->json, "JSON");
  verb->add_option("--output", o->output, "Write to a file instead of stdout");
  verb->callback([o, &run] { run = [o] { return forecasts(*o); }; });
}

}  // namespace leeward::batch
