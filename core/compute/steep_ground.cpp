#include "core/compute/steep_ground.h"

#include "core/base/parallel.h"

#include <algorithm>
#include <cmath>

namespace leeward::compute {
namespace {

// Marks the cells whose centre lies within `near_m` of the piece from a to b.
void mark_near(LocalXY a, LocalXY b, double near_m, Raster<std::uint8_t>& marks) {
  const GridSpec& g = marks.spec;
  Box box;
  box.add(a);
  box.add(b);
  box = box.grown(near_m);
  const int c1 = std::min(g.cell_col(box.max_x), g.cols - 1),
            r1 = std::min(g.cell_row(box.min_y), g.rows - 1);
  for (int r = std::max(0, g.cell_row(box.max_y)); r <= r1; ++r)
    for (int c = std::max(0, g.cell_col(box.min_x)); c <= c1; ++c)
      if (nearest_on_path({a, b}, g.centre(c, r)).distance_m <= near_m) marks.at(c, r) = 1;
}

}  // namespace

double steepest_step(const Raster<WalkCell>& cells, int col, int row) {
  static const double kAslant = std::hypot(1, 1);
  const float ground_m = cells.at(col, row).ground_m;
  double steepest = 0;
  for (size_t d = 0; d < 8; ++d) {
    const Step s = kSteps[d];
    if (!cells.spec.has(col + s.dc, row + s.dr)) continue;
    const float rise_m = cells.at(col + s.dc, row + s.dr).ground_m - ground_m;
    if (std::isnan(rise_m)) continue;
    const double run_m = cells.spec.cell_m * (s.dc != 0 && s.dr != 0 ? kAslant : 1);
    steepest = std::max(steepest, static_cast<double>(std::abs(rise_m)) / run_m);
  }
  return steepest;
}

void apply_steep_rules(Raster<WalkCell>& cells, std::span<const Path> cliffs,
                       const SteepRules& rules, bool night) {
  std::vector<CellBox> rows;
  for (int r = 0; r < cells.spec.rows; ++r) rows.push_back({0, r, cells.spec.cols, 1});
  apply_steep_rules(cells, cliffs, rules, night, rows);
}

void apply_steep_rules(Raster<WalkCell>& cells, std::span<const Path> cliffs,
                       const SteepRules& rules, bool night, std::span<const CellBox> windows) {
  Raster<std::uint8_t> near_cliff;
  if (!cliffs.empty()) near_cliff = Raster<std::uint8_t>(cells.spec);
  for (const Path& cliff : cliffs)
    for (size_t i = 0; i + 1 < cliff.size(); ++i)
      mark_near(cliff[i], cliff[i + 1], rules.cliff_near_m, near_cliff);
  constexpr double kClosed = std::numeric_limits<double>::infinity();
  const double steep_factor = night ? kClosed : rules.steep_slowness,
               cliff_factor = night ? kClosed : rules.cliff_slowness;
  for_each_index(static_cast<int>(windows.size()), [&](int n) {
    const CellBox& w = windows[static_cast<size_t>(n)];
    for (int r = w.row; r < w.end_row(); ++r)
      for (int c = w.col; c < w.end_col(); ++c) {
        WalkCell& cell = cells.at(c, r);
        if (cell.on_path || !std::isfinite(cell.slowness)) continue;
        double factor = !near_cliff.empty() && near_cliff.at(c, r) ? cliff_factor : 1;
        if (steepest_step(cells, c, r) > rules.limit_slope) factor *= steep_factor;
        cell.slowness = static_cast<float>(static_cast<double>(cell.slowness) * factor);
      }
  });
}

}  // namespace leeward::compute
