#include "ui/print/sheet_maker.h"

namespace leeward::ui {

void SheetMaker::forgetOther(const HuntMapRequest& map, const Scene& scene) {
  if (document_ == map.document && terrain_ == map.terrain && scene_ == scene) return;
  document_ = map.document;
  terrain_ = map.terrain;
  scene_ = scene;
  results_ = nullptr;
  winds_.reset();
  plan_ = nullptr;
}

Result<SheetsRequest> SheetMaker::filled(SheetsRequest request, const Scene& scene, int days,
                                         std::stop_token stop, const PrintProgress& progress) {
  forgetOther(request.map, scene);
  const Snapshot ask{document_, terrain_, scene_};
  if (!results_) {
    auto results = engine_.evaluate(ask, stop, progress);
    if (!results) return std::move(results.error());
    results_ = *std::move(results);
  }
  request.map.results = results_;
  if (request.choice.cards) {
    if (!winds_) {
      auto winds = standWinds(engine_, ask, *results_, stop, progress);
      if (!winds) return std::move(winds.error());
      winds_ = *std::move(winds);
    }
    request.winds = winds_;
  }
  if (request.choice.plan) {
    if (!plan_ || days_ != days) {
      auto plan = make_plan(engine_, ask, days, stop, progress);
      if (!plan) return std::move(plan.error());
      plan_ = make_ref<Plan>(*std::move(plan));
      days_ = days;
    }
    request.plan = plan_;
  }
  return request;
}

}  // namespace leeward::ui
