// Sheets as a club prints them: from a layout file, on the demo and on real open data, read back
// with poppler's, qpdf's and GDAL's own programs.
#include "core/io/property_store.h"
#include "core/model/edit.h"
#include "tests/batch/page_checks.h"

#include <gmock/gmock.h>
#include <nlohmann/json.hpp>

#include <cmath>
#include <sys/resource.h>

namespace leeward {
namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using ::testing::HasSubstr;
using ::testing::Not;

using testing::Placed;

/// Of all programs that were waited for; a busy machine does not lengthen it.
double cpu_s() {
  rusage used{};
  getrusage(RUSAGE_CHILDREN, &used);
  const auto seconds = [](const timeval& t) {
    return static_cast<double>(t.tv_sec) + 1e-6 * static_cast<double>(t.tv_usec);
  };
  return seconds(used.ru_utime) + seconds(used.ru_stime);
}

class Print : public testing::PageTest {
 protected:
  static std::string demo() { return LEEWARD_DEMO; }
  void write(const std::string& name, const std::string& text) const {
    std::ofstream(file(name)) << text;
  }

  /// What a page must be whatever is on it.
  void expect_sound(const std::string& name, double most_mb) const {
    EXPECT_THAT(call("qpdf --check " + file(name)).out,
                HasSubstr("No syntax or stream encoding errors"));
    EXPECT_EQ(call("pdftoppm -r 40 -png " + file(name) + " " + file("seen")).err, "");
    EXPECT_LT(static_cast<double>(fs::file_size(file(name))), most_mb * 1e6) << name;
    const std::string fonts = call("pdffonts " + file(name)).out;
    size_t rows = 0, embedded = 0;
    for (size_t at = 0; (at = fonts.find("Identity-H", at)) != std::string::npos; ++at) {
      ++rows;
      embedded += fonts.substr(at + 10, 12).find("yes") != std::string::npos;
    }
    EXPECT_GT(rows, 0U);
    EXPECT_EQ(embedded, rows);
    EXPECT_THAT(call("pdfinfo " + file(name)).out, Not(HasSubstr("Author")));
  }

  /// The ground that GDAL reads from a page is as wide as its scale says.
  void expect_true_scale(const std::string& name, const std::string& epsg) const {
    const json j = json::parse(call("gdalinfo -json " + file(name)).out, nullptr, false);
    if (j.is_discarded() || !j.contains("geoTransform")) GTEST_SKIP() << "no PDF driver here";
    EXPECT_THAT(j["coordinateSystem"]["wkt"].get<std::string>(), HasSubstr(epsg));
    std::string scale = words("-layout", name);
    scale = scale.substr(scale.find("Scale 1 : ") + 10);
    std::string digits;
    for (const char c : scale.substr(0, scale.find('\n')))
      if (std::isdigit(static_cast<unsigned char>(c)))
        digits += c;
      else if (c == ' ')
        break;
    double width_pt = 0, height_pt = 0;
    const std::string info = call("pdfinfo " + file(name)).out;
    ASSERT_EQ(std::sscanf(info.c_str() + info.find("Page size:"), "Page size: %lf x %lf", &width_pt,
                          &height_pt),
              2);
    const double metres =
        std::hypot(j["geoTransform"][1].get<double>(), j["geoTransform"][4].get<double>()) *
        j["size"][0].get<double>();
    EXPECT_NEAR(metres, width_pt / 72 * 0.0254 * std::stod(digits), 1.5) << name;
  }
};

TEST_F(Print, AClubPrintsEverySheetFromOneLayoutFile) {
  write("club.json", R"({"sheets": ["all"], "paper": "Legal", "days": 1, "look": "grey",
                         "at": "2026-11-14T14:30"})");
  const auto a =
      batch("print " + demo() + " --layout " + file("club.json") + " --output " + file("club.pdf"));
  ASSERT_EQ(a.code, 0) << a.err;
  expect_sound("club.pdf", 8);
  EXPECT_THAT(call("pdfinfo " + file("club.pdf")).out, HasSubstr("612 x 1008 pts"));
  const std::string all = words("-layout", "club.pdf");
  for (const char* expected : {"Clover ladder", "Bottom ladder", "Plan of the coming sits",
                               "Work list", "Meet helpers at", "Farm house: 555 0142"})
    EXPECT_THAT(all, HasSubstr(expected));
  const std::string outlines = call("qpdf --json --json-key=outlines " + file("club.pdf")).out;
  EXPECT_THAT(outlines, HasSubstr("\"title\": \"Switchgrass blind\""));
  for (const int page : {1, 2, 3, 4}) expect_words_apart("club.pdf", page);
  expect_looks_like("club.pdf", 1, "map_grey_legal");
  expect_looks_like("club.pdf", 2, "cards_grey_legal");
}

