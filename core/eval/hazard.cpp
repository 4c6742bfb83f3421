#include "core/eval/hazard.h"

#include "core/base/multiversion.h"
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
double sound_at(double distance_m, const Judgement& j) {
  return distance_m < kSoundReach_m ? std::exp(-distance_m / j.sound_distance_m) : 0;
}

// A metre on the trail costs the same at any pace; fields are per minute, of a walk of 50 m
// (off-path pace on level ground, Tobler 1993).
constexpr double kWalk_m_per_min = 50;
double ground_scent_per_min(const DeerArea& trail, const Judgement& j) {
  return j.ground_scent_per_m * kWalk_m_per_min * trail.traffic_h;
}

constexpr int kBand = 8;  // rows of the coarse grid that are summed at a time

// Adds what of the patch lies on rows [first, end) of the field.
void add_patch(const Raster<float>& patch, float weight, int first, int end, Raster<float>& field) {
  if (patch.empty() || weight <= 0) return;
  const GridSpec& g = field.spec;
  const int c0 = g.cell_col(patch.spec.west + patch.spec.cell_m / 2),
            r0 = g.cell_row(patch.spec.north - patch.spec.cell_m / 2);
  for (int r = std::max(first, r0); r < std::min(end, r0 + patch.spec.rows); ++r)
    compute::add_scaled(field.row(r) + c0, patch.row(r - r0), weight, patch.spec.cols);
}

// Bilinear values of a coarse field at the cells of a row of the grid of half its cell; one more
// where their number is odd.
LEEWARD_CLONES void double_row(const float* __restrict near, const float* __restrict far, int count,
                               float* __restrict out) {
  const auto mixed = [&](int at, int aside) __attribute__((always_inline)) {
    return 0.75F * (0.75F * near[at] + 0.25F * near[aside]) +
           0.25F * (0.75F * far[at] + 0.25F * far[aside]);
  };
  const int last = count - 1;
  out[0] = mixed(0, 0), out[2 * last + 1] = mixed(last, last);
  for (int c = 0; c < last; ++c) {
    out[2 * c + 1] = mixed(c, c + 1);
    out[2 * c + 2] = mixed(c + 1, c);
  }
}
void double_row(const Raster<float>& coarse, int fine_row, std::vector<float>& out) {
  const int last = coarse.spec.rows - 1, near = fine_row / 2,
            far = near + (fine_row % 2 == 0 ? -1 : 1);
  out.resize(2 * static_cast<size_t>(coarse.spec.cols));
  double_row(coarse.row(near), coarse.row(std::clamp(far, 0, last)), coarse.spec.cols, out.data());
}

// One row of the hazard: scent, sound of `noise`, sight.
struct HazardRow {
  const float *scent, *sound, *noise, *seen;
  float k_scent, k_sound, k_sight;
};
LEEWARD_CLONES void add_senses(const HazardRow& row, int count, float* __restrict total) {
  const HazardRow r = row;
  for (int c = 0; c < count; ++c)
    total[c] = r.k_scent * r.scent[c] + r.k_sound * r.noise[c] * r.sound[c] + r.k_sight * r.seen[c];
}

// A row of the sight from one place: how much of it is left with distance.
struct SightRow {
  const std::uint8_t* seen;
  float x0, cell, y_sq, half_sq, share;
};
LEEWARD_CLONES void add_fading(const SightRow& row, int begin, int end, float* __restrict to) {
  const SightRow r = row;
  for (int c = begin; c < end; ++c) {
    const float x = r.x0 + r.cell * static_cast<float>(c);
    to[c] += static_cast<float>(r.seen[c]) * r.share / (1 + (x * x + r.y_sq) * r.half_sq);
  }
}

}  // namespace

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

GridSpec coarse_grid(const GridSpec& grid) {
  GridSpec out = grid;
  out.cell_m *= 2;
  out.cols = (grid.cols + 1) / 2;
  out.rows = (grid.rows + 1) / 2;
  return out;
}

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
      add_fading({from, x0, cell, y_sq, half_sq, share}, begin, end, to);
    }
  }
  return out;
}

