#include "core/eval/land.h"

#include "core/base/parallel.h"
#include "core/compute/steep_ground.h"
#include "core/eval/air.h"

#include <algorithm>
#include <cmath>

namespace leeward {
namespace {

using compute::SightCell;

constexpr float kNoEntry = std::numeric_limits<float>::infinity();
constexpr double kBarrierWidth_m = 3;

void burn_area(const Shape& area, const GridSpec& g, const std::function<void(int, int)>& fn) {
  for_each_cell_in(area, g, fn);
}

void burn_strip(const Path& line, double width_m, const GridSpec& g,
                const std::function<void(int, int)>& fn) {
  auto strip = buffered(Shape::line(line), width_m / 2);
  if (!strip) return;
  for (const Shape& s : *strip) burn_area(s, g, fn);
}

bool flagged(const std::vector<std::uint8_t>& flags, size_t i) {
  return i < flags.size() && flags[i] != 0;
}

void burn_water(const Document& document, size_t i, const LandDay& day, const Judgement& j,
                AnalysisLand& out) {
  const Feature& f = *document.of(Kind::water)[i];
  const auto& w = f.as<WaterAttrs>();
  const bool walkable = day.walkable.empty() ? w.walkable : flagged(day.walkable, i);
  const float slow = walkable ? static_cast<float>(j.wading_slowness) : kNoEntry;
  const double depth = std::clamp(w.banks_m / j.creek_depth_m, 0.0, 1.0);
  const float hidden = static_cast<float>(1 - depth * (1 - j.creek_hides));
  const auto burn = [&](int c, int r) {
    out.slowness.at(c, r) = slow;
    out.hidden.at(c, r) = hidden;
    out.noise.at(c, r) = 0.8F * hidden;  // water; common practice, no source
  };
  const GridSpec& g = out.cells.spec;
  if (f.shape.type == ShapeType::area) burn_area(f.shape, g, burn);
  if (f.shape.type == ShapeType::line) for_each_cell_on(f.shape.path(), g, burn);
}

std::vector<Path> cliff_edges(const Document& document) {
  std::vector<Path> out;
  for (const auto& f : document.of(Kind::barrier)) {
    const auto& b = f->as<BarrierAttrs>();
    if (b.type != BarrierType::cliff) continue;
    for (Path& piece : barrier_pieces(f->shape.path(), b.gaps)) out.push_back(std::move(piece));
  }
  return out;
}

void close_barriers(const Document& document, Raster<compute::WalkCell>& cells) {
  const GridSpec& g = cells.spec;
  for (const auto& f : document.of(Kind::barrier)) {
    const auto& b = f->as<BarrierAttrs>();
    for (const Path& piece : barrier_pieces(f->shape.path(), b.gaps)) {
      for_each_cell_on(piece, g, [&](int c, int r) { cells.at(c, r).slowness = kNoEntry; });
    }
    // A gap narrower than a cell is still a way through: its middle and a step to each side.
    for (const Gap& gap : b.gaps) {
      const LocalXY at = point_along(f->shape.path(), gap.at_m);
      const LocalXY a = point_along(f->shape.path(), gap.at_m - 1),
                    c = point_along(f->shape.path(), gap.at_m + 1);
      const Bearing across = bearing(a, c).turned_deg(90);
      const Path through = {moved(at, across, -1.6 * g.cell_m), moved(at, across, 1.6 * g.cell_m)};
      for_each_cell_on(through, g, [&](int col, int row) {
        if (!std::isfinite(cells.at(col, row).slowness)) cells.at(col, row).slowness = 1.2F;
      });
    }
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

CoverGrid make_cover_grid(const Document& document, const Terrain& terrain,
                          const GridSpec& analysis, const LandDay& day, const Judgement& j) {
  CoverGrid out;
  const bool leaf_on = day.leaf_on;
  GridSpec g = terrain.ground.spec;
  if (terrain.ground.empty()) {
    g = GridSpec::covering(analysis.box(), std::max(2.0, analysis.cell_m / 2));
  }
  out.fine = Raster<SightCell>(g);
  const float canopy_density =
      static_cast<float>(leaf_on ? j.default_leaf_on_per_m : j.default_leaf_off_per_m);
  const bool has_ground = !terrain.ground.empty();
  const bool has_canopy = terrain.canopy_m.spec == g && !terrain.canopy_m.empty();
  for_each_index(g.rows, [&](int row) {
    SightCell* cell = out.fine.row(row);
    for (int c = 0; c < g.cols; ++c) {
      cell[c].ground_m = has_ground ? terrain.ground.row(row)[c] : 0.0F;
      const float top = has_canopy ? terrain.canopy_m.row(row)[c] : 0.0F;
      if (top > 2) cell[c].top_m = top, cell[c].density_per_m = canopy_density;
    }
  });
  for (size_t i = 0; i < document.of(Kind::cover).size(); ++i) {
    const auto& f = document.of(Kind::cover)[i];
    const auto& a = f->as<CoverAttrs>();
    if (flagged(day.cut, i)) {
      burn_area(f->shape, g, [&](int c, int r) {
        out.fine.at(c, r).top_m = out.fine.at(c, r).density_per_m = 0;
      });
      continue;
    }
    const float height = static_cast<float>(a.height_m);
    const float density = static_cast<float>(leaf_on ? a.leaf_on_per_m : a.leaf_off_per_m);
    burn_area(f->shape, g, [&](int c, int r) {
      SightCell& cell = out.fine.at(c, r);
      const float known = has_canopy ? terrain.canopy_m.at(c, r) : kUnknown;
      cell.top_m = std::isnan(known) || known <= 2 ? height : known;
      cell.density_per_m = density;
    });
  }
  for (const auto& f : document.of(Kind::barrier)) {
    const auto& b = f->as<BarrierAttrs>();
    if (b.type != BarrierType::felled_trees) continue;
    for (const Path& piece : barrier_pieces(f->shape.path(), b.gaps)) {
      burn_strip(piece, kBarrierWidth_m, g, [&](int c, int r) {
        SightCell& cell = out.fine.at(c, r);
        if (cell.top_m < 1.2 * b.height_m) cell.top_m = static_cast<float>(b.height_m);
        cell.density_per_m =
            std::max(cell.density_per_m, static_cast<float>(j.barrier_density_per_m));
      });
    }
  }
  for (const auto& f : document.of(Kind::shooting_lane)) {
    burn_strip(f->shape.path(), f->as<ShootingLaneAttrs>().width_m, g,
               [&](int c, int r) { out.fine.at(c, r).density_per_m = 0; });
  }
  return out;
}

AnalysisLand make_analysis_land(const Document& document, const CoverGrid& cover, const GridSpec& g,
                                const LandDay& day, const Judgement& j) {
  const bool leaf_on = day.leaf_on;
  AnalysisLand out;
  out.cells = Raster<SightCell>(g);
  out.noise = Raster<float>(g, static_cast<float>(j.noise(CoverType::open, leaf_on)));
  out.timber = Raster<std::uint8_t>(g);
  out.hidden = Raster<float>(g, 1.0F);
  out.slowness = Raster<float>(g, 1.0F);
  out.attenuation = Raster<float>(g, 0.0F);
  const float woods_attenuation = static_cast<float>(j.attenuation(CoverType::hardwood, leaf_on));
  const float woods_noise = static_cast<float>(j.noise(CoverType::hardwood, leaf_on));
  for_each_index(g.rows, [&](int r) {
    for (int c = 0; c < g.cols; ++c) {
      const SightCell cell = cover.fine.value_or(g.centre(c, r), SightCell{kUnknown, 0, 0});
      out.cells.at(c, r) = cell;
      if (cell.top_m <= 3) continue;
      out.timber.at(c, r) = 1;
      out.noise.at(c, r) = woods_noise;
      out.attenuation.at(c, r) = woods_attenuation;
      out.slowness.at(c, r) = static_cast<float>(j.slowness_of(CoverType::hardwood));
    }
  });
  for (size_t i = 0; i < document.of(Kind::cover).size(); ++i) {
    const auto& f = document.of(Kind::cover)[i];
    const CoverType type = flagged(day.cut, i) ? CoverType::open : f->as<CoverAttrs>().type;
    const float slow = static_cast<float>(j.slowness_of(type)),
                noise = static_cast<float>(j.noise(type, leaf_on)),
                attenuation = static_cast<float>(j.attenuation(type, leaf_on));
    burn_area(f->shape, g, [&](int c, int r) {
      out.slowness.at(c, r) = slow;
      out.noise.at(c, r) = noise;
      out.attenuation.at(c, r) = attenuation;
    });
  }
  for (size_t i = 0; i < document.of(Kind::water).size(); ++i) burn_water(document, i, day, j, out);
  return out;
}

compute::WalkGraph make_property_graph(const Document& document, const AnalysisLand& land,
                                       const LandDay& day, bool night) {
  const GridSpec& g = land.cells.spec;
  Raster<compute::WalkCell> cells(g);
  for (size_t i = 0; i < cells.cells.size(); ++i) {
    cells.cells[i] = {land.cells.cells[i].ground_m, land.slowness.cells[i], false};
  }
  const auto path = [&](const Path& line) {
    for_each_cell_on(line, g, [&](int c, int r) {
      compute::WalkCell& cell = cells.at(c, r);
      cell.on_path = true;  // a path bridges water
      if (!std::isfinite(cell.slowness)) cell.slowness = 1.0F;
    });
  };
  for (const auto& f : document.of(Kind::road)) path(f->shape.path());
  for (const auto& f : document.of(Kind::human_path)) path(f->shape.path());
  compute::apply_steep_rules(cells, cliff_edges(document), {}, night);
  close_barriers(document, cells);
  for (size_t i = 0; i < document.of(Kind::sanctuary).size(); ++i) {
    if (flagged(day.open, i)) continue;
    burn_area(document.of(Kind::sanctuary)[i]->shape, g,
              [&](int c, int r) { cells.at(c, r).slowness = kNoEntry; });
  }
  if (!document.of(Kind::boundary).empty() && !document.settings->beyond_boundary) {
    Raster<std::uint8_t> inside(g);
    for (const auto& f : document.of(Kind::boundary)) {
      burn_area(f->shape, g, [&](int c, int r) { inside.at(c, r) = 1; });
    }
    for (size_t i = 0; i < cells.cells.size(); ++i) {
      if (!inside.cells[i]) cells.cells[i].slowness = kNoEntry;
    }
    // Gates stand on the line: the cells around them are open toward the inside.
    for (const auto& f : document.of(Kind::gate)) {
      const int c0 = g.cell_col(f->shape.position().x), r0 = g.cell_row(f->shape.position().y);
      for (int r = r0 - 1; r <= r0 + 1; ++r)
        for (int c = c0 - 1; c <= c0 + 1; ++c)
          if (g.has(c, r) && !inside.at(c, r)) cells.at(c, r).slowness = 1.0F;
    }
  }
  return compute::make_walk_graph(cells);
}

}  // namespace leeward
