// forecasts: what is stored of them, and how well they foretold the wind.
#include "app/batch/json_parts.h"
#include "app/batch/open_property.h"
#include "app/batch/verbs.h"
#include "core/eval/explain.h"
#include "core/eval/forecast_record.h"
#include "core/geo/frame.h"
#include "core/io/station_records.h"

#include <cstdio>
#include <memory>

namespace leeward::batch {
namespace {

using nlohmann::json;

struct ForecastsOptions {
  std::string file, records, output;
  bool json = false;
};

std::string forecasts_text(const Document& d, const std::vector<ForecastRecord>& records) {
  std::string out = d.settings->name +
                    "\n\nMade                hours  compared   direction off  within 30°   "
                    "too strong  speed off  forecast\n";
  for (const ForecastRecord& r : records) {
    const Instant made = made_at(*r.forecast);
    const std::string& zone = d.settings->time_zone;
    char line[200];
    std::snprintf(line, sizeof line, "%s %s%s  %6d  %8d", date_text(made, zone).c_str(),
                  clock_text(made, zone).c_str(), r.forecast->issued ? " " : "*", r.hours,
                  r.compared);
    out += line;
    const auto figure = [&](double value, const char* format) {
      if (std::isnan(value)) {
        std::snprintf(line, sizeof line, "%12s", "-");
      } else {
        std::snprintf(line, sizeof line, format, value);
      }
      out += line;
    };
    figure(r.turn_deg, "%14.0f°");
    figure(100 * r.within_30_deg, "%10.0f %%");
    figure(r.too_strong_mps, "%9.1f m/s");
    figure(r.off_mps, "%7.1f m/s");
    out += "  " + r.forecast->source + "\n";
  }
  if (records.empty()) out += "No forecast is stored: open one in the window.\n";
  return out + "\n* when it was imported: it does not say when it was issued.\n";
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
