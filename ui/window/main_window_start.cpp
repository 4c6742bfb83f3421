// How work begins: files opened last, a property from nothing; keys and units of the user.
#include "ui/panels/keys_dialog.h"
#include "ui/panels/place_dialog.h"
#include "ui/panels/tool_palette.h"
#include "ui/session/preferences.h"
#include "ui/style/type.h"
#include "ui/window/main_window.h"

#include <QFileInfo>
#include <QMenu>
#include <QMenuBar>

namespace leeward::ui {
namespace {

void gather(const QMenu& menu, std::vector<QAction*>& out) {
  for (QAction* action : menu.actions()) {
    if (const QMenu* below = action->menu()) {
      gather(*below, out);
    } else if (!action->isSeparator()) {
      out.push_back(action);
    }
  }
}

}  // namespace

std::vector<QAction*> MainWindow::keyedActions() const {
  std::vector<QAction*> out;
  for (const QAction* top : menuBar()->actions()) {
    if (!top->menu()) continue;
    gather(*top->menu(), out);
  }
  std::erase_if(out, [](const QAction* a) { return a->objectName().isEmpty(); });
  out.insert(out.end(), palette_->keyActions().begin(), palette_->keyActions().end());
  return out;
}

void MainWindow::nameActions() {
  std::vector<QAction*> all;
  for (const QAction* top : menuBar()->actions())
    if (top->menu()) gather(*top->menu(), all);
  for (QAction* action : all)
    action->setObjectName(QString(action->text()).remove(QLatin1Char('&')).remove(QChar(0x2026)));
  applyKeys(keyedActions());
}

void MainWindow::fillRecent() {
  recent_->clear();
  for (const QString& file : preferences::recentFiles()) {
    recent_->addAction(QFileInfo(file).completeBaseName() + QStringLiteral("  (") +
                           QFileInfo(file).path() + QLatin1Char(')'),
                       this, [this, file] { static_cast<void>(openFile(file.toStdString())); });
  }
  if (recent_->isEmpty()) {
    recent_->addAction(tr("No file was opened yet"))->setEnabled(false);
    return;
  }
  recent_->addSeparator();
  recent_->addAction(tr("&Clear this list"), this, [] { preferences::clearRecentFiles(); });
}

void MainWindow::newFromNothing() {
  PlaceDialog dialog(this);
  if (dialog.exec() != QDialog::Accepted) return;
  auto session = EditSession::create(dialog.file(), dialog.document());
  if (!session) return complain(text(session.error().message));
  preferences::keepPlace(dialog.file(), dialog.place());
  adopt(*std::move(session));
  preferences::addRecentFile(dialog.file());
  statusBarMessage(
      tr("Nothing is known of the ground yet: it counts as flat. Draw at once, or add "
         "pictures and elevation from the File menu"));
}

void MainWindow::switchUnits() {
  Settings next = *edit_->document()->settings;
  next.units = next.units == UnitSystem::us ? UnitSystem::metric : UnitSystem::us;
  static_cast<void>(edit_->apply({"Switch units", {put(std::move(next))}, {}}));
}

}  // namespace leeward::ui
