// The season's window beside the main one.
#include "ui/panels/season_view.h"
#include "ui/session/eval_session.h"
#include "ui/session/season_session.h"
#include "ui/window/main_window.h"

namespace leeward::ui {

void MainWindow::showSeason() {
  if (!edit_) return;
  if (!season_view_) buildSeason();
  season_view_->show();
  season_view_->raise();
  season_view_->activateWindow();
  showRose();
}

void MainWindow::buildSeason() {
  season_ = std::make_unique<SeasonSession>();
  season_view_ = new SeasonView(this);
  season_view_->setWindowFlag(Qt::Window);
  connect(season_view_, &SeasonView::countAsked, this, [this] {
    season_->count(edit_->document(), eval_->terrain(), season_view_->records(),
                   season_view_->days());
  });
  connect(season_view_, &SeasonView::cancelAsked, this, [this] { season_->cancel(); });
  connect(season_view_, &SeasonView::standChosen, this,
          [this](const Uid& stand) { edit_->select(stand); });
  connect(season_view_, &SeasonView::shownOrHidden, this, &MainWindow::showRose);
  connect(season_.get(), &SeasonSession::progressed, season_view_, &SeasonView::setProgress);
  connect(season_.get(), &SeasonSession::failed, season_view_, &SeasonView::showFailure);
  connect(season_.get(), &SeasonSession::busyChanged, this,
          [this] { season_view_->setBusy(season_->busy()); });
  connect(season_.get(), &SeasonSession::counted, this, [this] {
    season_view_->setSeason(season_->document(), season_->season(), season_->notes());
    showRose();
  });
}

void MainWindow::showRose() {
  canvas_->setSeason(season_view_ && season_view_->isVisible() ? season_->season() : nullptr);
}

void MainWindow::closeSeason() {
  season_.reset();
  delete season_view_;
  season_view_ = nullptr;
  showRose();
}

}  // namespace leeward::ui
