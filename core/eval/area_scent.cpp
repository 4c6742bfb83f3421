// Exposure that a person at a place causes to deer in one area.
#include "core/eval/hazard.h"

#include <algorithm>

namespace leeward {

// Between these distances from a patch the field of scent passes over to cells twice as wide.
constexpr double kNear_m = 120, kFar_m = 220;

// Bilinear between the centres of a patch that knows all of its cells, as DoubledRow; 0 beyond it.
static double within(const Raster<float>& patch, LocalXY p) {
  const GridSpec& g = patch.spec;
  double col = g.col_of(p.x), row = g.row_of(p.y);
  if (!(col >= 0 && row >= 0 && col < g.cols && row < g.rows)) return 0;
  col = std::clamp(col - 0.5, 0.0, g.cols - 1.0), row = std::clamp(row - 0.5, 0.0, g.rows - 1.0);
  const int c = static_cast<int>(col), r = static_cast<int>(row);
  const float u = static_cast<float>(col - c), v = static_cast<float>(row - r);
  const float *a = patch.row(r) + c, *b = patch.row(std::min(r + 1, g.rows - 1)) + c;
  const int next = c + 1 < g.cols ? 1 : 0;
  const float top = a[0] + (a[next] - a[0]) * u, bottom = b[0] + (b[next] - b[0]) * u;
  return static_cast<double>(top + (bottom - top) * v);
}

AreaPlaces area_places(const GridSpec& coarse, const DeerArea& area, double reach_m) {
  using Fade = compute::PatchCells::Fade;
  std::vector<LocalXY> middles;
  for (const DeerPatch& p : area.patches) middles.push_back(p.middle);
  AreaPlaces out{patch_around(coarse, middles, kFar_m),
                 patch_around(coarse_grid(coarse), middles, reach_m),
                 area.patches,
                 {},
                 {}};
  for (const DeerPatch& p : area.patches) {
    out.near.emplace_back(out.near_grid, p.middle, p.sd_m, std::min(reach_m, kFar_m),
                          Fade{Fade::Part::near, kNear_m, kFar_m});
    out.far.emplace_back(out.far_grid, p.middle, p.sd_m, reach_m,
                         Fade{Fade::Part::far, kNear_m, kFar_m});
  }
  return out;
}

static AreaScent no_scent(const AreaPlaces& places) {
  return {Raster<float>(places.near_grid, 0.0F), Raster<float>(places.far_grid, 0.0F)};
}

AreaScent make_area_scent(const compute::Flow& flow, const compute::PlumeTable& table,
                          const AreaPlaces& places, double cap) {
  AreaScent out = no_scent(places);
  const float share = 1.0F / static_cast<float>(places.patches.size()),
              most = static_cast<float>(cap);
  for (size_t n = 0; n < places.patches.size(); ++n) {
    const compute::PatchPlume plume(flow, table, places.patches[n].middle, places.patches[n].sd_m);
    plume.add_to(out.near, places.near[n], share, most);
    plume.add_to(out.far, places.far[n], share, most);
  }
  return out;
}

std::array<AreaScent, 2> make_both_area_scents(const std::array<Ref<compute::Flow>, 2>& flow,
                                               const std::array<Ref<compute::PlumeTable>, 2>& table,
                                               const AreaPlaces& places, double cap) {
  using compute::PatchPlume;
  std::array<AreaScent, 2> out = {no_scent(places), no_scent(places)};
  const float share = 1.0F / static_cast<float>(places.patches.size()),
              most = static_cast<float>(cap);
  for (size_t n = 0; n < places.patches.size(); ++n) {
    const DeerPatch& p = places.patches[n];
    const PatchPlume in(*flow[0], *table[0], p.middle, p.sd_m),
        back(*flow[1], *table[1], p.middle, p.sd_m);
    const PatchPlume::Pair both = {&in, &back};
    PatchPlume::add_both(both, {&out[0].near, &out[1].near}, places.near[n], share, most);
    PatchPlume::add_both(both, {&out[0].far, &out[1].far}, places.far[n], share, most);
  }
  return out;
}

double AreaScent::at(LocalXY p) const {
  return (near.spec.box().contains(p) ? within(near, p) : 0) + within(far, p);
}

}  // namespace leeward
