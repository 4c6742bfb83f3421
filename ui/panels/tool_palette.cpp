#include "ui/panels/tool_palette.h"

#include "ui/panels/look.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QAction>
#include <QButtonGroup>
#include <QLabel>
#include <QPainter>
#include <QPainterPath>
#include <QVBoxLayout>

#include <cmath>

namespace leeward::ui {
namespace {

constexpr std::array kOrder = {
    Kind::stand,       Kind::gate,   Kind::deer_trail,    Kind::bedding, Kind::food,
    Kind::mock_scrape, Kind::camera, Kind::human_path,    Kind::barrier, Kind::sanctuary,
    Kind::cover,       Kind::water,  Kind::shooting_lane, Kind::road,    Kind::dwelling,
    Kind::boundary,    Kind::note};
static_assert(kOrder.size() == kKindCount);

void drawArrow(QPainter& p, const QRectF& box) {
  QPainterPath path;
  const QPointF o = box.center() + QPointF(-5, -8);
  path.addPolygon(QPolygonF{o, o + QPointF(0, 15), o + QPointF(4, 11.4), o + QPointF(6.6, 17),
                            o + QPointF(8.6, 16), o + QPointF(6.2, 10.6), o + QPointF(11, 10.4)});
  path.closeSubpath();
  p.fillPath(path, QColor(chrome::kInk));
}

}  // namespace

PaletteButton::PaletteButton(std::optional<Kind> kind, const QString& words, const QString& key)
    : kind_(kind) {
  setText(words);
  setCheckable(true);
  setFocusPolicy(Qt::TabFocus);
  setAttribute(Qt::WA_Hover);
  setKey(key);
  setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Fixed);
}

void PaletteButton::setKey(const QString& key) {
  key_ = key;
  setToolTip(kind_ ? tr("Draw: %1 (key %2)").arg(text().toLower(), key)
                   : tr("Select and move (key %1)").arg(key));
  update();
}

void PaletteButton::paintEvent(QPaintEvent*) {
  QPainter p(this);
  p.setRenderHint(QPainter::Antialiasing);
  const QRectF box = QRectF(rect()).adjusted(3, 1, -3, -1);
  if (isChecked() || underMouse()) {
    p.setPen(Qt::NoPen);
    p.setBrush(QColor(isChecked() ? chrome::kAccentTint : chrome::kSheet));
    p.drawRoundedRect(box, 4, 4);
  }
  if (isChecked())
    p.fillRect(QRectF(box.left(), box.top() + 3, 3, box.height() - 6), QColor(chrome::kAccent));
  if (hasFocus()) {
    p.setPen(QPen(QColor(chrome::kAccent), 1.4));
    p.setBrush(Qt::NoBrush);
    p.drawRoundedRect(box, 4, 4);
  }
  if (!isEnabled()) p.setOpacity(0.45);
  const QRectF picture(box.left() + 9, box.top() + 1, 28, box.height() - 2);
  if (kind_) {
    p.drawPixmap(picture.topLeft(), kindPixmap(default_attributes(*kind_), picture.size().toSize(),
                                               devicePixelRatioF()));
  } else {
    drawArrow(p, picture);
  }
  p.setFont(fontOfPixels(13.5, isChecked() ? QFont::DemiBold : QFont::Normal));
  p.setPen(QColor(chrome::kInk));
  p.drawText(box.adjusted(45, 0, -20, 0), Qt::AlignVCenter | Qt::AlignLeft, text());
  p.setFont(fontOfPixels(11.5));
  p.setPen(QColor(chrome::kInkSoft));
  p.drawText(box.adjusted(0, 0, -7, 0), Qt::AlignVCenter | Qt::AlignRight, key_);
}

ToolPalette::ToolPalette(QWidget* parent) : QWidget(parent), group_(new QButtonGroup(this)) {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(3, 6, 3, 4);
  column->setSpacing(0);
  select_ = add(std::nullopt, tr("Select"), QLatin1Char('V'));
  select_->setChecked(true);
  column->addWidget(select_);
  column->addSpacing(4);
  for (const Kind kind : kOrder) {
    PaletteButton* button =
        add(kind, capital(leeward::ui::text(info(kind).noun)), QLatin1Char(styleOf(kind).mark));
    kinds_.emplace_back(kind, button);
    column->addWidget(button);
  }
  column->addStretch(1);
}

PaletteButton* ToolPalette::add(std::optional<Kind> kind, const QString& words, QChar key) {
  auto* button = new PaletteButton(kind, words, QString(key));
  group_->addButton(button);
  const auto pick = [this, kind] {
    if (kind) {
      emit kindPicked(*kind);
    } else {
      emit selectPicked();
    }
  };
  connect(button, &QAbstractButton::clicked, this, pick);
  auto* action = new QAction(kind ? tr("Draw: %1").arg(words) : words, this);
  action->setObjectName(kind ? QStringLiteral("draw ") + QLatin1String(info(*kind).table)
                             : QStringLiteral("select"));
  action->setShortcut(QKeySequence(QString(key)));
  action->setShortcutContext(Qt::WindowShortcut);
  connect(action, &QAction::triggered, button, &QAbstractButton::click);
  connect(action, &QAction::changed, button, [action, button] {
    button->setKey(action->shortcut().toString(QKeySequence::NativeText));
  });
  addAction(action);
  actions_.push_back(action);
  return button;
}

void ToolPalette::show(std::optional<Kind> kind) {
  select_->setChecked(!kind);
  for (const auto& [k, button] : kinds_) button->setChecked(kind == k);
}

void ToolPalette::setReadOnly(bool read_only) {
  for (const auto& [k, button] : kinds_) button->setEnabled(!read_only);
}

}  // namespace leeward::ui
