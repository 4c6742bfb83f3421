#include "ui/render/legend.h"

#include "core/compute/scent_plume.h"
#include "tests/ui/render/air_pictures.h"

#include <gtest/gtest.h>

#include <set>

namespace leeward::ui {
namespace {

using testing::evenAir;

struct Shown {
  Shown() {
    stand.scent =
        make_ref<compute::ScentPlume>(compute::Flow::uniform(GridSpec{0, 0, 25, 4, 4}, {2, 0}),
                                      compute::PlumeTable(compute::PlumeAir{}), LocalXY{50, -50});
    stand.sight = make_ref<Raster<std::uint8_t>>(GridSpec{0, 0, 5, 4, 4}, std::uint8_t{9});
    stand.way_in[1] = make_ref<Way>();
    for (int c = 0; c < 10; ++c) air.doubt.at(c, 3) = kDoubtLee;
    doubt = doubtPicture(air.doubt);
    ask.stand = &stand;
    ask.air = &air;
    ask.doubt = &doubt;
    ask.trade = 1;
    ask.scent = ask.sight = ask.ways = ask.margin = ask.rings = ask.wind = ask.slope_air = true;
  }
  std::set<LegendMark> marks() const {
    std::set<LegendMark> out;
    for (const LegendRow& row : legendRows(ask)) out.insert(row.mark);
    return out;
  }
  StandResult stand;
  AirMap air = evenAir({2, 0}, {0.3, 0});
  DoubtPicture doubt;
  LegendAsk ask;
};

TEST(Legend, NamesEverythingThatIsShown) {
  using enum LegendMark;
  EXPECT_EQ(Shown().marks(), (std::set{scent, sight, margin, wind, slope_air, lee, way_in, ring}));
}

TEST(Legend, NamesNothingThatIsNotShown) {
  using enum LegendMark;
  Shown s;
  for (const auto& [flag, mark] : {std::pair{&LegendAsk::scent, scent},
                                   {&LegendAsk::sight, sight},
                                   {&LegendAsk::ways, way_in},
                                   {&LegendAsk::margin, margin},
                                   {&LegendAsk::rings, ring},
                                   {&LegendAsk::wind, wind},
                                   {&LegendAsk::slope_air, slope_air}}) {
    ASSERT_TRUE(s.marks().contains(mark));
    s.ask.*flag = false;
    EXPECT_FALSE(s.marks().contains(mark));
  }
  s.ask.doubt = nullptr;
  EXPECT_TRUE(s.marks().empty());
}

TEST(Legend, WithoutASelectedStandNothingOfOneIsNamed) {
  using enum LegendMark;
  Shown s;
  s.ask.stand = nullptr;
  EXPECT_EQ(s.marks(), (std::set{wind, slope_air, lee, ring}));
  s.ask.air = nullptr;
  EXPECT_EQ(s.marks(), (std::set{lee, ring}));
}

TEST(Legend, APassedLimitHasItsOwnRow) {
  Shown s;
  s.stand.margin.passed = true;
  EXPECT_TRUE(s.marks().contains(LegendMark::margin_passed));
  EXPECT_FALSE(s.marks().contains(LegendMark::margin));
}

TEST(Legend, ADoubtThatHoldsEverywhereIsARowOfWords) {
  Shown s;
  std::fill(s.air.doubt.cells.begin(), s.air.doubt.cells.end(),
            static_cast<std::uint8_t>(kDoubtCalm));
  s.doubt = doubtPicture(s.air.doubt);
  bool said = false;
  for (const LegendRow& row : legendRows(s.ask)) {
    EXPECT_NE(row.mark, LegendMark::calm);
    said = said || (row.mark == LegendMark::words && row.words.contains(QLatin1String("calm")));
  }
  EXPECT_TRUE(said);
}

TEST(Legend, SaysWhetherTheLandBendsTheWind) {
  Shown s;
  const auto wind = [&] {
    for (const LegendRow& row : legendRows(s.ask))
      if (row.mark == LegendMark::wind) return row.words;
    return QString();
  };
  const QString bent = wind();
  s.air.bent = false;
  EXPECT_NE(wind(), bent);
  EXPECT_TRUE(wind().contains(QLatin1String("not")));
}

TEST(Legend, EveryMarkIsAPictureOfItsOwn) {
  using enum LegendMark;
  std::vector<QImage> done;
  for (const LegendMark mark : {scent, sight, wind, slope_air, lee, calm, transition, timber,
                                margin, margin_passed, way_in, way_out, ring}) {
    QImage image(44, 15, QImage::Format_RGB32);
    image.fill(Qt::white);
    QPainter p(&image);
    drawLegendMark(p, mark, QRectF(0, 0, 44, 15), 1);
    p.end();
    image = image.convertToFormat(QImage::Format_Grayscale8);
    EXPECT_GT(testing::darkIn(image, image.rect(), 200), 10) << static_cast<int>(mark);
    for (const QImage& other : done) EXPECT_NE(image, other) << static_cast<int>(mark);
    done.push_back(image);
  }
}

TEST(Legend, FoldsToItsBar) {
  const auto rows = legendRows(Shown().ask);
  const LegendBox open = legendBox(rows, true, {500, 400}),
                  folded = legendBox(rows, false, {500, 400});
  EXPECT_EQ(open.box.bottomRight(), QPointF(500, 400));
  EXPECT_EQ(folded.box.bottomRight(), QPointF(500, 400));
  EXPECT_EQ(folded.box, folded.bar);
  EXPECT_GT(open.box.height(), folded.box.height() + 19.0 * static_cast<double>(rows.size()));
}

}  // namespace
}  // namespace leeward::ui
