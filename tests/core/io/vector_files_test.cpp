#include "core/io/vector_files.h"

#include "core/io/gdal_gate.h"
#include "tests/core/io/io_support.h"

#include <cpl_vsi.h>

#include <cmath>
#include <cstring>

// libkml 1.3 keeps a few bytes of each archive that it cannot use.
extern "C" const char* __lsan_default_suppressions() {
  return "leak:kmlengine::KmzFile\nleak:libkmlbase\n";
}

namespace leeward::io {
namespace {

using namespace testing;

Frame utm17() { return *Frame::make("EPSG:26917"); }

std::string joined(const VectorImport& v) {
  std::string out;
  for (const auto& n : v.notes) out += n + "\n";
  return out;
}

Result<VectorImport> read_text(const std::string& text, const std::string& name, Kind kind) {
  const Folder folder;
  write_bytes(folder / name, text);
  return read_vector(folder / name, kind, utm17());
}

std::string geojson(const std::string& geometry, const std::string& name = "x") {
  return R"({"type":"FeatureCollection","features":[{"type":"Feature","properties":{"name":")" +
         name + R"("},"geometry":)" + geometry + "}]}";
}

TEST(VectorFiles, GeoJsonPointLandsWhereTheFrameSays) {
  auto v = read_text(geojson(R"({"type":"Point","coordinates":[-78.64,45.29]})", "North ladder"),
                     "p.geojson", Kind::stand);
  ASSERT_TRUE(v) << v.error().message;
  ASSERT_EQ(v->features.size(), 1U);
  EXPECT_EQ(v->features[0].name, "North ladder");
  EXPECT_EQ(v->features[0].kind(), Kind::stand);
  const LocalXY expected = utm17().to_local({-78.64, 45.29});
  EXPECT_LT(distance_m(v->features[0].shape.position(), expected), 0.01);
}

TEST(VectorRows, TellHowFarTheReadingIs) {
  const Folder folder;
  std::string points;
  for (int i = 0; i < 600; ++i)
    points +=
        std::string(i > 0 ? "," : "") +
        R"({"type":"Feature","properties":{},"geometry":{"type":"Point","coordinates":[-78.64,45.29]}})";
  write_bytes(folder / "p.geojson", R"({"type":"FeatureCollection","features":[)" + points + "]}");
  std::vector<double> shares;
  const auto rows = read_vector_rows(folder / "p.geojson", utm17(), {},
                                     [&](double share) { shares.push_back(share); });
  ASSERT_TRUE(rows) << rows.error().message;
  EXPECT_EQ(shares, (std::vector<double>{0, 256 / 600.0, 512 / 600.0}));
}

TEST(VectorRows, GroupsByLayerOrByAColumnWithAGuessOfTheKind) {
  const Folder folder;
  write_bytes(folder / "w.gpx",
              R"(<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1">
    <wpt lat="45.29" lon="-78.64"><name>Oak ladder</name><sym>Tree stand</sym></wpt>
    <wpt lat="45.291" lon="-78.64"><name>Gap</name><sym>Gate</sym></wpt>
    <wpt lat="45.292" lon="-78.64"><name>Pin</name><sym>Flag</sym></wpt>
    <trk><name>Creek trail</name><trkseg><trkpt lat="45.29" lon="-78.64"/><trkpt lat="45.30" lon="-78.64"/></trkseg></trk>
    </gpx>)");
  std::stop_source given_up;
  given_up.request_stop();
  const auto stopped = read_vector_rows(folder / "w.gpx", utm17(), given_up.get_token());
  ASSERT_FALSE(stopped);
  EXPECT_EQ(stopped.error().code, ErrorCode::cancelled);
  const auto rows = read_vector_rows(folder / "w.gpx", utm17());
  ASSERT_TRUE(rows) << rows.error().message;
  const auto by_layer = groups_of(*rows, -1);
  ASSERT_EQ(by_layer.size(), 2U);
  EXPECT_EQ(by_layer[0].label, "waypoints");
  EXPECT_EQ(by_layer[0].count, 3U);
  EXPECT_EQ(by_layer[1].kind, Kind::human_path) << "tracks";
  const auto sym = std::find(rows->fields.begin(), rows->fields.end(), "sym");
  ASSERT_NE(sym, rows->fields.end());
  const int field = static_cast<int>(sym - rows->fields.begin());
  auto by_sign = groups_of(*rows, field);
  ASSERT_EQ(by_sign.size(), 4U);
  EXPECT_EQ(by_sign[0].kind, Kind::stand);
  EXPECT_EQ(by_sign[1].kind, Kind::gate);
  EXPECT_EQ(by_sign[2].kind, Kind::note) << "by its layer, waypoints";
  by_sign[2].kind.reset();
  const VectorImport taken = take_rows(*rows, field, by_sign);
  EXPECT_EQ(taken.taken, 3);
  EXPECT_EQ(taken.left_out, 1);
  EXPECT_THAT(joined(taken), ::testing::HasSubstr("1 feature left out: no kind was chosen"));
}

