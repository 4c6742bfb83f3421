// Tying a plain picture to the ground: the dialog beside the map, and what comes of it.
#include "core/geo/frame.h"
#include "core/io/photo_tie.h"
#include "ui/panels/place_dialog.h"
#include "ui/panels/tie_dialog.h"
#include "ui/style/type.h"
#include "ui/tools/tie_tool.h"
#include "ui/window/main_window.h"

#include <QFileDialog>
#include <QPointer>

namespace leeward::ui {
namespace {

namespace fs = std::filesystem;

// "photo tied.tif" beside the property (beside the picture, of one without a file), with a number
// where that is taken.
fs::path freeName(const fs::path& property, const fs::path& picture) {
  const fs::path folder = (property.empty() ? picture : property).parent_path();
  const std::string stem = picture.stem().string() + " tied";
  for (int n = 1;; ++n) {
    fs::path to = folder / (stem + (n > 1 ? " " + std::to_string(n) : "") + ".tif");
    if (!fs::exists(to)) return to;
  }
}

}  // namespace

void MainWindow::tiePicture() {
  const QString file =
      QFileDialog::getOpenFileName(this, tr("A picture that does not say where it lies"), QString(),
                                   tr("Pictures (*.jpg *.jpeg *.png *.tif *.tiff);;All files (*)"));
  if (!file.isEmpty()) tieFile(file.toStdString());
}

void MainWindow::tieFile(const fs::path& path) {
  constexpr int kShown_px = 3000;
  background_words_ = tr("Reading %1").arg(text(path.filename().string()));
  background_.start([this, path](std::stop_token) {
    auto read = std::make_shared<Result<io::PlainPicture>>(io::read_plain_picture(path, kShown_px));
    return [this, read, path] {
      if (!edit_ || edit_->readOnly()) return;
      if (!*read) return complain(text(read->error().message));
      showTie(path, **read);
    };
  });
  showBusy();
}

void MainWindow::showTie(const fs::path& path, const io::PlainPicture& read) {
  auto frame = Frame::make(edit_->document()->settings->crs);
  if (!frame) return complain(text(frame.error().message));
  const auto shared = std::make_shared<Frame>(*std::move(frame));
  const QImage image(reinterpret_cast<const uchar*>(read.picture.argb.data()),
                     read.picture.width_px, read.picture.height_px,
                     QImage::Format_ARGB32_Premultiplied);
  TieDialog::Words words;
  words.place_of = [shared](const QString& typed) -> std::optional<LocalXY> {
    const auto at = parsePlace(typed);
    if (!at) return std::nullopt;
    return shared->to_local(*at);
  };
  words.words_of = [shared](LocalXY at) {
    const LonLat p = shared->to_wgs84(at);
    return tr("%1, %2").arg(p.lat, 0, 'f', 6).arg(p.lon, 0, 'f', 6);
  };
  auto* dialog =
      new TieDialog(text(path.filename().string()), image.copy(), {read.width_px, read.height_px},
                    std::move(words), edit_->document()->settings->units, this);
  dialog->setAttribute(Qt::WA_DeleteOnClose);
  auto tool = std::make_unique<TieTool>(*canvas_);
  TieTool* marks = tool.get();
  connect(marks, &TieTool::placed, dialog, &TieDialog::place);
  connect(marks, &TieTool::moved, dialog, &TieDialog::moveMark);
  connect(marks, &TieTool::left, dialog, &QDialog::reject, Qt::QueuedConnection);
  connect(marks, &QObject::destroyed, dialog, &QDialog::reject, Qt::QueuedConnection);
  connect(dialog, &TieDialog::changed, marks,
          [dialog, marks] { marks->show(dialog->marks(), dialog->outline()); });
  connect(dialog, &QDialog::accepted, this,
          [this, dialog, path] { placeTied(path, dialog->points(), dialog->fit()); });
  connect(dialog, &QDialog::finished, this, [this, own = QPointer<TieTool>(marks)] {
    if (own) pickSelect();
  });
  useTool(std::move(tool));
  dialog->show();
}

void MainWindow::placeTied(const fs::path& path, std::vector<io::ControlPoint> points,
                           io::TieFit fit) {
  const fs::path to = freeName(edit_->file(), path);
  background_words_ = tr("Placing %1").arg(text(path.filename().string()));
  background_.start([this, path, points = std::move(points), fit, to,
                     crs = edit_->document()->settings->crs,
                     report = reporter()](std::stop_token stop) {
    auto done =
        std::make_shared<Status>(io::write_tied_picture(path, points, fit, crs, to, stop, report));
    return [this, done, to] {
      if (!*done) return complain(text(done->error().message));
      if (!edit_) return;
      addRasterFile(to, RasterRole::aerial);
      edit_->tell(tr("The picture is placed; its copy is %1").arg(text(to.filename().string())));
    };
  });
  showBusy();
}

}  // namespace leeward::ui
