// What chosen sheets rest on beside their layout: the hour, other winds, the plan. Kept from one
// request to the next while land and hour stay, so that a new layout costs the drawing alone.
#pragma once

#include "ui/print/sheets.h"

namespace leeward::ui {

/// THREADS: one maker belongs to one thread at a time.
class SheetMaker {
 public:
  /// Puts the results of `scene` into the request, and winds and a plan of `days` where their
  /// sheets are chosen. ERRORS: cancelled.
  Result<SheetsRequest> filled(SheetsRequest request, const Scene& scene, int days,
                               std::stop_token stop = {}, const PrintProgress& progress = {});

 private:
  void forgetOther(const HuntMapRequest& map, const Scene& scene);

  Engine engine_;
  Ref<Document> document_;
  Ref<Terrain> terrain_;
  Scene scene_;
  int days_ = 0;
  Ref<Results> results_;
  std::optional<StandWinds> winds_;
  Ref<Plan> plan_;
};

inline constexpr int kUsualPlanDays = 3, kMostPlanDays = 14;

}  // namespace leeward::ui
