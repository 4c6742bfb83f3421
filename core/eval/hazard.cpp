#include "core/eval/hazard.h"

#include "core/base/parallel.h"
#include "core/compute/spread.h"

#include <algorithm>
#include <cmath>

namespace leeward {
namespace {

using compute::Stencil;
using compute::WeightedCell;

constexpr double kSoundReach_m = 160;
constexpr double kSightReach_m = 250;
// Between these distances from a patch the field of scent passes over to cells twice as wide.
constexpr double kNear_m = 120, kFar_m = 220;

std::vector<WeightedCell> area_weights(const std::vector<DeerArea>& areas, const GridSpec& g) {
  std::vector<float> sum(g.size(), 0.0F);
  for (const DeerArea& a : areas) {
    if (a.occupancy <= 0) continue;
    const auto cells = cells_of(*a.feature, g);
    for (const size_t i : cells)
      sum[i] += static_cast<float>(a.occupancy / static_cast<double>(cells.size()));
  }
  std::vector<WeightedCell> out;
  for (size_t i = 0; i < sum.size(); ++i) {
    if (sum[i] <= 0) continue;
    const size_t cols = static_cast<size_t>(g.cols);
    out.push_back({static_cast<int>(i % cols), static_cast<int>(i / cols), sum[i]});
  }
  return out;
}

double sound_at(double distance_m, const Judgement& j) {
  return distance_m < kSoundReach_m ? std::exp(-distance_m / j.sound_distance_m) : 0;
}

// A metre on the trail costs the same at any pace; fields are per minute, of a walk of 50 m
// (off-path pace on level ground, Tobler 1993).
constexpr double kWalk_m_per_min = 50;
double ground_scent_per_min(const DeerArea& trail, const Judgement& j) {
  return j.ground_scent_per_m * kWalk_m_per_min * trail.traffic_h;
}

void add_patch(const Raster<float>& patch, float weight, Raster<float>& field) {
  if (patch.empty() || weight <= 0) return;
  const GridSpec& g = field.spec;
  const int c0 = g.cell_col(patch.spec.west + patch.spec.cell_m / 2),
            r0 = g.cell_row(patch.spec.north - patch.spec.cell_m / 2);
  for (int r = 0; r < patch.spec.rows; ++r) {
    const float* from = patch.row(r);
    float* to = field.row(r0 + r) + c0;
    for (int c = 0; c < patch.spec.cols; ++c) to[c] += weight * from[c];
  }
}

// Bilinear between the centres of a patch that knows all of its cells, as DoubledRow; 0 beyond it.
double within(const Raster<float>& patch, LocalXY p) {
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

// Bilinear values of a coarse field at the cells of a row of the grid of half its cell.
class DoubledRow {
 public:
  DoubledRow(const Raster<float>& coarse, int fine_row) : last_(coarse.spec.cols - 1) {
    const int near = fine_row / 2, far = near + (fine_row % 2 == 0 ? -1 : 1);
    near_ = coarse.row(std::min(near, coarse.spec.rows - 1));
    far_ = coarse.row(std::clamp(far, 0, coarse.spec.rows - 1));
  }
  float at(int fine_col) const {
    const int near = std::min(fine_col / 2, last_);
    const int far = std::clamp(near + (fine_col % 2 == 0 ? -1 : 1), 0, last_);
    return 0.75F * (0.75F * near_[near] + 0.25F * near_[far]) +
           0.25F * (0.75F * far_[near] + 0.25F * far_[far]);
  }

 private:
  int last_;
  const float *near_, *far_;
};

// The part of `g` within `reach` of points.
GridSpec patch_around(const GridSpec& g, const std::vector<LocalXY>& points, double reach) {
  Box box;
  for (const LocalXY p : points) box.add(p);
  box = box.grown(reach);
  const int c0 = std::clamp(g.cell_col(box.min_x), 0, g.cols),
            c1 = std::clamp(g.cell_col(box.max_x) + 1, 0, g.cols);
  const int r0 = std::clamp(g.cell_row(box.max_y), 0, g.rows),
            r1 = std::clamp(g.cell_row(box.min_y) + 1, 0, g.rows);
  GridSpec part = g;
  part.west += c0 * g.cell_m;
  part.north -= r0 * g.cell_m;
  part.cols = c1 - c0;
  part.rows = r1 - r0;
  return part;
}

}  // namespace

GridSpec coarse_grid(const GridSpec& grid) {
  GridSpec out = grid;
  out.cell_m *= 2;
  out.cols = (grid.cols + 1) / 2;
  out.rows = (grid.rows + 1) / 2;
  return out;
}

AreaPlaces area_places(const GridSpec& coarse, const DeerArea& area, double reach_m) {
  using compute::PolarCells;
  std::vector<LocalXY> middles;
  for (const DeerPatch& p : area.patches) middles.push_back(p.middle);
  AreaPlaces out{patch_around(coarse, middles, kFar_m),
                 patch_around(coarse_grid(coarse), middles, reach_m),
                 area.patches,
                 {},
                 {}};
  for (const DeerPatch& p : area.patches) {
    out.near.emplace_back(out.near_grid, p.middle, std::min(reach_m, kFar_m), p.sd_m);
    out.near.back().keep(PolarCells::Part::near, kNear_m, kFar_m);
    out.far.emplace_back(out.far_grid, p.middle, reach_m, p.sd_m);
    out.far.back().keep(PolarCells::Part::far, kNear_m, kFar_m);
  }
  return out;
}

AreaScent make_area_scent(const compute::Flow& flow, const compute::PlumeTable& table,
                          const AreaPlaces& places, double cap) {
  AreaScent out{Raster<float>(places.near_grid, 0.0F), Raster<float>(places.far_grid, 0.0F)};
  const float share = 1.0F / static_cast<float>(places.patches.size()),
              most = static_cast<float>(cap);
  for (size_t n = 0; n < places.patches.size(); ++n) {
    const compute::PatchPlume plume(flow, table, places.patches[n].middle, places.patches[n].sd_m);
    plume.add_to(out.near, places.near[n], share, most);
    plume.add_to(out.far, places.far[n], share, most);
  }
  return out;
}

double AreaScent::at(LocalXY p) const { return within(near, p) + within(far, p); }

compute::SightOptions walker_sight_options(const Judgement& j) {
  compute::SightOptions out;
  out.eye_m = j.deer_eye_m;
  out.target_m = j.walker_height_m;
  out.reach_m = kSightReach_m;
  return out;
}

Result<Raster<std::uint8_t>> sight_on_walker(const AnalysisLand& land, LocalXY deer,
                                             const Judgement& j, std::stop_token stop) {
  return compute::sight_from(land.cells, deer, walker_sight_options(j), stop);
}

AreaSight make_area_sight(const GridSpec& g, const DeerArea& area,
                          const std::vector<Ref<Raster<std::uint8_t>>>& from_samples,
                          const Judgement& j) {
  const GridSpec part = patch_around(g, area.samples, kSightReach_m + 2 * g.cell_m);
  AreaSight out(part, 0.0F);
  const float share = 1.0F / static_cast<float>(area.samples.size() * 255);
  const float half_sq = static_cast<float>(1 / (j.sight_distance_m * j.sight_distance_m));
  for (size_t n = 0; n < area.samples.size(); ++n) {
    const Raster<std::uint8_t>& seen = *from_samples[n];
    const GridSpec& s = seen.spec;
    const int dc = part.cell_col(s.centre(0, 0).x), dr = part.cell_row(s.centre(0, 0).y);
    const int begin = std::max(0, -dc), end = std::min(s.cols, part.cols - dc);
    for (int r = std::max(0, -dr); r < std::min(s.rows, part.rows - dr); ++r) {
      const LocalXY first = s.centre(0, r) - area.samples[n];
      const float x0 = static_cast<float>(first.x), cell = static_cast<float>(s.cell_m),
                  y_sq = static_cast<float>(first.y * first.y);
      const std::uint8_t* from = seen.row(r);
      float* to = out.row(r + dr) + dc;
      for (int c = begin; c < end; ++c) {
        const float x = x0 + cell * static_cast<float>(c);
        to[c] += static_cast<float>(from[c]) * share / (1 + (x * x + y_sq) * half_sq);
      }
    }
  }
  return out;
}

Result<HazardStill> make_hazard_still(const AnalysisLand& land, const std::vector<DeerArea>& areas,
                                      const AreaCells& cells,
                                      const std::vector<Ref<AreaSight>>& sight, const Judgement& j,
                                      std::stop_token stop) {
  HazardStill out;
  const GridSpec& grid = land.cells.spec;
  out.seen = Raster<float>(grid, 0.0F);
  out.heard = Raster<float>(coarse_grid(grid), 0.0F);
  out.trail = Raster<std::uint16_t>(grid);
  const auto weights = area_weights(areas, out.heard.spec);
  const double cell = out.heard.spec.cell_m;
  const Stencil sound(static_cast<int>(kSoundReach_m / cell), [&](int dc, int dr) {
    return static_cast<float>(sound_at(cell * std::hypot(dc, dr), j));
  });
  const bool done = for_each_index(
      2,
      [&](int part) {
        if (part == 0) return compute::spread(weights, sound, out.heard);
        for (size_t a = 0; a < areas.size(); ++a)
          add_patch(*sight[a], static_cast<float>(areas[a].occupancy), out.seen);
      },
      stop);
  if (!done) return fail(ErrorCode::cancelled, "cancelled");
  for (size_t i = 0; i < out.seen.cells.size(); ++i) out.seen.cells[i] *= land.hidden.cells[i];
  for (size_t a = 0; a < areas.size(); ++a) {
    if (areas[a].kind != Kind::deer_trail && areas[a].kind != Kind::barrier) continue;
    for (const size_t i : cells[a]) out.trail.cells[i] = static_cast<std::uint16_t>(a + 1);
  }
  return out;
}

Result<HazardModel> make_hazard(const HazardInputs& in, std::stop_token stop) {
  const AnalysisLand& land = *in.land;
  const Judgement& j = in.judgement;
  HazardModel m;
  m.grid = land.cells.spec;
  m.coarse = coarse_grid(m.grid);
  m.areas = in.areas;
  m.sight = in.sight;
  m.scent = in.scent;
  m.still = in.still;
  for (const DeerArea& a : m.areas) {
    Box box;
    for (const LocalXY p : a.samples) box.add(p);
    m.heard_within.push_back(box.grown(kSoundReach_m));
  }
  m.light = j.night_sight + (1 - j.night_sight) * in.sun.light;
  m.sound_mask = std::exp(-in.air.speed_10m_mps / j.sound_wind_mps);
  Raster<float> scent(m.coarse, 0.0F), far(coarse_grid(m.coarse), 0.0F);
  for (size_t a = 0; a < m.areas.size(); ++a) {
    add_patch(m.scent[a]->near, static_cast<float>(m.areas[a].occupancy), scent);
    add_patch(m.scent[a]->far, static_cast<float>(m.areas[a].occupancy), far);
  }
  for (int r = 0; r < scent.spec.rows; ++r) {
    const DoubledRow far_here(far, r);
    for (int c = 0; c < scent.spec.cols; ++c) scent.at(c, r) += far_here.at(c);
  }
  m.total = Raster<float>(m.grid);
  const float k_scent = static_cast<float>(j.scent_per_min),
              k_sound = static_cast<float>(j.sound_per_min * m.sound_mask),
              k_sight = static_cast<float>(j.sight_per_min * m.light);
  const bool done = for_each_index(
      m.grid.rows,
      [&](int r) {
        const DoubledRow scent_here(scent, r), sound_here(m.still->heard, r);
        const float *noise = land.noise.row(r), *seen = m.still->seen.row(r);
        const std::uint16_t* trail = m.still->trail.row(r);
        float* total = m.total.row(r);
        for (int c = 0; c < m.grid.cols; ++c) {
          total[c] = k_scent * scent_here.at(c) + k_sound * noise[c] * sound_here.at(c) +
                     k_sight * seen[c];
          if (trail[c])
            total[c] += static_cast<float>(
                ground_scent_per_min(m.areas[static_cast<size_t>(trail[c] - 1)], j));
        }
      },
      stop);
  if (!done) return fail(ErrorCode::cancelled, "cancelled");
  return m;
}

HazardParts::HazardParts(const HazardModel& model, const AnalysisLand& land, const Judgement& j,
                         const Box& where)
    : model_(model), land_(land), j_(j) {
  for (size_t a = 0; a < model.areas.size(); ++a) {
    if (model.areas[a].occupancy <= 0) continue;
    if (model.scent[a]->far.spec.box().overlaps(where) ||
        model.sight[a]->spec.box().overlaps(where) || model.heard_within[a].overlaps(where))
      areas_.push_back(a);
  }
  parts_.resize(areas_.size());
}

// Mean over the area's samples, 0..1.
double HazardParts::sound(size_t area, LocalXY p) const {
  if (!model_.heard_within[area].contains(p)) return 0;
  double sum = 0;
  const auto& samples = model_.areas[area].samples;
  for (const LocalXY q : samples) {
    const LocalXY d = p - q;
    const double square = d.x * d.x + d.y * d.y;
    if (square < kSoundReach_m * kSoundReach_m) sum += sound_at(std::sqrt(square), j_);
  }
  return sum / static_cast<double>(samples.size());
}

const std::vector<HazardParts::BySense>& HazardParts::at(LocalXY p) {
  std::fill(parts_.begin(), parts_.end(), BySense{});
  const HazardModel& m = model_;
  if (!m.grid.contains(p)) return parts_;
  const int c = m.grid.cell_col(p.x), r = m.grid.cell_row(p.y);
  const double noise = static_cast<double>(land_.noise.at(c, r)),
               hidden = static_cast<double>(land_.hidden.at(c, r));
  const size_t trail = m.still->trail.at(c, r);
  for (size_t i = 0; i < areas_.size(); ++i) {
    const size_t a = areas_[i];
    const DeerArea& area = m.areas[a];
    const auto part = [&](Sense s) -> double& { return parts_[i][static_cast<size_t>(s)]; };
    part(Sense::scent) = j_.scent_per_min * area.occupancy * m.scent[a]->at(p);
    part(Sense::sound) = j_.sound_per_min * m.sound_mask * noise * area.occupancy * sound(a, p);
    part(Sense::sight) = j_.sight_per_min * m.light * area.occupancy * hidden *
                         static_cast<double>(m.sight[a]->value_or(p, 0.0F));
    if (trail == a + 1) part(Sense::ground_scent) = ground_scent_per_min(area, j_);
  }
  return parts_;
}

}  // namespace leeward
