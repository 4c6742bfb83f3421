// Pictures of the map and the charts: the menu, and the menus of the charts themselves.
#include "ui/panels/chart_picture.h"
#include "ui/panels/hour_strip.h"
#include "ui/print/stand_card.h"
#include "ui/session/edit_session.h"
#include "ui/session/eval_session.h"
#include "ui/style/type.h"
#include "ui/window/main_window.h"

#include <QMenu>

namespace leeward::ui {
namespace {

constexpr double kRangeCard_dpi = 200;
constexpr double kDialAir_px = 20;

QRect dialOf(const MapCanvas& canvas) {
  const int side = static_cast<int>(2 * (WindDial::kRadiusPx + kDialAir_px));
  return {canvas.width() - side, 0, side, side + static_cast<int>(2 * kDialAir_px)};
}

}  // namespace

QImage MainWindow::rangeCard() const {
  const Ref<Results> results = eval_->results();
  const StandResult* stand = results ? results->find(edit_->selection()) : nullptr;
  if (!stand) return {};
  HuntMapRequest request{edit_->document(),
                         eval_->terrain(),
                         results,
                         edit_->file(),
                         edit_->document()->settings->layout,
                         {}};
  PagesInfo info;
  const SheetPage page = rangeCardPage(request, *stand, info);
  const auto picture = pagePicture(page, info, kRangeCard_dpi);
  return picture ? *picture : QImage();
}

void MainWindow::addPictures(QMenu* file) {
  QMenu* menu = file->addMenu(tr("P&ictures"));
  const auto add = [&](const ChartPicture& chart, const QKeySequence& key = {}) {
    needs_property_.push_back(
        menu->addAction(tr("Copy %1").arg(chart.name), key, this, [this, chart] {
          copyPicture(chart);
          statusBarMessage(tr("%1 is on the clipboard").arg(chart.name));
        }));
    needs_property_.push_back(menu->addAction(tr("Save %1…").arg(chart.name), this,
                                              [this, chart] { savePicture(this, chart); }));
    return needs_property_.back();
  };
  const ChartPicture map{tr("Map"), [this] { return canvas_->grab().toImage(); }},
      dial{tr("Wind dial"), [this] { return canvas_->grab(dialOf(*canvas_)).toImage(); }},
      hours{tr("Hours"), [this] { return strip_->grab().toImage(); }},
      ranges{tr("Range card"), [this] { return rangeCard(); }};
  add(map, QKeySequence(tr("Ctrl+Shift+C")));
  add(dial);
  add(hours);
  add(ranges);
  const QList<QAction*> rows = menu->actions();
  for (QAction* row : rows.last(2))
    needs_.emplace_back(row, [this] {
      const Ref<Feature> f = edit_->selected();
      return f && f->kind() == Kind::stand;
    });
  for (QWidget* w : std::initializer_list<QWidget*>{canvas_, strip_})
    w->setContextMenuPolicy(Qt::ActionsContextMenu);
  canvas_->addActions(rows.first(4));
  strip_->addActions(rows.mid(4, 2));
}

}  // namespace leeward::ui
