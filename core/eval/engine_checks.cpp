#include "core/eval/engine_checks.h"

#include <algorithm>

namespace leeward {

void add_checks(const CheckInputs& in, CheckCache& cache, Results& results) {
  const Document& d = in.document;
  results.scrapes = check_scrapes({d, *in.cover, results});
  results.scrape_lines = scrape_lines(d);
  results.cameras.clear();
  const Rows<Feature>& cameras = d.of(Kind::camera);
  std::erase_if(cache.view, [&](const auto& e) {
    return std::none_of(cameras.begin(), cameras.end(),
                        [&](const Ref<Feature>& f) { return f->uid == e.first; });
  });
  if (cameras.empty()) return;
  const int season = season_of(results.scene.arrive, d.settings->time_zone);
  const auto sun = *cache.season.get({in.place, season}, [&]() -> Result<std::vector<LowSun>> {
    return season_low_sun(in.place, season);
  });
  std::vector<size_t> starts;
  for (const GateCell& g : in.gates) starts.push_back(g.cell);
  const auto quiet =
      *cache.quiet.get({in.graph, starts, d.features[static_cast<size_t>(Kind::bedding)]},
                       [&]() -> Result<QuietGround> { return quiet_ground(d, *in.graph, starts); });
  for (const Ref<Feature>& f : cameras) {
    const auto view = *cache.view[f->uid].get(
        {in.cover, f}, [&]() -> Result<CameraView> { return camera_view(*in.cover, *f); });
    results.cameras.push_back(
        check_camera({d, *in.cover, results.scene, *sun, *quiet, in.convergence_deg}, *f, *view));
  }
}

}  // namespace leeward
