#include "core/eval/tile_stamps.h"

#include "core/base/ref.h"

#include <gtest/gtest.h>

namespace leeward {
namespace {

const GridSpec kGrid{0, 200, 1, 200, 200};

std::shared_ptr<Raster<float>> filled(float value, const GridSpec& g = kGrid) {
  return std::make_shared<Raster<float>>(g, value);
}

TEST(TileStamps, ChangeWhereCellsChangedAndNowhereElse) {
  TileStamps<float> stamps(32);
  const auto first = filled(1);
  stamps.update(first, *first);
  const Box west{5, 5, 40, 195}, east{150, 5, 195, 195};
  const auto west_before = stamps.stamps(west), east_before = stamps.stamps(east);
  const auto second = std::make_shared<Raster<float>>(*first);
  second->at(170, 100) = 2;
  stamps.update(second, *second);
  EXPECT_EQ(stamps.stamps(west), west_before);
  EXPECT_NE(stamps.stamps(east), east_before);
  // Back again is another state: nothing remembers what stood there before.
  stamps.update(first, *first);
  EXPECT_NE(stamps.stamps(east), east_before);
  EXPECT_EQ(stamps.stamps(west), west_before);
}

TEST(TileStamps, AllChangeWithTheGridAndNoneWithAnEqualRaster) {
  TileStamps<float> stamps(32);
  const auto first = filled(1), same = filled(1);
  stamps.update(first, *first);
  const Box all{0, 0, 200, 200};
  const auto before = stamps.stamps(all);
  stamps.update(same, *same);
  EXPECT_EQ(stamps.stamps(all), before);
  GridSpec moved = kGrid;
  moved.west += 100;
  const auto other = filled(1, moved);
  stamps.update(other, *other);
  const auto after = stamps.stamps(all);
  for (size_t i = 0; i < std::min(before.size(), after.size()); ++i) EXPECT_NE(after[i], before[i]);
}

}  // namespace
}  // namespace leeward
