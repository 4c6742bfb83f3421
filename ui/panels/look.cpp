#include "ui/panels/look.h"

#include "ui/panels/own_style.h"
#include "ui/render/symbols.h"
#include "ui/session/preferences.h"
#include "ui/style/type.h"

#include <QApplication>
#include <QFile>
#include <QFormLayout>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QPainter>
#include <QPalette>
#include <QPixmap>
#include <QScreen>

/// A static library's resources must be asked for, outside any namespace.
static void initResources() { Q_INIT_RESOURCE(leeward); }

namespace leeward::ui {
namespace {

QPalette paletteOf(const Theme& t) {
  QPalette p(t.paper);
  p.setColor(QPalette::Window, t.paper);
  p.setColor(QPalette::Base, t.sheet);
  p.setColor(QPalette::AlternateBase, t.paper);
  p.setColor(QPalette::Button, t.paper);
  p.setColor(QPalette::ToolTipBase, t.sheet);
  for (const auto role : {QPalette::WindowText, QPalette::Text, QPalette::ButtonText,
                          QPalette::ToolTipText, QPalette::BrightText})
    p.setColor(role, t.ink);
  p.setColor(QPalette::PlaceholderText, t.soft);
  p.setColor(QPalette::Highlight, t.accent);
  p.setColor(QPalette::HighlightedText, t.on_accent);
  p.setColor(QPalette::Link, t.accent);
  p.setColor(QPalette::LinkVisited, t.accent);
  p.setColor(QPalette::Light, t.sheet);
  p.setColor(QPalette::Mid, t.rule);
  p.setColor(QPalette::Midlight, t.rule);
  p.setColor(QPalette::Dark, t.edge);
  for (const auto role : {QPalette::WindowText, QPalette::Text, QPalette::ButtonText})
    p.setColor(QPalette::Disabled, role, t.faint);
  return p;
}

QString sheetText(const Theme& t) {
  QFile file(QStringLiteral(":/leeward/window.qss"));
  if (!file.open(QIODevice::ReadOnly)) return {};
  QString s = QString::fromUtf8(file.readAll());
  const auto px = [](double size) { return QStringLiteral("%1px").arg(typeLength(size)); };
  const std::pair<const char*, QString> words[] = {
      {"@paper", t.paper.name()},
      {"@sheet", t.sheet.name()},
      {"@rule", t.rule.name()},
      {"@edge", t.edge.name()},
      {"@ink", t.ink.name()},
      {"@soft", t.soft.name()},
      {"@faint", t.faint.name()},
      {"@accent", t.accent.name()},
      {"@onaccent", t.on_accent.name()},
      {"@tint", t.tint.name()},
      {"@title", px(type::kTitle)},
      {"@field", px(type::kBody * 1.3)},
      {"@dark", t.dark ? QStringLiteral("_dark") : QString()}};
  for (const auto& [word, value] : words) s.replace(QLatin1String(word), value);
  return s;
}

bool systemIsDark() {
  QApplication::setPalette(QPalette());  // what the platform and the style would have
  return relativeLuminance(QApplication::palette().color(QPalette::Window)) < 0.2;
}

preferences::Look worn;

}  // namespace

double systemTextScale() {
  const QScreen* screen = QGuiApplication::primaryScreen();
  const double scale = screen ? screen->logicalDotsPerInch() / 96 : 1;
  return std::clamp(scale, kLeastTextScale, kMostTextScale);
}

void applyLook(QApplication& app) {
  initResources();
  QApplication::setStyle(new OwnStyle);
  QApplication::setWindowIcon(QIcon(QStringLiteral(":/leeward/icons/leeward.svg")));
  app.setStyleSheet(QStringLiteral(" "));
  wearLook(preferences::keptLook());
}

void wearLook(const preferences::Look& look) {
  worn = look;
  const bool dark =
      look.theme == ThemeChoice::system ? systemIsDark() : look.theme == ThemeChoice::dark;
  wearTheme(dark);
  setTextScale(look.text_scale.value_or(systemTextScale()));
  QApplication::setFont(screenFont(type::kBody));
  QApplication::setPalette(paletteOf(theme()));
  qApp->setStyleSheet(sheetText(theme()));
}

const preferences::Look& wornLook() { return worn; }

QPixmap kindPixmap(const Attributes& attrs, QSize size, double ratio) {
  QPixmap pixmap(size * ratio);
  pixmap.setDevicePixelRatio(ratio);
  pixmap.fill(Qt::transparent);
  QPainter painter(&pixmap);
  painter.setRenderHint(QPainter::Antialiasing);
  drawKindPicture(painter, attrs, QRectF(QPointF(1, 1), QSizeF(size) - QSizeF(2, 2)), 1);
  return pixmap;
}

QString capital(const QString& words) {
  return words.isEmpty() ? words : words.left(1).toUpper() + words.mid(1);
}

QLabel* heading(const QString& words) {
  auto* label = new QLabel(words);
  label->setObjectName(QStringLiteral("heading"));
  label->setIndent(0);
  return label;
}

void addNamedRow(QFormLayout* form, const QString& name, QWidget* field) {
  field->setAccessibleName(name);
  for (QWidget* part : field->findChildren<QWidget*>())  // of a row of several
    if ((qobject_cast<QLineEdit*>(part) || qobject_cast<QListWidget*>(part)) &&
        part->accessibleName().isEmpty())
      part->setAccessibleName(name);
  form->addRow(name, field);
}

QLabel* problemLabel() {
  auto* label = new QLabel;
  label->setObjectName(QStringLiteral("caution"));
  label->setWordWrap(true);
  label->hide();
  return label;
}

void showProblem(QLabel* label, const std::string& why) {
  label->setText(text(why));
  label->setVisible(!why.empty());
}

QFormLayout* formLayout() {
  auto* form = new QFormLayout;
  form->setHorizontalSpacing(space(4));
  form->setVerticalSpacing(space(2));
  form->setFieldGrowthPolicy(QFormLayout::AllNonFixedFieldsGrow);
  return form;
}

QLabel* softLabel(const QString& words) {
  auto* label = new QLabel(words);
  label->setObjectName(QStringLiteral("soft"));
  label->setWordWrap(true);
  return label;
}

}  // namespace leeward::ui
