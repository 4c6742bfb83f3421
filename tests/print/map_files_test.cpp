// Files for phones and receivers, opened again by GDAL's own programs.
#include "ui/print/map_files.h"

#include "core/io/map_export.h"
#include "tests/print/print_support.h"

#include <nlohmann/json.hpp>

#include <cctype>
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

constexpr const char* kFiles[] = {"m.gpx", "m.kml", "m.kmz", "m.geojson", "m.mbtiles", "m.zip"};

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
  for (const std::string name : {"m.gpx", "m.kml", "m.kmz", "m.geojson", "m.zip"}) {
    ASSERT_TRUE(writeMapFile(all(), file(name.c_str()))) << name;
    const bool shapes = name == "m.zip";
    const std::string what =
        run("ogrinfo -ro -al " + std::string(shapes ? "/vsizip/" : "") + file(name.c_str()));
    for (const char* expected : {"South gate", "Edge ladder", "Wall stand", "Edge ladder in",
                                 "Edge ladder out", "Scrape one"})
      EXPECT_THAT(what, HasSubstr(expected)) << name;
    const size_t gate = what.find("South gate");
    const size_t point = what.find("POINT", gate);
    ASSERT_NE(point, std::string::npos) << name;
    double lon = 0, lat = 0;
    const size_t numbers = what.find('(', point);
    ASSERT_EQ(std::sscanf(what.c_str() + numbers, "(%lf %lf", &lon, &lat), 2) << name;
    const LocalXY seen = shapes ? LocalXY{lon, lat} : frame_.to_local({lon, lat});
    EXPECT_LT(distance_m(seen, testing::at(10, 10)), 0.01) << name;
    if (shapes) {
      EXPECT_THAT(what, HasSubstr("ID[\"EPSG\",32615]"));
      for (const char* layer : {"stand_point", "deer_trail_line", "cover_area", "way_line"})
        EXPECT_THAT(what, HasSubstr(std::string("Layer name: ") + layer));
      EXPECT_THAT(what, Not(HasSubstr("Warning")));
    }
    if (name != "m.gpx") {
      EXPECT_THAT(what, HasSubstr("Big woods")) << name;
      EXPECT_THAT(what, HasSubstr("POLYGON")) << name;
    }
  }
}

std::string validated(const std::string& path, const std::string& schema) {
  return run("xmllint --nonet --noout --schema " LEEWARD_SCHEMAS_DIR "/" + schema + " " + path);
}

// Against the public schemas: GPX 1.1 (topografix.com/GPX/1/1/gpx.xsd) and OGC KML 2.2 (07-147r2,
// ogckml22.xsd), as Debian carries them; and a file that breaks them is seen.
TEST_F(MapFiles, AreValidByTheirPublicSchemas) {
  for (const char* schema : {"gpx11.xsd", "ogckml22.xsd"})
    if (!std::filesystem::exists(std::string(LEEWARD_SCHEMAS_DIR "/") + schema))
      GTEST_SKIP() << schema << " is not in " LEEWARD_SCHEMAS_DIR
                   << ": run cmake/test.sh with a net";
  addAerial();
  Feature gate = *document_.find(Uid::from_seed("South gate"));
  gate.name = "The very long name of the gate by the old south road";
  gate.remarks = "by the \"oak\" & <pond>";
  document_ = edited(document_, {put(gate)});
  for (const char* name : {"m.gpx", "m.kml", "m.kmz"}) ASSERT_TRUE(writeMapFile(all(), file(name)));
  EXPECT_THAT(validated(file("m.gpx"), "gpx11.xsd"), HasSubstr(" validates"));
  EXPECT_THAT(validated(file("m.kml"), "ogckml22.xsd"), HasSubstr(" validates"));
  run("cd " + folder_.string() + " && unzip -o -q m.kmz doc.kml");
  EXPECT_THAT(validated(file("doc.kml"), "ogckml22.xsd"), HasSubstr(" validates"));
  EXPECT_THAT(bytes("doc.kml"), HasSubstr("<GroundOverlay>"));
  EXPECT_THAT(bytes("m.gpx"), HasSubstr("<name>The very long name of the gate</name>"));
  EXPECT_THAT(bytes("m.gpx"), HasSubstr("<type>gate</type>"));
  std::string broken = bytes("m.kml");
  broken.replace(broken.find("<name>"), 6, "<nom>").replace(broken.find("</name>"), 7, "</nom>");
  std::ofstream(file("broken.kml")) << broken;
  EXPECT_THAT(validated(file("broken.kml"), "ogckml22.xsd"), HasSubstr("fails to validate"));
  broken = bytes("m.gpx");
  broken.replace(broken.find("lat=\"") + 5, 2, "94");
  std::ofstream(file("broken.gpx")) << broken;
  EXPECT_THAT(validated(file("broken.gpx"), "gpx11.xsd"), HasSubstr("fails to validate"));
}

