// Printing, files for phones, and the emergency plan that prints.
#include "ui/panels/emergency_dialog.h"
#include "ui/panels/phone_dialog.h"
#include "ui/panels/tool_palette.h"
#include "ui/print/map_files.h"
#include "ui/session/edit_session.h"
#include "ui/session/eval_session.h"
#include "ui/style/type.h"
#include "ui/window/main_window.h"
#include "ui/window/print_desk.h"

#include <QFileDialog>
#include <QStatusBar>
#include <QTabWidget>

namespace leeward::ui {

void MainWindow::printSheets() {
  if (!edit_) return;
  if (!print_) {
    print_ = std::make_unique<PrintDesk>(*this, *canvas_, *edit_, *eval_);
    connect(print_.get(), &PrintDesk::told, this, &MainWindow::statusBarMessage);
    connect(print_.get(), &PrintDesk::failed, this, &MainWindow::complain);
    connect(print_.get(), &PrintDesk::closed, this, &MainWindow::closePrint, Qt::QueuedConnection);
    connect(print_.get(), &PrintDesk::frameTaken, this, [this] {
      drawing_tool_.reset();
      palette_->show(std::nullopt);
    });
    tabs_->parentWidget()->hide();  // its room is the page's
  }
  print_->takeFrame();
}

void MainWindow::closePrint() {
  if (!print_) return;
  print_.reset();
  tabs_->parentWidget()->show();
  if (edit_ && !drawing_tool_) pickSelect();
}

void MainWindow::saveForPhone() {
  const Ref<Document> doc = edit_->document();
  PhoneDialog dialog(*doc, this);
  if (dialog.exec() != QDialog::Accepted) return;
  QString picked;
  const QString chosen = QFileDialog::getSaveFileName(
      this, tr("Save for a phone or another program"),
      text(doc->settings->name) + QStringLiteral(".kmz"),
      tr("KMZ (*.kmz);;KML (*.kml);;GPX (*.gpx);;GeoJSON (*.geojson);;MBTiles (*.mbtiles);;"
         "Shapefiles in a zip (*.zip)"),
      &picked);
  if (chosen.isEmpty()) return;
  std::filesystem::path to = chosen.toStdString();
  if (!to.has_extension())  // as the chosen kind ends
    to += picked.section(QStringLiteral("(*"), 1).remove(QLatin1Char(')')).toStdString();
  PrintLayout layout = doc->settings->layout;
  layout.trade = eval_->trade();
  MapFileRequest request{{doc, eval_->terrain(), nullptr, edit_->file(), layout, {}},
                         dialog.kinds(),
                         dialog.stands(),
                         dialog.ways(),
                         dialog.aerial()};
  background_words_ = tr("Saving for a phone");
  const Scene scene = scene_at(*doc, eval_->arrive(), layout.trade);
  background_.start([this, request, scene, to, report = reporter()](std::stop_token stop) mutable {
    const auto half = [&](int n) {
      return [&report, n](double share, const char*) { report((n + share) / 2); };
    };
    auto done = std::make_shared<Status>([&]() -> Status {
      auto results =
          Engine().evaluate({request.map.document, request.map.terrain, scene}, stop, half(0));
      if (!results) return std::move(results.error());
      request.map.results = *results;
      return writeMapFile(request, to, stop, half(1));
    }());
    return [this, done, to] {
      if (!*done) return complain(text(done->error().message));
      statusBar()->showMessage(tr("Saved as %1").arg(text(to.string())), 15000);
    };
  });
  showBusy();
}

void MainWindow::editEmergencyPlan() {
  EmergencyDialog dialog(*edit_->document(), this);
  if (dialog.exec() != QDialog::Accepted) return;
  const Status done = edit_->apply({"Change the emergency plan", {put(dialog.settings())}, {}});
  if (!done) complain(text(done.error().message));
}

}  // namespace leeward::ui