TEST_F(Print, OptionsOfTheCallGoBeforeTheFile) {
  write("two.json", R"({"sheets": ["map"], "paper": {"width_mm": 300, "height_mm": 420},
                        "stands": ["Gap saddle"], "turn_deg": 20})");
  const auto a = batch("print " + demo() + " --layout " + file("two.json") +
                       " --sheet cards --stand 'Corn tower' --output " + file("two.pdf"));
  ASSERT_EQ(a.code, 0) << a.err;
  EXPECT_THAT(call("pdfinfo " + file("two.pdf")).out, HasSubstr("850 x 1191 pts"));
  const std::string card = words("-layout", "two.pdf");
  EXPECT_THAT(card, HasSubstr("Corn tower"));
  EXPECT_THAT(card, Not(HasSubstr("Legend")));
}

TEST_F(Print, ABadLayoutFileIsNamedWithThePlaceAndTheMend) {
  const auto says = [&](const std::string& text) {
    write("bad.json", text);
    const auto a =
        batch("print " + demo() + " --layout " + file("bad.json") + " --output " + file("bad.pdf"));
    EXPECT_NE(a.code, 0) << text;
    EXPECT_FALSE(fs::exists(file("bad.pdf")));
    return a.err;
  };
  EXPECT_THAT(says("{\"scale\": 5000,\n \"paper\": }"), HasSubstr("bad.json: it is not JSON: parse "
                                                                  "error at line 2, column 11"));
  EXPECT_THAT(says("{\"papper\": \"A4\"}"), HasSubstr("bad.json: 'papper': it is not known; there "
                                                      "are aerial, at, centre"));
  EXPECT_THAT(says("{\"paper\": \"A5\"}"), HasSubstr("'paper': one of Letter, Legal, Tabloid, A4, "
                                                     "A3, custom is wanted, not \"A5\""));
  EXPECT_THAT(says("{\"turn_deg\": 400}"),
              HasSubstr("'turn_deg': a number from -180 to 180 is wanted, not 400"));
  EXPECT_THAT(says("{\"landscape\": \"yes\"}"), HasSubstr("true or false is wanted"));
  EXPECT_THAT(says("{\"paper\": {\"width_mm\": 20, \"height_mm\": 300}}"),
              HasSubstr("'paper.width_mm'"));
  EXPECT_THAT(says("{\"stands\": [\"No such\"]}"), HasSubstr("no stand is called 'No such'"));
  EXPECT_THAT(says("{\"sheets\": [\"poster\"]}"), HasSubstr("'poster' is not a sheet"));
  EXPECT_THAT(says("[]"), HasSubstr("one object"));
  const auto none =
      batch("print " + demo() + " --layout " + file("none.json") + " --output " + file("bad.pdf"));
  EXPECT_THAT(none.err, HasSubstr("none.json: there is no such file"));
}

// The schema names what the reader knows, and no more.
TEST_F(Print, TheSchemaNamesEveryKey) {
  const json schema =
      json::parse(text_of(std::string(LEEWARD_SOURCE_DIR) + "/resources/print_layout.schema.json"));
  write("odd.json", "{\"odd\": 1}");
  const std::string err =
      batch("print " + demo() + " --layout " + file("odd.json") + " --output " + file("x.pdf")).err;
  std::string names;
  for (const auto& [key, unused] : schema["properties"].items())
    if (key != "$schema") names += (names.empty() ? "" : ", ") + key;
  EXPECT_THAT(err, HasSubstr("there are " + names));
}

TEST_F(Print, GroundLargerThanAPageTakesSheetsThatOverlap) {
  const auto a = batch("print " + demo() + " --scale 5000 --whole-ground --no-aerial --output " +
                       file("atlas.pdf"));
  ASSERT_EQ(a.code, 0) << a.err;
  EXPECT_THAT(call("pdfinfo " + file("atlas.pdf")).out, HasSubstr("Pages:           6"));
  EXPECT_THAT(words("-f 1 -l 1", "atlas.pdf"), HasSubstr("4 sheets at 1 : 5,000"));
  for (const char* sheet : {"A1", "A2", "B1", "B2"})
    EXPECT_THAT(words("-f 1 -l 1", "atlas.pdf"), HasSubstr(sheet));
  EXPECT_THAT(words("-f 3 -l 3", "atlas.pdf"), HasSubstr("A2"));
  expect_words_apart("atlas.pdf", 1);
  expect_looks_like("atlas.pdf", 1, "index_sketch");
  // Neighbours as GDAL places them: 12 mm of paper in common, 60 m of ground.
  const auto west_of = [&](int page) {
    const json j = json::parse(
        call("gdalinfo -json PDF:" + std::to_string(page) + ":" + file("atlas.pdf")).out, nullptr,
        false);
    return j.is_discarded() || !j.contains("geoTransform") ? std::nan("")
                                                           : j["geoTransform"][0].get<double>();
  };
  const double step_m = west_of(3) - west_of(2);
  if (std::isnan(step_m)) GTEST_SKIP() << "no PDF driver here";
  EXPECT_NEAR(step_m, (0.1959 - 0.012) * 5000, 1.0);
  const auto many =
      batch("print " + demo() + " --scale 500 --whole-ground --output " + file("many.pdf"));
  EXPECT_EQ(many.code, 2);
  EXPECT_THAT(many.err, HasSubstr("choose a smaller scale"));
}

