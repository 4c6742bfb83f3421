// What the Edit menu and the lists do to whole features.
#include "core/model/operations.h"
#include "ui/panels/feature_form.h"
#include "ui/panels/feature_list.h"
#include "ui/panels/history_panel.h"
#include "ui/panels/layer_panel.h"
#include "ui/panels/strip_dialog.h"
#include "ui/panels/tool_palette.h"
#include "ui/session/preferences.h"
#include "ui/style/type.h"
#include "ui/window/main_window.h"

#include <QAction>
#include <QMenu>
#include <QTabWidget>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

/// What was copied last, of any property that this program had open.
struct Clip {
  std::vector<Feature> features;
  CrsId crs;
};
Clip& clip() {
  static Clip held;
  return held;
}

constexpr double kPasteAsidePx = 24;

/// The features in another property's frame.
std::vector<Feature> inFrame(const Clip& from, const CrsId& crs) {
  std::vector<Feature> out = from.features;
  if (from.crs == crs) return out;
  const auto a = Frame::make(from.crs), b = Frame::make(crs);
  if (!a || !b) return out;
  for (Feature& f : out)
    for (Path& part : f.shape.parts)
      for (LocalXY& v : part) v = b->to_local(a->to_wgs84(v));
  return out;
}

}  // namespace

void MainWindow::addFeatureActions(QMenu* menu) {
  const auto can = [this] { return !edit_->readOnly(); };
  const auto some = [this, can] { return can() && edit_->selected() != nullptr; };
  const auto one = [this, can](auto allowed) {
    return [this, can, allowed] {
      const auto now = edit_->selectedFeatures();
      return can() && now.size() == 1 && allowed(*now[0]);
    };
  };
  const auto many = [this, can] { return can() && edit_->selectedUids().size() > 1; };
  const auto line = [](const Feature& f) { return f.shape.type == ShapeType::line; };
  const auto area = [](const Feature& f) { return f.shape.type == ShapeType::area; };
  const auto edged = [](const Feature& f) { return f.shape.type != ShapeType::point; };
  const auto add = [&](const QString& words, const QKeySequence& key, auto slot, auto holds) {
    needs_.emplace_back(menu->addAction(words, key, this, slot), holds);
  };
  add(
      tr("Cu&t"), QKeySequence::Cut, [this] { cutSelected(); }, some);
  add(
      tr("&Copy"), QKeySequence::Copy, [this] { copySelected(); },
      [this] { return edit_->selected() != nullptr; });
  add(
      tr("&Paste"), QKeySequence::Paste, [this] { paste(); }, can);
  add(
      tr("D&uplicate"), QKeySequence(tr("Ctrl+D")), [this] { duplicate(); }, some);
  add(
      tr("&Delete what is selected"), QKeySequence(), [this] { deleteSelected(); }, some);
  menu->addSeparator();
  add(
      tr("Select &all"), QKeySequence::SelectAll, [this] { selectAll(false); },
      [] { return true; });
  add(
      tr("Select all of this &kind"), QKeySequence(tr("Ctrl+Shift+A")), [this] { selectAll(true); },
      [this] { return edit_->selected() != nullptr; });
  menu->addSeparator();
  add(
      tr("&Split by a drawn line"), QKeySequence(tr("Ctrl+T")), [this] { pickCarve(Carve::split); },
      one(edged));
  add(
      tr("&Reshape its edge by a drawn line"), QKeySequence(tr("Ctrl+R")),
      [this] { pickCarve(Carve::reshape); }, one(edged));
  add(
      tr("Cut a &hole"), QKeySequence(tr("Ctrl+H")), [this] { pickCarve(Carve::hole); }, one(area));
  add(
      tr("&Join two lines"), QKeySequence(tr("Ctrl+J")),
      [this] {
        const std::vector<Uid> uids = edit_->selectedUids();
        if (uids.size() == 2)
          applyOutcome(join_step(*edit_->document(), uids[0], uids[1]));
        else
          edit_->tell(tr("Choose exactly two lines of one kind to join them"));
      },
      many);
  add(
      tr("&Merge areas"), QKeySequence(tr("Ctrl+M")),
      [this] { applyOutcome(merge_step(*edit_->document(), edit_->selectedUids())); }, many);
  add(
      tr("Make a strip alon&g it…"), QKeySequence(tr("Ctrl+B")), [this] { makeStrip(); },
      one(line));
  add(
      tr("Height of co&ver from the tree tops"), QKeySequence(tr("Ctrl+Shift+H")),
      [this] { heightFromCanopy(); },
      one([area](const Feature& f) { return area(f) && f.kind() == Kind::cover; }));
}

void MainWindow::wireLists() {
  connect(layers_, &LayerPanel::viewChanged, this, &MainWindow::setView);
  connect(features_, &FeatureList::viewChanged, this, &MainWindow::setView);
  connect(canvas_, &MapCanvas::viewChanged, this, &MainWindow::setView);
  setView(canvas_->view());
  wireScale();
  wireTurn();
  connect(features_, &FeatureList::picked, this, [this](const std::vector<Uid>& uids) {
    if (edit_) edit_->selectAll(uids);
  });
  connect(features_, &FeatureList::zoomWanted, this, &MainWindow::zoomToSelected);
  connect(features_, &FeatureList::deleteWanted, this, &MainWindow::deleteSelected);
  connect(features_, &FeatureList::editWanted, this, [this] {
    tabs_->setCurrentWidget(form_);
    if (QWidget* first = form_->widget()->nextInFocusChain()) first->setFocus(Qt::TabFocusReason);
  });
  connect(history_, &HistoryPanel::stepPicked, this, [this](std::size_t step) {
    if (edit_) edit_->goTo(step);
  });
}

