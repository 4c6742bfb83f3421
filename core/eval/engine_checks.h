// The engine's last stage: checks of mock scrapes and cameras, with what of them is worth keeping.
#pragma once

#include "core/eval/camera_checks.h"
#include "core/eval/memo.h"
#include "core/eval/scrape_checks.h"

#include <map>

namespace leeward {

struct CheckCache {
  Memo<std::tuple<LonLat, int>, std::vector<LowSun>> season;
  Memo<std::tuple<Ref<compute::WalkGraph>, std::vector<size_t>, Ref<Rows<Feature>>>, QuietGround>
      quiet;
  std::map<Uid, Memo<std::tuple<Ref<CoverGrid>, Ref<Feature>>, CameraView>> view;
};

struct CheckInputs {
  const Document& document;
  Ref<CoverGrid> cover;
  Ref<compute::WalkGraph> graph;
  const std::vector<GateCell>& gates;
  LonLat place;  ///< The property's centre.
  double convergence_deg = 0;
};

/// Fills `scrapes`, `scrape_lines` and `cameras`. REQUIRES: the results' scene, air, sun and stands
/// are there.
void add_checks(const CheckInputs& in, CheckCache& cache, Results& results);

}  // namespace leeward