TEST(VectorRows, ParcelsAndThisProgramsOwnTablesAreKnownByTheirWords) {
  EXPECT_EQ(guessed_kind("County_Parcels_2024", ShapeType::area), Kind::boundary);
  EXPECT_EQ(guessed_kind("Parcels", ShapeType::point), std::nullopt);
  EXPECT_EQ(guessed_kind("TIGER roads", ShapeType::line), Kind::road);
  for (const KindInfo& k : all_kinds())
    EXPECT_EQ(guessed_kind(k.table, k.point  ? ShapeType::point
                                    : k.line ? ShapeType::line
                                             : ShapeType::area),
              k.kind)
        << k.table;
}

TEST(VectorRows, ManyValuesShareTheLastGroup) {
  VectorRows rows;
  rows.fields = {"id"};
  for (int i = 0; i < 100; ++i)
    rows.rows.push_back({"x", "", "", {std::to_string(i)}, Shape::point({1.0 * i, 0})});
  auto groups = groups_of(rows, 0, 10);
  ASSERT_EQ(groups.size(), 10U);
  EXPECT_EQ(groups.back().count, 91U);
  for (auto& g : groups) g.kind = Kind::note;
  EXPECT_EQ(take_rows(rows, 0, groups).taken, 100);
}

TEST(CsvPoints, ReadsDegreesWithQuotesAndFindsTheColumns) {
  const Folder folder;
  write_bytes(folder / "p.csv",
              "name,type,Latitude,Longitude\n\"Oak, north\",stand,45.29,-78.64\nGap,gate,,\n\n"
              "West,stand,45.30,-78.65\n");
  const auto columns = inspect_csv(folder / "p.csv");
  ASSERT_TRUE(columns);
  EXPECT_EQ(columns->x, 3);
  EXPECT_EQ(columns->y, 2);
  const auto rows = read_csv_rows(folder / "p.csv", *columns, utm17());
  ASSERT_TRUE(rows) << rows.error().message;
  ASSERT_EQ(rows->rows.size(), 2U);
  EXPECT_EQ(rows->left_out, 1);
  EXPECT_EQ(rows->rows[0].name, "Oak, north");
  EXPECT_LT(distance_m(rows->rows[0].shape.position(), utm17().to_local({-78.64, 45.29})), 1e-6);
  const auto groups = groups_of(*rows, 1);
  ASSERT_EQ(groups.size(), 1U);
  EXPECT_EQ(groups[0].kind, Kind::stand);
}

TEST(CsvPoints, TakesSemicolonsDecimalCommasAndTheGridsMetres) {
  const Folder folder;
  write_bytes(folder / "p.csv", "label;easting;northing\nA;685000,5;5015000,25\n");
  const auto columns = inspect_csv(folder / "p.csv");
  ASSERT_TRUE(columns);
  const auto rows = read_csv_rows(folder / "p.csv", *columns, utm17());
  ASSERT_TRUE(rows) << rows.error().message;
  EXPECT_EQ(rows->rows[0].shape.position(), (LocalXY{685000.5, 5015000.25}));
  ASSERT_EQ(rows->notes.size(), 1U);
}

TEST(CsvPoints, SaysWhatItNeeds) {
  const Folder folder;
  write_bytes(folder / "a.csv", "name,u,v\nA,-78,45\n");
  const auto columns = inspect_csv(folder / "a.csv");
  ASSERT_TRUE(columns);
  EXPECT_EQ(columns->x, -1);
  EXPECT_FALSE(read_csv_rows(folder / "a.csv", *columns, utm17()));
  EXPECT_TRUE(read_csv_rows(folder / "a.csv", {columns->names, 1, 2}, utm17()));
  EXPECT_FALSE(read_csv_rows(folder / "a.csv", {columns->names, 0, 2}, utm17())) << "words";
  write_bytes(folder / "b.csv", "just text\n");
  EXPECT_FALSE(inspect_csv(folder / "b.csv"));
}