TEST_F(Print, TheDemosPageIsSoundTrueAndQuick) {
  const double before_s = cpu_s();
  const auto a = batch("print " + demo() + " --output " + file("map.pdf"));
  const double took_s = cpu_s() - before_s;
  ASSERT_EQ(a.code, 0) << a.err;
  RecordProperty("cpu_seconds", std::to_string(took_s));
  EXPECT_LT(took_s, 10) << "5 s on two cores";
  expect_sound("map.pdf", 6);
  expect_true_scale("map.pdf", "32616");
  expect_words_apart("map.pdf", 1);
  expect_looks_like("map.pdf", 1, "map");
}

TEST_F(Print, ATurnedPageOfTheDemoLiesWhereItsLayoutSays) {
  const Placed truth{{500900, 4871200}, 9000, -25};
  write("turned.json", R"({"centre": {"easting_m": 500900, "northing_m": 4871200}, "scale": 9000,
                           "turn_deg": -25, "look": "red light", "paper": "A3",
                           "landscape": true})");
  const auto a = batch("print " + demo() + " --layout " + file("turned.json") + " --output " +
                       file("turned.pdf"));
  ASSERT_EQ(a.code, 0) << a.err;
  expect_words_apart("turned.pdf", 1);
  expect_looks_like("turned.pdf", 1, "map_red_turned");
  expect_true_scale("turned.pdf", "32616");
  if (!expect_placed("turned.pdf", truth)) GTEST_SKIP() << "gdalinfo has no PDF driver here";
  expect_label_near("turned.pdf", "Clover", {500800, 4871213}, truth, 14);
}

TEST_F(Print, RealLandPrintsWithCards) {
  const fs::path data = fs::path(LEEWARD_SHARED_DIR) / "data";
  if (!fs::exists(data)) GTEST_SKIP() << "the folder of real open data is not there: " << data;
  struct Land {
    const char *name, *zone, *epsg;
    std::string layers;
    LocalXY stand, gate;
    double denominator;
  };
  for (const Land& land :
       {Land{"lake",
             "America/Toronto",
             "26917",
             " --elevation " + (data / "dem/derived_haliburton_1m_dtm_utm17n.tif").string(),
             {685136, 5018149},
             {684736, 5018279},
             6000},
        Land{"pines",
             "America/Los_Angeles",
             "32611",
             " --aerial " + (data / "overlap_teak/teak_058_ortho_0.1m.tif").string() +
                 " --elevation " + (data / "overlap_teak/derived_teak_058_dtm_1m.tif").string(),
             {321350, 4096538},
             {321374, 4096562},
             600}}) {
    const std::string property = file(std::string(land.name) + ".gpkg"),
                      pdf = std::string(land.name) + ".pdf";
    const auto made =
        batch("create " + property + " --name Land --time-zone " + land.zone + land.layers);
    ASSERT_EQ(made.code, 0) << made.err;
    auto opened = io::PropertyStore::open(property);
    ASSERT_TRUE(opened);
    auto drawn = apply(*opened->document,
                       {"Draw",
                        {put(make_feature(Kind::stand, Shape::point(land.stand), "The stand")),
                         put(make_feature(Kind::gate, Shape::point(land.gate), "The gate"))},
                        {}});
    ASSERT_TRUE(drawn);
    opened->store->save(make_ref<Document>(*std::move(drawn)));
    ASSERT_TRUE(opened->store->flush());
    opened->store.reset();
    const auto a = batch("print " + property +
                         " --at 2026-11-09T20:00:00Z --sheet map --sheet "
                         "cards --output " +
                         file(pdf));
    ASSERT_EQ(a.code, 0) << a.err;
    expect_sound(pdf, 6);
    const std::string map = words("-layout -f 1 -l 1", pdf), card = words("-layout -f 2 -l 2", pdf);
    EXPECT_THAT(map, HasSubstr("Contours every")) << land.name;
    EXPECT_THAT(card, HasSubstr("From The gate"));
    EXPECT_THAT(card, HasSubstr("The hour's wind is unknown or calm"));
    for (const int page : {1, 2}) expect_words_apart(pdf, page);
    for (const double turn_deg : {0.0, 33.0}) {
      const Placed truth{land.gate, land.denominator, turn_deg};
      json layout = {{"centre", {{"easting_m", land.gate.x}, {"northing_m", land.gate.y}}},
                     {"scale", land.denominator},
                     {"turn_deg", turn_deg},
                     {"at", "2026-11-09T20:00:00Z"}};
      write("land.json", layout.dump());
      ASSERT_EQ(batch("print " + property + " --layout " + file("land.json") + " --output " +
                      file("placed.pdf"))
                    .code,
                0);
      expect_true_scale("placed.pdf", land.epsg);
      if (!expect_placed("placed.pdf", truth)) GTEST_SKIP() << "gdalinfo has no PDF driver here";
      expect_label_near("placed.pdf", "gate", land.gate, truth, 14);
      expect_label_near("placed.pdf", "stand", land.stand, truth, 14);
    }
  }
}

}  // namespace
}  // namespace leeward
