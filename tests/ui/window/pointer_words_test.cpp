#include "ui/window/pointer_words.h"

#include "core/compute/scent_plume.h"
#include "tests/support/small_property.h"

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

using leeward::testing::at;
using leeward::testing::kSouth;
using leeward::testing::kWest;

/// A stand at (400, 400) in an even west wind.
StandResult standInTheWind() {
  const GridSpec spec{kWest - 200, kSouth + 1000, 25, 48, 48};
  const compute::PlumeTable table(compute::PlumeAir{});
  StandResult s;
  s.scent =
      make_ref<compute::ScentPlume>(compute::Flow::uniform(spec, {2, 0}), table, at(400, 400));
  return s;
}

TEST(PointerWords, SayTheScentWithItsBand) {
  const StandResult s = standInTheWind();
  const LocalXY down = at(450, 400);
  const compute::ScentBand band = s.scent->band_at(down);
  ASSERT_GT(band.exposure, 0.05);
  const QString words = scentWords(s, down);
  for (const double v : {band.exposure, band.low, band.high})
    EXPECT_TRUE(words.contains(QString::number(v, 'g', 2))) << words.toStdString();
  EXPECT_LT(words.indexOf(QString::number(band.exposure, 'g', 2)), words.indexOf(QLatin1Char('(')));
}

TEST(PointerWords, UpwindTheyDoNotPretendToKnow) {
  EXPECT_EQ(scentWords(standInTheWind(), at(-100, 400)), QStringLiteral("scent under 0.001"));
  EXPECT_EQ(scentWords(StandResult{}, at(0, 0)), QString());
}

TEST(PointerWords, NameThePlaceAndTheScentOnlyWithAStand) {
  const auto frame = Frame::make("EPSG:32615");
  ASSERT_TRUE(frame.has_value());
  const StandResult s = standInTheWind();
  const Ref<Terrain> terrain = leeward::testing::small_terrain();
  const QString alone = pointerWords(*frame, *terrain, nullptr, {}, UnitSystem::us, at(450, 400));
  EXPECT_TRUE(alone.startsWith(QLatin1String("15S")));
  EXPECT_TRUE(alone.contains(QLatin1String(" ft")));
  EXPECT_FALSE(alone.contains(QLatin1String("scent")));
  EXPECT_EQ(pointerWords(*frame, *terrain, &s, {}, UnitSystem::us, at(450, 400)),
            alone + QStringLiteral("    ") + scentWords(s, at(450, 400)));
}

TEST(PointerWords, WriteThePlaceInThreeWaysWithTheSlope) {
  const auto frame = Frame::make("EPSG:32615");
  Terrain ramp;
  ramp.ground = Raster<float>(GridSpec::covering({kWest, kSouth, kWest + 100, kSouth + 100}, 1), 0);
  for (int r = 0; r < ramp.ground.spec.rows; ++r)
    for (int c = 0; c < ramp.ground.spec.cols; ++c)
      ramp.ground.at(c, r) = 100 + 0.5F * static_cast<float>(c);
  const auto words = [&](Readout readout) {
    return pointerWords(*frame, ramp, nullptr, {}, UnitSystem::metric, at(50, 50), readout);
  };
  // atan(0.5) is 26.6 degrees
  for (const Readout r : {Readout::grid, Readout::degrees, Readout::utm})
    EXPECT_TRUE(words(r).endsWith(QStringLiteral("slope 27°"))) << words(r).toStdString();
  EXPECT_TRUE(words(Readout::grid).startsWith(QStringLiteral("15S WD 00050 00050")));
  EXPECT_TRUE(words(Readout::utm).startsWith(QStringLiteral("15S 500050 E 4300050 N")));
  EXPECT_TRUE(words(Readout::degrees).contains(QStringLiteral("-92.99")));
}

// Pythagoras, and the angle whose tangent is 3 / 4.
TEST(PointerWords, TellTheShotFromTheStand) {
  Terrain flat;
  flat.ground = Raster<float>(GridSpec::covering({0, 0, 100, 100}, 1), 50.0F);
  StandResult s;
  s.eye_m = 12.8;
  Raster<std::uint8_t> sight(flat.ground.spec, 255);
  sight.at(sight.spec.cell_col(50.5), sight.spec.cell_row(66.5)) = 0;
  s.sight = make_ref<Raster<std::uint8_t>>(sight);
  EXPECT_EQ(shotWords(flat, s, {50.5, 50.5}, UnitSystem::metric, {66.5, 50.5}),
            QStringLiteral("to here 16 m, slant 20 m, 37° down, seen"));
  EXPECT_EQ(shotWords(flat, s, {50.5, 50.5}, UnitSystem::metric, {50.5, 66.5}),
            QStringLiteral("to here 16 m, slant 20 m, 37° down, hidden"));
  EXPECT_EQ(shotWords(flat, s, {50.5, 50.5}, UnitSystem::metric, {500, 50}), QString());
}

}  // namespace
}  // namespace leeward::ui
