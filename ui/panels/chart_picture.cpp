#include "ui/panels/chart_picture.h"

#include <QAction>
#include <QApplication>
#include <QClipboard>
#include <QFileDialog>
#include <QHeaderView>
#include <QMessageBox>
#include <QSaveFile>
#include <QTableWidget>

#include <memory>

namespace leeward::ui {
namespace {

QString tr(const char* words) { return QCoreApplication::translate("ChartPicture", words); }

}  // namespace

void copyPicture(const ChartPicture& chart) { QApplication::clipboard()->setImage(chart.draw()); }

Status writePicture(const QImage& picture, const std::filesystem::path& to) {
  QSaveFile file(QString::fromStdString(to.string()));
  if (!file.open(QIODevice::WriteOnly) || !picture.save(&file, "PNG") || !file.commit())
    return fail(ErrorCode::io, to.string() + ": cannot be written; choose another folder");
  return ok();
}

bool savePicture(QWidget* parent, const ChartPicture& chart) {
  const QImage picture = chart.draw();  // as it is seen now, before the dialog
  const QString chosen = QFileDialog::getSaveFileName(
      parent, tr("Save as picture"), chart.name + QStringLiteral(".png"), tr("Picture (*.png)"));
  if (chosen.isEmpty()) return false;
  std::filesystem::path to = chosen.toStdString();
  if (!to.has_extension()) to += ".png";
  const Status done = writePicture(picture, to);
  if (!done)
    QMessageBox::warning(parent, QStringLiteral("Leeward"),
                         QString::fromStdString(done.error().message));
  return bool(done);
}

void offerPicture(QWidget* widget, const ChartPicture& chart) {
  widget->setContextMenuPolicy(Qt::ActionsContextMenu);
  const auto add = [&](const QString& words, const QKeySequence& key, auto act) {
    auto* action = new QAction(words, widget);
    action->setShortcut(key);
    action->setShortcutContext(Qt::WidgetWithChildrenShortcut);
    QObject::connect(action, &QAction::triggered, widget, act);
    widget->addAction(action);
  };
  add(tr("Copy picture: %1").arg(chart.name), QKeySequence(QStringLiteral("Ctrl+Shift+C")),
      [chart] { copyPicture(chart); });
  add(tr("Save picture: %1…").arg(chart.name), QKeySequence(QStringLiteral("Ctrl+Shift+S")),
      [widget, chart] { savePicture(widget, chart); });
}

QImage wholeTable(QTableWidget& table) {
  const QRect was = table.geometry();
  const int frame = 2 * table.frameWidth() + 2;
  const QSize whole(table.verticalHeader()->width() + table.horizontalHeader()->length() + frame,
                    table.horizontalHeader()->height() + table.verticalHeader()->length() + frame);
  table.setUpdatesEnabled(false);
  table.resize(whole.expandedTo(was.size()));
  const double ratio = table.devicePixelRatioF();
  QImage image(table.size() * ratio, QImage::Format_RGB32);
  image.setDevicePixelRatio(ratio);
  image.fill(table.palette().color(QPalette::Base));
  table.setUpdatesEnabled(true);
  table.render(&image);
  table.setGeometry(was);
  return image;
}

}  // namespace leeward::ui
