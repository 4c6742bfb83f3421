#include "ui/panels/look.h"

#include "ui/render/symbols.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QApplication>
#include <QFormLayout>
#include <QLabel>
#include <QPainter>
#include <QPalette>
#include <QPixmap>
#include <QStyleFactory>

/// A static library's resources must be asked for, outside any namespace.
static void initResources() { Q_INIT_RESOURCE(leeward); }

namespace leeward::ui {
namespace {

QPalette palette() {
  const QColor paper(chrome::kPaper), sheet(chrome::kSheet), ink(chrome::kInk);
  const QColor soft(chrome::kInkSoft), accent(chrome::kAccent), rule(chrome::kRule);
  QPalette p(paper);
  p.setColor(QPalette::Window, paper);
  p.setColor(QPalette::Base, sheet);
  p.setColor(QPalette::AlternateBase, paper);
  p.setColor(QPalette::Button, paper);
  p.setColor(QPalette::ToolTipBase, sheet);
  for (const auto role : {QPalette::WindowText, QPalette::Text, QPalette::ButtonText,
                          QPalette::ToolTipText, QPalette::BrightText})
    p.setColor(role, ink);
  p.setColor(QPalette::PlaceholderText, soft);
  p.setColor(QPalette::Highlight, accent);
  p.setColor(QPalette::HighlightedText, sheet);
  p.setColor(QPalette::Link, accent);
  p.setColor(QPalette::LinkVisited, accent);
  p.setColor(QPalette::Mid, rule);
  p.setColor(QPalette::Midlight, rule);
  for (const auto role : {QPalette::WindowText, QPalette::Text, QPalette::ButtonText})
    p.setColor(QPalette::Disabled, role, QColor(0xFF93998F));
  return p;
}

QString sheetText() {
  const auto name = [](QRgb c) { return QColor(c).name(); };
  QString s = QStringLiteral(R"(
QMainWindow, QDialog, QStackedWidget { background: @paper; }
QStatusBar QLabel { padding: 0 8px; }
QMenuBar { background: @paper; border-bottom: 1px solid @rule; padding: 1px 6px; }
QMenuBar::item { padding: 4px 10px; background: transparent; }
QMenuBar::item:selected, QMenu::item:selected { background: @tint; color: @ink; }
QMenu { background: @sheet; border: 1px solid @rule; padding: 4px 0; }
QMenu::item { padding: 5px 28px 5px 22px; }
QMenu::item:disabled { color: #93998f; }
QMenu::separator { height: 1px; background: @rule; margin: 4px 8px; }
QStatusBar { background: @paper; border-top: 1px solid @rule; }
QStatusBar::item { border: none; }
QToolTip { background: @sheet; color: @ink; border: 1px solid @ink; padding: 4px; }
QTabWidget::pane { border: none; border-top: 1px solid @rule; background: @sheet; }
QTabBar::tab { padding: 6px 11px; color: @soft; background: transparent; border: none;
  border-bottom: 3px solid transparent; }
QTabBar::tab:selected { color: @ink; border-bottom: 3px solid @accent; }
QTabBar::tab:focus { color: @accent; }
QTextBrowser, QScrollArea { background: @sheet; border: none; }
QScrollArea#plain { background: transparent; }
QWidget#sheet { background: @sheet; }
QScrollBar:vertical { background: transparent; width: 12px; margin: 0; border: none; }
QScrollBar::handle:vertical { background: #b9ad95; border-radius: 4px; margin: 2px; min-height: 30px; }
QScrollBar::handle:vertical:hover { background: @soft; }
QScrollBar::add-line, QScrollBar::sub-line { width: 0; height: 0; border: none; }
QScrollBar::add-page, QScrollBar::sub-page { background: transparent; }
QLineEdit, QPlainTextEdit, QComboBox, QAbstractSpinBox, QListWidget {
  background: @sheet; border: 1px solid #b9ad95; border-radius: 3px; padding: 2px 5px;
  selection-background-color: @accent; selection-color: @sheet; min-height: 19px; }
QLineEdit:focus, QPlainTextEdit:focus, QComboBox:focus, QAbstractSpinBox:focus, QListWidget:focus {
  border: 1px solid @accent; }
QLineEdit:disabled, QComboBox:disabled, QAbstractSpinBox:disabled { background: @paper; color: #93998f; }
QAbstractSpinBox { padding-right: 18px; }
QAbstractSpinBox::up-button, QAbstractSpinBox::down-button { width: 17px; border: none;
  background: transparent; subcontrol-origin: border; }
QAbstractSpinBox::up-button { subcontrol-position: top right; }
QAbstractSpinBox::down-button { subcontrol-position: bottom right; }
QAbstractSpinBox::up-button:hover, QAbstractSpinBox::down-button:hover { background: @tint; }
QAbstractSpinBox::up-arrow { image: url(:/leeward/icons/up.svg); width: 10px; height: 10px; }
QAbstractSpinBox::down-arrow { image: url(:/leeward/icons/down.svg); width: 10px; height: 10px; }
QAbstractSpinBox::up-arrow:disabled { image: url(:/leeward/icons/up_off.svg); }
QAbstractSpinBox::down-arrow:disabled { image: url(:/leeward/icons/down_off.svg); }
QComboBox::drop-down { width: 20px; border: none; }
QComboBox::down-arrow { image: url(:/leeward/icons/down.svg); width: 10px; height: 10px; }
QPushButton { background: @sheet; border: 1px solid @soft; border-radius: 4px; padding: 4px 12px; }
QPushButton:hover { background: @tint; }
QPushButton:checked { background: @ink; color: @sheet; border-color: @ink; }
QPushButton:focus { border: 2px solid @accent; padding: 3px 11px; }
QPushButton:disabled { color: #93998f; border-color: @rule; background: @paper; }
QPushButton#month { padding: 2px 0; min-width: 30px; }
QPushButton#month:focus { padding: 1px 0; }
QPushButton#entry { text-align: left; padding: 10px 18px; min-height: 26px; font-weight: 600; }
QPushButton#entry:focus { padding: 9px 17px; }
QLabel#heading { color: @ink; font-weight: 700; padding-top: 4px; }
QLabel#soft { color: @soft; }
QLabel#title { font-size: 26pt; font-weight: 700; color: @ink; }
QLabel#caution { color: @accent; font-weight: 600; }
QProgressBar { border: 1px solid @rule; border-radius: 3px; background: @sheet; text-align: center;
  max-height: 14px; }
QProgressBar::chunk { background: @soft; }
)");
  s.replace(QStringLiteral("@paper"), name(chrome::kPaper));
  s.replace(QStringLiteral("@sheet"), name(chrome::kSheet));
  s.replace(QStringLiteral("@rule"), name(chrome::kRule));
  s.replace(QStringLiteral("@ink"), name(chrome::kInk));
  s.replace(QStringLiteral("@soft"), name(chrome::kInkSoft));
  s.replace(QStringLiteral("@accent"), name(chrome::kAccent));
  s.replace(QStringLiteral("@tint"), name(chrome::kAccentTint));
  return s;
}

}  // namespace

void applyLook(QApplication& app) {
  initResources();
  QApplication::setStyle(QStyleFactory::create(QStringLiteral("Fusion")));
  QFont font(QString::fromLatin1(kFontFamily));
  font.setPointSizeF(10.5);
  QApplication::setFont(font);
  QApplication::setPalette(palette());
  QApplication::setWindowIcon(QIcon(QStringLiteral(":/leeward/icons/leeward.svg")));
  app.setStyleSheet(sheetText());
}

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
  form->setHorizontalSpacing(14);
  form->setVerticalSpacing(9);
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
