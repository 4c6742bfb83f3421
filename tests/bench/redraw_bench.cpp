// What a new answer costs the window at 1280 x 800, software drawing, while the wind turns by 10
// degrees a step: first the map alone, then how long the whole window is held at a time while the
// dial is dragged. `bench_redraw PROPERTY.gpkg [STAND]`; the wind by hand is saved in it. Prints
// the median, the 95th of a hundred and the longest. A frame has 16.7 ms.
#include "core/eval/engine.h"
#include "core/io/property_store.h"
#include "core/io/raster_files.h"
#include "ui/canvas/map_canvas.h"
#include "ui/panels/look.h"
#include "ui/window/main_window.h"

#include <QApplication>
#include <QElapsedTimer>

#include <algorithm>
#include <cstdio>
#include <string>
#include <vector>

namespace leeward::ui {
namespace {

void say(const char* what, std::vector<double> ms) {
  std::sort(ms.begin(), ms.end());
  std::printf("%-22s median %6.1f  p95 %6.1f  longest %6.1f ms\n", what, ms[ms.size() / 2],
              ms[ms.size() * 95 / 100], ms.back());
}

int measure(const std::string& file, const std::string& stand_name) {
  auto opened = io::PropertyStore::open(file, true);
  if (!opened) return std::fprintf(stderr, "%s\n", opened.error().message.c_str()), 1;
  const Ref<Document> document = opened->document;
  auto terrain = io::load_terrain(*document, file, 800, {}, [](double, const char*) {});
  if (!terrain) return std::fprintf(stderr, "%s\n", terrain.error().message.c_str()), 1;
  MapCanvas canvas;
  canvas.resize(1280, 800);
  canvas.setDocument(document);
  canvas.setTerrain(*terrain);
  for (const auto& f : document->of(Kind::stand))
    if (f->name == stand_name) canvas.setSelection(f->uid);
  canvas.show();
  canvas.fitAll();
  QCoreApplication::processEvents();
  Engine engine;
  std::vector<double> take, paint;
  for (int n = 0; n < 36; ++n) {
    Document turned = *document;
    Settings settings = *document->settings;
    settings.use_hand_wind = true;
    settings.hand_wind.from_deg = 10.0 * n;
    turned.settings = make_ref<Settings>(settings);
    const Instant hour = settings.layout.hour.value_or(Instant{std::chrono::hours{480000}});
    auto results = engine.evaluate(
        {make_ref<Document>(turned), *terrain, scene_at(turned, hour, Trade::balanced)}, {});
    if (!results) return std::fprintf(stderr, "%s\n", results.error().message.c_str()), 1;
    QElapsedTimer timer;
    timer.start();
    canvas.setResults(*results);
    take.push_back(static_cast<double>(timer.nsecsElapsed()) / 1e6);
    timer.restart();
    canvas.repaint();
    paint.push_back(static_cast<double>(timer.nsecsElapsed()) / 1e6);
  }
  say("takes an answer over", take);
  say("paints", paint);
  return 0;
}

// The longest that the window was held in each of the steps of a drag.
int measure_window(const std::string& file, const std::string& stand_name) {
  auto session = EditSession::open(file);
  if (!session) return std::fprintf(stderr, "%s\n", session.error().message.c_str()), 1;
  MainWindow window{{}};
  window.resize(1280, 800);
  window.adopt(*std::move(session));
  if (!stand_name.empty()) static_cast<void>(window.selectByName(stand_name));
  window.show();
  QElapsedTimer timer;
  for (timer.start(); !window.settled() || timer.elapsed() < 1000;)
    QCoreApplication::processEvents();
  std::vector<double> held;
  for (int n = 0; n < 60; ++n) {
    emit window.canvas()->windTurned(10.0 * n, false);
    double longest_ms = 0;
    for (timer.start(); timer.elapsed() < 50;) {
      QElapsedTimer one;
      one.start();
      QCoreApplication::processEvents();
      longest_ms = std::max(longest_ms, static_cast<double>(one.nsecsElapsed()) / 1e6);
    }
    held.push_back(longest_ms);
  }
  emit window.canvas()->windTurned(0, true);
  say("holds the window", held);
  return 0;
}

}  // namespace
}  // namespace leeward::ui

int main(int argc, char** argv) {
  qputenv("QT_QPA_PLATFORM", "offscreen");
  const QApplication app(argc, argv);
  if (argc < 2) return std::fprintf(stderr, "bench_redraw PROPERTY.gpkg [STAND]\n"), 2;
  leeward::ui::applyLook(*qApp);
  const std::string stand = argc > 2 ? argv[2] : "";
  const int map = leeward::ui::measure(argv[1], stand);
  return map != 0 ? map : leeward::ui::measure_window(argv[1], stand);
}
