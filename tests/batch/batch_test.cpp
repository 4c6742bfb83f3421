#include "tests/batch/batch_support.h"

#include <gmock/gmock.h>
#include <nlohmann/json.hpp>

#include <cmath>

namespace leeward {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;

class Batch : public testing::BatchTest {
 protected:
  static std::string demo() { return LEEWARD_DEMO; }
};

TEST_F(Batch, EveryVerbHasHelpAndAWrongCallIsTwo) {
  EXPECT_EQ(batch("--help").code, 0);
  for (const char* verb : {"create", "check", "evaluate", "print", "dump"}) {
    const auto help = batch(std::string(verb) + " --help");
    EXPECT_EQ(help.code, 0) << verb;
    EXPECT_THAT(help.out, HasSubstr(verb));
  }
  EXPECT_EQ(batch("").code, 2);
  EXPECT_EQ(batch("frobnicate").code, 2);
  EXPECT_EQ(batch("print only.gpkg").code, 2);  // no --output
}

TEST_F(Batch, NamesAFileThatIsMissingOrNotAProperty) {
  const auto missing = batch("evaluate " + file("none.gpkg"));
  EXPECT_EQ(missing.code, 1);
  EXPECT_THAT(missing.err, HasSubstr("none.gpkg"));
  std::ofstream(file("text.gpkg")) << "hello";
  const auto other = batch("check " + file("text.gpkg"));
  EXPECT_EQ(other.code, 1);
  EXPECT_THAT(other.err, HasSubstr("text.gpkg"));
  EXPECT_EQ(text_of(file("text.gpkg")), "hello");
}

TEST_F(Batch, EvaluatesTheDemoAsTextAndJsonWithTheSameFigures) {
  const auto text = batch("evaluate " + demo() + " --at 2026-11-14T14:30");
  ASSERT_EQ(text.code, 0) << text.err;
  EXPECT_THAT(text.out, HasSubstr("Clover ladder"));
  EXPECT_THAT(text.out, HasSubstr("arriving 14:30"));
  const auto answer = batch("evaluate " + demo() + " --at 2026-11-14T20:30:00Z --json");
  ASSERT_EQ(answer.code, 0) << answer.err;
  const json j = json::parse(answer.out);
  EXPECT_EQ(j["arrive"], "2026-11-14T20:30:00Z");
  ASSERT_EQ(j["stands"].size(), 10U);
  for (const json& s : j["stands"]) {
    EXPECT_TRUE(s["way_in"]["balanced"].is_object()) << s["name"];
    EXPECT_GT(s["way_in"]["balanced"]["time_s"].get<double>(), 60);
    EXPECT_LE(s["way_in"]["quick"]["time_s"].get<double>(),
              s["way_in"]["careful"]["time_s"].get<double>() + 1e-6);
    EXPECT_FALSE(s["rings"].empty());
    const double p = s["way_out"]["balanced"]["unnoticed"].get<double>();
    EXPECT_GT(p, 0);
    EXPECT_LE(p, 1);
  }
  EXPECT_FALSE(j["judgement"].empty());
  for (const json& row : j["judgement"]) EXPECT_FALSE(row["source"].get<std::string>().empty());
}

TEST_F(Batch, TheAirAndItsDoubtsAreInTheJson) {
  const auto help = batch("evaluate --help");
  const auto answer = batch("evaluate " + demo() + " --at 2026-11-14T14:30 --json");
  ASSERT_EQ(answer.code, 0) << answer.err;
  const json j = json::parse(answer.out);
  for (const char* key : {"air", "air_leave"}) {
    const json& air = j[key];
    EXPECT_TRUE(air["doubts"].is_array()) << key;
    EXPECT_FALSE(air["stability_by_hand"].get<bool>());
    const double index = air["stability_index"].get<double>();
    EXPECT_EQ(air["stability"].get<std::string>()[0], 'A' + std::lround(index));
    EXPECT_GE(air["direction_sd_deg"].get<double>(), air["extra_sd_deg"].get<double>());
  }
  EXPECT_TRUE(j["land_wind"]["bent"].is_boolean() && j["land_wind"]["pending"].is_boolean());
  EXPECT_GT(j["scent_limit"].get<double>(), 0);
  for (const json& s : j["stands"]) {
    const json &air = s["air"], &margin = s["margin"];
    EXPECT_GE(air["speed_mps"].get<double>(), 0) << s["name"];
    for (const char* bearing : {"toward_grid_deg", "slope_toward_grid_deg"}) {
      EXPECT_GE(air[bearing].get<double>(), 0) << s["name"];
      EXPECT_LT(air[bearing].get<double>(), 360) << s["name"];
    }
    EXPECT_TRUE(air["doubt"].is_array());
    EXPECT_EQ(air["drains_from"].is_null(), air["drains_toward_grid_deg"].is_null());
    EXPECT_TRUE(air.contains("drains_on") && air.contains("spread_deg"));
    for (const char* side : {"veer_deg", "back_deg"}) {
      EXPECT_GE(margin[side].get<double>(), 0) << s["name"];
      EXPECT_LE(margin[side].get<double>(), margin["most_deg"].get<double>()) << s["name"];
    }
    for (const char* area : {"veer_area", "back_area"})
      EXPECT_TRUE(margin[area].is_null() || !margin[area].get<std::string>().empty());
    for (const json& on : s["scent_on"]) {
      EXPECT_LE(on["exposure_low"].get<double>(), on["exposure"].get<double>());
      EXPECT_LE(on["exposure"].get<double>(), on["exposure_high"].get<double>());
    }
    for (const json& m : s["meetings"]) {
      EXPECT_TRUE(m["walking_from"] == "start" || m["walking_from"] == "end");
      EXPECT_FALSE(m["trail"].get<std::string>().empty());
      EXPECT_GE(m["before_m"].get<double>(), 0);
    }
  }
  for (const char* key :
       {"scent_limit", "margin", "meetings", "doubts", "land_wind", "stability_index"})
    EXPECT_THAT(help.out, HasSubstr(key));
}

// An hour beyond the forecast: the spread is honest and the sentence says why.
TEST_F(Batch, AnHourWithoutForecastSaysSo) {
  const auto answer = batch("evaluate " + demo() + " --at 2027-02-01T08:00 --json");
  ASSERT_EQ(answer.code, 0) << answer.err;
  const json j = json::parse(answer.out);
  EXPECT_FALSE(j["air"]["known"].get<bool>());
  EXPECT_EQ(j["air"]["direction_sd_deg"].get<double>(), 104);
  std::string said;
  for (const json& sentence : j["air"]["doubts"]) said += sentence.get<std::string>() + " ";
  EXPECT_THAT(said, HasSubstr("does not cover this hour: the last hour before it is"));
  EXPECT_THAT(said, HasSubstr("spread to all sides"));
  const auto text = batch("evaluate " + demo() + " --at 2027-02-01T08:00");
  for (const json& sentence : j["air"]["doubts"])
    EXPECT_THAT(text.out, HasSubstr("  ! " + sentence.get<std::string>() + "\n"));
}

TEST_F(Batch, TheWindDecidesWhereScentGoes) {
  // Before and after a front, the same stand puts scent on different ground.
  const auto south = json::parse(
      batch("evaluate " + demo() + " --at 2026-11-13T09:00 --stand 'Corn tower' --json").out);
  const auto north = json::parse(
      batch("evaluate " + demo() + " --at 2026-11-14T14:30 --stand 'Corn tower' --json").out);
  const auto on = [](const json& j, const char* area) {
    for (const json& s : j["stands"][0]["scent_on"])
      if (s["name"] == area) return s["exposure"].get<double>();
    return -1.0;
  };
  EXPECT_NEAR(south["air"]["from_true_deg"].get<double>(), 205, 25);
  EXPECT_GT(on(south, "North corn"), 4 * on(north, "North corn"));
}

TEST_F(Batch, ChecksTheDemoWithoutAnError) {
  const auto a = batch("check " + demo());
  EXPECT_EQ(a.code, 0) << a.out;
  EXPECT_THAT(a.out,
              ::testing::AllOf(HasSubstr("Crossbow"), HasSubstr("look them up in your local law")));
}

TEST_F(Batch, PrintsTheStoredLayoutWithOutputAlone) {
  const auto pdf = batch("print " + demo() + " --output " + file("map.pdf"));
  ASSERT_EQ(pdf.code, 0) << pdf.err;
  EXPECT_EQ(text_of(file("map.pdf")).substr(0, 5), "%PDF-");
  const auto png = batch("print " + demo() + " --output " + file("map.png") +
                         " --dpi 60 --stand 'Gap saddle' --landscape");
  ASSERT_EQ(png.code, 0) << png.err;
  EXPECT_EQ(text_of(file("map.png")).substr(1, 3), "PNG");
  const auto bad = batch("print " + demo() + " --output " + file("x.pdf") + " --stand 'No such'");
  EXPECT_NE(bad.code, 0);
  EXPECT_THAT(bad.err, HasSubstr("Gap saddle"));
  EXPECT_FALSE(std::filesystem::exists(file("x.pdf")));
}

TEST_F(Batch, DumpsIntermediateRasters) {
  for (const char* what : {"ground", "canopy", "hazard-in", "sight", "scent"}) {
    const auto a = batch("dump " + demo() + " --what " + what + " --stand 'Gap saddle' --output " +
                         file("x.tif"));
    ASSERT_EQ(a.code, 0) << what << a.err;
    EXPECT_GT(std::filesystem::file_size(file("x.tif")), 1000U);
    std::filesystem::remove(file("x.tif"));
  }
  EXPECT_EQ(batch("dump " + demo() + " --what scent --output " + file("x.tif")).code,
            2);  // no stand
}

TEST_F(Batch, CreateRefusesToOverwrite) {
  std::ofstream(file("there.gpkg")) << "mine";
  const auto a = batch("create " + file("there.gpkg") + " --crs EPSG:32615");
  EXPECT_NE(a.code, 0);
  EXPECT_EQ(text_of(file("there.gpkg")), "mine");
}

TEST_F(Batch, CreatesAnEmptyPropertyThatCheckFindsWanting) {
  const auto made = batch("create " + file("new.gpkg") + " --crs EPSG:32615 --name 'Bare ground'");
  ASSERT_EQ(made.code, 0) << made.err;
  const auto check = batch("check " + file("new.gpkg"));
  EXPECT_THAT(check.out, HasSubstr("boundary"));
  const auto answer = batch("evaluate " + file("new.gpkg") + " --at 2026-11-14T14:30");
  EXPECT_EQ(answer.code, 0) << answer.err;
  EXPECT_THAT(answer.out, HasSubstr("no elevation"));
}

}  // namespace
}  // namespace leeward
