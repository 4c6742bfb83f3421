#include "ui/session/plan_session.h"

namespace leeward::ui {

PlanSession::PlanSession() {
  connect(&background_, &Background::finished, this, &PlanSession::busyChanged);
}

void PlanSession::make(const Ref<Document>& document, const Ref<Terrain>& terrain, Instant first,
                       Trade trade, int days) {
  const Snapshot ask{document, terrain, scene_at(*document, first, trade)};
  background_.start([this, ask, days](const std::stop_token& stop) -> Background::Finish {
    auto plan = make_plan(engine_, ask, days, stop, [this](double share, const char*) {
      QMetaObject::invokeMethod(
          this, [this, share] { emit progressed(share); }, Qt::QueuedConnection);
    });
    if (!plan) return {};
    return [this, ask, plan = make_ref<Plan>(*std::move(plan))] {
      plan_ = plan;
      document_ = ask.document;
      emit made();
    };
  });
  emit busyChanged();
}

}  // namespace leeward::ui
