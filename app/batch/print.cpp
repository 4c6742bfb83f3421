#include "app/batch/open_property.h"
#include "app/batch/verbs.h"
#include "ui/print/hunt_map.h"

#include <QGuiApplication>

#include <cstdio>
#include <memory>

namespace leeward::batch {
namespace {

struct PrintOptions {
  std::string file, output, at, paper, trade;
  std::vector<std::string> stands;
  double scale = -1;
  bool landscape = false, portrait = false, no_aerial = false;
  double dpi = 150;
};

Result<PrintLayout> layout_of(const Document& document, const PrintOptions& o) {
  PrintLayout layout = document.settings->layout;
  if (!o.paper.empty()) {
    const auto paper = from_word<PaperSize>(o.paper);
    if (!paper)
      return fail(ErrorCode::invalid_argument,
                  "'" + o.paper + "' is not a paper; there are Letter, Legal, Tabloid, A4, A3");
    layout.paper = *paper;
  }
  if (o.landscape) layout.landscape = true;
  if (o.portrait) layout.landscape = false;
  if (o.scale >= 0) layout.scale_denominator = o.scale;
  if (o.no_aerial) layout.aerial = false;
  if (!o.trade.empty()) {
    auto trade = choose_trade(o.trade);
    if (!trade) return std::move(trade.error());
    layout.trade = *trade;
  }
  return layout;
}

Result<int> print(const PrintOptions& o) {
  auto asked = open_asked(o.file, o.at, o.stands);
  if (!asked) return std::move(asked.error());
  const OpenProperty& property = asked->property;
  auto layout = layout_of(*property.document, o);
  if (!layout) return std::move(layout.error());
  auto results = evaluate_at(property, asked->at, layout->trade);
  if (!results) return std::move(results.error());
  // Offscreen: the platform that has fonts and needs no display.
  qputenv("QT_QPA_PLATFORM", "offscreen");
  int argc = 1;
  char name[] = "leeward-batch";
  char* argv[] = {name, nullptr};
  const QGuiApplication application(argc, argv);
  const ui::HuntMapRequest request{property.document, property.terrain, *results,
                                   property.file,     *layout,          asked->stands};
  const bool png = o.output.ends_with(".png") || o.output.ends_with(".PNG");
  Status s = png ? ui::writeHuntMapPng(request, o.output, o.dpi, {}, show_progress)
                 : ui::writeHuntMapPdf(request, o.output, {}, show_progress);
  if (!s) return std::move(s.error());
  std::printf("%s\n", o.output.c_str());
  return 0;
}

}  // namespace

void add_print(CLI::App& app, Run& run) {
  CLI::App* verb =
      app.add_subcommand("print", "Write the hunt map as PDF (or PNG by the file's ending)");
  auto o = std::make_shared<PrintOptions>();
  verb->add_option("property", o->file, "Property file")->required();
  verb->add_option("--output", o->output, "File to write, .pdf or .png")->required();
  verb->add_option(
      "--at", o->at,
      "Arrival, in the property's clock or ISO 8601; default: the hour stored in the layout");
  verb->add_option("--stand", o->stands, "Draw the ways of this stand only (may be given again)");
  verb->add_option("--paper", o->paper, "Letter, Legal, Tabloid, A4 or A3");
  verb->add_flag("--landscape", o->landscape, "Wide page");
  verb->add_flag("--portrait", o->portrait, "Tall page");
  verb->add_option("--scale", o->scale,
                   "Scale denominator, e.g. 5000; 0: the largest round scale that fits");
  verb->add_option("--trade", o->trade, "quick, balanced or careful");
  verb->add_flag("--no-aerial", o->no_aerial, "Shaded relief instead of the aerial picture");
  verb->add_option("--dpi", o->dpi, "Dots an inch of a PNG")->check(CLI::Range(30, 600));
  verb->callback([o, &run] { run = [o] { return print(*o); }; });
}

}  // namespace leeward::batch
