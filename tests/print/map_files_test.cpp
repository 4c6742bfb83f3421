// Files for phones and receivers, opened again by GDAL's own programs.
#include "ui/print/map_files.h"

#include "core/io/map_export.h"
#include "tests/print/print_support.h"

#include <nlohmann/json.hpp>

#include <cmath>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <sstream>

namespace leeward::ui {
namespace {

using namespace leeward::testing;
using nlohmann::json;
using ::testing::HasSubstr;
using ::testing::Not;

class MapFiles : public PrintTest {
 protected:
  MapFileRequest all() const {
    MapFileRequest r{request(), {}, true, true, true};
    r.kinds.set();
    return r;
  }
  std::string bytes(const std::string& name) const {
    std::ifstream in(file(name.c_str()), std::ios::binary);
    std::ostringstream out;
    out << in.rdbuf();
    return out.str();
  }
  /// Grey land with a red square of 20 m about (100, 700).
  void addAerial() {
    io::Picture picture;
    picture.width_px = picture.height_px = 400;
    picture.argb.assign(400 * 400, 0xFF808080U);
    for (int y = 45; y < 55; ++y)
      for (int x = 45; x < 55; ++x) picture.argb[static_cast<size_t>(y * 400 + x)] = 0xFFFF0000U;
    ASSERT_TRUE(io::write_rgb_geotiff(
        folder_ / "a.tif", picture, {kWest, kSouth, kWest + 800, kSouth + 800}, "EPSG:32615", 95));
    RasterLayer layer;
    layer.uid = Uid::random();
    layer.name = "Aerial";
    layer.path = "a.tif";
    document_ = edited(document_, {put(layer)});
  }
  /// Middle of the red pixels of a picture, as shares of its width and height.
  static std::optional<QPointF> redMiddle(const QImage& image) {
    double x = 0, y = 0, n = 0;
    for (int r = 0; r < image.height(); ++r)
      for (int c = 0; c < image.width(); ++c) {
        const QRgb v = image.pixel(c, r);
        if (qAlpha(v) < 200 || qRed(v) < 190 || qGreen(v) > 80 || qBlue(v) > 80) continue;
        x += c + 0.5, y += r + 0.5, ++n;
      }
    if (n < 20) return std::nullopt;
    return QPointF(x / n / image.width(), y / n / image.height());
  }

