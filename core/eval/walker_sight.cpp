#include "core/eval/walker_sight.h"

#include "core/eval/hazard.h"

namespace leeward {

Result<Ref<Raster<std::uint8_t>>> WalkerSight::from(LocalXY deer, const AnalysisLand& land,
                                                    const ChangeLog& changes, const Judgement& j,
                                                    std::stop_token stop) {
  const GridSpec& g = land.cells.spec;
  const compute::SightOptions options = walker_sight_options(j);
  const int col = g.cell_col(deer.x), row = g.cell_row(deer.y);
  const double reach = options.reach_m / g.cell_m + 2;
  const ChangeLog::Number touched =
      changes.touched(watch_, [&](const CellBox& box) { return box.reaches(col, row, reach); });
  return seen_.get_or_keep({touched, deer}, [&] {
    const auto* last = seen_.key();
    const auto since = last ? ChangeLog::right_until(watch_, std::get<0>(*last)) : 0;
    if (!last || std::get<1>(*last) != deer || !changes.knows_since(since))
      return sight_on_walker(land, deer, j, stop);
    return compute::sight_from_again(land.cells, deer, options, *seen_.value(),
                                     changes.boxes_since(since), stop);
  });
}

}  // namespace leeward
