#include "ui/panels/layer_panel.h"

#include "ui/panels/icons.h"
#include "ui/panels/look.h"
#include "ui/style/type.h"

#include <QCheckBox>
#include <QGridLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QSlider>
#include <QVBoxLayout>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

/// A check box with a slider for strength in one row.
struct StrengthRow {
  QCheckBox* box;
  QSlider* slider;
  QHBoxLayout* row;
};
StrengthRow strengthRow(QVBoxLayout* column, const QString& words, bool on, double opacity) {
  auto* row = new QHBoxLayout;
  auto* box = new QCheckBox(words);
  box->setChecked(on);
  box->setMinimumWidth(130);
  auto* slider = new QSlider(Qt::Horizontal);
  slider->setRange(5, 100);
  slider->setValue(static_cast<int>(std::lround(opacity * 100)));
  slider->setEnabled(on);
  slider->setAccessibleName(QObject::tr("Strength of %1").arg(words));
  slider->setToolTip(QObject::tr("Strength of %1").arg(words.toLower()));
  row->addWidget(box, 3);
  row->addWidget(slider, 2);
  column->addLayout(row);
  return {box, slider, row};
}

/// As they lie on the map, the topmost first.
Rows<RasterLayer> aerialsTopFirst(const Document& document) {
  Rows<RasterLayer> out;
  for (const auto& r : *document.rasters)
    if (r->role == RasterRole::aerial) out.push_back(r);
  std::stable_sort(out.begin(), out.end(),
                   [](const auto& a, const auto& b) { return a->order > b->order; });
  return out;
}

}  // namespace

LayerPanel::LayerPanel(QWidget* parent) : QScrollArea(parent) {
  setWidgetResizable(true);
  setFocusPolicy(Qt::NoFocus);
  setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
  rebuild();
}

void LayerPanel::setDocument(Ref<Document> document, bool read_only) {
  document_ = std::move(document);
  const bool same = shown_rasters_ == document_->rasters && read_only_ == read_only;
  read_only_ = read_only;
  if (same || own_edit_) {
    shown_rasters_ = document_->rasters;
    return;
  }
  rebuild();
}

void LayerPanel::setView(const ViewState& view) {
  view_ = view;
  rebuild();
}

void LayerPanel::rebuild() {
  shown_rasters_ = document_->rasters;
  auto* page = new QWidget;
  page->setObjectName(QStringLiteral("sheet"));
  auto* column = new QVBoxLayout(page);
  column->setContentsMargins(space(4), space(2), space(4), space(2));
  column->setSpacing(kSpacePx / 2);
  column->addWidget(heading(tr("Ground")));
  for (const auto& raster : aerialsTopFirst(*document_)) addRaster(column, raster);
  addBrightness(column);
  addPicture(column, "relief", tr("Relief"), &ViewState::relief);
  column->addWidget(heading(tr("Of the selected stand")));
  addPicture(column, "scent", tr("Scent"), &ViewState::scent);
  addPicture(column, "shown", tr("What it sees"), &ViewState::sight);
  addSwitch(column, "ways", tr("Ways in and out"), &ViewState::ways);
  addSwitch(column, "rings", tr("Distance rings"), &ViewState::rings);
  addSwitch(column, "margin", tr("Room for the wind to swing"), &ViewState::margin);
  addSwitch(column, "no_shot", tr("Where not to shoot"), &ViewState::fire);
  column->addWidget(heading(tr("Air")));
  addSwitch(column, "wind", tr("Wind over the land"), &ViewState::wind);
  addSwitch(column, "slope_air", tr("Slope air"), &ViewState::slope_air);
  addSwitch(column, "doubt", tr("Where the air is in doubt"), &ViewState::doubt);
  column->addWidget(heading(tr("On the land")));
  addSwitch(column, "names", tr("Names"), &ViewState::labels);
  addSwitch(column, "legend", tr("Legend"), &ViewState::legend);
  addKinds(column);
  column->addStretch(1);
  setWidget(page);
}

void LayerPanel::addRaster(QVBoxLayout* column, const Ref<RasterLayer>& raster) {
  const StrengthRow row = strengthRow(column, text(raster->name), raster->visible, raster->opacity);
  row.box->setIcon(icon(QStringLiteral("aerial")));
  row.box->setEnabled(!read_only_);
  row.slider->setEnabled(!read_only_ && raster->visible);
  addOrder(row.row, raster);
  const Uid uid = raster->uid;
  const auto change = [this, uid](const auto& alter, const char* label, bool finished) {
    for (const auto& r : *document_->rasters) {
      if (r->uid != uid) continue;
      RasterLayer next = *r;
      alter(next);
      own_edit_ = true;
      emit edited({label, {put(std::move(next))}, "raster:" + uid.str()}, finished);
      own_edit_ = false;
      return;
    }
  };
  connect(row.box, &QCheckBox::toggled, this, [change, slider = row.slider](bool on) {
    slider->setEnabled(on);
    change([on](RasterLayer& r) { r.visible = on; }, on ? "Show a picture" : "Hide a picture",
           true);
  });
  connect(row.slider, &QSlider::valueChanged, this, [change](int value) {
    change([value](RasterLayer& r) { r.opacity = value / 100.0; }, "Change a picture's strength",
           false);
  });
}