TEST(VectorFiles, MultiPartsAreSplitAndHolesKept) {
  auto v = read_text(geojson(R"({"type":"MultiPolygon","coordinates":[
        [[[-78.64,45.29],[-78.63,45.29],[-78.63,45.30],[-78.64,45.30],[-78.64,45.29]],
         [[-78.638,45.292],[-78.632,45.292],[-78.632,45.298],[-78.638,45.292]]],
        [[[-78.60,45.29],[-78.59,45.29],[-78.59,45.30],[-78.60,45.29]]]]})"),
                     "m.geojson", Kind::bedding);
  ASSERT_TRUE(v) << v.error().message;
  ASSERT_EQ(v->features.size(), 2U);
  EXPECT_EQ(v->features[0].shape.parts.size(), 2U);
  EXPECT_EQ(v->features[0].shape.path().size(), 4U);  // open ring
  EXPECT_THAT(joined(*v), ::testing::HasSubstr("split into 2 parts"));
}

TEST(VectorFiles, CrossedAreaIsRepairedAndSaid) {
  auto v = read_text(
      geojson(
          R"({"type":"Polygon","coordinates":[[[-78.64,45.29],[-78.63,45.30],[-78.63,45.29],[-78.64,45.30],[-78.64,45.29]]]})",
          "Bow tie"),
      "b.geojson", Kind::food);
  ASSERT_TRUE(v) << v.error().message;
  EXPECT_EQ(v->changed, 1);
  EXPECT_GE(v->features.size(), 1U);
  for (const Feature& f : v->features) EXPECT_EQ(feature_problem(f), "");
  EXPECT_THAT(joined(*v), ::testing::HasSubstr("'Bow tie': repaired"));
}

TEST(VectorFiles, ShapesThatTheKindCannotBeAreLeftOut) {
  auto v =
      read_text(geojson(R"({"type":"LineString","coordinates":[[-78.64,45.29],[-78.63,45.30]]})"),
                "l.geojson", Kind::stand);
  ASSERT_TRUE(v);
  EXPECT_TRUE(v->features.empty());
  EXPECT_EQ(v->left_out, 1);
  EXPECT_THAT(joined(*v), ::testing::HasSubstr("stand cannot be a line"));
}

TEST(VectorFiles, ClosedTrackMayBeTheBoundary) {
  auto v = read_text(
      R"(<?xml version="1.0"?><gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1">
<wpt lat="45.29" lon="-78.64"><name>Gate</name></wpt>
<trk><name>Walk round</name><trkseg><trkpt lat="45.29" lon="-78.64"/><trkpt lat="45.29" lon="-78.63"/>
<trkpt lat="45.30" lon="-78.63"/><trkpt lat="45.29" lon="-78.64"/></trkseg></trk></gpx>)",
      "t.gpx", Kind::boundary);
  ASSERT_TRUE(v) << v.error().message;
  ASSERT_EQ(v->features.size(), 1U) << joined(*v);
  EXPECT_EQ(v->features[0].shape.type, ShapeType::area);
  EXPECT_EQ(v->features[0].name, "Walk round");
}

TEST(VectorFiles, KmzIsReadFromItsArchive) {
  const Folder folder;
  const std::string kml = R"(<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Placemark>
    <name>Oak stand</name><Point><coordinates>-78.64,45.29,400</coordinates></Point></Placemark>
    </Document></kml>)";
  enter_gdal();
  const std::string inside = "/vsizip/" + (folder / "s.kmz").string() + "/doc.kml";
  VSILFILE* out = VSIFOpenL(inside.c_str(), "wb");
  ASSERT_NE(out, nullptr);
  ASSERT_EQ(VSIFWriteL(kml.data(), 1, kml.size(), out), kml.size());
  VSIFCloseL(out);
  auto v = read_vector(folder / "s.kmz", Kind::stand, utm17());
  ASSERT_TRUE(v) << v.error().message;
  ASSERT_EQ(v->features.size(), 1U) << joined(*v);
  EXPECT_EQ(v->features[0].name, "Oak stand");
}

/// A shapefile of one point and nothing else (ESRI Shapefile Technical Description, July 1998).
void write_point_shapefile(const fs::path& shp, double x, double y) {
  std::string file(100, '\0');
  const auto big = [](std::string& s, size_t at, std::int32_t v) {
    for (size_t i = 0; i < 4; ++i)
      s[at + i] = static_cast<char>(v >> (24 - 8 * static_cast<int>(i)));
  };
  const auto little = [](std::string& s, size_t at, auto v) { std::memcpy(&s[at], &v, sizeof v); };
  big(file, 0, 9994);
  little(file, 28, std::int32_t{1000});
  little(file, 32, std::int32_t{1});
  for (const size_t at : {36U, 52U}) little(file, at, x), little(file, at + 8, y);
  std::string index = file, record(28, '\0'), entry(8, '\0');
  big(file, 24, 64), big(index, 24, 54);
  big(record, 0, 1), big(record, 4, 10);
  little(record, 8, std::int32_t{1}), little(record, 12, x), little(record, 20, y);
  big(entry, 0, 50), big(entry, 4, 10);
  write_bytes(shp, file + record);
  write_bytes(fs::path(shp).replace_extension(".shx"), index + entry);
}