AreaSound make_area_sound(const GridSpec& coarse, const DeerArea& area, const Judgement& j) {
  const auto cells = cells_of(area, coarse);
  if (cells.empty()) return {};
  const size_t cols = static_cast<size_t>(coarse.cols);
  std::vector<LocalXY> centres;
  for (const size_t i : cells)
    centres.push_back(coarse.centre(static_cast<int>(i % cols), static_cast<int>(i / cols)));
  AreaSound out(patch_around(coarse, centres, kSoundReach_m), 0.0F);
  std::vector<WeightedCell> weights;
  for (const LocalXY p : centres)
    weights.push_back(
        {out.spec.cell_col(p.x), out.spec.cell_row(p.y), 1.0F / static_cast<float>(cells.size())});
  const Stencil sound(static_cast<int>(kSoundReach_m / coarse.cell_m), [&](int dc, int dr) {
    return static_cast<float>(sound_at(coarse.cell_m * std::hypot(dc, dr), j));
  });
  compute::spread(weights, sound, out);
  return out;
}

Result<std::array<HazardStill, 2>> make_hazard_still(const AnalysisLand& land,
                                                     const BothWays& areas, const AreaCells& cells,
                                                     const std::vector<Ref<AreaSight>>& sight,
                                                     const std::vector<Ref<AreaSound>>& sound,
                                                     std::stop_token stop) {
  const GridSpec& grid = land.cells.spec;
  const GridSpec coarse = coarse_grid(grid);
  std::array<HazardStill, 2> out;
  for (HazardStill& side : out)
    side.seen = Raster<float>(grid, 0.0F), side.heard = Raster<float>(coarse, 0.0F);
  const bool done =
      for_each_index((coarse.rows + kBand - 1) / kBand,
                     [&](int band) {
                       const int first = band * kBand, end = std::min(first + kBand, coarse.rows);
                       const int fine_end = std::min(2 * end, grid.rows);
                       for (size_t a = 0; a < cells.size(); ++a)
                         for (size_t side = 0; side < 2; ++side) {
                           const float occupancy = static_cast<float>((*areas[side])[a].occupancy);
                           add_patch(*sight[a], occupancy, 2 * first, fine_end, out[side].seen);
                           add_patch(*sound[a], occupancy, first, end, out[side].heard);
                         }
                       for (HazardStill& side : out)
                         for (size_t i = grid.index(0, 2 * first); i < grid.index(0, fine_end); ++i)
                           side.seen.cells[i] *= land.hidden.cells[i];
                     },
                     stop);
  if (!done) return fail(ErrorCode::cancelled, "cancelled");
  Raster<std::uint16_t> trail(grid);
  for (size_t a = 0; a < cells.size(); ++a) {
    const Kind kind = (*areas[0])[a].kind;
    if (kind != Kind::deer_trail && kind != Kind::barrier) continue;
    for (const size_t i : cells[a]) trail.cells[i] = static_cast<std::uint16_t>(a + 1);
  }
  out[0].trail = out[1].trail = make_ref<Raster<std::uint16_t>>(std::move(trail));
  return out;
}

namespace {

// Of all areas, on the coarse grid.
Result<Raster<float>> summed_scent(const HazardModel& m, std::stop_token stop) {
  Raster<float> far(coarse_grid(m.coarse), 0.0F), out(m.coarse, 0.0F);
  const auto sum = [&](Raster<float> AreaScent::*part, int band, Raster<float>& to) {
    for (size_t a = 0; a < m.areas.size(); ++a)
      add_patch((*m.scent[a]).*part, static_cast<float>(m.areas[a].occupancy), band * kBand,
                std::min((band + 1) * kBand, to.spec.rows), to);
  };
  const auto bands = [](const Raster<float>& of) { return (of.spec.rows + kBand - 1) / kBand; };
  const bool summed_far = for_each_index(
      bands(far), [&](int band) { sum(&AreaScent::far, band, far); }, stop);
  const bool done = for_each_index(
      bands(out),
      [&](int band) {
        std::vector<float> far_here;
        sum(&AreaScent::near, band, out);
        for (int r = band * kBand; r < std::min((band + 1) * kBand, out.spec.rows); ++r) {
          double_row(far, r, far_here);
          compute::add_scaled(out.row(r), far_here.data(), 1, out.spec.cols);
        }
      },
      stop);
  if (!summed_far || !done) return fail(ErrorCode::cancelled, "cancelled");
  return out;
}

}  // namespace

