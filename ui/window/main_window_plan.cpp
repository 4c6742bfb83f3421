// The plan's window beside the main one.
#include "ui/panels/plan_view.h"
#include "ui/session/eval_session.h"
#include "ui/session/plan_session.h"
#include "ui/window/main_window.h"

namespace leeward::ui {

void MainWindow::showPlan() {
  if (!edit_) return;
  if (!plan_view_) buildPlan();
  plan_view_->setDocument(edit_->document());
  plan_view_->show();
  plan_view_->raise();
  plan_view_->activateWindow();
  if (!plan_->plan() && !plan_->busy()) makePlan();
}

QWidget* MainWindow::front() {
  return plan_view_ && plan_view_->isVisible() ? static_cast<QWidget*>(plan_view_) : this;
}

void MainWindow::makePlan() {
  plan_waits_ = terrain_->busy();  // then its end makes the plan
  if (plan_waits_) return;
  const Ref<Document> doc = edit_->document();
  plan_->make(doc, eval_->terrain(), civil_day(eval_->arrive(), doc->settings->time_zone).start,
              eval_->trade(), plan_view_->days());
}

void MainWindow::buildPlan() {
  plan_ = std::make_unique<PlanSession>();
  plan_view_ = new PlanView(this);
  plan_view_->setWindowFlag(Qt::Window);
  connect(plan_view_, &PlanView::makeAsked, this, &MainWindow::makePlan);
  connect(plan_view_, &PlanView::cancelAsked, this, [this] { plan_->cancel(); });
  connect(plan_view_, &PlanView::chosen, this, [this](Instant arrive, const Uid& stand) {
    eval_->setArrive(arrive);
    edit_->select(stand);
    activateWindow();
  });
  connect(plan_.get(), &PlanSession::progressed, plan_view_, &PlanView::setProgress);
  connect(plan_.get(), &PlanSession::busyChanged, this,
          [this] { plan_view_->setBusy(plan_->busy()); });
  connect(plan_.get(), &PlanSession::made, this,
          [this] { plan_view_->setPlan(plan_->document(), plan_->plan(), edit_->document()); });
}

void MainWindow::closePlan() {
  plan_waits_ = false;
  plan_.reset();
  delete plan_view_;
  plan_view_ = nullptr;
}

}  // namespace leeward::ui
