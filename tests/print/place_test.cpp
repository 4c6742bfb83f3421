// Where things stand on the page and on the Earth: georeference, turned frames, contours, leaders.
#include "tests/print/print_support.h"
#include "ui/print/contours.h"
#include "ui/print/map_frame.h"

#include <QColor>

#include <nlohmann/json.hpp>

#include <cmath>

namespace leeward::ui {
namespace {

using namespace leeward::testing;
using nlohmann::json;
using ::testing::HasSubstr;

class Place : public PrintTest {
 protected:
  /// GDAL's own reading of a page: pixels to the page's CRS.
  struct Read {
    std::array<double, 6> gt{};
    double cols = 0, rows = 0;
    LocalXY at(double px, double py) const {
      return {gt[0] + px * gt[1] + py * gt[2], gt[3] + px * gt[4] + py * gt[5]};
    }
  };
  std::optional<Read> gdalReads(const std::string& pdf, const char* epsg = "32615") const {
    const std::string out = run("gdalinfo -json " + pdf);
    const json j = json::parse(out.substr(std::min(out.size(), out.find('{'))), nullptr, false);
    if (j.is_discarded() || !j.contains("geoTransform")) return std::nullopt;
    Read r;
    for (size_t i = 0; i < 6; ++i) r.gt[i] = j["geoTransform"][i];
    r.cols = j["size"][0], r.rows = j["size"][1];
    EXPECT_THAT(j["coordinateSystem"]["wkt"].get<std::string>(), HasSubstr(epsg));
    return r;
  }
};

// 25 places of the frame, within 1 m of where GDAL reads them from the file, upright and turned.
TEST_F(Place, GdalReadsTwentyFivePlacesOfThePage) {
  if (run("gdalinfo --formats").find("PDF -raster") == std::string::npos)
    GTEST_SKIP() << "gdalinfo has no PDF driver here";
  for (const auto& [turned_deg, epsg] : {std::pair(0.0, "32615"),
                                         {33.0, "32615"},
                                         {-100.0, "32611"},
                                         {0.0, "26917"},
                                         {33.0, "26917"}}) {
    Settings s = *document_.settings;
    s.crs = std::string("EPSG:") + epsg;  // the same numbers in another zone or datum
    document_ = edited(document_, {put(s)});
    PrintLayout layout;
    layout.turned_deg = turned_deg;
    ASSERT_TRUE(writeHuntMapPdf(request(layout), file("map.pdf")));
    const auto read = gdalReads(file("map.pdf"), epsg);
    ASSERT_TRUE(read) << turned_deg;
    const PageGeometry g = pageGeometry(layout, 2);
    const MapFrame frame = placeMap(request(layout), g, 1);
    double worst_m = 0;
    for (int i = 0; i < 5; ++i) {
      for (int k = 0; k < 5; ++k) {
        const QPointF mm(g.map.left() + g.map.width() * i / 4,
                         g.map.top() + g.map.height() * k / 4);
        const LocalXY theirs = read->at(mm.x() / g.page_mm.width() * read->cols,
                                        mm.y() / g.page_mm.height() * read->rows);
        worst_m = std::max(worst_m, distance_m(theirs, frame.transform.toLocal(mm)));
      }
    }
    EXPECT_LT(worst_m, 1.0) << turned_deg << " " << epsg;
  }
}

// A red square of 20 m in the aerial picture: its middle on the rendered page, read by GDAL.
TEST_F(Place, WhatIsDrawnStandsWhereGdalReadsIt) {
  if (run("gdalinfo --formats").find("PDF -raster") == std::string::npos)
    GTEST_SKIP() << "gdalinfo has no PDF driver here";
  io::Picture picture;
  picture.width_px = picture.height_px = 400;  // 2 m a pixel
  picture.argb.assign(400 * 400, 0xFF808080U);
  for (int y = 45; y < 55; ++y)
    for (int x = 45; x < 55; ++x) picture.argb[static_cast<size_t>(y * 400 + x)] = 0xFFFF0000U;
  const Box box{kWest, kSouth, kWest + 800, kSouth + 800};
  ASSERT_TRUE(io::write_rgb_geotiff(folder_ / "a.tif", picture, box, "EPSG:32615", 95));
  RasterLayer layer;
  layer.uid = Uid::random();
  layer.name = "Aerial";
  layer.path = "a.tif";
  document_ = edited(document_, {put(layer)});
  const LocalXY truth = testing::at(100, 700);
  for (const double turned_deg : {0.0, 33.0}) {
    PrintLayout layout;
    layout.turned_deg = turned_deg;
    layout.contours = false;
    ASSERT_TRUE(writeHuntMapPdf(request(layout), file("map.pdf")));
    const auto read = gdalReads(file("map.pdf"));
    ASSERT_TRUE(read);
    const QImage image = page(file("map.pdf"), 200);
    double x = 0, y = 0, n = 0;
    for (int r = 0; r < image.height() / 2; ++r) {
      for (int c = 0; c < image.width(); ++c) {
        const QRgb v = image.pixel(c, r);
        if (qRed(v) < 200 || qGreen(v) > 60 || qBlue(v) > 60) continue;
        x += c + 0.5, y += r + 0.5, ++n;
      }
    }
    ASSERT_GT(n, 100) << turned_deg;
    const LocalXY seen =
        read->at(x / n / image.width() * read->cols, y / n / image.height() * read->rows);
    EXPECT_LT(distance_m(seen, truth), 2.0) << turned_deg;  // strokes of wind may cross the square
  }
}

TEST_F(Place, ATurnedMapSaysSoAndFitsTheLandAllTheSame) {
  PrintLayout layout;
  layout.turned_deg = 45;
  const MapFrame frame = placeMap(request(layout), pageGeometry(layout, 2), 1);
  for (const LocalXY corner :
       {testing::at(0, 0), testing::at(800, 0), testing::at(0, 800), testing::at(800, 800)})
    EXPECT_TRUE(frame.transform.viewport().contains(frame.transform.toDevice(corner)));
  ASSERT_TRUE(writeHuntMapPdf(request(layout), file("map.pdf")));
  EXPECT_THAT(words(file("map.pdf")), HasSubstr("grid bearing 45"));
}

// A cone: contours are circles at their heights, smoothing aside.
TEST(Contours, OfAConeAreCircles) {
  Raster<float> ground(GridSpec{0, 1000, 5, 200, 200}, 0.0F);
  const LocalXY top{500, 500};
  for (int r = 0; r < 200; ++r)
    for (int c = 0; c < 200; ++c)
      ground.at(c, r) = static_cast<float>(100 - 0.2 * distance_m(ground.spec.centre(c, r), top));
  const Contours lines = contoursOf(ground, {100, 100, 900, 900}, 5000, UnitSystem::metric);
  EXPECT_DOUBLE_EQ(lines.interval, 5);  // 0.2 * 2.2 mm * 5 m: 2.2 m at least
  int whole = 0;
  for (const Contour& c : lines.lines) {
    const double radius_m = (100 - c.step * lines.interval) / 0.2;
    if (radius_m < 30 || radius_m > 380) continue;
    ++whole;
    EXPECT_EQ(c.index(), c.step % 5 == 0);
    for (const LocalXY p : c.line) EXPECT_NEAR(distance_m(p, top), radius_m, 2.5);
  }
  EXPECT_GE(whole, 12);
  EXPECT_DOUBLE_EQ(contoursOf(ground, {100, 100, 900, 900}, 5000, UnitSystem::us).interval, 10);
  EXPECT_TRUE(contoursOf({}, {0, 0, 1, 1}, 5000, UnitSystem::us).lines.empty());
}

TEST_F(Place, IndexContoursAreLabelledAndTheIntervalIsSaid) {
  Terrain slope;
  slope.ground = Raster<float>(GridSpec{kWest - 300, kSouth + 1100, 5, 280, 280}, 0.0F);
  for (int r = 0; r < 280; ++r)
    for (int c = 0; c < 280; ++c) slope.ground.at(c, r) = static_cast<float>(100 + 0.3 * c);
  HuntMapRequest one = request();
  one.terrain = make_ref<Terrain>(slope);
  ASSERT_TRUE(writeHuntMapPdf(one, file("map.pdf")));
  const std::string with = words(file("map.pdf"));
  EXPECT_THAT(with, HasSubstr("Contours every 5 ft"));
  EXPECT_THAT(with, HasSubstr("500"));  // 152 m, in the middle of the map
  one.layout.contours = false;
  ASSERT_TRUE(writeHuntMapPdf(one, file("map.pdf")));
  EXPECT_THAT(words(file("map.pdf")), ::testing::Not(HasSubstr("Contours every")));
}

// Labels never overlap; a point in a crowd is named from further off.
TEST(Leaders, NameAPointInACrowd) {
  QImage image(600, 400, QImage::Format_RGB32);
  image.fill(Qt::white);
  QPainter p(&image);
  const MapTransform t({0, 0}, 1, QRectF(0, 0, 600, 400));
  QFont font(QStringLiteral("Open Sans"));
  font.setPixelSize(13);
  for (const bool leaders : {false, true}) {
    LabelPlacer labels(QRectF(0, 0, 600, 400));
    if (leaders) labels.allowLeaders();
    int named = 0;
    for (int i = 0; i < 12; ++i)
      named += labels.label(p, t, {300, 200}, 13, QStringLiteral("Stand number %1").arg(i), font,
                            Qt::black);
    EXPECT_EQ(named == 12, leaders) << named;
    for (size_t i = 0; i < labels.taken().size(); ++i)
      for (size_t k = 0; k < i; ++k) EXPECT_FALSE(labels.taken()[i].intersects(labels.taken()[k]));
  }
}

}  // namespace
}  // namespace leeward::ui