// RFC 7946, 3 and 4: members and their types, positions as longitude and latitude, rings of four
// positions at least that end where they begin, no CRS.
TEST_F(MapFiles, GeoJsonKeepsTheRulesOfItsStandard) {
  ASSERT_TRUE(writeMapFile(all(), file("m.geojson")));
  const json j = json::parse(bytes("m.geojson"));
  EXPECT_EQ(j["type"], "FeatureCollection");
  EXPECT_FALSE(j.contains("crs") || j.contains("geometry") || j.contains("properties"));
  ASSERT_FALSE(j["features"].empty());
  const auto isPosition = [](const json& p) {
    return p.is_array() && p.size() == 2 && std::abs(p[0].get<double>()) <= 180 &&
           std::abs(p[1].get<double>()) <= 90;
  };
  for (const json& f : j["features"]) {
    EXPECT_EQ(f["type"], "Feature");
    EXPECT_TRUE(f["properties"].is_object());
    EXPECT_FALSE(f.contains("coordinates") || f.contains("features"));
    const json &g = f["geometry"], &c = g["coordinates"];
    if (g["type"] == "Point") {
      EXPECT_TRUE(isPosition(c));
    } else if (g["type"] == "LineString") {
      EXPECT_GE(c.size(), 2U);
      for (const json& p : c) EXPECT_TRUE(isPosition(p));
    } else {
      EXPECT_EQ(g["type"], "Polygon");
      for (const json& ring : c) {
        EXPECT_GE(ring.size(), 4U);
        EXPECT_EQ(ring.front(), ring.back());
        for (const json& p : ring) EXPECT_TRUE(isPosition(p));
      }
    }
  }
}

// MBTiles 1.3 (github.com/mapbox/mbtiles-spec, 1.3): rows of metadata, zooms and bounds that the
// tiles keep, rows counted from the south.
TEST_F(MapFiles, MbtilesKeepTheRulesOfTheirStandard) {
  ASSERT_TRUE(writeMapFile(all(), file("m.mbtiles")));
  fs::copy_file(folder_ / "m.mbtiles", folder_ / "m.sqlite");
  const auto ask = [&](const std::string& sql) {
    const std::string out = run("ogrinfo -q -ro " + file("m.sqlite") + " -sql \"" + sql + "\"");
    const size_t at = out.find(") = ");
    return at == std::string::npos ? std::string()
                                   : out.substr(at + 4, out.find('\n', at) - at - 4);
  };
  const auto row = [&](const std::string& name) {
    return ask("SELECT value FROM metadata WHERE name = '" + name + "'");
  };
  EXPECT_EQ(row("name"), "Test ground");
  EXPECT_EQ(row("format"), "png");
  EXPECT_EQ(row("minzoom"), ask("SELECT min(zoom_level) AS z FROM tiles"));
  EXPECT_EQ(row("maxzoom"), ask("SELECT max(zoom_level) AS z FROM tiles"));
  EXPECT_GE(std::atoi(row("minzoom").c_str()), 12) << "below it the map is a dot";
  EXPECT_EQ(ask("SELECT count(*) AS n FROM metadata WHERE name IN ('bounds', 'center', 'type', "
                "'version', 'description')"),
            "5");
  double west = 0, south = 0, east = 0, north = 0, lon = 0, lat = 0;
  int zoom = 0;
  ASSERT_EQ(std::sscanf(row("bounds").c_str(), "%lf,%lf,%lf,%lf", &west, &south, &east, &north), 4);
  ASSERT_EQ(std::sscanf(row("center").c_str(), "%lf,%lf,%d", &lon, &lat, &zoom), 3);
  EXPECT_TRUE(west < lon && lon < east && south < lat && lat < north);
  // The tile of the centre at the lowest zoom, by the formula of slippy maps with rows turned over
  // (Tile Map Service Specification 1.0, OSGeo).
  const double n = std::pow(2, zoom), rad = lat * kRadPerDeg;
  const int col = static_cast<int>(n * (lon + 180) / 360),
            down = static_cast<int>(n * (1 - std::asinh(std::tan(rad)) / kPi) / 2);
  EXPECT_EQ(ask("SELECT count(*) AS n FROM tiles WHERE zoom_level = " + std::to_string(zoom) +
                " AND tile_column = " + std::to_string(col) +
                " AND tile_row = " + std::to_string(static_cast<int>(n) - 1 - down)),
            "1");
  EXPECT_EQ(ask("SELECT hex(substr(tile_data, 1, 4)) AS h FROM tiles LIMIT 1"), "89504E47");
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

// The bytes as they are, and what is packed in them.
TEST_F(MapFiles, NameNoUserAndNoFolderAndLeaveNothingBehind) {
  addAerial();
  std::vector<std::string> secrets = {folder_.filename().string(), folder_.string()};
  for (const char* command : {"echo $HOME", "whoami", "hostname", "echo $USER", "pwd"}) {
    std::string word = run(command);
    while (!word.empty() && std::isspace(static_cast<unsigned char>(word.back()))) word.pop_back();
    if (word.size() >= 4) secrets.push_back(word);
  }
  const auto keeps = [&](const std::string& text, const std::string& what) {
    EXPECT_GT(text.size(), 100U) << what;
    for (const std::string& secret : secrets)
      EXPECT_EQ(text.find(secret), std::string::npos) << what << " holds " << secret;
    for (const char* tag : {"<author", "Exif", "/Author"})
      EXPECT_EQ(text.find(tag), std::string::npos) << what << " holds " << tag;
  };
  for (const char* name : kFiles) {
    ASSERT_TRUE(writeMapFile(all(), file(name)));
    keeps(bytes(name), name);
  }
  for (const char* name : {"m.kmz", "m.zip"}) keeps(run("unzip -p " + file(name)), name);
  ASSERT_TRUE(writeHuntMapPng(request(), file("m.png"), 60));
  keeps(bytes("m.png"), "m.png");
  ASSERT_TRUE(writeHuntMapPdf(request(), file("m.pdf")));
  keeps(bytes("m.pdf"), "m.pdf");
  keeps(run("qpdf --qdf --object-streams=disable " + file("m.pdf") + " -"), "m.pdf, unpacked");
  size_t files = 0;
  for ([[maybe_unused]] const auto& entry : fs::directory_iterator(folder_)) ++files;
  EXPECT_EQ(files, 9U);  // and the aerial picture
  for (const char* name : kFiles) {
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