Result<HazardModel> make_hazard(const HazardInputs& in, std::stop_token stop) {
  const AnalysisLand& land = *in.land;
  const Judgement& j = in.judgement;
  HazardModel m;
  m.land = in.land;
  m.judgement = j;
  m.grid = land.cells.spec;
  m.coarse = coarse_grid(m.grid);
  m.areas = *in.areas;
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
  const auto scent = summed_scent(m, stop);
  if (!scent) return scent.error();
  m.total = Raster<float>(m.grid);
  const bool done = for_each_index(
      (m.grid.rows + kBand - 1) / kBand,
      [&](int band) {
        std::vector<float> scent_here, sound_here;
        for (int r = band * kBand; r < std::min((band + 1) * kBand, m.grid.rows); ++r) {
          double_row(*scent, r, scent_here);
          double_row(m.still->heard, r, sound_here);
          const HazardRow row{scent_here.data(),
                              sound_here.data(),
                              land.noise.row(r),
                              m.still->seen.row(r),
                              static_cast<float>(j.scent_per_min),
                              static_cast<float>(j.sound_per_min * m.sound_mask),
                              static_cast<float>(j.sight_per_min * m.light)};
          float* total = m.total.row(r);
          add_senses(row, m.grid.cols, total);
          const std::uint16_t* trail = m.still->trail->row(r);
          for (int c = 0; c < m.grid.cols; ++c)
            if (trail[c])
              total[c] += static_cast<float>(
                  ground_scent_per_min(m.areas[static_cast<size_t>(trail[c] - 1)], j));
        }
      },
      stop);
  if (!done) return fail(ErrorCode::cancelled, "cancelled");
  return m;
}

HazardParts::HazardParts(const HazardModel& model, const Box& where)
    : model_(model), land_(*model.land), j_(model.judgement) {
  for (size_t a = 0; a < model.areas.size(); ++a) {
    if (model.areas[a].occupancy <= 0) continue;
    if (model.scent[a]->far.spec.box().overlaps(where) ||
        model.sight[a]->spec.box().overlaps(where) || model.heard_within[a].overlaps(where))
      areas_.push_back(a);
  }
}

// Mean over the area's samples, 0..1.
double HazardParts::sound(size_t area, LocalXY p) const {
  double sum = 0;
  const auto& samples = model_.areas[area].samples;
  for (const LocalXY q : samples) {
    const LocalXY d = p - q;
    const double square = d.x * d.x + d.y * d.y;
    if (square < kSoundReach_m * kSoundReach_m) sum += sound_at(std::sqrt(square), j_);
  }
  return sum / static_cast<double>(samples.size());
}

HazardParts::Place HazardParts::place(LocalXY p) const {
  Place out;
  out.at = p;
  out.inside = model_.grid.contains(p);
  if (!out.inside) return out;
  const int c = model_.grid.cell_col(p.x), r = model_.grid.cell_row(p.y);
  out.noise = static_cast<double>(land_.noise.at(c, r));
  out.hidden = static_cast<double>(land_.hidden.at(c, r));
  out.trail = model_.still->trail->at(c, r);
  return out;
}

HazardParts::BySense HazardParts::of(size_t a, const Place& place) const {
  BySense out = {};
  if (!place.inside) return out;
  const HazardModel& m = model_;
  const DeerArea& area = m.areas[a];
  const auto part = [&](Sense s) -> double& { return out[static_cast<size_t>(s)]; };
  if (m.scent[a]->far.spec.box().contains(place.at))
    part(Sense::scent) = j_.scent_per_min * area.occupancy * m.scent[a]->at(place.at);
  if (m.heard_within[a].contains(place.at))
    part(Sense::sound) =
        j_.sound_per_min * m.sound_mask * place.noise * area.occupancy * sound(a, place.at);
  if (m.sight[a]->spec.box().contains(place.at))
    part(Sense::sight) = j_.sight_per_min * m.light * area.occupancy * place.hidden *
                         static_cast<double>(m.sight[a]->value_or(place.at, 0.0F));
  if (place.trail == a + 1) part(Sense::ground_scent) = ground_scent_per_min(area, j_);
  return out;
}

}  // namespace leeward
