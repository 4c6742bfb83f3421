// Fire, light and the moon as the batch program tells them, on a drawn property and on the demo.
#include "core/io/property_store.h"
#include "tests/batch/batch_support.h"
#include "tests/support/ascii_map.h"

#include <gmock/gmock.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cctype>
#include <set>

namespace leeward::testing {
namespace {

using nlohmann::json;
using ::testing::HasSubstr;
using ::testing::Not;

class BatchSafety : public BatchTest {
 protected:
  std::string written(const Document& d) const {
    auto store = io::PropertyStore::create(file("drawn.gpkg"), make_ref<Document>(d));
    if (!store) throw std::runtime_error(store.error().message);
    return file("drawn.gpkg");
  }
  json answer(const std::string& property, const std::string& at) const {
    const auto a = batch("evaluate " + property + " --at " + at + " --json");
    EXPECT_EQ(a.code, 0) << a.err;
    return json::parse(a.out);
  }
  static const json& called(const json& list, const char* key, const char* name) {
    return *std::find_if(list.begin(), list.end(), [&](const json& j) { return j[key] == name; });
  }
};

// The stand in the west, a house 25 m east of it, a guest 100 m east.
Document drawn() {
  const Document d = document_from_ascii("S....D..............S", 5);
  return with<StandAttrs>(with_bow(d,
                                   [](Weapon& w) {
                                     w.outer_m = 40;
                                     w.max_travel_m = 183;
                                     w.setback_m = {20, 0, 0, 0, 0, 0};
                                   }),
                          "stand 2", [](StandAttrs& s) { s.sitter = "Ann"; });
}

TEST_F(BatchSafety, TellsTheArcsOfADrawnPropertyWithWhoMakesThem) {
  const json j = answer(written(drawn()), "2026-11-14T14:30");
  const json& fire = called(j["stands"], "name", "stand 1")["fire"].at(0);
  EXPECT_EQ(fire["weapon"], "Bow");
  EXPECT_TRUE(fire["entered"].get<bool>() && fire["travel_entered"].get<bool>());
  EXPECT_TRUE(fire["setbacks_not_entered"].empty());
  ASSERT_EQ(fire["kept_from"].size(), 1U);
  const json& house = fire["kept_from"][0];
  EXPECT_EQ(house["name"], "dwelling 1");
  EXPECT_EQ(house["from"], "dwelling");
  EXPECT_EQ(house["setback_m"], 20);
  EXPECT_NEAR(house["nearest_m"].get<double>(), 25, 1e-6);
  // asin(20 / 25) = 53.13 degrees to each side of east; asin(20 / 100) = 11.54 lies within.
  const auto near_arc = [](const json& arc, double from, double to) {
    return std::abs(arc["from_grid_deg"].get<double>() - from) < 0.11 &&
           std::abs(arc["to_grid_deg"].get<double>() - to) < 0.11;
  };
  EXPECT_TRUE(near_arc(house["arcs"].at(0), 36.87, 143.13)) << house;
  ASSERT_EQ(fire["closed"].size(), 1U);
  EXPECT_TRUE(near_arc(fire["closed"][0], 36.87, 143.13));
  EXPECT_NEAR(fire["open_share"].get<double>(), 1 - 106.26 / 360, 0.02);
  ASSERT_EQ(fire["people"].size(), 1U);
  const json& ann = fire["people"][0];
  EXPECT_EQ(ann["name"], "Ann");
  EXPECT_EQ(ann["stand"], "stand 2");
  EXPECT_EQ(ann["doing"], "sitting");
  EXPECT_EQ(ann["as_drawn"], false);
  EXPECT_EQ(ann["at"], j["arrive"]);
  EXPECT_NEAR(ann["nearest_m"].get<double>(), 100, 1e-6);
  EXPECT_TRUE(near_arc(ann["arcs"].at(0), 78.46, 101.54)) << ann;
  EXPECT_TRUE(called(j["stands"], "name", "stand 1")["light"].is_null());  // no elevation
}

TEST_F(BatchSafety, TellsWhatIsNotEnteredAndGivesNoShareForIt) {
  const std::string file =
      written(with_bow(drawn(), [](Weapon& w) { w.setback_m[1].reset(), w.setback_m[4].reset(); }));
  const json j = answer(file, "2026-11-14T14:30");
  const json& fire = called(j["stands"], "name", "stand 1")["fire"].at(0);
  EXPECT_FALSE(fire["entered"].get<bool>());
  EXPECT_EQ(fire["setbacks_not_entered"], json::array({"road", "gate"}));
  EXPECT_TRUE(fire["open_share"].is_null());
  EXPECT_FALSE(fire["closed"].empty());
  const auto text = batch("evaluate " + file + " --at 2026-11-14T14:30");
  EXPECT_THAT(text.out, HasSubstr("! Bow: setback not entered for road, gate. Check local law; "
                                  "until then no direction counts as looked at."));
}

TEST_F(BatchSafety, SaysOnStderrWhatWasMendedInReading) {
  Document d = drawn();
  Weapon odd = *d.weapons->at(0);
  odd.setback_m[0] = -5;  // no edit would take it
  d.weapons = make_ref<Rows<Weapon>>(Rows<Weapon>{make_ref<Weapon>(odd)});
  const auto a = batch("evaluate " + written(d) + " --at 2026-11-14T14:30 --json");
  ASSERT_EQ(a.code, 0) << a.err;
  EXPECT_THAT(a.err,
              HasSubstr("drawn.gpkg: Row 1 of table weapons: a setback from dwelling of -5 m "
                        "does not lie between 0 and 20000 m; it counts as not entered."));
  EXPECT_EQ(json::parse(a.out)["stands"][0]["fire"][0]["setbacks_not_entered"],
            json::array({"dwelling"}));
}

TEST_F(BatchSafety, TheDemoHasFireLightAndMoonForEveryStand) {
  const json j = answer(LEEWARD_DEMO, "2026-11-14T14:30");
  const std::set<std::string> outcomes = {"meets_ground", "clears_ground", "unknown", "blocked"};
  for (const json& s : j["stands"]) {
    ASSERT_FALSE(s["fire"].empty()) << s["name"];
    for (const json& f : s["fire"]) {
      EXPECT_EQ(f["open_share"].is_null(), !f["entered"].get<bool>());
      EXPECT_EQ(f["entered"].get<bool>(),
                f["setbacks_not_entered"].empty() && f["travel_entered"].get<bool>());
      EXPECT_EQ(f["lines"].size(), f["travel_entered"].get<bool>() ? 180U : 0U);
      for (size_t i = 0; i < f["lines"].size(); ++i) {
        const json& line = f["lines"][i];
        EXPECT_TRUE(outcomes.count(line["outcome"].get<std::string>()));
        EXPECT_NEAR(line["toward_grid_deg"].get<double>(), 2.0 * static_cast<double>(i), 1e-9);
        EXPECT_EQ(line["ground_beyond_m"].is_null(), line["outcome"] != "meets_ground");
      }
      for (const json& arc : f["closed"])
        EXPECT_GT(arc["to_grid_deg"].get<double>(), arc["from_grid_deg"].get<double>());
    }
    for (const json& in : s["in_reach"]) {
      EXPECT_LE(in["longest_m"].get<double>(), in["seen_m"].get<double>() + 1e-9);
      EXPECT_LE(in["seen_m"].get<double>(), in["reach_m"].get<double>() + 1e-9);
      EXPECT_TRUE(in["steep"].is_boolean());
      EXPECT_LE(in["skyline_share"].get<double>(), 1);
      EXPECT_EQ(in["shot_from_m"].is_null(), in["shot_to_m"].is_null());
      if (in["kind"] == "deer_trail") {
        EXPECT_NEAR(in["walk_s"].get<double>(), in["seen_m"].get<double>() / 0.9, 1e-6);
      }
    }
    const json& light = s["light"];
    ASSERT_FALSE(light["direct_sun"].empty()) << s["name"];
    EXPECT_GE(light["direct_sun"][0]["from"].get<std::string>(),
              j["sun"]["rise"].get<std::string>())
        << "later than on level land, to the minute";
    EXPECT_TRUE(light["glare"].is_array() && light["face_lit"].is_array());
  }
  EXPECT_GT(j["moon"]["illuminated"].get<double>(), 0.1);
  EXPECT_LT(j["moon"]["illuminated"].get<double>(),
            0.5);  // new on the 9th, half on the 17th: from memory
  EXPECT_TRUE(j["moon"]["waxing"].get<bool>());
  EXPECT_TRUE(j["surroundings_drawn"].is_boolean());
  const auto help = batch("evaluate --help");
  for (const char* key : {"in_reach", "seen_m", "longest_m", "walk_s", "steep", "skyline_share",
                          "fire", "closed", "lines", "open_share", "as_drawn", "direct_sun"})
    EXPECT_THAT(help.out, HasSubstr(key));
}

TEST_F(BatchSafety, NoSentenceOfTheDemoCallsADirectionSafe) {
  const auto full =
      batch("evaluate " + std::string(LEEWARD_DEMO) + " --at 2026-11-14T14:30 --full");
  ASSERT_EQ(full.code, 0) << full.err;
  EXPECT_THAT(full.out, HasSubstr("Where not to shoot"));
  EXPECT_THAT(full.out, HasSubstr("Directions are taken away here, never cleared."));
  std::string lower = full.out;
  std::transform(lower.begin(), lower.end(), lower.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  EXPECT_THAT(lower, Not(HasSubstr("safe")));
}

}  // namespace
}  // namespace leeward::testing
