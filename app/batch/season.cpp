// season: how often each stand can be taken, by a station's records.
#include "core/eval/season.h"

#include "app/batch/json_parts.h"
#include "app/batch/open_property.h"
#include "app/batch/verbs.h"
#include "core/eval/explain.h"
#include "core/io/station_records.h"

#include <cstdio>
#include <memory>

namespace leeward::batch {
namespace {

using nlohmann::json;

struct SeasonOptions {
  std::string file, records, from = "10-01", until = "12-31", output;
  bool json = false;
};

Result<SeasonDays> season_days(const SeasonOptions& o) {
  SeasonDays out;
  if (std::sscanf(o.from.c_str(), "%d-%d", &out.from_month, &out.from_day) != 2 ||
      std::sscanf(o.until.c_str(), "%d-%d", &out.until_month, &out.until_day) != 2)
    return fail(ErrorCode::invalid_argument, "--from and --until are MONTH-DAY, like 10-01");
  for (const auto& [month, day] :
       {std::pair(out.from_month, out.from_day), std::pair(out.until_month, out.until_day)}) {
    if (month < 1 || month > 12 || day < 1 || day > 31)
      return fail(ErrorCode::invalid_argument, std::to_string(month) + "-" + std::to_string(day) +
                                                   " is no day of a year: --from and --until are "
                                                   "MONTH-DAY, like 10-01");
  }
  return out;
}

std::string of_all(int some, int all) {
  char text[60];
  std::snprintf(text, sizeof text, "%5d of %5d (%3.0f %%)", some, all,
                all > 0 ? 100.0 * some / all : 0.0);
  return text;
}

std::string season_text(const Document& d, const Season& s, const io::StationRecords& records) {
  std::string out = d.settings->name + "\n";
  for (const std::string& note : records.notes) out += note + "\n";
  out += "\n" + std::to_string(s.mornings) + " mornings and " + std::to_string(s.evenings) +
         " evenings with a known wind, " + std::to_string(s.calm) +
         " of them calm or of no direction (fit for no stand); " + std::to_string(s.unknown) +
         " sits without a record.\nWind from:";
  for (int k = 0; k < kSectors; ++k)
    out += " " + compass_point(22.5 * k) + " " + std::to_string(s.from[static_cast<size_t>(k)]);
  out += "\n\nCan be taken within the scent limit     mornings                 evenings\n";
  for (const SeasonStand& stand : s.stands) {
    char name[60];
    std::snprintf(name, sizeof name, "%-36.36s", name_of(d, stand.stand).c_str());
    out += name + of_all(stand.mornings, s.mornings) + "   " + of_all(stand.evenings, s.evenings) +
           "\n";
  }
  return out +
         "\nA station's wind is not your ground's: the land is laid over it as over a forecast. "
         "Not "
         "validated for deer.\n";
}

std::string season_json(const Document& d, const Season& s, const io::StationRecords& records) {
  json stands = json::array();
  for (const SeasonStand& stand : s.stands) {
    json share = json::array();
    for (const double v : stand.share) share.push_back(number_or_null(v));
    stands.push_back({{"name", name_of(d, stand.stand)},
                      {"mornings", stand.mornings},
                      {"evenings", stand.evenings},
                      {"share_by_sector", std::move(share)}});
  }
  const json out = {
      {"property", d.settings->name}, {"records", records.format}, {"notes", records.notes},
      {"mornings", s.mornings},       {"evenings", s.evenings},    {"calm", s.calm},
      {"unknown", s.unknown},         {"sits_by_sector", s.from},  {"stands", std::move(stands)}};
  return out.dump(1) + "\n";
}

Result<int> season(const SeasonOptions& o) {
  auto property = open_property(o.file);
  if (!property) return std::move(property.error());
  const Document& d = *property->document;
  auto days = season_days(o);
  if (!days) return std::move(days.error());
  auto records = io::read_station_records(o.records, d.settings->time_zone);
  if (!records) return std::move(records.error());
  Engine engine;
  const Snapshot ask{property->document, property->terrain, {}};
  auto made = season_of(engine, ask, records->hours, *days, {}, show_progress);
  if (!made) return std::move(made.error());
  if (made->mornings + made->evenings == 0)
    return fail(ErrorCode::invalid_argument,
                o.records + ": none of its hours lie in the season from " + o.from + " to " +
                    o.until + "; choose other days or other records");
  return write_answer(o.json ? season_json(d, *made, *records) : season_text(d, *made, *records),
                      o.output);
}

}  // namespace

void add_season(CLI::App& app, Run& run) {
  CLI::App* verb = app.add_subcommand(
      "season", "Count the mornings and evenings on which each stand can be taken");
  verb->footer(
      "Sectors run clockwise from north, 22.5 degrees each; share_by_sector: of the sits with wind "
      "from there,\nnull where none was. A stand can be taken when its scent limit is kept with no "
      "swing.");
  auto o = std::make_shared<SeasonOptions>();
  verb->add_option("property", o->file, "Property file")->required();
  verb->add_option("--records", o->records,
                   "Records of a weather station: ISD, TMY3, EPW, or hourly CSV")
      ->required();
  verb->add_option("--from", o->from, "First day of the season, MONTH-DAY");
  verb->add_option("--until", o->until, "Last day, MONTH-DAY");
  verb->add_flag("--json", o->json, "JSON");
  verb->add_option("--output", o->output, "Write to a file instead of stdout");
  verb->callback([o, &run] { run = [o] { return season(*o); }; });
}

}  // namespace leeward::batch
