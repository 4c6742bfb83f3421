// Where a person may walk.
#include "core/compute/steep_ground.h"
#include "core/eval/burn.h"
#include "core/eval/land.h"

#include <algorithm>
#include <cmath>

namespace leeward {
namespace {

using compute::WalkCell;

constexpr float kNoEntry = std::numeric_limits<float>::infinity();

std::vector<Path> cliff_edges(const Document& document) {
  std::vector<Path> out;
  for (const auto& f : document.of(Kind::barrier)) {
    const auto& b = f->as<BarrierAttrs>();
    if (b.type != BarrierType::cliff) continue;
    for (Path& piece : barrier_pieces(f->shape.path(), b.gaps)) out.push_back(std::move(piece));
  }
  return out;
}

// A path bridges water.
void open_path(const Path& line, const CellBox& window, Raster<WalkCell>& cells) {
  burn::path(line, cells.spec, window, [&](int c, int r) {
    WalkCell& cell = cells.at(c, r);
    cell.on_path = true;
    if (!std::isfinite(cell.slowness)) cell.slowness = 1.0F;
  });
}

void close_barriers(const Document& document, const CellBox& window, Raster<WalkCell>& cells) {
  const GridSpec& g = cells.spec;
  for (const auto& f : document.of(Kind::barrier)) {
    const auto& b = f->as<BarrierAttrs>();
    if (!burn::near(bounds(f->shape), kBarrierReach_cells * g.cell_m, g, window)) continue;
    for (const Path& piece : barrier_pieces(f->shape.path(), b.gaps))
      burn::path(piece, g, window, [&](int c, int r) { cells.at(c, r).slowness = kNoEntry; });
    // A gap narrower than a cell is still a way through: its middle and a step to each side.
    for (const Gap& gap : b.gaps) {
      const LocalXY at = point_along(f->shape.path(), gap.at_m);
      const LocalXY a = point_along(f->shape.path(), gap.at_m - 1),
                    c = point_along(f->shape.path(), gap.at_m + 1);
      const Bearing across = bearing(a, c).turned_deg(90);
      const Path through = {moved(at, across, -kBarrierReach_cells * g.cell_m),
                            moved(at, across, kBarrierReach_cells * g.cell_m)};
      burn::path(through, g, window, [&](int col, int row) {
        if (!std::isfinite(cells.at(col, row).slowness)) cells.at(col, row).slowness = 1.2F;
      });
    }
  }
}

// Gates stand on the line: the cells around them are open toward the inside.
void keep_inside(const Document& document, const CellBox& window, Raster<std::uint8_t>& inside,
                 Raster<WalkCell>& cells) {
  const GridSpec& g = cells.spec;
  for (const auto& f : document.of(Kind::boundary))
    burn::area(f->shape, window, inside, [](std::uint8_t& cell, int, int) { cell = 1; });
  for (int r = window.row; r < window.end_row(); ++r)
    for (int c = window.col; c < window.end_col(); ++c)
      if (!inside.at(c, r)) cells.at(c, r).slowness = kNoEntry;
  for (const auto& f : document.of(Kind::gate)) {
    const LocalXY at = f->shape.position();
    const CellBox around =
        CellBox{g.cell_col(at.x), g.cell_row(at.y), 1, 1}.grown(1).within(window);
    for (int r = around.row; r < around.end_row(); ++r)
      for (int c = around.col; c < around.end_col(); ++c)
        if (!inside.at(c, r)) cells.at(c, r).slowness = 1.0F;
  }
}

}  // namespace

void burn_walk_cells(const Document& document, const AnalysisLand& land, const LandDay& day,
                     bool night, const std::vector<CellBox>& windows, Raster<WalkCell>& cells) {
  // Steep ground is known by the ground of the neighbours, which no feature changes.
  for (const CellBox& w : windows)
    for (int r = w.row; r < w.end_row(); ++r)
      for (int c = w.col; c < w.end_col(); ++c)
        cells.at(c, r) = {land.cells.at(c, r).ground_m, land.slowness.at(c, r), false};
  const std::vector<Path> cliffs = cliff_edges(document);
  for (const CellBox& w : windows) {
    for (const auto& f : document.of(Kind::road)) open_path(f->shape.path(), w, cells);
    for (const auto& f : document.of(Kind::human_path)) open_path(f->shape.path(), w, cells);
  }
  compute::apply_steep_rules(cells, cliffs, {}, night, windows);
  const bool bounded = !document.of(Kind::boundary).empty() && !document.settings->beyond_boundary;
  Raster<std::uint8_t> inside;
  if (bounded) inside = Raster<std::uint8_t>(cells.spec);
  for (const CellBox& w : windows) {
    close_barriers(document, w, cells);
    const auto& sanctuaries = document.of(Kind::sanctuary);
    for (size_t i = 0; i < sanctuaries.size(); ++i)
      if (!burn::flagged(day.open, i))
        burn::area(sanctuaries[i]->shape, w, cells,
                   [](WalkCell& cell, int, int) { cell.slowness = kNoEntry; });
    if (bounded) keep_inside(document, w, inside, cells);
  }
}

compute::WalkGraph make_property_graph(const Document& document, const AnalysisLand& land,
                                       const LandDay& day, bool night) {
  Raster<WalkCell> cells(land.cells.spec);
  burn_walk_cells(document, land, day, night, all_bands(cells.spec), cells);
  return compute::make_walk_graph(cells);
}

}  // namespace leeward
