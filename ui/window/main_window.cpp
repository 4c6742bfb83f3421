#include "ui/window/main_window.h"

#include "core/eval/air.h"
#include "core/eval/explain.h"
#include "ui/panels/air_panel.h"
#include "ui/panels/explain_panel.h"
#include "ui/panels/feature_form.h"
#include "ui/panels/feature_list.h"
#include "ui/panels/history_panel.h"
#include "ui/panels/hour_strip.h"
#include "ui/panels/icons.h"
#include "ui/panels/layer_panel.h"
#include "ui/panels/look.h"
#include "ui/panels/plan_view.h"
#include "ui/panels/season_view.h"
#include "ui/panels/tool_palette.h"
#include "ui/session/plan_session.h"
#include "ui/session/preferences.h"
#include "ui/session/season_session.h"
#include "ui/session/wind_edits.h"
#include "ui/style/type.h"
#include "ui/window/pointer_words.h"
#include "ui/window/print_desk.h"

#include <QCloseEvent>
#include <QComboBox>
#include <QDateTime>
#include <QDoubleSpinBox>
#include <QLabel>
#include <QMessageBox>
#include <QProgressBar>
#include <QPushButton>
#include <QScrollArea>
#include <QSplitter>
#include <QStackedWidget>
#include <QStatusBar>
#include <QTabWidget>
#include <QVBoxLayout>

#include <cmath>

