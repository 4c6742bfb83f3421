// Files that are brought in: from the menu, or dropped on the window.
#include "core/io/forecast_files.h"
#include "core/io/vector_files.h"
#include "ui/panels/import_dialog.h"
#include "ui/style/type.h"
#include "ui/window/main_window.h"

#include <QDragEnterEvent>
#include <QDropEvent>
#include <QFileDialog>
#include <QMimeData>
#include <QTimer>
#include <QUrl>

#include <set>

namespace leeward::ui {
namespace {

namespace fs = std::filesystem;

std::string endingOf(const fs::path& path) {
  std::string e = path.extension().string();
  for (char& c : e) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return e;
}

bool isVector(const std::string& ending) {
  static const std::set<std::string> kEndings = {".gpx",  ".kml", ".kmz", ".geojson",
                                                 ".json", ".shp", ".gpkg"};
  return kEndings.contains(ending);
}
bool isRaster(const std::string& ending) {
  static const std::set<std::string> kEndings = {".tif", ".tiff", ".jp2",     ".png",
                                                 ".jpg", ".jpeg", ".mbtiles", ".asc"};
  return kEndings.contains(ending);
}

struct Read {
  Result<io::VectorRows> rows = io::VectorRows{};
  std::optional<io::CsvColumns> columns;
};

/// A table that knows no coordinate columns has no rows yet.
Read readFile(const fs::path& path, const CrsId& crs, std::stop_token stop,
              const std::function<void(double)>& progress) {
  Read out;
  auto frame = Frame::make(crs);
  if (!frame) {
    out.rows = std::move(frame.error());
    return out;
  }
  if (endingOf(path) != ".csv") {
    out.rows = io::read_vector_rows(path, *frame, stop, progress);
    return out;
  }
  auto columns = io::inspect_csv(path);
  if (!columns) {
    out.rows = std::move(columns.error());
    return out;
  }
  out.columns = *columns;
  if (columns->x >= 0 && columns->y >= 0) {
    out.rows = io::read_csv_rows(path, *columns, *frame);
  } else {
    out.rows = io::VectorRows{columns->names, {}, 0, {}};
  }
  return out;
}

}  // namespace

void MainWindow::importFeatures() {
  const QString file = QFileDialog::getOpenFileName(
      this, tr("Import features"), QString(),
      tr("Vector files and tables (*.gpx *.kml *.kmz *.geojson *.json *.shp *.gpkg *.csv);;All "
         "files (*)"));
  if (!file.isEmpty()) importFile(file.toStdString());
}

void MainWindow::importFile(const fs::path& path) {
  if (!edit_ || edit_->readOnly()) return;
  background_words_ = tr("Reading %1").arg(text(path.filename().string()));
  background_.start([this, path, crs = edit_->document()->settings->crs,
                     report = reporter()](std::stop_token stop) {
    auto read = std::make_shared<Read>(readFile(path, crs, stop, report));
    return [this, read, path] {
      if (!read->rows) return complain(text(read->rows.error().message));
      showImport(path, *std::move(read->rows), read->columns);
    };
  });
  showBusy();
}

void MainWindow::showImport(const fs::path& path, io::VectorRows rows,
                            const std::optional<io::CsvColumns>& columns) {
  const QString name = text(path.filename().string());
  if (rows.rows.empty() && !columns) return complain(tr("%1 holds no features").arg(name));
  auto* dialog = new ImportDialog(name, std::move(rows), edit_->document(), this);
  dialog->setAttribute(Qt::WA_DeleteOnClose);
  dialog->setWindowModality(Qt::WindowModal);
  if (columns) {
    dialog->offerColumns(*columns,
                         [path, crs = edit_->document()->settings->crs](
                             const io::CsvColumns& chosen) -> Result<io::VectorRows> {
                           auto frame = Frame::make(crs);
                           if (!frame) return std::move(frame.error());
                           return io::read_csv_rows(path, chosen, *frame);
                         });
  }
  connect(dialog, &QDialog::accepted, this,
          [this, dialog, path] { takeImport(path, dialog->outcome()); });
  connect(dialog, &QDialog::finished, this, [this] { nextDropped(); });
  dialog->open();
}

void MainWindow::takeImport(const fs::path& path, const io::VectorImport& taken) {
  if (!edit_) return;
  EditStep step{"Import " + path.filename().string(), {}, {}};
  std::vector<Uid> uids;
  Box box;
  for (const Feature& f : taken.features) {
    step.edits.push_back(put(f));
    uids.push_back(f.uid);
    box.add(bounds(f.shape));
  }
  if (step.edits.empty() || !edit_->apply(step)) return;  // a refusal is said
  edit_->selectAll(std::move(uids));
  if (!canvas_->transform().visible().overlaps(box)) canvas_->fitAll();
  QString words = tr("%1 taken, %2 changed, %3 left out.")
                      .arg(taken.taken)
                      .arg(taken.changed)
                      .arg(taken.left_out);
  for (const std::string& note : taken.notes) words += QStringLiteral("\n• ") + text(note);
  if (taken.notes.empty()) return edit_->tell(words);
  report(tr("Import"), words);
}

// --- dropping ------------------------------------------------------------------------------------

void MainWindow::dragEnterEvent(QDragEnterEvent* event) {
  for (const QUrl& url : event->mimeData()->urls())
    if (url.isLocalFile()) return event->acceptProposedAction();
}

void MainWindow::dropEvent(QDropEvent* event) {
  for (const QUrl& url : event->mimeData()->urls())
    if (url.isLocalFile()) dropped_.emplace_back(url.toLocalFile().toStdString());
  event->acceptProposedAction();
  QTimer::singleShot(0, this, &MainWindow::nextDropped);  // the source waits for the drop's end
}

void MainWindow::nextDropped() {
  if (dropped_.empty()) return;
  const fs::path path = dropped_.front();
  dropped_.erase(dropped_.begin());
  const std::string ending = endingOf(path);
  if (ending == ".gpkg" && !edit_) {
    static_cast<void>(openFile(path));  // failures were shown
  } else if (!edit_) {
    statusBarMessage(tr("Open or make a property first, then drop files on it"));
  } else if (edit_->readOnly()) {
    statusBarMessage(tr("This property is read-only: nothing can be brought in"));
  } else if (isRaster(ending)) {
    const auto facts = io::inspect_raster(path, edit_->document()->settings->crs);
    const bool heights = facts && facts->looks_like_elevation;
    addRasterFile(path, heights ? RasterRole::elevation : RasterRole::aerial);
  } else if (isVector(ending) || ending == ".csv") {
    return importFile(path);  // the dialog's end takes the next
  } else {
    statusBarMessage(
        tr("%1 is of no kind that can be brought in").arg(text(path.filename().string())));
  }
  nextDropped();
}

}  // namespace leeward::ui
