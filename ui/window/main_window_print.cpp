// Printing, files for phones, and the emergency plan that prints.
#include "core/eval/plan.h"
#include "ui/panels/emergency_dialog.h"
#include "ui/panels/phone_dialog.h"
#include "ui/panels/print_dialog.h"
#include "ui/print/map_files.h"
#include "ui/print/sheets.h"
#include "ui/session/edit_session.h"
#include "ui/session/eval_session.h"
#include "ui/style/type.h"
#include "ui/window/main_window.h"

#include <QFileDialog>
#include <QStatusBar>

namespace leeward::ui {
namespace {

constexpr int kPlanDays = 3;

/// What the chosen sheets need, and the file. Runs off the UI thread.
Status printTo(const std::filesystem::path& to, SheetsRequest request, const Scene& scene,
               std::stop_token stop) {
  Engine engine;
  const Snapshot ask{request.map.document, request.map.terrain, scene};
  auto results = engine.evaluate(ask, stop);
  if (!results) return std::move(results.error());
  request.map.results = *results;
  if (to.extension() == ".png") return writeHuntMapPng(request.map, to, 200, stop);
  if (request.choice.cards) {
    auto winds = standWinds(engine, ask, **results, stop);
    if (!winds) return std::move(winds.error());
    request.winds = *std::move(winds);
  }
  if (request.choice.plan) {
    auto plan = make_plan(engine, ask, kPlanDays, stop);
    if (!plan) return std::move(plan.error());
    request.plan = make_ref<Plan>(*std::move(plan));
  }
  return writeSheetsPdf(request, to, stop);
}

}  // namespace

void MainWindow::printSheets() {
  const Ref<Document> doc = edit_->document();
  PrintDialog dialog(*doc, edit_->selection(), eval_->trade(), this);
  if (dialog.exec() != QDialog::Accepted) return;
  const SheetChoice sheets = dialog.sheets();
  const bool map_alone = sheets.map && !sheets.cards && !sheets.plan && !sheets.work;
  const QString chosen = QFileDialog::getSaveFileName(
      this, tr("Save the sheets as"), text(doc->settings->name) + QStringLiteral(".pdf"),
      map_alone ? tr("PDF (*.pdf);;Picture (*.png)") : tr("PDF (*.pdf)"));
  if (chosen.isEmpty()) return;
  std::filesystem::path to = chosen.toStdString();
  if (to.extension() != ".pdf" && !(map_alone && to.extension() == ".png")) to += ".pdf";
  SheetsRequest request{{doc, eval_->terrain(), nullptr, edit_->file(), dialog.layout(),
                         dialog.stands(), dialog.wholeGround()},
                        sheets,
                        {},
                        {}};
  if (!edit_->readOnly()) {
    Settings next = *doc->settings;
    next.layout = request.map.layout;
    static_cast<void>(edit_->apply({"Change the print's layout", {put(std::move(next))}, {}}));
  }
  background_words_ = tr("Printing");
  const Scene scene = scene_at(*doc, eval_->arrive(), request.map.layout.trade);
  background_.start([this, request, scene, to](std::stop_token stop) {
    auto done = std::make_shared<Status>(printTo(to, request, scene, stop));
    return [this, done, to] {
      if (!*done) return complain(text(done->error().message));
      statusBar()->showMessage(tr("Saved as %1").arg(text(to.string())), 15000);
    };
  });
  showBusy();
}

void MainWindow::saveForPhone() {
  const Ref<Document> doc = edit_->document();
  PhoneDialog dialog(*doc, this);
  if (dialog.exec() != QDialog::Accepted) return;
  const QString chosen = QFileDialog::getSaveFileName(
      this, tr("Save for a phone or receiver"), text(doc->settings->name) + QStringLiteral(".kmz"),
      tr("KMZ (*.kmz);;KML (*.kml);;GPX (*.gpx);;GeoJSON (*.geojson);;MBTiles (*.mbtiles)"));
  if (chosen.isEmpty()) return;
  const std::filesystem::path to = chosen.toStdString();
  PrintLayout layout = doc->settings->layout;
  layout.trade = eval_->trade();
  MapFileRequest request{{doc, eval_->terrain(), nullptr, edit_->file(), layout, {}},
                         dialog.kinds(),
                         dialog.stands(),
                         dialog.ways(),
                         dialog.aerial()};
  background_words_ = tr("Saving for a phone");
  const Scene scene = scene_at(*doc, eval_->arrive(), layout.trade);
  background_.start([this, request, scene, to](std::stop_token stop) mutable {
    auto done = std::make_shared<Status>([&]() -> Status {
      auto results = Engine().evaluate({request.map.document, request.map.terrain, scene}, stop);
      if (!results) return std::move(results.error());
      request.map.results = *results;
      return writeMapFile(request, to, stop);
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
