#include "core/eval/explain.h"
#include "tests/print/print_support.h"

#include <QGuiApplication>

#include <cmath>

namespace leeward::ui {
namespace {

using namespace leeward::testing;
using ::testing::HasSubstr;
using ::testing::Not;

class HuntMap : public PrintTest {};

// ISO 32000 conformance as far as qpdf checks it; poppler reads it without a word.
TEST_F(HuntMap, IsASoundPdfWithEmbeddedFontAndSelectableText) {
  ASSERT_TRUE(writeHuntMapPdf(request(), file("map.pdf")));
  EXPECT_THAT(run("qpdf --check " + file("map.pdf")),
              HasSubstr("No syntax or stream encoding errors"));
  EXPECT_EQ(run("pdftoppm -r 40 -png -singlefile " + file("map.pdf") + " " + file("small")), "");
  const std::string fonts = run("pdffonts " + file("map.pdf"));
  EXPECT_THAT(fonts, HasSubstr("OpenSans"));
  size_t rows = 0, embedded = 0;  // the column after the encoding says whether a font is embedded
  for (size_t at = 0; (at = fonts.find("Identity-H", at)) != std::string::npos; ++at) {
    ++rows;
    embedded += fonts.substr(at + 10, 12).find("yes") != std::string::npos;
  }
  EXPECT_GT(rows, 0U);
  EXPECT_EQ(embedded, rows);
  const std::string words = run("pdftotext -layout " + file("map.pdf") + " -");
  for (const char* expected :
       {"Test ground", "Edge ladder", "South gate", "no setback is entered", "never cleared",
        "No aerial picture", "Full-body harness", "US National Grid 15S", "check local law",
        "14:30", "Wind NW", "Scale 1 :"}) {
    EXPECT_THAT(words, HasSubstr(expected));
  }
}

// The scale bars on the rendered page, measured in dots: 0.2 mm.
TEST_F(HuntMap, ScaleBarsMeasureTrueOnThePage) {
  for (const double denominator : {4000.0, 5000.0}) {
    PrintLayout layout;
    layout.scale_denominator = denominator;
    ASSERT_TRUE(writeHuntMapPdf(request(layout), file("map.pdf")));
    const int dpi = 300;
    // The lower left of the map frame alone.
    run("pdftoppm -r 300 -gray -x 150 -y 1100 -W 1100 -H 1375 -png -singlefile " + file("map.pdf") +
        " " + file("part"));
    const QImage image(QString::fromStdString(file("part.png")));
    ASSERT_FALSE(image.isNull());
    // Longest dark runs of each row.
    std::vector<double> runs_mm;
    for (int y = 0; y < image.height(); ++y) {
      int longest = 0, now = 0;
      for (int x = 0; x < image.width(); ++x) {
        now = qGray(image.pixel(x, y)) < 90 ? now + 1 : 0;
        longest = std::max(longest, now);
      }
      runs_mm.push_back(longest * 25.4 / dpi);
    }
    const auto some_run_is = [&](double mm) {
      return std::any_of(runs_mm.begin(), runs_mm.end(),
                         [&](double r) { return std::abs(r - mm) < 0.2; });
    };
    bool yards = false, metres = false;
    for (const double n : {50.0, 100.0, 150.0, 200.0, 250.0, 300.0, 400.0, 500.0}) {
      yards = yards || (n * kMetresPerYard / denominator * 1000 > 12 &&
                        some_run_is(n * kMetresPerYard / denominator * 1000));
      metres = metres || (n / denominator * 1000 > 12 && some_run_is(n / denominator * 1000));
    }
    EXPECT_TRUE(yards) << denominator;
    EXPECT_TRUE(metres) << denominator;
  }
}

// GDAL reads the georeference back: a point within 1 m (here the frame's corners).
TEST_F(HuntMap, GdalReadsItsPlaceBack) {
  for (const bool landscape : {false, true}) {
    PrintLayout layout;
    layout.landscape = landscape;
    ASSERT_TRUE(writeHuntMapPdf(request(layout), file("map.pdf")));
    const std::string info = run("gdalinfo " + file("map.pdf"));
    if (info.find("Driver: PDF") == std::string::npos)
      GTEST_SKIP() << "gdalinfo has no PDF driver here";
    EXPECT_THAT(info, HasSubstr("ID[\"EPSG\",32615]"));
    double west = 0, north = 0, px = 0, py = 0;
    const size_t origin = info.find("Origin = ("), size = info.find("Pixel Size = (");
    ASSERT_NE(origin, std::string::npos);
    ASSERT_EQ(std::sscanf(info.c_str() + origin, "Origin = (%lf,%lf)", &west, &north), 2);
    ASSERT_EQ(std::sscanf(info.c_str() + size, "Pixel Size = (%lf,%lf)", &px, &py), 2);
    int cols = 0, rows = 0;
    ASSERT_EQ(std::sscanf(info.c_str() + info.find("Size is"), "Size is %d, %d", &cols, &rows), 2);
    const HuntMapScale scale = huntMapScale(request(layout));
    // The page's corner lies a margin (10 mm, and the 15 mm title) outside the map frame.
    EXPECT_NEAR(west + 0.010 * scale.denominator, scale.ground.min_x, 1.0);
    EXPECT_NEAR(north - 0.025 * scale.denominator, scale.ground.max_y, 1.0);
    EXPECT_NEAR(px * cols, (landscape ? 0.2794 : 0.2159) * scale.denominator, 2.5);
    EXPECT_NEAR(-py * rows, (landscape ? 0.2159 : 0.2794) * scale.denominator, 2.5);
  }
}

TEST_F(HuntMap, FitsTheLargestRoundScaleAndKeepsAGivenOne) {
  const HuntMapScale fitted = huntMapScale(request());
  EXPECT_GE(fitted.ground.width_m(), 800);
  EXPECT_GE(fitted.ground.height_m(), 800);
  EXPECT_LE(fitted.denominator, 8000);
  PrintLayout layout;
  layout.scale_denominator = 2400;
  const HuntMapScale given = huntMapScale(request(layout));
  EXPECT_DOUBLE_EQ(given.denominator, 2400);
  EXPECT_NEAR(given.ground.width_m(), 2400 * 0.1959, 0.5);
}

// Ground smaller than a house lot, on every paper.
TEST_F(HuntMap, ABoundaryOfAFewMetresPrints) {
  const Document tiny = edited(Document{}, {put(*document_.settings),
                                            put(seeded(Kind::boundary, box(0, 0, 24, 60), "Lot"))});
  document_ = tiny;
  results_ = testing::evaluate_cold(tiny, terrain_);
  for (const PaperSize paper : {PaperSize::letter, PaperSize::tabloid, PaperSize::custom}) {
    for (const bool landscape : {false, true}) {
      PrintLayout layout;
      layout.paper = paper;
      layout.landscape = landscape;
      layout.custom_width_mm = 105;
      layout.custom_height_mm = 148;
      const HuntMapScale scale = huntMapScale(request(layout));
      EXPECT_LE(scale.denominator, 1000);
      const Status s = writeHuntMapPdf(request(layout), file("tiny.pdf"));
      EXPECT_TRUE(s) << word(paper) << (s ? "" : s.error().message);
    }
  }
}

// However little room: a row of the legend that is left out is counted.
TEST_F(HuntMap, TheLegendHoldsEveryKindOnEveryPaper) {
  for (const double width_mm : {105.0, 148.0, 215.9, 420.0}) {
    for (const bool landscape : {false, true}) {
      PrintLayout layout;
      layout.paper = PaperSize::custom;
      layout.custom_width_mm = width_mm;
      layout.custom_height_mm = 1.4 * width_mm;
      layout.landscape = landscape;
      ASSERT_TRUE(writeHuntMapPdf(request(layout), file("map.pdf")));
      const std::string text = words(file("map.pdf"), "-raw");
      for (const char* row : {"Boundary", "Bedding", "Food", "Deer trails", "Mock scrapes", "Gates",
                              "Stands", "Way in", "Way out", "Ring"})
        EXPECT_THAT(text, HasSubstr(row)) << width_mm << landscape;
      EXPECT_THAT(text, Not(HasSubstr("no room"))) << width_mm << landscape;
    }
  }
}

// The hour holds for the arrival: the gate is left a walk before it.
TEST_F(HuntMap, TimesStandOnTheWaysAndInTheTable) {
  HuntMapRequest one = request();
  one.stands = {Uid::from_seed("Edge ladder")};
  ASSERT_TRUE(writeHuntMapPdf(one, file("map.pdf")));
  const std::string text = words(file("map.pdf"), "-raw");
  const StandResult& s = *results_->find(one.stands[0]);
  const size_t trade = static_cast<size_t>(one.layout.trade);
  const auto clock = [&](Instant at) { return clock_text(at, document_.settings->time_zone); };
  const auto walk = [](const Ref<Way>& way) {
    return std::chrono::seconds{std::lround(way->time_s)};
  };
  const std::string in = clock(results_->scene.arrive - walk(s.way_in[trade])),
                    out = clock(results_->scene.leave + walk(s.way_out[trade]));
  EXPECT_THAT(text, HasSubstr("in " + in));
  EXPECT_THAT(text, HasSubstr("out " + out));
  EXPECT_THAT(text, HasSubstr("South gate " + in));
}

TEST_F(HuntMap, TheLegendNamesOnlyWhatIsShown) {
  ASSERT_TRUE(writeHuntMapPdf(request(), file("map.pdf")));
  const std::string words = run("pdftotext -layout " + file("map.pdf") + " -");
  EXPECT_THAT(words, HasSubstr("Mock scrapes"));
  EXPECT_THAT(words, Not(HasSubstr("Cameras")));
  EXPECT_THAT(words, Not(HasSubstr("Roads")));
}

// The words of the air stand beside the map; the arc and its degrees are drawn for chosen stands.
TEST_F(HuntMap, TheAirIsNamedWhereItIsShown) {
  Results air = *results_;
  for (StandResult& s : air.stands) s.margin = {false, 37, 23, {}, {}};
  AirMap map;
  const GridSpec spec{kWest - 200, kSouth + 1000, 10, 120, 120};
  map.east = map.north = Raster<float>(spec, 1.0F);
  map.slope_east = map.slope_north = Raster<float>(spec, 0.0F);
  map.doubt = Raster<std::uint8_t>(spec, 0);
  for (int c = 0; c < 60; ++c) map.doubt.at(c, 60) = kDoubtLee;
  air.air_map = make_ref<AirMap>(map);
  HuntMapRequest one = request();
  one.results = make_ref<Results>(air);
  one.stands = {air.stands.front().stand};
  ASSERT_TRUE(writeHuntMapPdf(one, file("map.pdf")));
  const std::string words = run("pdftotext -layout " + file("map.pdf") + " -");
  for (const char* expected : {"23° / 37°", "Wind at 2 m", "Room for the wind",
                               "Scent, faint to strong", "Wind in doubt in places: lee"})
    EXPECT_THAT(words, HasSubstr(expected));
  // The same degrees once more, on the map.
  const size_t first = words.find("37°");
  EXPECT_NE(words.find("37°", first + 1), std::string::npos);

  air.stands.front().margin.passed = true;
  air.air_map = nullptr;
  one.results = make_ref<Results>(air);
  ASSERT_TRUE(writeHuntMapPdf(one, file("map.pdf")));
  const std::string passed = run("pdftotext -layout " + file("map.pdf") + " -");
  EXPECT_THAT(passed, HasSubstr("limit passed"));
  EXPECT_THAT(passed, HasSubstr("Scent limit is passed"));
  for (const char* absent : {"Wind at 2 m", "Wind in doubt", "Room for the wind"})
    EXPECT_THAT(passed, Not(HasSubstr(absent)));

  one.stands = {};  // the whole property: a calm page
  ASSERT_TRUE(writeHuntMapPdf(one, file("map.pdf")));
  EXPECT_THAT(run("pdftotext -layout " + file("map.pdf") + " -"), Not(HasSubstr("limit passed")));
}

TEST_F(HuntMap, AFolderThatIsNotThereIsNamedAndNothingIsLeft) {
  const auto s = writeHuntMapPdf(request(), file("no/such/folder/map.pdf"));
  ASSERT_FALSE(s);
  EXPECT_THAT(s.error().message, HasSubstr("map.pdf"));
  std::stop_source stop;
  stop.request_stop();
  const auto cancelled = writeHuntMapPdf(request(), file("map.pdf"), stop.get_token());
  ASSERT_FALSE(cancelled);
  EXPECT_EQ(cancelled.error().code, ErrorCode::cancelled);
  EXPECT_TRUE(fs::is_empty(folder_));
}

TEST_F(HuntMap, TheAerialIsUnderTheMapAtItsPlace) {
  io::Picture red;
  red.width_px = red.height_px = 200;
  red.argb.assign(200 * 200, 0xFFC02020U);
  const Box box{kWest - 200, kSouth - 200, kWest + 1000, kSouth + 1000};
  ASSERT_TRUE(io::write_rgb_geotiff(folder_ / "red.tif", red, box, "EPSG:32615", 90));
  RasterLayer layer;
  layer.uid = Uid::random();
  layer.name = "Red";
  layer.path = "red.tif";
  document_ = edited(document_, {put(layer)});
  ASSERT_TRUE(writeHuntMapPng(request(), file("map.png"), 100));
  const QImage image(QString::fromStdString(file("map.png")));
  ASSERT_FALSE(image.isNull());
  EXPECT_EQ(image.width(), 850);
  int under = 0;  // inside the frame, off the property; a stroke of wind may stand there
  for (int y = 120; y < 140; ++y) {
    for (int x = 90; x < 110; ++x)
      under += qRed(image.pixel(x, y)) > qGreen(image.pixel(x, y)) + 60;
  }
  EXPECT_GT(under, 300);
}

}  // namespace
}  // namespace leeward::ui

int main(int argc, char** argv) {
  ::testing::InitGoogleTest(&argc, argv);
  qputenv("QT_QPA_PLATFORM", "offscreen");  // fonts, and no display
  const QGuiApplication application(argc, argv);
  return RUN_ALL_TESTS();
}