  Frame frame_ = *Frame::make("EPSG:32615");
};

// The gate's place in each file, by ogr2ogr's reading; and every chosen thing is in it.
TEST_F(MapFiles, ComeBackWhereTheyWereWithAllThatWasChosen) {
  for (const std::string name : {"m.gpx", "m.kml", "m.kmz", "m.geojson"}) {
    ASSERT_TRUE(writeMapFile(all(), file(name.c_str()))) << name;
    const std::string what = run("ogrinfo -ro -al " + file(name.c_str()));
    for (const char* expected : {"South gate", "Edge ladder", "Wall stand", "Edge ladder in",
                                 "Edge ladder out", "Scrape one"})
      EXPECT_THAT(what, HasSubstr(expected)) << name;
    const size_t gate = what.find("South gate");
    const size_t point = what.find("POINT", gate);
    ASSERT_NE(point, std::string::npos) << name;
    double lon = 0, lat = 0;
    const size_t numbers = what.find('(', point);
    ASSERT_EQ(std::sscanf(what.c_str() + numbers, "(%lf %lf", &lon, &lat), 2) << name;
    EXPECT_LT(distance_m(frame_.to_local({lon, lat}), testing::at(10, 10)), 0.01) << name;
    if (name != "m.gpx") {
      EXPECT_THAT(what, HasSubstr("Big woods")) << name;
      EXPECT_THAT(what, HasSubstr("POLYGON")) << name;
    }
  }
}

// GPX 1.1 (topografix.com/GPX/1/1): waypoints stand before tracks. KML 2.2 (OGC 07-147r2): styles
// before features, name before description before styleUrl before geometry. RFC 7946, 3.1.6:
// outer rings turn anticlockwise and are closed.
TEST_F(MapFiles, KeepTheOrderThatTheirFormatsAskFor) {
  Feature gate = *document_.find(Uid::from_seed("South gate"));
  gate.remarks = "by the \"oak\" & <pond>";
  document_ = edited(document_, {put(gate)});
  for (const char* name : {"m.gpx", "m.kml", "m.geojson"})
    ASSERT_TRUE(writeMapFile(all(), file(name))) << name;
  const std::string gpx = bytes("m.gpx");
  EXPECT_THAT(gpx, HasSubstr("http://www.topografix.com/GPX/1/1"));
  EXPECT_LT(gpx.rfind("<wpt"), gpx.find("<trk>"));
  const std::string kml = bytes("m.kml");
  EXPECT_THAT(kml, HasSubstr("xmlns=\"http://www.opengis.net/kml/2.2\""));
  EXPECT_LT(kml.rfind("<Style id"), kml.find("<Placemark>"));
  EXPECT_THAT(kml, HasSubstr("<name>South gate</name><description>by the &quot;oak&quot; &amp; "
                             "&lt;pond&gt;</description><styleUrl>#gate</styleUrl><Point>"));
  EXPECT_THAT(kml, Not(HasSubstr("http://www.google")));
  EXPECT_EQ(kml.find("<href>"), std::string::npos);  // nothing is fetched
  const json j = json::parse(bytes("m.geojson"));
  EXPECT_EQ(j["type"], "FeatureCollection");
  int areas = 0;
  for (const json& f : j["features"]) {
    if (f["geometry"]["type"] != "Polygon") continue;
    ++areas;
    const json& ring = f["geometry"]["coordinates"][0];
    EXPECT_EQ(ring.front(), ring.back());
    double twice = 0;
    for (size_t i = 0; i + 1 < ring.size(); ++i)
      twice += ring[i][0].get<double>() * ring[i + 1][1].get<double>() -
               ring[i + 1][0].get<double>() * ring[i][1].get<double>();
    EXPECT_GT(twice, 0) << f["properties"]["name"];
  }
  EXPECT_GE(areas, 5);
}

TEST_F(MapFiles, LeaveOutWhatIsNotGivenAway) {
  MapFileRequest some = all();
  some.stands = false;
  const StandResult& stand = results_->stands.front();
  const LonLat at = frame_.to_wgs84(document_.find(stand.stand)->shape.position());
  char digits[16];
  std::snprintf(digits, sizeof digits, "%.5f", at.lat);
  for (const char* name : {"m.gpx", "m.kml", "m.geojson"}) {
    ASSERT_TRUE(writeMapFile(some, file(name)));
    const std::string text = bytes(name);
    for (const char* absent : {"Edge ladder", "Wall stand", "<trk>", "unnoticed"})
      EXPECT_THAT(text, Not(HasSubstr(absent))) << name;
    EXPECT_THAT(text, Not(HasSubstr(digits))) << name;
    EXPECT_THAT(text, HasSubstr("South gate")) << name;
  }
  EXPECT_TRUE(sharedPart(some).of(Kind::stand).empty());
  MapFileRequest gates = all();
  gates.kinds.reset();
  gates.kinds.set(static_cast<size_t>(Kind::gate));
  gates.ways = false;
  ASSERT_TRUE(writeMapFile(gates, file("g.geojson")));
  EXPECT_EQ(json::parse(bytes("g.geojson"))["features"].size(), 1U);
  gates.kinds.reset();
  EXPECT_EQ(writeMapFile(gates, file("none.kml")).error().code, ErrorCode::invalid_argument);
}

TEST_F(MapFiles, ThePictureUnderAKmzLiesWhereItWas) {
  addAerial();
  ASSERT_TRUE(writeMapFile(all(), file("m.kmz")));
  ASSERT_EQ(run("ogrinfo -ro " + file("m.kmz")).find("ERROR"), std::string::npos);
  const std::string zip = "/vsizip/" + file("m.kmz");
  run("gdal_translate -q -of PNG " + zip + "/aerial.jpg " + file("under.png"));
  const QImage image(QString::fromStdString(file("under.png")));
  ASSERT_FALSE(image.isNull());
  const auto middle = redMiddle(image);
  ASSERT_TRUE(middle);
  run("cd " + folder_.string() + " && unzip -o -q m.kmz doc.kml");
  const std::string kml = bytes("doc.kml");
  const auto number = [&](const char* tag) {
    const size_t i = kml.find(std::string("<") + tag + ">");
    return i == std::string::npos ? std::nan("")
                                  : std::atof(kml.c_str() + i + std::strlen(tag) + 2);
  };
  const LonLat seen{number("west") + middle->x() * (number("east") - number("west")),
                    number("north") - middle->y() * (number("north") - number("south"))};
  EXPECT_LT(distance_m(frame_.to_local(seen), testing::at(100, 700)), 2.0);
}

TEST_F(MapFiles, TilesLieWhereTheMapLies) {
  addAerial();
  MapFileRequest plain = all();
  plain.map.layout.contours = false;
  Results calm = *results_;
  calm.air_map = nullptr;  // no strokes of wind over the square
  plain.map.results = make_ref<Results>(calm);
  ASSERT_TRUE(writeMapFile(plain, file("m.mbtiles")));
  const json j = json::parse(run("gdalinfo -json " + file("m.mbtiles")));
  EXPECT_EQ(j["driverShortName"], "MBTiles");
  EXPECT_FALSE(j["bands"][0]["overviews"].empty());
  run("gdal_translate -q -of PNG " + file("m.mbtiles") + " " + file("m.png"));
  const auto middle = redMiddle(QImage(QString::fromStdString(file("m.png"))));
  ASSERT_TRUE(middle);
  const json& gt = j["geoTransform"];
  const double x = gt[0].get<double>() +
                   middle->x() * j["size"][0].get<double>() * gt[1].get<double>(),
               y = gt[3].get<double>() +
                   middle->y() * j["size"][1].get<double>() * gt[5].get<double>();
  // Web Mercator to degrees (EPSG Guidance Note 7-2, method 1024).
  const double radius = 6378137;
  const LonLat seen{x / radius * kDegPerRad,
                    (2 * std::atan(std::exp(y / radius)) - kPi / 2) * kDegPerRad};
  EXPECT_LT(distance_m(frame_.to_local(seen), testing::at(100, 700)), 2.0);
}

TEST_F(MapFiles, NameNoUserAndNoFolderAndLeaveNothingBehind) {
  addAerial();
  for (const char* name : {"m.gpx", "m.kml", "m.kmz", "m.geojson", "m.mbtiles"}) {
    ASSERT_TRUE(writeMapFile(all(), file(name)));
    const std::string text = bytes(name);
    EXPECT_EQ(text.find(folder_.filename().string()), std::string::npos) << name;
    for (const char* variable : {"USER", "HOME", "LOGNAME"}) {
      const char* value = std::getenv(variable);
      if (!value || std::strlen(value) <= 4) continue;
      EXPECT_EQ(text.find(value), std::string::npos) << name << " " << variable;
    }
  }
  size_t files = 0;
  for ([[maybe_unused]] const auto& entry : fs::directory_iterator(folder_)) ++files;
  EXPECT_EQ(files, 6U);  // and the aerial picture
  for (const char* name : {"m.gpx", "m.kml", "m.kmz", "m.geojson", "m.mbtiles"}) {
    const Status s = writeMapFile(all(), file("none/") + name);
    ASSERT_FALSE(s) << name;
    EXPECT_THAT(s.error().message, HasSubstr(name));
  }
  const Status odd = writeMapFile(all(), file("m.doc"));
  ASSERT_FALSE(odd);
  EXPECT_THAT(odd.error().message, HasSubstr(".mbtiles"));
}

}  // namespace
}  // namespace leeward::ui
