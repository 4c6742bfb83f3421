// export: the map as a file for a phone or a receiver.
#include "app/batch/open_property.h"
#include "app/batch/verbs.h"
#include "ui/print/map_files.h"

#include <QGuiApplication>

#include <cstdio>
#include <memory>

namespace leeward::batch {
namespace {

struct ExportOptions {
  std::string file, at, trade = "balanced", output;
  std::vector<std::string> stands, kinds;
  bool no_stands = false, no_ways = false, no_aerial = false;
};

Result<ui::KindSet> kinds_of(const std::vector<std::string>& words) {
  ui::KindSet out;
  if (words.empty()) return out.set();
  for (const std::string& word : words) {
    const auto kind = kind_from_table(word);
    if (!kind) {
      std::string known;
      for (const KindInfo& k : all_kinds())
        known += (known.empty() ? "" : ", ") + std::string(k.table);
      return fail(ErrorCode::invalid_argument, "'" + word + "' is not a kind; there are " + known);
    }
    out.set(static_cast<size_t>(*kind));
  }
  return out;
}

Result<int> export_map(const ExportOptions& o) {
  const auto kinds = kinds_of(o.kinds);
  if (!kinds) return kinds.error();
  auto trade = choose_trade(o.trade);
  if (!trade) return std::move(trade.error());
  auto asked = open_asked(o.file, o.at, o.stands);
  if (!asked) return std::move(asked.error());
  const OpenProperty& property = asked->property;
  auto results = evaluate_at(property, asked->at, *trade);
  if (!results) return std::move(results.error());
  PrintLayout layout = property.document->settings->layout;
  layout.trade = *trade;
  const ui::MapFileRequest request{
      {property.document, property.terrain, *results, property.file, layout, asked->stands},
      *kinds,
      !o.no_stands,
      !o.no_ways,
      !o.no_aerial};
  qputenv("QT_QPA_PLATFORM", "offscreen");
  int argc = 1;
  char name[] = "leeward-batch";
  char* argv[] = {name, nullptr};
  const QGuiApplication application(argc, argv);
  if (Status s = ui::writeMapFile(request, o.output, {}, show_progress); !s)
    return std::move(s.error());
  std::printf("%s\n", o.output.c_str());
  return 0;
}

}  // namespace

void add_export(CLI::App& app, Run& run) {
  CLI::App* verb = app.add_subcommand(
      "export",
      "Write the map for a phone, a receiver or another program: .gpx, .kml, .kmz, .geojson, "
      ".mbtiles, or .zip (Shapefiles)");
  auto o = std::make_shared<ExportOptions>();
  verb->add_option("property", o->file, "Property file")->required();
  verb->add_option("--output", o->output, "File to write; its ending says what it is")->required();
  verb->add_option("--kind", o->kinds,
                   "Only this kind, by its word in JSON: gate, trail, ... (may be given again)");
  verb->add_option("--stand", o->stands, "Only this stand and its ways (may be given again)");
  verb->add_flag("--no-stands", o->no_stands,
                 "Nothing that shows where a stand is: no stands, lanes, ways, rings");
  verb->add_flag("--no-ways", o->no_ways, "No ways in and out");
  verb->add_flag("--no-aerial", o->no_aerial, "No aerial picture under .kmz and .mbtiles");
  verb->add_option("--at", o->at, "Arrival, for the ways; default as for evaluate");
  verb->add_option("--trade", o->trade, "quick, balanced or careful: how much time a way may cost");
  verb->callback([o, &run] { run = [o] { return export_map(*o); }; });
}

}  // namespace leeward::batch
