// How the window shows the map: its scale, the place under the pointer, overviews of its pictures.
#include "core/io/overviews.h"
#include "ui/style/type.h"
#include "ui/window/main_window.h"

#include <QActionGroup>
#include <QComboBox>
#include <QLabel>
#include <QLineEdit>
#include <QMenu>
#include <QProgressBar>

#include <cmath>

namespace leeward::ui {

long shownScale(double denominator) {
  const long exact = std::lround(denominator);
  // What was typed or chosen is a whole number to start with; what a wheel or a fit makes is not.
  if (std::abs(denominator - static_cast<double>(exact)) < 1e-6) return exact;
  const double step = std::pow(10, std::max(0.0, std::floor(std::log10(denominator)) - 1));
  return std::lround(std::round(denominator / step) * step);
}

void MainWindow::wireScale() {
  const auto show = [this] {
    if (!scale_->lineEdit()->hasFocus())
      scale_->setEditText(tr("1:%1").arg(shownScale(canvas_->scaleDenominator())));
  };
  connect(canvas_, &MapCanvas::scaleChanged, this, show);
  const auto take = [this, show] {
    QString words = scale_->currentText();
    words = words.mid(words.indexOf(QLatin1Char(':')) + 1);
    words.remove(QLatin1Char(' ')).remove(QLatin1Char(','));
    bool good = false;
    const double denominator = words.toDouble(&good);
    canvas_->setFocus();
    if (good && denominator >= 100 && denominator <= 1e6) {
      canvas_->setScale(denominator);
    } else {
      statusBarMessage(tr("A scale is a number from 100 to 1000000, such as 12000"));
    }
    show();
  };
  connect(scale_, &QComboBox::activated, this, take);
  connect(scale_->lineEdit(), &QLineEdit::returnPressed, this, take);
}

void MainWindow::addReadouts(QMenu* menu) {
  QMenu* places = menu->addMenu(tr("Place under the &pointer as"));
  auto* group = new QActionGroup(this);
  const auto add = [&](const QString& words, Readout readout) {
    QAction* action = places->addAction(words, this, [this, readout] { readout_ = readout; });
    action->setCheckable(true);
    action->setChecked(readout == readout_);
    group->addAction(action);
  };
  add(tr("&Grid reference (USNG)"), Readout::grid);
  add(tr("&Degrees of latitude and longitude"), Readout::degrees);
  add(tr("&Metres of UTM"), Readout::utm);
}

void MainWindow::reloadTiles() {
  const Ref<Document> doc = edit_->document();
  auto tiles = std::make_unique<TileLayer>(edit_->file(), doc->settings->crs);
  tiles->setLayers(*doc->rasters);
  connect(tiles.get(), &TileLayer::failed, this,
          [this](const Uid&, const QString& why) { complain(why); });
  canvas_->setTiles(std::move(tiles));
  showFacts();
}

void MainWindow::showFacts() {
  for (const auto& [uid, aerial] : terrain_->aerials())
    canvas_->tiles()->setFacts(uid, aerial.cell_m, aerial.box);
}

void MainWindow::buildOverviews() {
  if (!edit_ || edit_->readOnly() || overviews_.busy()) return;
  for (const auto& [uid, aerial] : terrain_->aerials()) {
    if (!aerial.lacks_overviews || !overviews_tried_.insert(aerial.file).second) continue;
    const QString name = text(aerial.file.filename().string());
    const auto progress = [this, name](double share) {
      QMetaObject::invokeMethod(
          this,
          [this, name, share] {
            if (!overviews_.busy() || background_.busy()) return;
            showProgress(tr("Smaller copies of %1 for far views").arg(name), share);
          },
          Qt::QueuedConnection);
    };
    overviews_.start([this, file = aerial.file, progress](const std::stop_token& stop) {
      const auto done = std::make_shared<Status>(io::build_overviews(file, stop, progress));
      return [this, done] {
        if (!*done) statusBarMessage(text(done->error().message));
        if (edit_) reloadTiles();
        buildOverviews();
      };
    });
    return showBusy();
  }
  showBusy();
}

}  // namespace leeward::ui
