#include "app/batch/layout_file.h"
#include "app/batch/open_property.h"
#include "app/batch/verbs.h"
#include "ui/print/sheet_maker.h"

#include <QGuiApplication>

#include <cstdio>
#include <memory>
#include <optional>

namespace leeward::batch {
namespace {

struct PrintOptions {
  std::string file, output, at, paper, trade, look, layout;
  std::vector<std::string> stands, sheets;
  double scale = -1;
  bool landscape = false, portrait = false, no_aerial = false, large_type = false,
       no_contours = false, whole_ground = false;
  double dpi = 150;
  std::optional<double> turned_deg;
  std::optional<int> days;
};

/// "Letter", or "300x420" in millimetres.
Status choose_paper(const std::string& words, PrintLayout& layout) {
  if (const auto paper = from_word<PaperSize>(words)) {
    layout.paper = *paper;
    return ok();
  }
  double width = 0, height = 0;
  char rest = 0;
  if (std::sscanf(words.c_str(), "%lfx%lf%c", &width, &height, &rest) == 2 &&
      std::min(width, height) >= kLeastPaper_mm && std::max(width, height) <= kMostPaper_mm) {
    layout.paper = PaperSize::custom;
    layout.custom_width_mm = width;
    layout.custom_height_mm = height;
    return ok();
  }
  return fail(ErrorCode::invalid_argument,
              "'" + words +
                  "' is not a paper; there are Letter, Legal, Tabloid, A4, A3, custom, or width x "
                  "height in mm from 100 to 1200, e.g. 300x420");
}

Result<PrintLayout> layout_of(PrintLayout layout, const PrintOptions& o) {
  if (!o.paper.empty())
    if (Status s = choose_paper(o.paper, layout); !s) return std::move(s.error());
  if (o.landscape) layout.landscape = true;
  if (o.portrait) layout.landscape = false;
  if (o.scale >= 0) layout.scale_denominator = o.scale;
  if (o.no_aerial) layout.aerial = false;
  if (o.large_type) layout.large_type = true;
  if (o.no_contours) layout.contours = false;
  if (o.turned_deg) layout.turned_deg = *o.turned_deg;
  if (!o.look.empty()) {
    const auto look = from_word<PrintLook>(o.look);
    if (!look)
      return fail(ErrorCode::invalid_argument,
                  "'" + o.look + "' is not a look; there are colour, red light, grey");
    layout.look = *look;
  }
  if (!o.trade.empty()) {
    auto trade = choose_trade(o.trade);
    if (!trade) return std::move(trade.error());
    layout.trade = *trade;
  }
  return layout;
}

Result<ui::SheetChoice> choice_of(const std::vector<std::string>& words) {
  ui::SheetChoice choice;
  if (words.empty()) return choice;
  choice.map = false;
  for (const std::string& word : words) {
    const bool all = word == "all";
    if (!all && word != "map" && word != "cards" && word != "plan" && word != "work")
      return fail(ErrorCode::invalid_argument,
                  "'" + word + "' is not a sheet; there are map, cards, plan, work, all");
    choice.map |= all || word == "map";
    choice.cards |= all || word == "cards";
    choice.plan |= all || word == "plan";
    choice.work |= all || word == "work";
  }
  return choice;
}

Result<int> print(const PrintOptions& o) {
  LayoutFile from_file;
  if (!o.layout.empty()) {
    // The layout of the property below it; the hour and the stands decide what is opened.
    auto property = open_property(o.file, false);
    if (!property) return std::move(property.error());
    auto read = read_layout_file(o.layout, property->document->settings->layout);
    if (!read) return std::move(read.error());
    from_file = *std::move(read);
  }
  auto asked = open_asked(o.file, o.at.empty() ? from_file.at : o.at,
                          o.stands.empty() ? from_file.stands : o.stands);
  if (!asked) return std::move(asked.error());
  auto layout = layout_of(
      o.layout.empty() ? asked->property.document->settings->layout : from_file.layout, o);
  if (!layout) return std::move(layout.error());
  const auto& sheets = o.sheets.empty() ? from_file.sheets : o.sheets;
  const auto choice = choice_of(sheets);
  if (!choice) return choice.error();
  const bool png = o.output.ends_with(".png") || o.output.ends_with(".PNG");
  if (png && (choice->cards || choice->plan || choice->work))
    return fail(ErrorCode::invalid_argument, "a PNG holds the map alone; write the sheets as .pdf");
  if (png && (o.whole_ground || from_file.whole_ground))
    return fail(ErrorCode::invalid_argument, "a PNG holds one page; write several as .pdf");
  // Offscreen: the platform that has fonts and needs no display.
  qputenv("QT_QPA_PLATFORM", "offscreen");
  int argc = 1;
  char name[] = "leeward-batch";
  char* argv[] = {name, nullptr};
  const QGuiApplication application(argc, argv);
  const OpenProperty& property = asked->property;
  const ui::HuntMapRequest map{property.document,
                               property.terrain,
                               {},
                               property.file,
                               *layout,
                               asked->stands,
                               o.whole_ground || from_file.whole_ground};
  auto request = ui::SheetMaker().filled(
      {map, *choice, {}, {}}, scene_at(*property.document, asked->at, layout->trade),
      o.days.value_or(from_file.days.value_or(ui::kUsualPlanDays)), {}, show_progress);
  if (!request) return std::move(request.error());
  Status s = png ? ui::writeHuntMapPng(request->map, o.output, o.dpi, {}, show_progress)
                 : ui::writeSheetsPdf(*request, o.output, {}, show_progress);
  if (!s) return std::move(s.error());
  std::printf("%s\n", o.output.c_str());
  return 0;
}

}  // namespace

void add_print(CLI::App& app, Run& run) {
  CLI::App* verb = app.add_subcommand("print",
                                      "Write hunt map, stand cards, plan and work list as PDF (the "
                                      "map as PNG by the file's ending)");
  auto o = std::make_shared<PrintOptions>();
  verb->add_option("property", o->file, "Property file")->required();
  verb->add_option("--output", o->output, "File to write, .pdf or .png")->required();
  verb->add_option(
      "--at", o->at,
      "Arrival, in the property's clock or ISO 8601; default: the hour stored in the layout");
  verb->add_option("--stand", o->stands, "Draw the ways of this stand only (may be given again)");
  verb->add_option("--paper", o->paper,
                   "Letter, Legal, Tabloid, A4, A3, custom, or width x height in mm: 300x420");
  verb->add_flag("--landscape", o->landscape, "Wide page");
  verb->add_flag("--portrait", o->portrait, "Tall page");
  verb->add_option("--scale", o->scale,
                   "Scale denominator, e.g. 5000; 0: the largest round scale that fits");
  verb->add_option("--trade", o->trade, "quick, balanced or careful");
  verb->add_option("--sheet", o->sheets,
                   "map, cards, plan, work or all (may be given again); default: map");
  verb->add_option("--look", o->look, "colour, \"red light\" (for a red headlamp) or grey");
  verb->add_flag("--large-type", o->large_type, "Larger type; two stand cards a page");
  verb->add_option("--days", o->days, "Days of the plan sheet")
      ->check(CLI::Range(1, ui::kMostPlanDays));
  verb->add_flag("--no-aerial", o->no_aerial, "Shaded relief instead of the aerial picture");
  verb->add_option("--layout", o->layout,
                   "JSON file with any of these (resources/print_layout.schema.json)");
  verb->add_flag("--whole-ground", o->whole_ground,
                 "Several overlapping pages with a sketch, where one cannot hold the ground");
  verb->add_flag("--no-contours", o->no_contours, "No contours");
  verb->add_option("--turn", o->turned_deg, "Grid bearing of the map's upper side, degrees")
      ->check(CLI::Range(-180.0, 180.0));
  verb->add_option("--dpi", o->dpi, "Dots an inch of a PNG")->check(CLI::Range(30, 600));
  verb->callback([o, &run] { run = [o] { return print(*o); }; });
}

}  // namespace leeward::batch