void LayerPanel::addOrder(QHBoxLayout* row, const Ref<RasterLayer>& raster) {
  if (aerialsTopFirst(*document_).size() < 2) return;
  const QString name = text(raster->name);
  for (const int by : {-1, 1}) {
    auto* button =
        new QPushButton(icon(by < 0 ? QStringLiteral("up") : QStringLiteral("down")), QString());
    button->setObjectName(QStringLiteral("slim"));
    button->setAccessibleName(by < 0 ? tr("%1 one up").arg(name) : tr("%1 one down").arg(name));
    button->setToolTip(button->accessibleName());
    button->setEnabled(!read_only_);
    connect(button, &QPushButton::clicked, this,
            [this, uid = raster->uid, by] { swapOrder(uid, by); });
    row->addWidget(button);
  }
}

void LayerPanel::swapOrder(const Uid& uid, int by) {
  Rows<RasterLayer> all = aerialsTopFirst(*document_);
  const auto at =
      std::find_if(all.begin(), all.end(), [&](const auto& r) { return r->uid == uid; });
  const auto to = (at - all.begin()) + by;
  if (at == all.end() || to < 0 || to >= static_cast<std::ptrdiff_t>(all.size())) return;
  std::iter_swap(at, all.begin() + to);
  EditStep step{"Change the order of pictures", {}, {}};
  int order = static_cast<int>(all.size());
  for (const auto& r : all) {
    RasterLayer next = *r;
    next.order = order--;
    step.edits.push_back(put(std::move(next)));
  }
  emit edited(step, true);
}

void LayerPanel::addBrightness(QVBoxLayout* column) {
  if (aerialsTopFirst(*document_).empty()) return;
  auto* row = new QHBoxLayout;
  auto* slider = new QSlider(Qt::Horizontal);
  slider->setRange(-60, 60);
  slider->setValue(view_.brightness);
  slider->setAccessibleName(tr("Brightness of the pictures"));
  auto* label = new QLabel(tr("Brightness"));
  label->setMinimumWidth(130);
  row->addWidget(label, 3);
  row->addWidget(slider, 2);
  column->addLayout(row);
  connect(slider, &QSlider::valueChanged, this, [this](int value) {
    view_.brightness = value;
    emit viewChanged(view_);
  });
}

void LayerPanel::addPicture(QVBoxLayout* column, const char* picture, const QString& words,
                            LayerView ViewState::*layer) {
  const LayerView& now = view_.*layer;
  const StrengthRow row = strengthRow(column, words, now.visible, now.opacity);
  row.box->setIcon(icon(QLatin1String(picture)));
  connect(row.box, &QCheckBox::toggled, this, [this, layer, slider = row.slider](bool on) {
    (view_.*layer).visible = on;
    slider->setEnabled(on);
    emit viewChanged(view_);
  });
  connect(row.slider, &QSlider::valueChanged, this, [this, layer](int value) {
    (view_.*layer).opacity = value / 100.0;
    emit viewChanged(view_);
  });
}

void LayerPanel::addSwitch(QVBoxLayout* column, const char* picture, const QString& words,
                           bool ViewState::*flag) {
  auto* box = new QCheckBox(words);
  box->setIcon(icon(QLatin1String(picture)));
  box->setChecked(view_.*flag);
  connect(box, &QCheckBox::toggled, this, [this, flag](bool on) {
    view_.*flag = on;
    emit viewChanged(view_);
  });
  column->addWidget(box);
}

void LayerPanel::addKinds(QVBoxLayout* column) {
  auto* grid = new QGridLayout;
  grid->setHorizontalSpacing(space(2));
  grid->setVerticalSpacing(0);
  int place = 0;
  for (const KindInfo& k : all_kinds()) {
    auto* box = new QCheckBox(text(k.plural));
    box->setIcon(icon(iconName(k.kind)));
    const auto i = static_cast<std::size_t>(k.kind);
    box->setChecked(view_.kinds[i]);
    connect(box, &QCheckBox::toggled, this, [this, i](bool on) {
      view_.kinds[i] = on;
      emit viewChanged(view_);
    });
    grid->addWidget(box, place / 2, place % 2);
    ++place;
  }
  column->addLayout(grid);
}

}  // namespace leeward::ui
