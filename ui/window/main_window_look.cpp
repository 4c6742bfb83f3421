// How the window looks: theme, size of text, icons of its commands, and the turn of the map.
#include "ui/panels/icons.h"
#include "ui/panels/look.h"
#include "ui/session/preferences.h"
#include "ui/style/type.h"
#include "ui/window/main_window.h"

#include <QActionGroup>
#include <QComboBox>
#include <QDoubleSpinBox>
#include <QEvent>
#include <QMenu>
#include <QMenuBar>
#include <QProgressBar>
#include <QSignalBlocker>
#include <QSplitter>

#include <array>
#include <cmath>
#include <map>

namespace leeward::ui {
namespace {

constexpr double kTurnStep_deg = 15;
constexpr double kLeftPx = 184, kRightPx = 356;
constexpr std::array kTextSizes = {80, 90, 100, 110, 125, 150, 175, 200};

/// By the name that nameActions() gives a command.
const std::map<QString, QString>& iconsOfCommands() {
  static const std::map<QString, QString> icons = {
      {QStringLiteral("New property"), QStringLiteral("new")},
      {QStringLiteral("New property from nothing"), QStringLiteral("new_empty")},
      {QStringLiteral("Open property"), QStringLiteral("open")},
      {QStringLiteral("Save a copy as"), QStringLiteral("save_copy")},
      {QStringLiteral("Import features"), QStringLiteral("import")},
      {QStringLiteral("Open forecast"), QStringLiteral("forecast")},
      {QStringLiteral("Add aerial picture"), QStringLiteral("aerial")},
      {QStringLiteral("Add ground elevation"), QStringLiteral("elevation")},
      {QStringLiteral("Add surface (tree tops)"), QStringLiteral("surface")},
      {QStringLiteral("Print"), QStringLiteral("print")},
      {QStringLiteral("Save for a phone"), QStringLiteral("phone")},
      {QStringLiteral("Emergency plan"), QStringLiteral("emergency")},
      {QStringLiteral("Quit"), QStringLiteral("quit")},
      {QStringLiteral("Undo"), QStringLiteral("undo")},
      {QStringLiteral("Redo"), QStringLiteral("redo")},
      {QStringLiteral("Cut"), QStringLiteral("cut")},
      {QStringLiteral("Copy"), QStringLiteral("copy")},
      {QStringLiteral("Paste"), QStringLiteral("paste")},
      {QStringLiteral("Duplicate"), QStringLiteral("duplicate")},
      {QStringLiteral("Delete what is selected"), QStringLiteral("delete")},
      {QStringLiteral("Select all"), QStringLiteral("select_all")},
      {QStringLiteral("Select all of this kind"), QStringLiteral("select_kind")},
      {QStringLiteral("Split by a drawn line"), QStringLiteral("split")},
      {QStringLiteral("Reshape its edge by a drawn line"), QStringLiteral("reshape")},
      {QStringLiteral("Cut a hole"), QStringLiteral("hole")},
      {QStringLiteral("Join two lines"), QStringLiteral("join")},
      {QStringLiteral("Merge areas"), QStringLiteral("merge")},
      {QStringLiteral("Make a strip along it"), QStringLiteral("strip")},
      {QStringLiteral("Height of cover from the tree tops"), QStringLiteral("tree_height")},
      {QStringLiteral("Weapons"), QStringLiteral("weapons")},
      {QStringLiteral("Log of entries"), QStringLiteral("log")},
      {QStringLiteral("What the figures rest on"), QStringLiteral("figures")},
      {QStringLiteral("Property settings"), QStringLiteral("settings")},
      {QStringLiteral("Whole property"), QStringLiteral("zoom_all")},
      {QStringLiteral("What is selected"), QStringLiteral("zoom_selected")},
      {QStringLiteral("Zoom in"), QStringLiteral("zoom_in")},
      {QStringLiteral("Zoom out"), QStringLiteral("zoom_out")},
      {QStringLiteral("Turn left"), QStringLiteral("turn_left")},
      {QStringLiteral("Turn right"), QStringLiteral("turn_right")},
      {QStringLiteral("Turn to"), QStringLiteral("turn_to")},
      {QStringLiteral("North up"), QStringLiteral("north")},
      {QStringLiteral("Switch units: yards or metres"), QStringLiteral("units")},
      {QStringLiteral("What it means"), QStringLiteral("meaning")},
      {QStringLiteral("Details"), QStringLiteral("details")},
      {QStringLiteral("Layers"), QStringLiteral("layers")},
      {QStringLiteral("List of features"), QStringLiteral("list")},
      {QStringLiteral("Steps of this session"), QStringLiteral("steps")},
      {QStringLiteral("Plan of the coming sits"), QStringLiteral("plan")},
      {QStringLiteral("What a season gives"), QStringLiteral("season")},
      {QStringLiteral("Legend"), QStringLiteral("legend")},
      {QStringLiteral("Help page"), QStringLiteral("help")},
      {QStringLiteral("Change keys"), QStringLiteral("keys")},
      {QStringLiteral("Cautions"), QStringLiteral("cautions")},
      {QStringLiteral("About Leeward"), QStringLiteral("about")}};
  return icons;
}

}  // namespace

void MainWindow::takeIcons() {
  for (QAction* action : keyedActions()) {
    const auto found = iconsOfCommands().find(action->objectName());
    if (found != iconsOfCommands().end()) action->setIcon(icon(found->second));
  }
}

void MainWindow::takeLook() {
  left_->setMinimumWidth(typeLength(72));  // an icon and its key
  left_->setMaximumWidth(typeLength(240));
  right_->setMinimumWidth(static_cast<int>(kRightPx * std::sqrt(std::max(1.0, textScale()))));
  shareWidth();
  progress_->setFixedWidth(typeLength(110));
  scale_->setFixedWidth(typeLength(108));
  turn_->setFixedWidth(typeLength(84));
}

// At large sizes of text names are cut and words wrap, so that the map keeps half the window.
void MainWindow::shareWidth() {
  const int left = std::min(typeLength(kLeftPx), static_cast<int>(0.16 * width()));
  const int right = std::min(typeLength(kRightPx), static_cast<int>(0.36 * width()));
  const int least_right = std::max(right, right_->minimumWidth());
  split_->setSizes(
      {std::max(left, left_->minimumWidth()), width() - left - least_right, least_right});
}

bool MainWindow::event(QEvent* event) {
  if (event->type() == QEvent::StyleChange) takeLook();
  if (event->type() == QEvent::ThemeChange && wornLook().theme == ThemeChoice::system)
    wearLook(wornLook());
  return QMainWindow::event(event);
}

void MainWindow::addLooks(QMenu* menu) {
  QMenu* colours = menu->addMenu(icon(QStringLiteral("theme")), tr("&Colours"));
  QMenu* sizes = menu->addMenu(icon(QStringLiteral("text_size")), tr("Si&ze of text"));
  const auto choice = [this](QMenu* in, QActionGroup* group, const QString& words, auto part,
                             auto value) {
    QAction* action = in->addAction(words, this, [part, value] {
      preferences::Look look = wornLook();
      look.*part = value;
      preferences::keepLook(look);
      wearLook(look);
    });
    action->setCheckable(true);
    action->setChecked(wornLook().*part == value);
    group->addAction(action);
  };
  auto* themes = new QActionGroup(this);
  for (const auto& [words, theme] : {std::pair(tr("As the &system"), ThemeChoice::system),
                                     {tr("&Light"), ThemeChoice::light},
                                     {tr("&Dark"), ThemeChoice::dark}})
    choice(colours, themes, words, &preferences::Look::theme, theme);
  auto* scales = new QActionGroup(this);
  choice(sizes, scales, tr("As the s&ystem"), &preferences::Look::text_scale,
         std::optional<double>());
  for (const int percent : kTextSizes)
    choice(sizes, scales, tr("%1 %").arg(percent), &preferences::Look::text_scale,
           std::optional<double>(percent / 100.0));
}

// --- turn ----------------------------------------------------------------------------------------

void MainWindow::addTurns(QMenu* menu) {
  const auto action = [&](const QString& words, const QKeySequence& key, auto slot) {
    needs_property_.push_back(menu->addAction(words, key, this, slot));
  };
  action(tr("Turn le&ft"), QKeySequence(tr("[")),
         [this] { canvas_->glideBy(1, kTurnStep_deg, canvas_->middle()); });
  action(tr("Turn righ&t"), QKeySequence(tr("]")),
         [this] { canvas_->glideBy(1, -kTurnStep_deg, canvas_->middle()); });
  action(tr("Turn t&o…"), QKeySequence(tr("Ctrl+Shift+R")), [this] {
    turn_->setFocus(Qt::ShortcutFocusReason);
    turn_->selectAll();
  });
  action(tr("&North up"), QKeySequence(tr("\\")), [this] { canvas_->setTurn(0); });
}

void MainWindow::wireTurn() {
  connect(canvas_, &MapCanvas::turnChanged, this, [this](double up_deg) {
    const QSignalBlocker block(turn_);
    turn_->setValue(std::fmod(std::round(up_deg * 10) / 10, 360));
  });
  connect(turn_, &QDoubleSpinBox::valueChanged, this,
          [this](double up_deg) { canvas_->setTurn(up_deg); });
}

}  // namespace leeward::ui
