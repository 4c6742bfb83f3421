// WalkerSight: how far deer at one place see a walker, kept from one land to the next.
#pragma once

#include "core/eval/change_log.h"
#include "core/eval/land.h"
#include "core/eval/memo.h"

#include <stop_token>
#include <tuple>

namespace leeward {

class WalkerSight {
 public:
  /// sight_on_walker() (hazard.h), the same object where it is as before. `changes` are those of
  /// the land. THREADS: one at a time. ERRORS: cancelled.
  Result<Ref<Raster<std::uint8_t>>> from(LocalXY deer, const AnalysisLand& land,
                                         const ChangeLog& changes, const Judgement& j,
                                         std::stop_token stop);
  int runs() const { return seen_.runs(); }

 private:
  ChangeLog::Watch watch_;
  Memo<std::tuple<ChangeLog::Number, LocalXY>, Raster<std::uint8_t>> seen_;
};

}  // namespace leeward
