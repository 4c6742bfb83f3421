#include "ui/render/doubt.h"

#include "tests/ui/render/air_pictures.h"

#include <gtest/gtest.h>

#include <ctime>
#include <iostream>

namespace leeward::ui {
namespace {

using testing::evenAir;
using testing::inkIn;
using testing::pictureOf;

const LocalXY kMiddle{300, -300};
const QColor kGround(0x90, 0x90, 0x90);

Raster<std::uint8_t> flagged(std::uint8_t bits, int c0, int c1, int r0, int r1) {
  Raster<std::uint8_t> out = evenAir({}, {}).doubt;
  for (int r = r0; r < r1; ++r)
    for (int c = c0; c < c1; ++c) out.at(c, r) = bits;
  return out;
}

QImage drawn(const Raster<std::uint8_t>& doubt, double metres_per_px = 1.5) {
  const DoubtPicture picture = doubtPicture(doubt);
  return pictureOf(kMiddle, metres_per_px, kGround,
                   [&](QPainter& p, const MapTransform& t) { drawDoubt(p, t, picture); });
}

TEST(DoubtHatch, CoversTheFlaggedCellsAndNothingElse) {
  for (const DoubtLook& look : doubtLooks()) {
    const Raster<std::uint8_t> doubt = flagged(look.bit, 20, 40, 10, 30);
    const QImage image = drawn(doubt);
    const QRect part = MapTransform(kMiddle, 1.5, QRectF(0, 0, 400, 400))
                           .toDevice(Box{200, -300, 400, -100})
                           .toRect()
                           .adjusted(-1, -1, 1, 1);  // edges are rounded
    const int inside = inkIn(image, part, kGround);
    EXPECT_GT(inside, 200) << look.words;
    EXPECT_EQ(inkIn(image, QRect(0, 0, 400, 400), kGround), inside) << look.words;
    // Little of the ground turns dark: features must show through.
    EXPECT_LT(testing::darkIn(image, part), part.width() * part.height() / 5) << look.words;
  }
}

TEST(DoubtHatch, EveryCauseHasItsOwnPattern) {
  std::vector<QImage> images;
  for (const DoubtLook& look : doubtLooks())
    images.push_back(drawn(flagged(look.bit, 10, 50, 10, 50)));
  for (std::size_t i = 0; i < images.size(); ++i)
    for (std::size_t j = 0; j < i; ++j) EXPECT_NE(images[i], images[j]) << i << ' ' << j;
}

TEST(DoubtHatch, OneCellMayHaveTwoCauses) {
  const DoubtPicture p = doubtPicture(flagged(kDoubtLee | kDoubtTimber, 5, 6, 5, 6));
  EXPECT_EQ(p.parts[0].size(), 1U);
  EXPECT_EQ(p.parts[3].size(), 1U);
  EXPECT_TRUE(p.parts[1].empty());
}

TEST(DoubtHatch, JoinsCellsWithoutOverlap) {
  Raster<std::uint8_t> doubt = flagged(kDoubtLee, 3, 9, 4, 20);
  doubt.at(30, 30) = doubt.at(31, 30) = doubt.at(30, 31) = kDoubtLee;
  const DoubtPicture p = doubtPicture(doubt);
  EXPECT_EQ(p.parts[0].size(), 3U) << "a block, a pair, a single";
  double area = 0;
  for (const Box& b : p.parts[0]) area += b.width_m() * b.height_m();
  EXPECT_NEAR(area, (6 * 16 + 3) * 100.0, 1e-6);
  EXPECT_NEAR(p.share[0], (6 * 16 + 3) / 3600.0, 1e-9);
}

TEST(DoubtHatch, ACauseThatHoldsNearlyEverywhereIsNotHatched) {
  const Raster<std::uint8_t> calm = flagged(kDoubtCalm, 0, 60, 0, 50);
  const DoubtPicture p = doubtPicture(calm);
  EXPECT_TRUE(p.everywhere(1));
  EXPECT_FALSE(p.hatched(1));
  EXPECT_EQ(inkIn(drawn(calm), QRect(0, 0, 400, 400), kGround), 0);
}

TEST(DoubtHatch, KeepsItsPlaceOnTheGround) {
  const DoubtPicture picture = doubtPicture(flagged(kDoubtLee, 0, 60, 0, 40));
  const auto at = [&](LocalXY centre) {
    return pictureOf(centre, 1, kGround,
                     [&](QPainter& p, const MapTransform& t) { drawDoubt(p, t, picture); });
  };
  const QImage before = at({300, -200}), after = at({309, -200});
  for (int y = 100; y < 300; ++y)
    for (int x = 100; x < 300; ++x) ASSERT_EQ(before.pixel(x + 9, y), after.pixel(x, y));
}

TEST(DoubtHatch, IsDrawnFastEnoughToFollowTheMouse) {
  Raster<std::uint8_t> doubt = evenAir({}, {}, 300).doubt;
  for (int r = 0; r < 300; ++r)
    for (int c = 0; c < 300; ++c)
      doubt.at(c, r) =
          static_cast<std::uint8_t>((c / 7 + r / 5) % 3 == 0 ? kDoubtLee : kDoubtTimber);
  QImage image(1280, 800, QImage::Format_ARGB32_Premultiplied);
  image.fill(Qt::transparent);
  const MapTransform t({1500, -1500}, 1.2, QRectF(0, 0, 1280, 800));
  const DoubtPicture picture = doubtPicture(doubt);
  double best = 1e9;
  for (int i = 0; i < 5; ++i) {
    QPainter p(&image);
    const std::clock_t start = std::clock();
    drawDoubt(p, t, picture);
    best = std::min(best, 1000.0 * static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC);
  }
  std::cout << "doubt hatch on 1280x800 in " << best << " ms of processor time\n";
  EXPECT_LT(best, 40) << "1.3 ms on the machine it was made on";
}

}  // namespace
}  // namespace leeward::ui
