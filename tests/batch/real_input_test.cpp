// The main job on real open data (licences and sources in the data folder's index; none is copied
// here): a lidar ground and surface of hilly forest with a lake, a 40 m tile of orthophoto over
// lidar, and an hourly forecast of the US National Weather Service.
#include "core/io/property_store.h"
#include "core/model/edit.h"
#include "tests/batch/batch_support.h"

#include <gmock/gmock.h>
#include <nlohmann/json.hpp>

#include <cmath>

namespace leeward {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using ::testing::HasSubstr;

class RealInput : public testing::BatchTest {
 protected:
  void SetUp() override {
    if (!fs::exists(data()))
      GTEST_SKIP() << "the folder of real open data is not there: " << data();
  }
  static fs::path data() { return fs::path(LEEWARD_SHARED_DIR) / "data"; }

  // What a person draws after creating the property; kinds, names and places in its CRS.
  void draw(const std::string& property, std::vector<Feature> features) const {
    auto opened = io::PropertyStore::open(property);
    ASSERT_TRUE(opened) << opened.error().message;
    std::vector<Edit> edits;
    for (Feature& f : features) edits.push_back(put(std::move(f)));
    edits.push_back(
        put(Weapon{Uid::random(), "Bow", WeaponType::bow, 0, 27.432, {9.144, 18.288, 27.432}}));
    auto next = apply(*opened->document, {"Draw", std::move(edits), {}});
    ASSERT_TRUE(next) << next.error().message;
    opened->store->save(make_ref<Document>(*std::move(next)));
    ASSERT_TRUE(opened->store->flush());
  }
};

Shape box(double x, double y, double w, double h) {
  return Shape::area({{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}});
}

TEST_F(RealInput, HilliesForestWithLakeForecastAndWays) {
  const std::string property = file("lake.gpkg");
  const auto made = batch(
      "create " + property + " --name 'Lake forest' --time-zone America/Toronto --elevation " +
      (data() / "dem/derived_haliburton_1m_dtm_utm17n.tif").string() + " --surface " +
      (data() / "surface/derived_haliburton_dsm_2m.tif").string() +
      " --features water=" + (data() / "vector/lake_polygons_UTM17.shp").string() + " --forecast " +
      (data() / "weather/nws/aly_albany_ny_hourly.resolved_20251108.json").string());
  ASSERT_EQ(made.code, 0) << made.err;
  EXPECT_NE(made.err.find("It was issued"), std::string::npos) << made.err;
  const auto stored = batch("forecasts " + property + " --json");
  ASSERT_EQ(stored.code, 0) << stored.err;
  const json forecast = json::parse(stored.out)["forecasts"].at(0);
  EXPECT_EQ(forecast["issued"], "2025-11-08T15:36:45Z") << "10:36:45 at -05:00 in the file";
  EXPECT_EQ(forecast["hours"], 156);
  EXPECT_TRUE(forecast["direction_off_deg"].is_null()) << "nothing to compare it with";
  const double e = 684716, n = 5017849;  // south-west corner of the ground, 581 x 455 m
  draw(property,
       {make_feature(Kind::boundary, box(e + 5, n + 5, 570, 445), "Line"),
        make_feature(Kind::stand, Shape::point({e + 420, n + 300}), "Upper stand"),
        make_feature(Kind::stand, Shape::point({e + 250, n + 360}), "Middle stand"),
        make_feature(Kind::bedding, box(e + 470, n + 330, 70, 60), "Bench bed"),
        make_feature(Kind::food, box(e + 300, n + 380, 80, 50), "Opening"),
        make_feature(Kind::gate, Shape::point({e + 20, n + 430}), "North-west gate"),
        make_feature(Kind::deer_trail, Shape::line({{e + 480, n + 350}, {e + 340, n + 400}}),
                     "Bench trail")});
  const auto answer = batch("evaluate " + property + " --at 2025-11-09T20:00:00Z --json");
  ASSERT_EQ(answer.code, 0) << answer.err;
  const json j = json::parse(answer.out);
  EXPECT_EQ(j["crs"], "EPSG:26917");  // the elevation's own datum
  ASSERT_EQ(j["stands"].size(), 2U);
  for (const json& s : j["stands"]) {
    ASSERT_TRUE(s["way_in"]["balanced"].is_object()) << s["no_way"];
    // Straight line is the least length; climb lies within the relief of 78 m, twice at most.
    EXPECT_GT(s["way_in"]["balanced"]["length_m"].get<double>(), 200);
    EXPECT_LT(s["way_in"]["balanced"]["climb_m"].get<double>(), 156);
  }
  EXPECT_TRUE(j["air"]["known"].get<bool>());
  const auto pdf =
      batch("print " + property + " --at 2025-11-09T20:00:00Z --output " + file("lake.pdf"));
  ASSERT_EQ(pdf.code, 0) << pdf.err;
  const auto words = call("pdftotext -layout " + file("lake.pdf") + " -");
  EXPECT_THAT(words.out, HasSubstr("No aerial picture"));
  EXPECT_THAT(words.out, HasSubstr("US National Grid 17T"));
  EXPECT_THAT(words.out, HasSubstr("Upper stand"));
  const auto planned =
      batch("plan " + property + " --at 2025-11-09T00:00:00-05:00 --days 2 --format json");
  ASSERT_EQ(planned.code, 0) << planned.err;
  const json plan = json::parse(planned.out);
  ASSERT_EQ(plan["sits"].size(), 4U);
  for (const json& sit : plan["sits"]) {
    EXPECT_TRUE(sit["wind_known"].get<bool>());
    ASSERT_EQ(sit["cells"].size(), 2U);
    for (const json& cell : sit["cells"]) {
      EXPECT_GE(cell["score_high"], cell["score"]);
      EXPECT_LE(cell["score_low"], cell["score"]);
      EXPECT_TRUE(cell["score"].get<double>() >= 0.2 || !cell["reasons"].empty());
    }
  }
  const auto seasons =
      batch("season " + property + " --json --from 11-01 --until 11-30 --records " +
            (data() / "weather/station/nyc_asos_hourly_2013.csv").string());
  ASSERT_EQ(seasons.code, 0) << seasons.err;
  EXPECT_NEAR(json::parse(seasons.out)["mornings"].get<int>(), 30, 1);
}

TEST_F(RealInput, OrthophotoOverLidarGroundAndSurface) {
  const std::string property = file("tile.gpkg");
  const auto made =
      batch("create " + property + " --name 'Pine tile' --time-zone America/Los_Angeles --aerial " +
            (data() / "overlap_teak/teak_058_ortho_0.1m.tif").string() + " --elevation " +
            (data() / "overlap_teak/derived_teak_058_dtm_1m.tif").string() + " --surface " +
            (data() / "overlap_teak/derived_teak_058_dsm_1m.tif").string());
  ASSERT_EQ(made.code, 0) << made.err;
  const double e = 321338, n = 4096526;  // 40 x 40 m
  draw(property, {make_feature(Kind::stand, Shape::point({e + 12, n + 12}), "Pine stand"),
                  make_feature(Kind::gate, Shape::point({e + 36, n + 36}), "Corner gate"),
                  make_feature(Kind::bedding, box(e + 22, n + 4, 12, 10), "Pine bed"),
                  make_feature(Kind::food, box(e + 4, n + 26, 10, 10), "Gap")});
  const auto answer = batch("evaluate " + property + " --at 2025-11-09T22:00:00Z --json");
  ASSERT_EQ(answer.code, 0) << answer.err;
  const json j = json::parse(answer.out);
  EXPECT_EQ(j["crs"], "EPSG:32611");
  EXPECT_FALSE(j["air"]["known"].get<bool>());  // no wind was given, and that is said
  EXPECT_NEAR(j["stands"][0]["way_in"]["quick"]["length_m"].get<double>(), std::hypot(24, 24), 12);
  const auto ground = batch("dump " + property + " --what canopy --output " + file("canopy.tif"));
  ASSERT_EQ(ground.code, 0) << ground.err;
  const auto info = call("gdalinfo -mm " + file("canopy.tif"));
  double low = 0, high = 0;
  ASSERT_EQ(std::sscanf(info.out.c_str() + info.out.find("Computed Min/Max="),
                        "Computed Min/Max=%lf,%lf", &low, &high),
            2);
  EXPECT_GE(low, 0);
  EXPECT_GT(high, 20);  // conifers of 20 to 50 m stand on the tile
  EXPECT_LT(high, 60);
  const auto pdf = batch("print " + property + " --at 2025-11-09T20:00:00Z --output " +
                         file("tile.png") + " --dpi 80");
  ASSERT_EQ(pdf.code, 0) << pdf.err;
  EXPECT_GT(fs::file_size(file("tile.png")), 20000U);  // the picture is on the page
}

}  // namespace
}  // namespace leeward
