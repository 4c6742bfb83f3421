// What goes on in the background, in the status bar: words, share done, time left.
#include "ui/style/type.h"
#include "ui/window/main_window.h"

#include <QLabel>
#include <QProgressBar>

namespace leeward::ui {

void MainWindow::showProgress(const QString& words, double share) {
  const auto left_s = time_left_.at(share, TimeLeft::Clock::now());
  working_->setText(!left_s ? words
                    : *left_s < 60
                        ? tr("%1, about %n s left", nullptr, *left_s).arg(words)
                        : tr("%1, about %n min left", nullptr, (*left_s + 30) / 60).arg(words));
  progress_->setRange(0, 100);
  progress_->setValue(static_cast<int>(share * 100));
}

std::function<void(double)> MainWindow::reporter() {
  return [this](double share) {
    QMetaObject::invokeMethod(
        this,
        [this, share] {
          if (background_.busy()) showProgress(background_words_, share);
        },
        Qt::QueuedConnection);
  };
}

}  // namespace leeward::ui