void MainWindow::setView(const ViewState& view) {
  canvas_->setView(view);
  if (!(layers_->view() == view)) layers_->setView(view);
  features_->setView(view);
  if (!edit_) return;
  edit_->setLocked(view.locked);
  if (!(preferences::keptView(edit_->file(), view) == view))
    preferences::keepView(edit_->file(), view);
}

void MainWindow::useTool(std::unique_ptr<Tool> tool) {
  canvas_->setTool(tool.get());
  drawing_tool_ = std::move(tool);
  canvas_->setFocus();
}

void MainWindow::pickCarve(Carve what) {
  auto tool = std::make_unique<CarveTool>(*edit_, *canvas_, what, edit_->selection());
  connect(tool.get(), &CarveTool::done, this, &MainWindow::pickSelect, Qt::QueuedConnection);
  useTool(std::move(tool));
  palette_->show(std::nullopt);
}

bool MainWindow::applyOutcome(const Result<EditStep>& step) {
  if (!step) {
    edit_->tell(text(step.error().message));
    return false;
  }
  if (!edit_->apply(*step)) return false;  // said through refused()
  std::vector<Uid> made;
  for (const Edit& edit : step->edits)
    if (const auto* row = std::get_if<Put>(&edit))
      if (const auto* f = std::get_if<Ref<Feature>>(row)) made.push_back((*f)->uid);
  edit_->seal();
  if (!made.empty()) edit_->selectAll(std::move(made));
  return true;
}

void MainWindow::copySelected() {
  clip() = {{}, edit_->document()->settings->crs};
  for (const auto& f : edit_->selectedFeatures()) clip().features.push_back(*f);
}

void MainWindow::cutSelected() {
  copySelected();
  deleteSelected();
}

void MainWindow::deleteSelected() {
  if (!edit_ || edit_->selectedUids().empty()) return;
  static_cast<void>(edit_->apply(remove_step(*edit_->document(), edit_->selectedUids())));
}

void MainWindow::paste() {
  const std::vector<Feature> features = inFrame(clip(), edit_->document()->settings->crs);
  if (features.empty()) return edit_->tell(tr("Nothing was copied yet"));
  const MapTransform& t = canvas_->transform();
  Box box;
  for (const Feature& f : features) box.add(bounds(f.shape));
  LocalXY by = t.toLocal({kPasteAsidePx, kPasteAsidePx}) - t.toLocal({0, 0});
  const QPoint pointer = canvas_->mapFromGlobal(QCursor::pos());
  if (canvas_->underMouse() && canvas_->rect().contains(pointer))
    by = t.toLocal(pointer) - box.centre();
  else if (!t.visible().overlaps(box))
    by = t.centre() - box.centre();
  applyOutcome(paste_step(*edit_->document(), features, by, "Paste"));
}

void MainWindow::duplicate() {
  std::vector<Feature> features;
  for (const auto& f : edit_->selectedFeatures()) features.push_back(*f);
  const MapTransform& t = canvas_->transform();
  applyOutcome(paste_step(*edit_->document(), features,
                          t.toLocal({kPasteAsidePx, kPasteAsidePx}) - t.toLocal({0, 0}),
                          "Duplicate"));
}

void MainWindow::selectAll(bool of_kind) {
  std::vector<Uid> uids;
  const Ref<Feature> now = edit_->selected();
  for (const auto& rows : edit_->document()->features) {
    for (const auto& f : *rows) {
      if (of_kind && (!now || f->kind() != now->kind())) continue;
      if (of_kind || canvas_->view().pickable()[static_cast<std::size_t>(f->kind())])
        uids.push_back(f->uid);
    }
  }
  edit_->selectAll(std::move(uids));
}

void MainWindow::makeStrip() {
  const Ref<Feature> f = edit_->selected();
  StripDialog dialog(text(display_name(*f)), edit_->document()->settings->units, this);
  if (dialog.exec() != QDialog::Accepted) return;
  applyOutcome(strip_step(*edit_->document(), f->uid, dialog.kind(), dialog.width_m()));
}

void MainWindow::heightFromCanopy() {
  const Ref<Terrain> terrain = eval_->terrain();
  if (!terrain || terrain->canopy_m.empty())
    return edit_->tell(tr("No tree tops are known: add a surface raster from the File menu"));
  const auto step =
      cover_from_canopy_step(*edit_->document(), edit_->selection(), terrain->canopy_m);
  if (!applyOutcome(step)) return;
  const auto under = canopy_under(terrain->canopy_m, edit_->selected()->shape);
  edit_->tell(tr("Crowns cover %1 % of it; the densities are the type's own for that share")
                  .arg(std::lround(under->crowns * 100)));
}

void MainWindow::zoomToSelected() {
  if (!edit_) return;
  Box box;
  for (const auto& f : edit_->selectedFeatures()) box.add(bounds(f->shape));
  if (box.empty()) return;
  constexpr double kLeast_m = 60;
  const double lacking_m = kLeast_m - std::max(box.width_m(), box.height_m());
  canvas_->fitTo(lacking_m > 0 ? box.grown(lacking_m / 2) : box);
}

}  // namespace leeward::ui
