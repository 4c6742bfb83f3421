#include "core/eval/land.h"

#include "core/base/parallel.h"
#include "core/eval/air.h"
#include "core/eval/burn.h"

#include <algorithm>
#include <cmath>

namespace leeward {
namespace {

using compute::SightCell;

constexpr float kNoEntry = std::numeric_limits<float>::infinity();

// Of one kind of cover on the analysis grid.
struct Grown {
  float noise, attenuation, slowness;
};
Grown grown(CoverType type, bool leaf_on, const Judgement& j) {
  return {static_cast<float>(j.noise(type, leaf_on)),
          static_cast<float>(j.attenuation(type, leaf_on)),
          static_cast<float>(j.slowness_of(type))};
}

void burn_water(const Document& document, size_t i, const LandDay& day, const Judgement& j,
                const CellBox& window, AnalysisLand& out) {
  const Feature& f = *document.of(Kind::water)[i];
  const auto& w = f.as<WaterAttrs>();
  const bool walkable = day.walkable.empty() ? w.walkable : burn::flagged(day.walkable, i);
  const float slow = walkable ? static_cast<float>(j.wading_slowness) : kNoEntry;
  const double depth = std::clamp(w.banks_m / j.creek_depth_m, 0.0, 1.0);
  const float hidden = static_cast<float>(1 - depth * (1 - j.creek_hides));
  const auto fn = [&](int c, int r) {
    out.slowness.at(c, r) = slow;
    out.hidden.at(c, r) = hidden;
    out.noise.at(c, r) = 0.8F * hidden;  // water; common practice, no source
  };
  burn::area(f.shape, window, out.slowness, [&](float&, int c, int r) { fn(c, r); });
  if (f.shape.type == ShapeType::line) burn::path(f.shape.path(), out.cells.spec, window, fn);
}

// As it is without features.
void burn_bare(const CoverGrid& cover, const Grown& open, const Grown& woods, const CellBox& window,
               AnalysisLand& out) {
  const GridSpec& g = out.cells.spec;
  for (int r = window.row; r < window.end_row(); ++r)
    for (int c = window.col; c < window.end_col(); ++c) {
      const SightCell cell = cover.fine.value_or(g.centre(c, r), SightCell{kUnknown, 0, 0});
      const bool timber = cell.top_m > 3;
      out.cells.at(c, r) = cell;
      out.timber.at(c, r) = timber ? 1 : 0;
      out.noise.at(c, r) = timber ? woods.noise : open.noise;
      out.attenuation.at(c, r) = timber ? woods.attenuation : 0.0F;
      out.slowness.at(c, r) = timber ? woods.slowness : 1.0F;
      out.hidden.at(c, r) = 1;
    }
}

}  // namespace

LandDay land_day(const Document& document, Instant at) {
  const CivilTime now = to_civil(at, document.settings->time_zone);
  const std::string date = iso_date(now);
  LandDay out;
  out.leaf_on = leaf_on_at(at, document.settings->time_zone);
  for (const auto& f : document.of(Kind::cover)) {
    const std::string& cut_on = f->as<CoverAttrs>().cut_on;
    out.cut.push_back(!cut_on.empty() && cut_on <= date);
  }
  for (const auto& f : document.of(Kind::water)) {
    const auto& w = f->as<WaterAttrs>();
    out.walkable.push_back(w.walkable && w.walkable_in.has(now.month));
  }
  for (const auto& f : document.of(Kind::sanctuary)) {
    const auto& s = f->as<SanctuaryAttrs>();
    out.open.push_back(!s.reason.empty() && s.open_on == date);
  }
  return out;
}

std::vector<Path> barrier_pieces(const Path& line, const std::vector<Gap>& gaps) {
  const double total = path_length_m(line);
  std::vector<Gap> sorted(gaps);
  std::sort(sorted.begin(), sorted.end(),
            [](const Gap& a, const Gap& b) { return a.at_m < b.at_m; });
  std::vector<Path> out;
  double from = 0;
  for (const Gap& g : sorted) {
    const double open = std::clamp(g.at_m - g.width_m / 2, 0.0, total),
                 close = std::clamp(g.at_m + g.width_m / 2, 0.0, total);
    if (open > from) out.push_back(stretch(line, from, open));
    from = std::max(from, close);
  }
  if (from < total) out.push_back(stretch(line, from, total));
  return out;
}

GridSpec analysis_grid(const Document& document, const Terrain& terrain) {
  Box box = document.extent();
  if (box.empty() && !terrain.ground.empty()) box = terrain.ground.spec.box();
  if (box.empty()) box = terrain.rasters;
  if (box.empty() || !std::isfinite(box.width_m())) box = {0, 0, 100, 100};
  box = box.grown(300);
  box = {std::floor(box.min_x / 100) * 100, std::floor(box.min_y / 100) * 100,
         std::ceil(box.max_x / 100) * 100, std::ceil(box.max_y / 100) * 100};
  double cell_m = 5;
  while (std::max(box.width_m(), box.height_m()) / cell_m > 1600) cell_m *= 2;
  return GridSpec::covering(box, cell_m);
}

void burn_analysis_land(const Document& document, const CoverGrid& cover, const LandDay& day,
                        const Judgement& j, const std::vector<CellBox>& windows,
                        AnalysisLand& out) {
  const Grown open = grown(CoverType::open, day.leaf_on, j),
              woods = grown(CoverType::hardwood, day.leaf_on, j);
  const auto& covers = document.of(Kind::cover);
  for_each_index(static_cast<int>(windows.size()), [&](int n) {
    const CellBox& window = windows[static_cast<size_t>(n)];
    burn_bare(cover, open, woods, window, out);
    for (size_t i = 0; i < covers.size(); ++i) {
      const Feature& f = *covers[i];
      if (!burn::near(bounds(f.shape), 0, out.cells.spec, window)) continue;
      const CoverType type = burn::flagged(day.cut, i) ? CoverType::open : f.as<CoverAttrs>().type;
      const Grown here = grown(type, day.leaf_on, j);
      burn::area(f.shape, window, out.slowness, [&](float& slowness, int c, int r) {
        slowness = here.slowness;
        out.noise.at(c, r) = here.noise;
        out.attenuation.at(c, r) = here.attenuation;
      });
    }
    for (size_t i = 0; i < document.of(Kind::water).size(); ++i)
      burn_water(document, i, day, j, window, out);
  });
}

AnalysisLand make_analysis_land(const Document& document, const CoverGrid& cover, const GridSpec& g,
                                const LandDay& day, const Judgement& j) {
  AnalysisLand out;
  out.cells = compute::SightLand(g);
  out.noise = Raster<float>(g);
  out.timber = Raster<std::uint8_t>(g);
  out.attenuation = Raster<float>(g);
  out.hidden = Raster<float>(g);
  out.slowness = Raster<float>(g);
  burn_analysis_land(document, cover, day, j, all_bands(g), out);
  return out;
}

}  // namespace leeward
