#include "ui/render/furniture.h"

#include <QImage>
#include <QPainter>

#include <gtest/gtest.h>

#include <cmath>

namespace leeward::ui {
namespace {

TEST(ScaleBar, IsARoundNumberThatFits) {
  for (const UnitSystem units : {UnitSystem::us, UnitSystem::metric}) {
    for (double scale = 0.05; scale < 60; scale *= 1.7) {
      const BarLength bar = barLength(units, scale, 160);
      EXPECT_LE(bar.metres / scale, 160);
      EXPECT_GT(bar.metres / scale, 40) << scale;
      const double lead = bar.number / std::pow(10, std::floor(std::log10(bar.number) + 1e-9));
      EXPECT_TRUE(std::abs(lead - 1) < 1e-6 || std::abs(lead - 2) < 1e-6 ||
                  std::abs(lead - 5) < 1e-6)
          << bar.number;
    }
  }
}

TEST(ScaleBar, DrawnLengthIsTheGroundLength) {
  QImage image(400, 80, QImage::Format_RGB32);
  image.fill(Qt::white);
  const MapTransform t({0, 0}, 2, QRectF(0, 0, 400, 80));
  QPainter p(&image);
  drawScaleBar(p, t, {20, 60}, UnitSystem::metric);
  p.end();
  int first = 400, last = 0;
  for (int x = 0; x < 400; ++x) {
    if (qGray(image.pixel(x, 60)) > 100) continue;
    first = std::min(first, x), last = std::max(last, x);
  }
  const BarLength bar = barLength(UnitSystem::metric, 2, 160);
  EXPECT_NEAR(last - first, bar.metres / 2, 1.5);
}

}  // namespace
}  // namespace leeward::ui
