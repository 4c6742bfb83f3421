// Menus of the main window and what they start.
#include "core/eval/explain.h"
#include "core/io/forecast_files.h"
#include "core/io/new_property.h"
#include "core/io/store_paths.h"
#include "ui/panels/dialogs.h"
#include "ui/panels/feature_list.h"
#include "ui/panels/forecasts_dialog.h"
#include "ui/panels/help_window.h"
#include "ui/panels/history_panel.h"
#include "ui/panels/judgement_dialog.h"
#include "ui/panels/keys_dialog.h"
#include "ui/panels/look.h"
#include "ui/panels/new_property_dialog.h"
#include "ui/panels/visit_dialog.h"
#include "ui/panels/weapons_dialog.h"
#include "ui/session/hours.h"
#include "ui/style/type.h"
#include "ui/window/main_window.h"

#include <QAction>
#include <QComboBox>
#include <QDoubleSpinBox>
#include <QFileDialog>
#include <QLabel>
#include <QMenuBar>
#include <QMessageBox>
#include <QPushButton>
#include <QStatusBar>
#include <QStyle>

namespace leeward::ui {
namespace {

QString joined(const std::vector<std::string>& notes) {
  QString out;
  for (const std::string& n : notes) out += QStringLiteral("• ") + text(n) + QLatin1Char('\n');
  return out.trimmed();
}

// The same file again: by its name, when it was issued, and where it begins.
bool same_forecast(const Document& d, const Forecast& stored, const io::ForecastImport& read) {
  if (stored.source != read.forecast.source || stored.issued != read.forecast.issued) return false;
  const auto first = std::find_if(d.stored_hours->begin(), d.stored_hours->end(),
                                  [&](const auto& h) { return h->forecast == stored.uid; });
  return first == d.stored_hours->end() || read.hours.empty() ||
         (*first)->at == read.hours.front().at;
}

}  // namespace

// --- menus ---------------------------------------------------------------------------------------

void MainWindow::buildFileMenu() {
  QMenu* menu = menuBar()->addMenu(tr("&File"));
  menu->addAction(tr("&New property…"), QKeySequence::New, this, &MainWindow::newProperty);
  menu->addAction(tr("New property from n&othing…"), this, &MainWindow::newFromNothing);
  menu->addAction(tr("&Open property…"), QKeySequence::Open, this, &MainWindow::openProperty);
  recent_ = menu->addMenu(tr("Open &recent"));
  connect(recent_, &QMenu::aboutToShow, this, &MainWindow::fillRecent);
  menu->addSeparator();
  needs_property_.push_back(
      menu->addAction(tr("Save a &copy as…"), QKeySequence::SaveAs, this, &MainWindow::saveCopy));
  menu->addSeparator();
  const auto writing = [&](const QString& words, auto slot) {
    needs_writing_.push_back(menu->addAction(words, this, slot));
  };
  writing(tr("&Import features…"), [this] { importFeatures(); });
  writing(tr("Open &forecast…"), [this] { openForecast(); });
  needs_property_.push_back(menu->addAction(tr("Store&d forecasts…"), this,
                                            [this] { ForecastsDialog(*edit_, this).exec(); }));
  writing(tr("Add &aerial picture…"), [this] { addRaster(RasterRole::aerial); });
  writing(tr("&Tie a plain picture to the ground…"), [this] { tiePicture(); });
  writing(tr("Add ground &elevation…"), [this] { addRaster(RasterRole::elevation); });
  writing(tr("Add &surface (tree tops)…"), [this] { addRaster(RasterRole::surface); });
  menu->addSeparator();
  needs_property_.push_back(
      menu->addAction(tr("&Print…"), QKeySequence::Print, this, &MainWindow::printSheets));
  needs_property_.push_back(
      menu->addAction(tr("Save for a p&hone or program…"), this, &MainWindow::saveForPhone));
  addPictures(menu);
  writing(tr("E&mergency plan…"), [this] { editEmergencyPlan(); });
  menu->addSeparator();
  menu->addAction(tr("&Quit"), QKeySequence(tr("Ctrl+Q")), this, &QWidget::close);
}

void MainWindow::buildEditMenu() {
  QMenu* menu = menuBar()->addMenu(tr("&Edit"));
  undo_ = menu->addAction(tr("&Undo"), QKeySequence::Undo, this, [this] { edit_->undo(); });
  redo_ = menu->addAction(tr("&Redo"), QKeySequence(tr("Ctrl+Shift+Z")), this,
                          [this] { edit_->redo(); });
  menu->addSeparator();
  addFeatureActions(menu);
  menu->addSeparator();
  needs_property_.push_back(
      menu->addAction(tr("&Weapons…"), this, [this] { WeaponsDialog(*edit_, this).exec(); }));
  needs_property_.push_back(
      menu->addAction(tr("&Log of entries…"), QKeySequence(tr("Ctrl+L")), this,
                      [this] { VisitDialog(*edit_, eval_->arrive(), this).exec(); }));
  needs_property_.push_back(menu->addAction(tr("What the &figures rest on…"), this,
                                            [this] { JudgementDialog(*edit_, this).exec(); }));
  needs_property_.push_back(menu->addAction(tr("&Property settings…"), this,
                                            [this] { SettingsDialog(*edit_, this).exec(); }));
}

void MainWindow::buildViewMenu() {
  QMenu* menu = menuBar()->addMenu(tr("&View"));
  const auto action = [&](const QString& words, const QKeySequence& key, auto slot) {
    needs_property_.push_back(menu->addAction(words, key, this, slot));
  };
  action(tr("&Whole property"), QKeySequence(tr("Ctrl+0")), [this] { canvas_->fitAll(); });
  QAction* zoom = menu->addAction(tr("What is &selected"), QKeySequence(tr("Ctrl+9")), this,
                                  &MainWindow::zoomToSelected);
  needs_.emplace_back(zoom, [this] { return edit_->selected() != nullptr; });
  action(tr("Zoom &in"), QKeySequence::ZoomIn,
         [this] { canvas_->glideBy(1.4, 0, canvas_->middle()); });
  action(tr("Zoom &out"), QKeySequence::ZoomOut,
         [this] { canvas_->glideBy(1 / 1.4, 0, canvas_->middle()); });
  addTurns(menu);
  addReadouts(menu);
  action(tr("Switch &units: yards or metres"), QKeySequence(tr("Ctrl+U")),
         [this] { switchUnits(); });
  menu->addSeparator();
  action(tr("What it &means"), QKeySequence(tr("Ctrl+1")), [this] { tabs_->setCurrentIndex(0); });
  action(tr("&Details"), QKeySequence(tr("Ctrl+2")), [this] { tabs_->setCurrentIndex(1); });
  action(tr("&Layers"), QKeySequence(tr("Ctrl+3")), [this] { tabs_->setCurrentIndex(2); });
  action(tr("List of &features"), QKeySequence(tr("Ctrl+5")), [this] {
    tabs_->setCurrentWidget(features_);
    features_->takeFocus();
  });
  action(tr("S&teps of this session"), QKeySequence(tr("Ctrl+6")), [this] {
    tabs_->setCurrentWidget(history_);
    history_->setFocus();
  });
  menu->addSeparator();
  action(tr("&Plan of the coming sits"), QKeySequence(tr("Ctrl+4")), [this] { showPlan(); });
  action(tr("What a &season gives"), QKeySequence(tr("Ctrl+7")), [this] { showSeason(); });
  action(tr("Le&gend"), QKeySequence(tr("K")), [this] { canvas_->toggleLegend(); });
  menu->addSeparator();
  addLooks(menu);
}

void MainWindow::buildHelpMenu() {
  QMenu* menu = menuBar()->addMenu(tr("&Help"));
  menu->addAction(tr("Help &page"), QKeySequence::HelpContents, this, &MainWindow::showHelp);
  menu->addAction(tr("C&hange keys…"), this, [this] { KeysDialog(keyedActions(), this).exec(); });
  menu->addAction(tr("&Cautions"), this, &MainWindow::showCautions);
  menu->addAction(tr("&About Leeward"), this, &MainWindow::showAbout);
}

void MainWindow::refreshActions() {
  const bool open = edit_ != nullptr;
  scale_->setVisible(open);
  turn_->setVisible(open);
  for (QAction* a : needs_property_) a->setEnabled(open);
  for (QAction* a : needs_writing_) a->setEnabled(open && !edit_->readOnly());
  undo_->setEnabled(open && edit_->canUndo());
  redo_->setEnabled(open && edit_->canRedo());
  for (const auto& [action, holds] : needs_) action->setEnabled(open && holds());
  undo_->setText(undo_->isEnabled() ? tr("&Undo: %1").arg(edit_->undoLabel()) : tr("&Undo"));
  redo_->setText(redo_->isEnabled() ? tr("&Redo: %1").arg(edit_->redoLabel()) : tr("&Redo"));
  if (!open) return;
  const QString name = text(edit_->document()->settings->name);
  setWindowTitle(edit_->readOnly() ? tr("%1 (read-only) — Leeward").arg(name)
                                   : tr("%1 — Leeward").arg(name));
  saved_->setText(edit_->saveText());
  saved_->setObjectName(edit_->saveFails() ? QStringLiteral("caution") : QStringLiteral("soft"));
  style()->unpolish(saved_);
  style()->polish(saved_);
}

// --- files ---------------------------------------------------------------------------------------

void MainWindow::complain(const QString& words) {
  QMessageBox box(QMessageBox::NoIcon, QStringLiteral("Leeward"), words, QMessageBox::Ok, this);
  box.setTextInteractionFlags(Qt::TextSelectableByMouse);
  box.exec();
}

bool MainWindow::closesUnsaved(const Error& why) {
  QMessageBox box(QMessageBox::NoIcon, QStringLiteral("Leeward"),
                  tr("The last changes are not saved: %1").arg(text(why.message)),
                  QMessageBox::NoButton, this);
  const auto* close = box.addButton(tr("Close and lose them"), QMessageBox::DestructiveRole);
  box.addButton(tr("Stay"), QMessageBox::RejectRole);
  box.exec();
  return box.clickedButton() == close;
}

void MainWindow::report(const QString& title, const QString& words) {
  QMessageBox box(QMessageBox::NoIcon, title, words, QMessageBox::Ok, this);
  box.exec();
}

void MainWindow::newProperty() {
  NewPropertyDialog dialog(this);
  if (dialog.exec() != QDialog::Accepted) return;
  background_words_ = tr("Making the property");
  background_.start([this, request = dialog.request(), file = dialog.file()](std::stop_token) {
    auto made = std::make_shared<Result<io::Made>>(io::make_property(request, file));
    return [this, made, file] {
      if (!*made) return complain(text(made->error().message));
      auto session = EditSession::create(file, (*made)->document);
      if (!session) return complain(text(session.error().message));
      adopt(*std::move(session));
      if (!(*made)->notes.empty()) report(tr("New property"), joined((*made)->notes));
    };
  });
  showBusy();
}

void MainWindow::openProperty() {
  const QString file = QFileDialog::getOpenFileName(this, tr("Open a property"), QString(),
                                                    tr("Property (*.gpkg);;All files (*)"));
  if (!file.isEmpty()) static_cast<void>(openFile(file.toStdString()));  // failures were shown
}

void MainWindow::saveCopy() {
  const QString chosen =
      QFileDialog::getSaveFileName(this, tr("Save a copy as"), QString(), tr("Property (*.gpkg)"));
  if (chosen.isEmpty()) return;
  std::filesystem::path to = chosen.toStdString();
  if (to.extension() != ".gpkg") to += ".gpkg";
  background_words_ = tr("Saving a copy");
  background_.start([this, doc = edit_->document(), from = edit_->file(), to](std::stop_token) {
    auto done = std::make_shared<Status>(io::write_copy(*doc, from, to));
    return [this, done, to] {
      if (!*done) return complain(text(done->error().message));
      hint_->setText(tr("A copy is saved as %1").arg(text(to.filename().string())));
    };
  });
  showBusy();
}

void MainWindow::openForecast() {
  const QString file =
      QFileDialog::getOpenFileName(this, tr("Open a forecast"), QString(),
                                   tr("Forecast (*.csv *.json *.grib2 *.grb2);;All files (*)"));
  if (file.isEmpty()) return;
  const Ref<Document> doc = edit_->document();
  const Box extent = doc->extent();
  LocalXY middle = extent.empty() ? canvas_->transform().centre() : extent.centre();
  background_words_ = tr("Reading the forecast");
  background_.start([this, path = std::filesystem::path(file.toStdString()), doc,
                     middle](std::stop_token) {
    auto read = std::make_shared<Result<io::ForecastImport>>([&]() -> Result<io::ForecastImport> {
      auto frame = Frame::make(doc->settings->crs);
      if (!frame) return std::move(frame.error());
      return io::read_forecast(path, *frame, middle);
    }());
    return [this, read] {
      if (!*read) return complain(text(read->error().message));
      const Ref<Document> now = edit_->document();
      EditStep step{"Open a forecast", {}, {}};
      // Older ones stay, so that they can be judged; the same one again takes its own place.
      for (const auto& old : *now->forecasts)
        if (same_forecast(*now, *old, **read)) step.edits.emplace_back(Remove{old->uid});
      step.edits.push_back(put((*read)->forecast));
      for (const WindHour& h : (*read)->hours) step.edits.push_back(put(h));
      Settings settings = *now->settings;
      settings.use_hand_wind = false;
      step.edits.push_back(put(std::move(settings)));
      if (!edit_->apply(step)) return;
      eval_->setArrive(firstSit(*edit_->document(), eval_->arrive()));
      if (!(*read)->notes.empty()) report(tr("Forecast"), joined((*read)->notes));
    };
  });
  showBusy();
}

void MainWindow::addRaster(RasterRole role) {
  const QString file = QFileDialog::getOpenFileName(this, tr("Add a raster"));
  if (!file.isEmpty()) addRasterFile(file.toStdString(), role);
}

void MainWindow::addRasterFile(const std::filesystem::path& path, RasterRole role) {
  auto facts = io::inspect_raster(path, edit_->document()->settings->crs);
  if (!facts) return complain(text(facts.error().message));
  if (!facts->georeferenced && role == RasterRole::aerial) return tieFile(path);
  if (!facts->georeferenced)
    return complain(
        tr("%1 does not say where it lies: use a GeoTIFF, or put a world file beside it")
            .arg(text(path.filename().string())));
  RasterLayer layer;
  layer.uid = Uid::random();
  layer.name = path.stem().string();
  layer.path = io::relative_raster_path(path, edit_->file());
  layer.role = role;
  layer.metres_per_unit = role == RasterRole::aerial ? 1 : facts->metres_per_unit;
  EditStep step{std::string("Add ") + word(role), {}, {}};
  for (const auto& old : *edit_->document()->rasters) {
    layer.order = std::max(layer.order, old->order + 1);
    if (old->role == role && role != RasterRole::aerial) step.edits.emplace_back(Remove{old->uid});
  }
  step.edits.push_back(put(std::move(layer)));
  static_cast<void>(edit_->apply(step));
}

// --- help ----------------------------------------------------------------------------------------

void MainWindow::showHelp() {
  auto* open = findChild<HelpWindow*>();
  if (!open) open = new HelpWindow(this);
  open->show();
  open->raise();
  open->activateWindow();
}

void MainWindow::showCautions() {
  QString words;
  for (const std::string& c : cautions()) words += text(c) + QStringLiteral("\n\n");
  report(tr("Cautions"), words.trimmed());
}

void MainWindow::showAbout() {
  report(tr("About Leeward"),
         tr("Leeward is an offline map editor for a deer-hunting property. It never uses the "
            "network. Its source is under the MIT licence; it is built on Qt, GDAL, PROJ, GEOS and "
            "the date library."));
}

}  // namespace leeward::ui
