#include "ui/window/print_desk.h"

#include "ui/canvas/map_canvas.h"
#include "ui/session/edit_session.h"
#include "ui/session/eval_session.h"
#include "ui/style/type.h"

#include <QApplication>
#include <QClipboard>
#include <QDockWidget>
#include <QFileDialog>
#include <QMainWindow>
#include <QTimer>

namespace leeward::ui {
namespace {

constexpr double kPng_dpi = 200, kCopy_dpi = 150;
constexpr int kLaidOut_ms = 120;      // until the panel has its place
constexpr double kFrameEdge_px = 44;  // room for the knob

bool isMapAlone(const SheetChoice& c) { return c.map && !c.cards && !c.plan && !c.work; }

/// Tells when it is closed by its own button.
class Dock : public QDockWidget {
 public:
  Dock(const QString& title, QWidget* parent, std::function<void()> closed)
      : QDockWidget(title, parent), closed_(std::move(closed)) {}

 protected:
  void closeEvent(QCloseEvent* event) override {
    QDockWidget::closeEvent(event);
    closed_();
  }

 private:
  std::function<void()> closed_;
};

}  // namespace

PrintDesk::PrintDesk(QMainWindow& window, MapCanvas& canvas, EditSession& edit, EvalSession& eval)
    : window_(window),
      canvas_(canvas),
      edit_(edit),
      eval_(eval),
      dock_(new Dock(tr("Print"), &window, [this] { emit closed(); })),
      panel_(new PrintPanel(*edit.document(), edit.selection(), eval.trade())),
      overlay_(std::make_unique<PrintOverlay>(canvas, canvas)),
      tool_(canvas) {
  dock_->setObjectName(QStringLiteral("print"));
  dock_->setWidget(panel_);
  dock_->setAllowedAreas(Qt::LeftDockWidgetArea | Qt::RightDockWidgetArea);
  window.addDockWidget(Qt::RightDockWidgetArea, dock_);
  window.resizeDocks({dock_}, {430}, Qt::Horizontal);
  connect(panel_, &PrintPanel::changed, this, &PrintDesk::panelChanged);
  connect(panel_, &PrintPanel::fileWanted, this, &PrintDesk::chooseFile);
  connect(panel_, &PrintPanel::copyWanted, this, &PrintDesk::copyPage);
  connect(panel_, &PrintPanel::frameWanted, this, &PrintDesk::takeFrame);
  connect(panel_, &PrintPanel::closed, this, &PrintDesk::closed);
  connect(panel_, &PrintPanel::writingGivenUp, this, [this] {
    writer_.cancel();
    panel_->setWriting(false);
  });
  connect(&tool_, &FrameTool::placed, this, &PrintDesk::framePlaced);
  connect(&tool_, &FrameTool::left, this, [this] {
    in_hand_ = false;
    showFrame();
  });
  connect(&edit_, &EditSession::documentChanged, this, &PrintDesk::refresh);
  connect(&eval_, &EvalSession::resultsChanged, this, &PrintDesk::refresh);
  connect(&writer_, &Background::finished, this, [this] { panel_->setWriting(writer_.busy()); });
  // A corner of the frame must not lie under the legend.
  folded_ = canvas.view().legend && canvas.legend().open();
  if (folded_) canvas.toggleLegend();
  takeFrame();
  panelChanged();
}

PrintDesk::~PrintDesk() {
  disconnect(&tool_, nullptr, this, nullptr);
  if (in_hand_) canvas_.setTool(nullptr);
  if (folded_ && !canvas_.legend().open()) canvas_.toggleLegend();
  keepLayout();
  delete dock_;
}

PrintAsk PrintDesk::ask() const {
  PrintAsk out;
  const Ref<Document> doc = edit_.document();
  out.sheets.map = {doc,
                    eval_.terrain(),
                    eval_.results(),
                    edit_.file(),
                    panel_->layout(),
                    panel_->stands(),
                    panel_->wholeGround()};
  out.sheets.choice = panel_->sheets();
  out.scene = scene_at(*doc, eval_.arrive(), out.sheets.map.layout.trade);
  out.days = panel_->days();
  return out;
}

void PrintDesk::refresh() {
  panel_->setDocument(*edit_.document());
  panelChanged();
}

void PrintDesk::panelChanged() {
  showFrame();
  if (!eval_.results()) return;
  if (!panel_->sheets().any()) return panel_->preview()->showNothing(tr("No sheet is chosen."));
  panel_->preview()->ask(ask());
}

void PrintDesk::showFrame() {
  if (!eval_.results()) return;
  const HuntMapRequest map = ask().sheets.map;
  PrintFrame frame;
  if (panel_->sheets().map) {
    const HuntMapScale scale = huntMapScale(map);
    frame = {scale.centre, scale.denominator, map.layout.turned_deg, scale.frame_mm, {}};
    if (const auto sheets = huntMapSheets(map); sheets && sheets->size() > 1) {
      frame.sheets = *sheets;
      frame.centre = (sheets->front().centre + sheets->back().centre) * 0.5;
    }
    panel_->showScale(scale.denominator, scale.centre);
  }
  tool_.show(frame);
  overlay_->showFrame(frame, in_hand_);
  if (!brought_) QTimer::singleShot(kLaidOut_ms, this, &PrintDesk::bringIntoSight);
}

// The whole frame with its knob, once, where some of it lies beyond the edges of the map.
void PrintDesk::bringIntoSight() {
  const PrintFrame& f = frame();
  if (brought_ || !(f.denominator > 0)) return;
  brought_ = true;
  Box all;
  for (const LocalXY c : f.corners()) all.add(c);
  const Box seen = canvas_.transform().visible();
  const double edge_m = kFrameEdge_px * canvas_.transform().metresPerPx();
  if (!seen.contains({all.min_x - edge_m, all.min_y - edge_m}) ||
      !seen.contains({all.max_x + edge_m, all.max_y + edge_m}))
    canvas_.fitTo(all.grown(0.04 * std::max(all.width_m(), all.height_m())));
}

void PrintDesk::takeFrame() {
  in_hand_ = true;
  canvas_.setTool(&tool_);
  canvas_.setFocus();
  showFrame();
  emit frameTaken();
}

void PrintDesk::framePlaced(const PrintFrame& frame) {
  const bool scaled = frame.denominator != overlay_->frame().denominator;
  const PrintLayout was = panel_->layout();
  overlay_->showFrame(frame, in_hand_);
  // A scale that fits by itself stays so until a hand changes it.
  panel_->place(frame.several() ? was.centre : frame.centre,
                scaled ? frame.denominator : was.scale_denominator, frame.up_deg);
}

void PrintDesk::keepLayout() {
  if (edit_.readOnly()) return;
  Settings next = *edit_.document()->settings;
  next.layout = panel_->layout();
  if (next.layout == edit_.document()->settings->layout) return;
  static_cast<void>(edit_.apply({"Change the print's layout", {put(std::move(next))}, {}}));
}

void PrintDesk::chooseFile() {
  const bool alone = isMapAlone(panel_->sheets());
  const QString chosen =
      QFileDialog::getSaveFileName(&window_, tr("Save the sheets as"),
                                   text(edit_.document()->settings->name) + QStringLiteral(".pdf"),
                                   alone ? tr("PDF (*.pdf);;Picture (*.png)") : tr("PDF (*.pdf)"));
  if (chosen.isEmpty()) return;
  std::filesystem::path to = chosen.toStdString();
  if (to.extension() != ".pdf" && !(alone && to.extension() == ".png")) to += ".pdf";
  keepLayout();
  writeTo(to);
}

PrintProgress PrintDesk::reporter(int half) {
  return [this, half](double share, const char*) {
    QMetaObject::invokeMethod(
        this,
        [this, share = (half + share) / 2] {
          if (writer_.busy())
            panel_->showProgress(share, time_left_.at(share, TimeLeft::Clock::now()));
        },
        Qt::QueuedConnection);
  };
}

void PrintDesk::writeTo(const std::filesystem::path& to) {
  writer_.start([this, what = ask(), to, filling = reporter(0),
                 drawing = reporter(1)](std::stop_token stop) -> Background::Finish {
    auto done = std::make_shared<Status>([&]() -> Status {
      auto filled = SheetMaker().filled(what.sheets, what.scene, what.days, stop, filling);
      if (!filled) return std::move(filled.error());
      return to.extension() == ".png" ? writeHuntMapPng(filled->map, to, kPng_dpi, stop, drawing)
                                      : writeSheetsPdf(*filled, to, stop, drawing);
    }());
    return [this, done, to] {
      if (*done)
        emit told(tr("Saved as %1").arg(text(to.string())));
      else
        emit failed(text(done->error().message));
    };
  });
  panel_->setWriting(true);
}

void PrintDesk::copyPage() {
  writer_.start([this, what = ask(),
                 page = panel_->preview()->page()](std::stop_token stop) -> Background::Finish {
    auto done = std::make_shared<Result<QImage>>([&]() -> Result<QImage> {
      auto filled = SheetMaker().filled(what.sheets, what.scene, what.days, stop);
      if (!filled) return std::move(filled.error());
      auto pages = sheetPages(*filled, stop, {});
      if (!pages) return std::move(pages.error());
      const size_t at = std::min(static_cast<size_t>(page), pages->size() - 1);
      return pagePicture((*pages)[at], pagesInfo(filled->map), kCopy_dpi);
    }());
    return [this, done] {
      if (!*done) return emit failed(text(done->error().message));
      QApplication::clipboard()->setImage(**done);
      emit told(tr("The page is on the clipboard"));
    };
  });
}

}  // namespace leeward::ui