TEST(VectorFiles, ShapefileWithoutItsCoordinateSystemIsRefusedUnlessItsNumbersFit) {
  const Folder folder;
  write_point_shapefile(folder / "degrees.shp", -78.64, 45.29);
  auto refused = read_vector(folder / "degrees.shp", Kind::stand, utm17());
  ASSERT_FALSE(refused);
  EXPECT_THAT(refused.error().message, ::testing::HasSubstr("put its .prj file beside it"));
  write_point_shapefile(folder / "metres.shp", 684900, 5017900);
  auto fits = read_vector(folder / "metres.shp", Kind::stand, utm17());
  ASSERT_TRUE(fits) << fits.error().message;
  ASSERT_EQ(fits->features.size(), 1U);
  EXPECT_EQ(fits->features[0].shape.position(), (LocalXY{684900, 5017900}));
  EXPECT_THAT(joined(*fits), ::testing::HasSubstr("names no coordinate system"));
}

// ogrinfo -al -so: one polygon, extent (684645.600, 5017647.000) - (685634.500, 5018303.000).
TEST(VectorReal, LakeShapefileKeepsItsNumbers) {
  SKIP_WITHOUT_SHARED_DATA();
  auto v = read_vector(shared_data() / "vector/lake_polygons_UTM17.shp", Kind::water, utm17());
  ASSERT_TRUE(v) << v.error().message;
  ASSERT_EQ(v->features.size(), 1U) << joined(*v);
  const Box box = bounds(v->features[0].shape);
  EXPECT_NEAR(box.min_x, 684645.6, 1e-3);
  EXPECT_NEAR(box.min_y, 5017647.0, 1e-3);
  EXPECT_NEAR(box.max_x, 685634.5, 1e-3);
  EXPECT_NEAR(box.max_y, 5018303.0, 1e-3);
}

// ogrinfo -so counts: 46 roads; the wetlands are multi-polygons with heights.
TEST(VectorReal, RoadsAndWetlandsOfALongLake) {
  SKIP_WITHOUT_SHARED_DATA();
  const Frame frame = *Frame::make("EPSG:26920");
  auto roads = read_vector(shared_data() / "vector/LongLakeMarshRoads.shp", Kind::road, frame);
  ASSERT_TRUE(roads) << roads.error().message;
  EXPECT_EQ(roads->features.size(), 46U);
  auto wet = read_vector(shared_data() / "vector/LongLakeMarshWetlands.gpkg", Kind::water, frame);
  ASSERT_TRUE(wet) << wet.error().message;
  EXPECT_GT(wet->features.size(), 10U);
  for (const Feature& f : wet->features) ASSERT_EQ(feature_problem(f), "");
}

// The file: two waypoints, two routes (one empty), tracks; ogrinfo on test.gpx.
TEST(VectorReal, GpxKmlAndKmz) {
  SKIP_WITHOUT_SHARED_DATA();
  const fs::path data = shared_data();
  auto points = inspect_vector(data / "containers/test.gpx");
  ASSERT_TRUE(points) << points.error().message;
  EXPECT_THAT(*points, ::testing::HasSubstr("2 points"));
  auto track =
      read_vector(data / "tracks/gpxpy/route.gpx", Kind::human_path, *Frame::make("EPSG:32633"));
  ASSERT_TRUE(track) << track.error().message;
  EXPECT_GE(track->taken, 1);
  auto kml = inspect_vector(data / "tracks/libkml/kmlsamples.kml");
  ASSERT_TRUE(kml) << kml.error().message;
  EXPECT_THAT(*kml, ::testing::ContainsRegex("[0-9]+ points, [0-9]+ lines, [0-9]+ areas in"));
  auto kmz = inspect_vector(data / "tracks/libkml/radar-animation.kmz");  // network links only
  ASSERT_FALSE(kmz);
  EXPECT_THAT(kmz.error().message, ::testing::StartsWith("radar-animation.kmz: "));
}

}  // namespace
}  // namespace leeward::io