namespace leeward::ui {
namespace {

/// Half the side of the ground that is shown where nothing is drawn yet.
constexpr double kEmptyGround_m = 500;

Instant today() { return Instant{std::chrono::seconds{QDateTime::currentSecsSinceEpoch()}}; }

}  // namespace

MainWindow::MainWindow(std::filesystem::path demo) : demo_(std::move(demo)) {
  setWindowTitle(QStringLiteral("Leeward"));
  resize(1280, 800);
  setAcceptDrops(true);
  buildPages();
  buildStatus();
  buildFileMenu();
  buildEditMenu();
  buildViewMenu();
  buildHelpMenu();
  nameActions();
  takeIcons();
  takeLook();
  wirePanels();
  refreshActions();
  connect(&background_, &Background::finished, this, &MainWindow::showBusy);
  connect(&overviews_, &Background::finished, this, &MainWindow::showBusy);
}

MainWindow::~MainWindow() { closeSession(); }

// --- wiring --------------------------------------------------------------------------------------

void MainWindow::wirePanels() {
  connect(palette_, &ToolPalette::selectPicked, this, &MainWindow::pickSelect);
  connect(palette_, &ToolPalette::kindPicked, this, &MainWindow::pickKind);
  connect(canvas_, &MapCanvas::hintChanged, hint_, &QLabel::setText);
  connect(canvas_, &MapCanvas::pointerAt, this, &MainWindow::showPointer);
  connect(canvas_, &MapCanvas::pointerLeft, where_, &QLabel::clear);
  wireLists();
  const auto edited = [this](const EditStep& step, bool finished) {
    if (!edit_) return;
    static_cast<void>(edit_->apply(step));  // a refusal is shown through refused()
    if (finished) edit_->seal();
  };
  connect(layers_, &LayerPanel::edited, this, edited);
  connect(form_, &FeatureForm::edited, this, edited);
  connect(canvas_, &MapCanvas::windTurned, this, [this](double from_deg, bool finished) {
    if (!edit_) return;
    eval_->setDragging(!finished);
    static_cast<void>(
        edit_->apply(handWindStep(*edit_->document(), eval_->arrive(), from_deg, {})));
    if (finished) edit_->seal();
  });
  connect(canvas_, &MapCanvas::windSpeedStepped, this, [this](int steps) {
    if (!edit_) return;
    const Ref<Document> doc = edit_->document();
    const auto now = windAt(*doc, eval_->arrive());
    const double unit = doc->settings->units == UnitSystem::us ? kMpsPerMph : 0.5;
    const double speed = now && now->speed_mps ? *now->speed_mps : 0;
    const double next = (std::round(speed / unit) + steps) * unit;
    static_cast<void>(edit_->apply(handWindStep(*doc, eval_->arrive(), {}, next)));
  });
  connect(air_, &AirPanel::byHandPicked, this, [this](bool by_hand) {
    if (!edit_) return;
    const Ref<Document> doc = edit_->document();
    const EditStep step =
        by_hand ? handWindStep(*doc, eval_->arrive(), {}, {}) : windSourceStep(*doc, false);
    static_cast<void>(edit_->apply(step));
    edit_->seal();
    showAir();
  });
  connect(
      air_, &AirPanel::handWindEntered, this,
      [this](std::optional<double> from, std::optional<double> speed, std::optional<double> cloud) {
        if (!edit_) return;
        static_cast<void>(
            edit_->apply(handWindStep(*edit_->document(), eval_->arrive(), from, speed, cloud)));
      });
  connect(air_, &AirPanel::stabilityPicked, this, [this](std::optional<int> stability) {
    if (!edit_) return;
    static_cast<void>(edit_->apply(stabilityStep(*edit_->document(), stability)));
    edit_->seal();
  });
  connect(air_, &AirPanel::scentLimitEntered, this, [this](double limit) {
    if (edit_) static_cast<void>(edit_->apply(scentLimitStep(*edit_->document(), limit)));
  });
  connect(air_, &AirPanel::forecastWanted, this, &MainWindow::openForecast);
  connect(explain_, &ExplainPanel::tradePicked, this, [this](Trade trade) {
    if (eval_) eval_->setTrade(trade);
  });
  connect(explain_, &ExplainPanel::standPicked, this, [this](const Uid& uid) {
    if (edit_) edit_->select(uid);
  });
  connect(strip_, &HourStrip::arriveMoved, this, [this](Instant arrive, bool finished) {
    if (!eval_) return;
    eval_->setDragging(!finished);
    eval_->setArrive(arrive);
  });
  connect(strip_, &HourStrip::sitStretched, this, [this](int minutes, bool finished) {
    if (!edit_) return;
    eval_->setDragging(!finished);
    Settings next = *edit_->document()->settings;
    next.sit_minutes = minutes;
    static_cast<void>(edit_->apply({"Change the sit's length", {put(std::move(next))}, "sit"}));
    if (finished) edit_->seal();
  });
}

Status MainWindow::openFile(const std::filesystem::path& file) {
  auto session = EditSession::open(file);
  if (!session) {
    complain(text(session.error().message));
    return std::move(session.error());
  }
  adopt(*std::move(session));
  preferences::addRecentFile(file);
  return ok();
}

void MainWindow::closeSession() {
  overviews_.cancel();
  closePrint();
  closePlan();
  closeSeason();
  canvas_->setTool(nullptr);
  drawing_tool_.reset();
  select_tool_.reset();
  canvas_->setTiles(nullptr);
  terrain_.reset();
  eval_.reset();
  edit_.reset();
}

void MainWindow::adopt(std::unique_ptr<EditSession> session) {
  closeSession();
  edit_ = std::move(session);
  const Ref<Document> doc = edit_->document();
  eval_ = std::make_unique<EvalSession>(doc);
  terrain_ = std::make_unique<TerrainSession>(edit_->file());
  canvas_->setResults(nullptr);
  air_->setWindPending(false);
  canvas_->setSelection({});
  reloadTiles();
  canvas_->setConvergence(edit_->convergenceDeg());
  select_tool_ = std::make_unique<SelectTool>(*edit_, *canvas_);
  connect(select_tool_.get(), &SelectTool::dragChanged, this,
          [this](bool on) { eval_->setDragging(on); });
  wireSession();
  setView(preferences::keptView(edit_->file(), canvas_->view()));
  palette_->setReadOnly(edit_->readOnly());
  strip_->setReadOnly(edit_->readOnly());
  eval_->setArrive(firstSit(*doc, today()));
  pages_->setCurrentIndex(1);
  pickSelect();
  documentChanged();
  hourChanged();
  canvas_->fitAll();
  if (const auto middle = preferences::keptPlace(edit_->file()); middle && doc->extent().empty())
    canvas_->fitTo(Box{middle->x, middle->y, middle->x, middle->y}.grown(kEmptyGround_m));
  canvas_->setFocus();
  if (edit_->notice().isEmpty()) return;
  // Told without waiting: the map comes up behind it.
  auto* box = new QMessageBox(QMessageBox::NoIcon, QStringLiteral("Leeward"), edit_->notice(),
                              QMessageBox::Ok, this);
  box->setAttribute(Qt::WA_DeleteOnClose);
  box->open();
}

void MainWindow::wireSession() {
  connect(edit_.get(), &EditSession::documentChanged, this, &MainWindow::documentChanged);
  connect(edit_.get(), &EditSession::selectionChanged, this, &MainWindow::selectionChanged);
  connect(edit_.get(), &EditSession::saveChanged, this, &MainWindow::refreshActions);
  connect(edit_.get(), &EditSession::refused, this,
          [this](const QString& why) { statusBar()->showMessage(why, 7000); });
  connect(edit_.get(), &EditSession::told, this, &MainWindow::statusBarMessage);
  connect(eval_.get(), &EvalSession::resultsChanged, this, &MainWindow::resultsChanged);
  connect(eval_.get(), &EvalSession::busyChanged, this, &MainWindow::showBusy);
  connect(eval_.get(), &EvalSession::hourChanged, this, &MainWindow::hourChanged);
  connect(eval_.get(), &EvalSession::progressed, this, [this](double share, const QString& what) {
    if (terrain_->busy() || background_.busy() || !eval_->busy()) return;
    showProgress(eval_->solving() ? tr("The land's effect on the wind is being worked out") : what,
                 share);
  });
  connect(terrain_.get(), &TerrainSession::loaded, this, [this](const Ref<Terrain>& terrain) {
    canvas_->setTerrain(terrain);
    eval_->setTerrain(terrain);
    strip_->setDocument(edit_->document(), place(), edit_->convergenceDeg());
    showBusy();
    if (plan_waits_) makePlan();
  });
  connect(terrain_.get(), &TerrainSession::failed, this, &MainWindow::complain);
  connect(terrain_.get(), &TerrainSession::progressed, this,
          [this](double share, const QString& what) { showProgress(what, share); });
  connect(terrain_.get(), &TerrainSession::aerialsKnown, this, [this] {
    if (!canvas_->tiles()) return;
    showFacts();
    if (edit_->document()->extent().empty() && !terrain_->aerials().empty()) {
      Box all;
      for (const auto& [uid, aerial] : terrain_->aerials()) all.add(aerial.box);
      if (!all.empty()) canvas_->fitTo(all);
    }
    buildOverviews();
  });
}

// --- tools ---------------------------------------------------------------------------------------

void MainWindow::pickSelect() {
  if (!edit_) return;
  canvas_->setTool(select_tool_.get());
  drawing_tool_.reset();
  palette_->show(std::nullopt);
}

void MainWindow::pickKind(Kind kind) {
  if (!edit_ || edit_->readOnly()) return;
  auto tool = std::make_unique<DrawTool>(*edit_, *canvas_, kind);
  connect(tool.get(), &DrawTool::done, this, &MainWindow::pickSelect, Qt::QueuedConnection);
  useTool(std::move(tool));
  palette_->show(kind);
}

// --- following the session -----------------------------------------------------------------------

LonLat MainWindow::place() const {
  const Frame* frame = edit_->frame();
  Box box = edit_->document()->extent();
  const Ref<Terrain> terrain = eval_->terrain();
  if (box.empty() && !terrain->ground.empty()) box = terrain->ground.spec.box();
  return frame && !box.empty() ? frame->to_wgs84(box.centre()) : LonLat{};
}

void MainWindow::documentChanged() {
  const Ref<Document> doc = edit_->document();
  canvas_->setDocument(doc);
  eval_->setDocument(doc);
  terrain_->setDocument(doc);
  layers_->setDocument(doc, edit_->readOnly());
  form_->setFeatures(doc, edit_->selectedFeatures(), edit_->readOnly());
  features_->setDocument(doc, edit_->readOnly());
  history_->setSteps(edit_->historyLabels(), edit_->historyAt());
  strip_->setDocument(doc, place(), edit_->convergenceDeg());
  showAir();
  showWords();
  showBusy();
  refreshActions();
  if (plan_view_) plan_view_->setDocument(doc);
}

void MainWindow::selectionChanged() {
  canvas_->setSelection(edit_->selection());
  form_->setFeatures(edit_->document(), edit_->selectedFeatures(), edit_->readOnly());
  features_->setSelected(edit_->selectedUids());
  showWords();
  refreshActions();
}

void MainWindow::resultsChanged() {
  canvas_->setResults(eval_->results());
  air_->setWindPending(eval_->results()->wind_pending);
  showWords();
  showBusy();
}

void MainWindow::hourChanged() {
  strip_->setArrive(eval_->arrive());
  explain_->setTrade(eval_->trade());
  showAir();
}

void MainWindow::showWords() {
  explain_->show(edit_->document(), eval_->results(), edit_->selection());
}

void MainWindow::showAir() {
  const Ref<Document> doc = edit_->document();
  const AirNow air =
      air_of(*doc, eval_->arrive(), sun_now(eval_->arrive(), place()), edit_->convergenceDeg());
  air_->show(*doc, air, edit_->convergenceDeg(), edit_->readOnly());
  const auto wind = windAt(*doc, eval_->arrive());
  QString words = tr("No wind known");
  if (wind && wind->speed_mps) {
    words = text(speed_text(*wind->speed_mps, doc->settings->units));
    if (wind->from_deg) words.prepend(text(compass_point(air.from_true_deg)) + QLatin1Char(' '));
  }
  canvas_->setWind(wind ? wind->from_deg : std::nullopt, wind ? wind->speed_mps : std::nullopt,
                   words);
}

void MainWindow::showPointer(const LocalXY& at) {
  if (!edit_ || !edit_->frame()) return;
  const Ref<Results> results = eval_->results();
  const StandResult* stand = results ? results->find(edit_->selection()) : nullptr;
  const Ref<Feature> from = stand ? edit_->document()->find(stand->stand) : nullptr;
  where_->setText(pointerWords(*edit_->frame(), *eval_->terrain(), from ? stand : nullptr,
                               from ? from->shape.position() : LocalXY{},
                               edit_->document()->settings->units, at, readout_));
}

void MainWindow::showBusy() {
  const bool loading = terrain_ && terrain_->busy();
  const bool solving = eval_ && eval_->solving();
  const bool evaluating = eval_ && eval_->busy() && (!eval_->results() || solving);
  const bool busy = background_.busy() || overviews_.busy() || loading || evaluating;
  progress_->setVisible(busy);
  cancel_->setVisible(background_.busy() || overviews_.busy());
  working_->setVisible(busy);
  if (background_.busy()) {
    working_->setText(background_words_);
    progress_->setRange(0, 0);
  } else if (solving && !loading) {
    working_->setText(tr("The land's effect on the wind is being worked out"));
  }
}

void MainWindow::statusBarMessage(const QString& words) { statusBar()->showMessage(words, 12000); }

void MainWindow::setArrive(Instant arrive) {
  if (eval_) eval_->setArrive(arrive);
}

Status MainWindow::selectByName(const std::string& name) {
  if (edit_) {
    for (const auto& rows : edit_->document()->features) {
      for (const auto& f : *rows) {
        if (f->name != name) continue;
        edit_->select(f->uid);
        return ok();
      }
    }
  }
  return fail(ErrorCode::not_found, "no feature is named '" + name + "'");
}

bool MainWindow::settled() const {
  if (!edit_) return true;
  const Ref<Results> results = eval_->results();
  if (plan_waits_ || (plan_ && plan_->busy()) || (print_ && print_->busy())) return false;
  return !terrain_->busy() && !eval_->busy() && results && !results->interim && canvas_->settled();
}

void MainWindow::closeEvent(QCloseEvent* event) {
  if (edit_) {
    const Status done = edit_->flush();
    if (!done && !closesUnsaved(done.error())) return event->ignore();
  }
  event->accept();
}

}  // namespace leeward::ui
