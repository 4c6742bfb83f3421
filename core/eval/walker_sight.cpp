#include "core/eval/walker_sight.h"

#include "core/eval/hazard.h"

namespace leeward {

Result<Ref<Raster<std::uint8_t>>> WalkerSight::from(LocalXY deer, const AnalysisLand& land,
                                                    const ChangeLog& changes, const Judgement& j,
                                                    std::stop_token stop) {
  const GridSpec& g = land.cells.spec;
  const int col = g.cell_col(deer.x), row = g.cell_row(deer.y);
  const double reach = sight_on_walker_box(deer, g).width_m() / 2 / g.cell_m;
  const ChangeLog::Number touched =
      changes.touched(watch_, [&](const CellBox& box) { return box.reaches(col, row, reach); });
  return seen_.get_or_keep({touched, deer}, [&]() -> Result<Raster<std::uint8_t>> {
    const auto* last = seen_.key();
    if (!last || std::get<1>(*last) != deer) return sight_on_walker(land, deer, j, stop);
    const auto since = ChangeLog::right_until(watch_, std::get<0>(*last));
    if (!changes.knows_since(since)) return sight_on_walker(land, deer, j, stop);
    return sight_on_walker(land, deer, j, stop);
  });
}

}  // namespace leeward
