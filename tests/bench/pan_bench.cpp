// Frame times of the canvas while a hand pans and zooms over the demo, software rendering at
// 1280 x 800. argv[1]: a property file. Prints the median, the 95th percentile and the worst.
#include "ui/panels/look.h"
#include "ui/window/main_window.h"

#include <QApplication>
#include <QElapsedTimer>
#include <QMouseEvent>
#include <QSettings>
#include <QTemporaryDir>
#include <QTest>
#include <QWheelEvent>

#include <algorithm>
#include <cstdio>
#include <vector>

namespace {

using namespace leeward;

void tell(const char* what, std::vector<double> ms) {
  std::sort(ms.begin(), ms.end());
  const auto at = [&](double share) {
    return ms[static_cast<std::size_t>(share * static_cast<double>(ms.size() - 1))];
  };
  const auto late = std::count_if(ms.begin(), ms.end(), [](double v) { return v > 1000.0 / 60; });
  std::printf("%-8s %zu frames: median %.2f ms, p95 %.2f ms, worst %.2f ms, %td over 1/60 s\n",
              what, ms.size(), at(0.5), at(0.95), at(1), late);
}

/// One pointer move and the frame that it leads to, milliseconds; tiles may come in between.
template <class Step>
double frame(ui::MapCanvas& canvas, Step step) {
  QElapsedTimer timer;
  timer.start();
  step();
  canvas.repaint();
  const double ms = static_cast<double>(timer.nsecsElapsed()) * 1e-6;
  QCoreApplication::processEvents(QEventLoop::AllEvents, 4);
  return ms;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) return std::fprintf(stderr, "usage: bench_pan FILE.gpkg\n"), 2;
  const QTemporaryDir settings;
  QSettings::setPath(QSettings::IniFormat, QSettings::UserScope, settings.path());
  QApplication app(argc, argv);
  ui::applyLook(app);
  ui::MainWindow window({});
  if (!window.openFile(argv[1])) return 1;
  window.resize(1280, 800);
  window.show();
  static_cast<void>(QTest::qWaitFor([&] { return window.settled(); }, 180000));
  ui::MapCanvas& canvas = *window.canvas();
  const QPointF middle = QRectF(canvas.rect()).center();
  canvas.zoomBy(4, middle);
  static_cast<void>(QTest::qWaitFor([&] { return window.settled(); }, 60000));
  const auto mouse = [&](QEvent::Type type, QPointF at) {
    QMouseEvent event(type, at, canvas.mapToGlobal(at), Qt::MiddleButton,
                      type == QEvent::MouseButtonRelease ? Qt::NoButton : Qt::MiddleButton, {});
    QCoreApplication::sendEvent(&canvas, &event);
  };
  std::vector<double> pans, zooms;
  mouse(QEvent::MouseButtonPress, middle);
  for (int i = 1; i <= 600; ++i) {
    const double angle = i * 0.02;
    const QPointF at = middle + QPointF(std::cos(angle) - 1, std::sin(angle)) * 260;
    pans.push_back(frame(canvas, [&] { mouse(QEvent::MouseMove, at); }));
  }
  mouse(QEvent::MouseButtonRelease, middle);
  for (int i = 0; i < 120; ++i)
    zooms.push_back(frame(canvas, [&] { canvas.zoomBy(i / 30 % 2 ? 0.93 : 1.07, middle); }));
  // The hand that pans right after something changed, before there was time to draw ahead.
  std::vector<double> firsts;
  for (int i = 0; i < 60; ++i) {
    const auto& stands = window.session()->document()->of(Kind::stand);
    canvas.setSelection(stands[static_cast<std::size_t>(i) % stands.size()]->uid);
    canvas.repaint();
    mouse(QEvent::MouseButtonPress, middle);
    const QPointF at = middle + QPointF(i % 2 ? 9 : -9, i % 3 ? 7 : -7);
    firsts.push_back(frame(canvas, [&] { mouse(QEvent::MouseMove, at); }));
    mouse(QEvent::MouseButtonRelease, at);
  }
  tell("panning", pans);
  tell("first", firsts);
  tell("zooming", zooms);
  return 0;
}
