#include "ui/canvas/tile_layer.h"

#include <gtest/gtest.h>

#include <cmath>

namespace leeward::ui {
namespace {

Ref<io::Tile> tile(int x) {
  io::Tile t;
  t.key = {Uid("a"), 0, x, 0};
  t.picture = {256, 256, std::vector<std::uint32_t>(256 * 256, 0xFF00FF00U)};
  return make_ref<io::Tile>(std::move(t));
}

TEST(TileCache, ForgetsWhatWasUsedLongestAgo) {
  TileCache cache(std::size_t{256} * 256 * 4 * 7 / 2);  // room for three
  for (int x = 0; x < 3; ++x) cache.put(tile(x));
  EXPECT_TRUE(cache.get({Uid("a"), 0, 0, 0}));
  cache.put(tile(3));
  EXPECT_TRUE(cache.has({Uid("a"), 0, 0, 0}));
  EXPECT_FALSE(cache.has({Uid("a"), 0, 1, 0}));
  EXPECT_TRUE(cache.has({Uid("a"), 0, 3, 0}));
}

TEST(TileCache, NeverHoldsMoreThanItsBytes) {
  TileCache cache(std::size_t{4} << 20);
  for (int x = 0; x < 100; ++x) {
    cache.put(tile(x % 37));
    EXPECT_LE(cache.bytes(), std::size_t{4} << 20);
  }
  cache.forget(Uid("a"));
  EXPECT_EQ(cache.bytes(), 0U);
}

TEST(Tiles, CoverTheViewNearestItsMiddleFirst) {
  const Box view{1000, 2000, 1900, 2700};
  const auto keys = tilesIn(Uid("a"), 0, view);
  Box covered;
  for (const auto& k : keys) {
    EXPECT_TRUE(io::tile_box(k).overlaps(view));
    covered.add(io::tile_box(k));
  }
  EXPECT_TRUE(covered.contains({view.min_x, view.min_y}));
  EXPECT_TRUE(covered.contains({view.max_x, view.max_y}));
  EXPECT_LE(distance_m(io::tile_box(keys.front()).centre(), view.centre()),
            distance_m(io::tile_box(keys.back()).centre(), view.centre()));
}

TEST(Tiles, LevelHasPixelsNearTheScreens) {
  for (double scale = 0.03; scale < 100; scale *= 1.3) {
    const double ratio = std::exp2(tileLevel(scale)) / scale;
    EXPECT_LE(ratio, 1.3) << "not coarser than a third over";
    EXPECT_GE(ratio, 0.6) << "nor needlessly fine";
  }
}

}  // namespace
}  // namespace leeward::ui
