#include "ui/session/background.h"

namespace leeward::ui {

Background::Background()
    : worker_([this](const Job& job, const std::stop_token& stop) {
        if (!job.work) return;
        Finish finish = job.work(stop);
        QMetaObject::invokeMethod(
            this,
            [this, number = job.number, finish = std::move(finish)] {
              if (number != asked_) return;  // cancelled or replaced
              done_ = number;
              if (finish) finish();
              emit finished();
            },
            Qt::QueuedConnection);
      }) {}

void Background::start(Work work) {
  worker_.submit({std::move(work), ++asked_}, WhenSuperseded::stop);
}

void Background::cancel() {
  if (!busy()) return;
  done_ = ++asked_;
  worker_.submit({}, WhenSuperseded::stop);
  emit finished();
}

}  // namespace leeward::ui
