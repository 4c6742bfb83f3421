// The desktop program: arguments, the window, and (for tests and the README) a picture of it.
#include "ui/panels/look.h"
#include "ui/style/type.h"
#include "ui/window/main_window.h"

#include <QApplication>
#include <QElapsedTimer>
#include <QTimer>

#include <CLI/CLI.hpp>

#include <cstdio>
#include <filesystem>
#include <iostream>
#include <malloc.h>
#include <memory>
#include <string>

namespace {

using namespace leeward;

struct Arguments {
  std::filesystem::path property;
  std::string screenshot;
  std::string size = "1280x800";
  std::string select;
  std::string at;
  bool plan = false, print = false;
  std::string theme;
  double text_percent = 0;
  double turn_deg = 0;
};

constexpr int kPictureTimeoutMs = 180'000;

std::filesystem::path demoProperty() {
  std::error_code ignored;
  for (const auto& entry : std::filesystem::directory_iterator(LEEWARD_DEMO_DIR, ignored))
    if (entry.path().extension() == ".gpkg") return entry.path();
  return {};
}

/// Saves a picture of the window once everything is in, then ends the program.
class Photographer {
 public:
  Photographer(ui::MainWindow& window, std::string file) : window_(window), file_(std::move(file)) {
    since_.start();
    QObject::connect(&timer_, &QTimer::timeout, [this] { look(); });
    timer_.start(50);
  }

 private:
  void look() {
    if (since_.elapsed() > kPictureTimeoutMs) {
      std::cerr << "leeward: the map was not finished after three minutes\n";
      return QCoreApplication::exit(1);
    }
    quiet_ = window_.settled() ? quiet_ + 1 : 0;
    if (quiet_ < 4) return;
    timer_.stop();
    const bool saved = window_.front()->grab().save(QString::fromStdString(file_));
    if (!saved) std::cerr << "leeward: " << file_ << ": cannot be written\n";
    QCoreApplication::exit(saved ? 0 : 1);
  }

  ui::MainWindow& window_;
  std::string file_;
  QTimer timer_;
  QElapsedTimer since_;
  int quiet_ = 0;
};

Status prepare(ui::MainWindow& window, const Arguments& args) {
  int width = 0, height = 0;
  if (std::sscanf(args.size.c_str(), "%dx%d", &width, &height) != 2 || width < 640 || height < 480)
    return fail(ErrorCode::invalid_argument, "--size is WIDTHxHEIGHT, at least 640x480");
  window.resize(width, height);
  if (!args.at.empty()) {
    const auto at = parse_iso8601(args.at);
    if (!at) return at.error();
    window.setArrive(*at);
  }
  return args.select.empty() ? ok() : window.selectByName(args.select);
}

int fails(const Error& error) {
  std::cerr << "leeward: " << error.message << '\n';
  return 1;
}

int run(QApplication& app, const Arguments& args) {
  if (const Status font = ui::checkFont(); !font) return fails(font.error());
  ui::applyLook(app);
  ui::preferences::Look look = ui::wornLook();
  if (args.theme == "light") look.theme = ui::ThemeChoice::light;
  if (args.theme == "dark") look.theme = ui::ThemeChoice::dark;
  if (args.text_percent > 0) look.text_scale = args.text_percent / 100;
  if (!(look == ui::wornLook())) ui::wearLook(look);
  ui::MainWindow window(demoProperty());
  if (!args.property.empty()) {
    if (!args.screenshot.empty()) {  // nobody is there to close a message
      auto session = ui::EditSession::open(args.property);
      if (!session) return fails(session.error());
      window.adopt(*std::move(session));
    } else if (!window.openFile(args.property)) {
      return 1;
    }
  }
  if (const Status ready = prepare(window, args); !ready) return fails(ready.error());
  window.show();
  if (args.turn_deg != 0) window.canvas()->setTurn(args.turn_deg);
  if (args.plan) window.showPlan();
  if (args.print) window.printSheets();
  std::unique_ptr<Photographer> photographer;
  if (!args.screenshot.empty())
    photographer = std::make_unique<Photographer>(window, args.screenshot);
  return QApplication::exec();
}

}  // namespace

int main(int argc, char** argv) {
#ifdef __GLIBC__
  // Tiles and rasters go back to the system when they are dropped, instead of leaving holes.
  mallopt(M_MMAP_THRESHOLD, 192 << 10);
#endif
  Arguments args;
  CLI::App cli{"Leeward: an offline map editor for a deer-hunting property"};
  cli.add_option("property", args.property, "Property file (.gpkg) to open");
  cli.add_option("--screenshot", args.screenshot, "Save a picture of the window and end");
  cli.add_option("--size", args.size, "Size of the window")->capture_default_str();
  cli.add_option("--select", args.select, "Name of the feature to select");
  cli.add_flag("--plan", args.plan, "Open the plan of the coming sits too");
  cli.add_flag("--print", args.print, "Open the print panel too");
  cli.add_option("--theme", args.theme, "Colours: light or dark; by default as last chosen")
      ->check(CLI::IsMember({"light", "dark"}));
  cli.add_option("--text", args.text_percent, "Size of text in per cent, 80 to 200")
      ->check(CLI::Range(80, 200));
  cli.add_option("--turn", args.turn_deg, "Grid bearing at the top of the map, degrees");
  cli.add_option("--at", args.at, "When the sit begins, ISO 8601 with zone");
  CLI11_PARSE(cli, argc, argv);
  QApplication app(argc, argv);
  QApplication::setApplicationName(QStringLiteral("leeward"));
  return run(app, args);
}
