#include "core/io/new_property.h"

#include "core/io/property_store.h"
#include "tests/core/io/io_support.h"

#include <algorithm>

namespace leeward::io {
namespace {

using namespace testing;

std::string joined(const std::vector<std::string>& lines) {
  std::string out;
  for (const auto& n : lines) out += n + "\n";
  return out;
}
std::string texts(const std::vector<Finding>& findings) {
  std::string out;
  for (const auto& f : findings) out += f.text + "\n";
  return out;
}

const Instant kNow = *parse_iso8601("2026-11-10T12:00:00Z");

TEST(NewProperty, NeedsAPlace) {
  auto made = make_property({}, "/tmp/p.gpkg");
  ASSERT_FALSE(made);
  EXPECT_EQ(made.error().code, ErrorCode::invalid_argument);
  NewProperty with_crs;
  with_crs.crs = "EPSG:32615";
  auto fine = make_property(with_crs, "/tmp/p.gpkg");
  ASSERT_TRUE(fine) << fine.error().message;
  EXPECT_EQ(fine->document.settings->crs, "EPSG:32615");
  with_crs.time_zone = "Central";
  EXPECT_FALSE(make_property(with_crs, "/tmp/p.gpkg"));
}

TEST(NewProperty, HaliburtonFromRastersLakeAndForecast) {
  SKIP_WITHOUT_SHARED_DATA();
  const Folder folder;
  const fs::path data = shared_data();
  NewProperty request;
  request.name = "Lake corner";
  request.time_zone = "America/Toronto";
  request.elevation = data / "dem/derived_haliburton_1m_dtm_utm17n.tif";
  request.surface = data / "surface/derived_haliburton_dsm_2m.tif";
  request.vectors = {{Kind::water, data / "vector/lake_polygons_UTM17.shp"}};
  request.forecast = data / "weather/nws/aly_albany_ny_hourly.resolved_20251108.json";
  const fs::path file = folder / "p.gpkg";
  auto made = make_property(request, file);
  ASSERT_TRUE(made) << made.error().message;
  const Document& d = made->document;
  EXPECT_EQ(d.settings->crs, "EPSG:26917");  // the elevation's own datum, not WGS 84
  EXPECT_EQ(d.of(Kind::water).size(), 1U);
  EXPECT_TRUE(d.of(Kind::boundary).empty());
  EXPECT_EQ(d.wind_hours->size(), 156U);
  ASSERT_EQ(d.rasters->size(), 2U);
  EXPECT_FALSE(fs::path(d.rasters->at(0)->path).is_absolute());
  EXPECT_TRUE(fs::exists(folder.path() / d.rasters->at(0)->path));
  ASSERT_TRUE(PropertyStore::create(file, make_ref<Document>(d)));
  auto opened = PropertyStore::open(file, true);
  ASSERT_TRUE(opened) << opened.error().message;
  EXPECT_TRUE(same_content(d, *opened->document));
}

TEST(NewProperty, DegreesAndUnnamedDatumsGetAUtmZone) {
  SKIP_WITHOUT_SHARED_DATA();
  NewProperty request;
  request.elevation = shared_data() / "dem/edge_geog.tif";
  auto made = make_property(request, "/tmp/p.gpkg");
  ASSERT_TRUE(made) << made.error().message;
  EXPECT_EQ(made->document.settings->crs, "EPSG:32612");  // 113.6 W
}

TEST(NewProperty, RastersThatDoNotServeAreNamed) {
  SKIP_WITHOUT_SHARED_DATA();
  const fs::path data = shared_data();
  const auto why = [](const NewProperty& request) {
    auto made = make_property(request, "/tmp/p.gpkg");
    return made ? std::string() : made.error().message;
  };
  NewProperty request;
  request.elevation = data / "dem/haliburton_1m_dtm_no_crs.tif";
  EXPECT_THAT(why(request), ::testing::HasSubstr("names no coordinate system"));
  request.elevation = data / "imagery/naip_m_3211605_ne_11_060_20200415.tif";
  EXPECT_THAT(why(request), ::testing::HasSubstr("4 bands"));
  request.elevation = data / "dem/none.tif";
  EXPECT_THAT(why(request), ::testing::HasSubstr("no such file"));
  request.elevation.clear();
  request.aerials = {data / "imagery/yell_forest_no_georef.tif"};
  EXPECT_THAT(why(request), ::testing::HasSubstr("does not say where it lies"));
}

TEST(NewProperty, FeetAreTheUsersWord) {
  SKIP_WITHOUT_SHARED_DATA();
  NewProperty request;
  request.elevation = shared_data() / "dem/mn_wooded_1m_dem_utm15n.tif";
  request.elevation_metres_per_unit = kMetresPerFoot;
  auto made = make_property(request, "/tmp/p.gpkg");
  ASSERT_TRUE(made) << made.error().message;
  EXPECT_EQ(made->document.settings->crs, "EPSG:26915");
  EXPECT_EQ(made->document.rasters->at(0)->metres_per_unit, kMetresPerFoot);
  EXPECT_THAT(joined(made->notes), ::testing::HasSubstr("0.3048"));
}

TEST(CheckProperty, NamesWhatIsMissing) {
  Document d;
  Settings s;
  s.crs = "EPSG:26917";
  d.settings = make_ref<Settings>(s);
  const std::string said = texts(check_property(d, "/tmp/p.gpkg", kNow));
  for (const char* part : {"no boundary", "no stands", "no gate", "no elevation", "no wind",
                           "Legal shooting hours", "not said to be all drawn", "No weapon"}) {
    EXPECT_THAT(said, ::testing::HasSubstr(part));
  }
}

TEST(CheckProperty, NamesWhatIsWrongWorstFirst) {
  const Document before = full_document();
  Feature far = make_feature(Kind::stand, Shape::point({690000, 5020000}), "Far");
  Feature trail =
      make_feature(Kind::deer_trail, Shape::line({{690000, 5030000}, {690100, 5030000}}), "Lost");
  const Document d = edited(before, {put(far), put(trail)});
  const auto findings = check_property(d, "/tmp/none/p.gpkg", kNow);
  const std::string said = texts(findings);
  EXPECT_THAT(said, ::testing::HasSubstr("Far lies outside the boundary"));
  EXPECT_THAT(said, ::testing::HasSubstr("Lost touches no bedding"));
  EXPECT_THAT(said, ::testing::HasSubstr("Raster 'Ground' is missing"));
  EXPECT_TRUE(std::is_sorted(findings.begin(), findings.end(),
                             [](const auto& a, const auto& b) { return a.level < b.level; }));
  ASSERT_FALSE(findings.empty());
  EXPECT_EQ(findings.front().level, Finding::Level::error);
  const auto row = std::find_if(findings.begin(), findings.end(),
                                [&](const Finding& f) { return f.row == far.uid; });
  EXPECT_NE(row, findings.end());
}

}  // namespace
}  // namespace leeward::io
