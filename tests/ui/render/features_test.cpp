#include "ui/render/features.h"

#include "ui/render/checks.h"
#include "ui/render/fields.h"
#include "ui/render/labels.h"
#include "ui/render/overlays.h"
#include "ui/render/symbols.h"
#include "ui/style/type.h"

#include <QImage>
#include <QPainter>

#include <gtest/gtest.h>

#include <set>

namespace leeward::ui {
namespace {

TEST(Barrier, GapsAreCutOutOfTheStandingParts) {
  const Path wall{{0, 0}, {60, 0}, {60, 40}};
  const std::vector<Path> parts = standingParts(wall, {{50, 10}, {90, 4}});
  ASSERT_EQ(parts.size(), 3U);
  EXPECT_NEAR(path_length_m(parts[0]), 45, 1e-9);
  EXPECT_NEAR(path_length_m(parts[1]), 33, 1e-9);
  EXPECT_NEAR(path_length_m(parts[2]), 8, 1e-9);
  EXPECT_EQ(parts[1].size(), 3U) << "the corner stays";
}

TEST(Barrier, OverlappingGapsAndGapsBeyondTheEndsAreOneOpening) {
  const std::vector<Path> parts = standingParts({{0, 0}, {100, 0}}, {{0, 20}, {8, 10}, {100, 30}});
  ASSERT_EQ(parts.size(), 1U);
  EXPECT_NEAR(parts[0].front().x, 13, 1e-9);
  EXPECT_NEAR(parts[0].back().x, 85, 1e-9);
}

QImage picture(const Attributes& attrs, int side = 40) {
  QImage image(side, side, QImage::Format_RGB32);
  image.fill(QColor(0xFF8C8C8C));
  QPainter p(&image);
  drawKindPicture(p, attrs, QRectF(2, 2, side - 4, side - 4), 1);
  return image;
}

TEST(Symbols, NoTwoKindsLookAlikeInGrey) {
  std::vector<QImage> grey;
  for (const KindInfo& k : all_kinds())
    grey.push_back(picture(default_attributes(k.kind)).convertToFormat(QImage::Format_Grayscale8));
  for (std::size_t a = 0; a < grey.size(); ++a) {
    for (std::size_t b = a + 1; b < grey.size(); ++b) {
      int different = 0;
      for (int y = 0; y < 40; ++y)
        for (int x = 0; x < 40; ++x)
          different += std::abs(qGray(grey[a].pixel(x, y)) - qGray(grey[b].pixel(x, y))) > 40;
      EXPECT_GT(different, 30) << all_kinds()[a].table << " and " << all_kinds()[b].table;
    }
  }
}

TEST(Symbols, StandTypesDiffer) {
  std::set<QByteArray> seen;
  for (const auto& [type, word] : EnumWords<StandType>::words) {
    StandAttrs attrs;
    attrs.type = type;
    const QImage image = picture(attrs);
    seen.insert(QByteArray(reinterpret_cast<const char*>(image.constBits()),
                           static_cast<qsizetype>(image.sizeInBytes())));
  }
  EXPECT_EQ(seen.size(), EnumWords<StandType>::words.size());
}

TEST(Labels, DoNotCollide) {
  QImage image(400, 300, QImage::Format_RGB32);
  QPainter p(&image);
  const MapTransform t({0, 0}, 1, QRectF(0, 0, 400, 300));
  LabelPlacer placer(t.viewport());
  int drawn = 0;
  for (int i = 0; i < 30; ++i) {
    drawn += placer.label(p, t, QPointF(180 + i % 6 * 9, 140 + i / 6 * 8), 12,
                          QStringLiteral("North ladder"), fontOfPixels(12), Qt::black);
  }
  EXPECT_GE(drawn, 4);
  EXPECT_LT(drawn, 30) << "where there is no room nothing is drawn";
  const auto& boxes = placer.taken();
  for (std::size_t a = 0; a < boxes.size(); ++a)
    for (std::size_t b = a + 1; b < boxes.size(); ++b) EXPECT_FALSE(boxes[a].intersects(boxes[b]));
}

TEST(Labels, OfGapsStandWhereDeerPassThem) {
  QImage image(400, 300, QImage::Format_RGB32);
  QPainter p(&image);
  const MapTransform t({0, 0}, 1, QRectF(0, 0, 400, 300));
  const Uid wall = Uid::from_seed("wall");
  LabelPlacer placer(t.viewport());
  drawGapLabels(p, t, {{wall, 0, {-100, 0}, 0.02}, {wall, 1, {90, 20}, 0.61}}, placer);
  ASSERT_EQ(placer.taken().size(), 1U) << "two in a hundred are not worth a label";
  const QPointF gap = t.toDevice(LocalXY{90, 20});
  const QRectF label = placer.taken().front();
  EXPECT_TRUE(label.adjusted(-30, -30, 30, 30).contains(gap));
  EXPECT_FALSE(label.contains(gap)) << "the gap itself stays in sight";
}

TEST(Relief, SouthEastSlopesAreDarkAndNorthWestSlopesLight) {
  GridSpec spec{0, 60, 1, 60, 60};
  Raster<float> ridge(spec);
  for (int r = 0; r < 60; ++r)
    for (int c = 0; c < 60; ++c)
      ridge.at(c, r) = -0.4F * static_cast<float>(std::abs(c + (r - 30) - 30));
  const QImage image = reliefImage(ridge).image;
  const QRgb north_west = image.pixel(15, 20), south_east = image.pixel(45, 40);
  EXPECT_GT(qAlpha(north_west), 30);
  EXPECT_GT(qGray(qUnpremultiply(north_west)), 200);
  EXPECT_GT(qAlpha(south_east), 30);
  EXPECT_LT(qGray(qUnpremultiply(south_east)), 80);
}

TEST(Relief, LevelGroundIsClear) {
  const Raster<float> flat(GridSpec{0, 20, 1, 20, 20}, 300.0F);
  EXPECT_LE(qAlpha(reliefImage(flat).image.pixel(10, 10)), 1);
}

TEST(Scent, PictureIsClearWhereItIsFaintestAndDarkensWithStrength) {
  Raster<float> scent(GridSpec{0, 5, 5, 5, 1}, 0.0F);
  scent.cells = {0.0F, 0.0005F, 0.02F, 0.2F, 1.0F};
  const QImage image = scentPicture(scent).image.image;
  EXPECT_EQ(qAlpha(image.pixel(1, 0)), 0);
  EXPECT_GT(qAlpha(image.pixel(2, 0)), 0);
  EXPECT_GT(qGray(qUnpremultiply(image.pixel(2, 0))), qGray(qUnpremultiply(image.pixel(3, 0))));
  EXPECT_GT(qGray(qUnpremultiply(image.pixel(3, 0))), qGray(qUnpremultiply(image.pixel(4, 0))));
}

TEST(Way, WidensWithExposure) {
  EXPECT_GT(wayWidthPx(exposureShare(0.05)), wayWidthPx(exposureShare(0.005)) + 0.5);
}

}  // namespace
}  // namespace leeward::ui
