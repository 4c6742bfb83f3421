#include "ui/panels/tool_palette.h"

#include "ui/panels/icons.h"
#include "ui/panels/look.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QAction>
#include <QButtonGroup>
#include <QFontMetricsF>
#include <QLabel>
#include <QPainter>
#include <QVBoxLayout>

namespace leeward::ui {
namespace {

constexpr std::array kOrder = {
    Kind::stand,       Kind::gate,   Kind::deer_trail,    Kind::bedding, Kind::food,
    Kind::mock_scrape, Kind::camera, Kind::human_path,    Kind::barrier, Kind::sanctuary,
    Kind::cover,       Kind::water,  Kind::shooting_lane, Kind::road,    Kind::dwelling,
    Kind::boundary,    Kind::note};
static_assert(kOrder.size() == kKindCount);
constexpr double kIconPx = 20;

}  // namespace

PaletteButton::PaletteButton(std::optional<Kind> kind, const QString& words, const QString& key)
    : kind_(kind) {
  setText(words);
  setCheckable(true);
  setFocusPolicy(Qt::TabFocus);
  setAttribute(Qt::WA_Hover);
  setAccessibleName(words);
  setKey(key);
  setSizePolicy(QSizePolicy::Expanding, QSizePolicy::Fixed);
}

void PaletteButton::setKey(const QString& key) {
  key_ = key;
  setToolTip(kind_ ? tr("Draw: %1 (key %2)").arg(text().toLower(), key)
                   : tr("Select and move (key %1)").arg(key));
  update();
}

QSize PaletteButton::sizeHint() const { return {typeLength(158), typeLength(27)}; }

void PaletteButton::paintEvent(QPaintEvent*) {
  QPainter p(this);
  p.setRenderHint(QPainter::Antialiasing);
  const Theme& t = theme();
  const double unit = textScale();
  const QRectF box = QRectF(rect()).adjusted(3, 1, -3, -1);
  if (isChecked() || underMouse()) {
    p.setPen(Qt::NoPen);
    p.setBrush(isChecked() ? t.tint : t.sheet);
    p.drawRoundedRect(box, kSpacePx, kSpacePx);
  }
  if (isChecked()) p.fillRect(QRectF(box.left(), box.top() + 3, 3, box.height() - 6), t.accent);
  if (hasFocus()) {
    p.setPen(QPen(t.accent, 2));
    p.setBrush(Qt::NoBrush);
    p.drawRoundedRect(box, kSpacePx, kSpacePx);
  }
  const QColor& ink = isEnabled() ? t.ink : t.faint;
  const double side = kIconPx * unit, room = side + 2 * space(3);
  drawIcon(p, kind_ ? iconName(*kind_) : QStringLiteral("select"),
           QRectF(box.left() + space(3), box.center().y() - side / 2, side, side), ink);
  p.setFont(screenFont(type::kSmall));
  const double key_room = QFontMetricsF(p.font()).horizontalAdvance(key_) + space(2);
  p.setPen(isEnabled() ? t.soft : t.faint);
  p.drawText(box.adjusted(0, 0, -space(2), 0), Qt::AlignVCenter | Qt::AlignRight, key_);
  p.setFont(screenFont(type::kBody, isChecked() ? QFont::DemiBold : QFont::Normal));
  p.setPen(ink);
  const double words_px = box.width() - room - key_room - space(1);
  p.drawText(QRectF(box.left() + room, box.top(), words_px, box.height()),
             Qt::AlignVCenter | Qt::AlignLeft,
             QFontMetricsF(p.font()).elidedText(text(), Qt::ElideRight, words_px));
}

ToolPalette::ToolPalette(QWidget* parent) : QWidget(parent), group_(new QButtonGroup(this)) {
  auto* column = new QVBoxLayout(this);
  column->setContentsMargins(kSpacePx / 2, space(2), kSpacePx / 2, space(1));
  column->setSpacing(0);
  select_ = add(std::nullopt, tr("Select"), QLatin1Char('V'));
  select_->setChecked(true);
  column->addWidget(select_);
  column->addSpacing(space(1));
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
  auto* action = new QAction(icon(kind ? iconName(*kind) : QStringLiteral("select")),
                             kind ? tr("Draw: %1").arg(words) : words, this);
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
