// Files of an earlier schema, and values in a file that no edit would allow.
#include "core/io/property_store.h"
#include "tests/core/io/other_program.h"

namespace leeward::io {
namespace {

using namespace testing;

/// The file of full_document() after another program's changes, opened for reading.
PropertyStore::Opened opened_after(const std::vector<std::string>& sql) {
  const Folder folder;
  make_file(folder / "p.gpkg", full_document());
  {
    OtherProgram other(folder / "p.gpkg");
    for (const std::string& text : sql) other.sql(text);
  }
  auto opened = PropertyStore::open(folder / "p.gpkg", true);
  if (!opened) throw std::runtime_error(opened.error().message);
  opened->store.reset();
  return *std::move(opened);
}

using Columns = std::vector<std::pair<const char*, const char*>>;  // table, column
/// Takes a file back to an earlier schema, which had not these columns.
void make_earlier(const fs::path& path, int schema, const Columns& later) {
  OtherProgram other(path);
  other.sql("UPDATE leeward_schema SET schema_version = " + std::to_string(schema));
  for (const auto& [table, column] : later) {
    OGRLayer& layer = other.layer(table);
    const int index = layer.GetLayerDefn()->GetFieldIndex(column);
    ASSERT_GE(index, 0) << column;
    ASSERT_EQ(layer.DeleteField(index), OGRERR_NONE) << column;
  }
}

TEST(Migration, AFileOfSchemaOneGetsTheAirsSettings) {
  const Folder folder;
  const fs::path path = folder / "p.gpkg";
  const Document document = full_document();
  make_file(path, document);
  make_earlier(path, 1, {{"settings", "stability"}, {"settings", "scent_limit"}});
  Settings expected = *document.settings;
  expected.stability.reset();
  expected.scent_limit = Settings{}.scent_limit;
  auto opened = PropertyStore::open(path);
  ASSERT_TRUE(opened) << opened.error().message;
  EXPECT_THAT(opened->notice, ::testing::HasSubstr("from schema 1 to 4"));
  EXPECT_EQ(*opened->document->settings, expected);
  expected.stability = 5;
  expected.scent_limit = 0.2;
  opened->store->save(make_ref<Document>(edited(*opened->document, {put(expected)})));
  opened->store.reset();
  auto again = PropertyStore::open(path, true);
  ASSERT_TRUE(again) << again.error().message;
  EXPECT_EQ(again->notice, "");
  EXPECT_EQ(*again->document->settings, expected);
}

TEST(Migration, AFileOfSchemaThreeHasNoEmergencyPlanAndTheUsualPrint) {
  const Folder folder;
  const fs::path path = folder / "p.gpkg";
  const Document document = full_document();
  make_file(path, document);
  make_earlier(path, 3,
               {{"settings", "layout_custom_width_mm"},
                {"settings", "layout_custom_height_mm"},
                {"settings", "layout_turned_deg"},
                {"settings", "layout_contours"},
                {"settings", "layout_look"},
                {"settings", "layout_large_type"},
                {"settings", "pace_m"},
                {"settings", "emergency_meeting_x"},
                {"settings", "emergency_meeting_y"},
                {"settings", "emergency_meeting_words"},
                {"settings", "emergency_numbers"},
                {"settings", "emergency_due_back"},
                {"settings", "emergency_call_if_late"}});
  Settings expected = *document.settings;
  PrintLayout usual;
  usual.paper = expected.layout.paper, usual.landscape = expected.layout.landscape;
  usual.scale_denominator = expected.layout.scale_denominator;
  usual.centre = expected.layout.centre, usual.trade = expected.layout.trade;
  usual.aerial = expected.layout.aerial, usual.hour = expected.layout.hour;
  expected.layout = usual;
  expected.emergency = {};
  expected.pace_m = Settings{}.pace_m;
  auto opened = PropertyStore::open(path);
  ASSERT_TRUE(opened) << opened.error().message;
  EXPECT_THAT(opened->notice, ::testing::HasSubstr("from schema 3 to 4"));
  EXPECT_EQ(*opened->document->settings, expected);
}

const Columns kOfSchemaThree = {{"weapons", "max_travel_m"},
                                {"weapons", "setback_dwelling_m"},
                                {"weapons", "setback_road_m"},
                                {"weapons", "setback_boundary_m"},
                                {"weapons", "setback_stand_m"},
                                {"weapons", "setback_gate_m"},
                                {"weapons", "setback_path_m"},
                                {"settings", "surroundings_drawn"},
                                {"settings", "deer_pace_mps"},
                                {"settings", "glare_within_deg"},
                                {"stand", "sitter"},
                                {"mock_scrape", "hung"},
                                {"mock_scrape", "hanger"},
                                {"mock_scrape", "length_m"},
                                {"mock_scrape", "diameter_mm"},
                                {"mock_scrape", "tie"},
                                {"mock_scrape", "limb_m"},
                                {"mock_scrape", "lower_end_m"},
                                {"mock_scrape", "cleared_m"},
                                {"mock_scrape", "scent"},
                                {"mock_scrape", "stands"},
                                {"mock_scrape", "cameras"},
                                {"camera", "field_of_view_deg"},
                                {"camera", "reach_m"},
                                {"camera", "height_m"},
                                {"camera", "battery_on"},
                                {"camera", "card_on"},
                                {"camera", "service_months"},
                                {"camera", "service_from_h"},
                                {"camera", "service_to_h"}};

TEST(Migration, AFileOfSchemaTwoHasNoSetbackEnteredAndTheUsualOfTheRest) {
  const Folder folder;
  const fs::path path = folder / "p.gpkg";
  const Document document = full_document();
  make_file(path, document);
  make_earlier(path, 2, kOfSchemaThree);
  auto opened = PropertyStore::open(path);
  ASSERT_TRUE(opened) << opened.error().message;
  EXPECT_EQ(opened->notice,
            "The file was brought from schema 2 to " + std::to_string(kSchemaVersion) + ".");
  const Document& d = *opened->document;
  ASSERT_EQ(d.weapons->size(), 2U);
  for (const auto& w : *d.weapons) {
    Weapon expected = *document.find_weapon(w->uid);
    expected.max_travel_m.reset();
    expected.setback_m = {};
    EXPECT_EQ(*w, expected) << w->name;
  }
  Settings settings = *document.settings;
  settings.surroundings_drawn = false;
  settings.deer_pace_mps = Settings{}.deer_pace_mps;
  settings.glare_within_deg = Settings{}.glare_within_deg;
  EXPECT_EQ(*d.settings, settings);
  MockScrapeAttrs scrape;
  scrape.refreshed = document.of(Kind::mock_scrape)[0]->as<MockScrapeAttrs>().refreshed;
  EXPECT_EQ(d.of(Kind::mock_scrape)[0]->as<MockScrapeAttrs>(), scrape);
  CameraAttrs camera;
  camera.facing_deg = document.of(Kind::camera)[0]->as<CameraAttrs>().facing_deg;
  EXPECT_EQ(d.of(Kind::camera)[0]->as<CameraAttrs>(), camera);
  Feature stand = *document.of(Kind::stand)[0];
  stand.as<StandAttrs>().sitter.clear();
  EXPECT_EQ(*d.of(Kind::stand)[0], stand);
  // The rest is what it was, and what is entered now is kept.
  for (const Kind kind : {Kind::dwelling, Kind::road, Kind::human_path})
    EXPECT_EQ(*d.of(kind)[0], *document.of(kind)[0]);
  Weapon entered = *d.weapons->at(0);
  entered.max_travel_m = 350.5;
  entered.setback_m[static_cast<size_t>(SetbackFrom::road)] = 0;
  opened->store->save(make_ref<Document>(edited(d, {put(entered)})));
  opened->store.reset();
  auto again = PropertyStore::open(path, true);
  ASSERT_TRUE(again) << again.error().message;
  EXPECT_EQ(*again->document->find_weapon(entered.uid), entered);
}

// The rifle of full_document(), row 2: reach 10 to 200.1 m, travel 4827.9 m, four setbacks entered.
struct OddEntry {
  const char* change;
  const char* said;
  void (*mended)(Weapon&);
};
constexpr auto setback = [](Weapon& w, SetbackFrom from) -> std::optional<double>& {
  return w.setback_m[static_cast<size_t>(from)];
};
const OddEntry kOddEntries[] = {
    {"setback_dwelling_m = -5",
     "a setback from dwelling of -5 m does not lie between 0 and 20000 m; it counts as not entered",
     [](Weapon& w) { setback(w, SetbackFrom::dwelling).reset(); }},
    {"setback_path_m = 1e9", "a setback from human path of 1e+09 m does not lie between",
     [](Weapon& w) { setback(w, SetbackFrom::human_path).reset(); }},
    {"setback_gate_m = 9e999", "a setback from gate of inf m does not lie between",
     [](Weapon& w) { setback(w, SetbackFrom::gate).reset(); }},
    {"max_travel_m = 150",
     "a farthest travel of 150 m does not lie between the outer reach and 20000 m; it counts as "
     "not entered",
     [](Weapon& w) { w.max_travel_m.reset(); }},
    {"max_travel_m = -1", "a farthest travel of -1 m does not lie",
     [](Weapon& w) { w.max_travel_m.reset(); }},
    {"outer_m = 5", "a reach of 10 to 5 m is not usable; 0 to 27.432 m stands in for it",
     [](Weapon& w) { w.inner_m = 0, w.outer_m = 27.432; }},
    {"outer_m = 5000", "a reach of 10 to 5000 m is not usable",
     [](Weapon& w) { w.inner_m = 0, w.outer_m = 27.432; }},
    {"rings_m = '50;40;100;9000;-3'", "of its 5 rings 3 do not rise or are too many",
     [](Weapon& w) {
       w.rings_m = {50, 100};
     }}};

TEST(OtherPrograms, AWeaponsEntryThatCannotBeCountsAsNotEnteredAndTheRestStands) {
  for (const OddEntry& odd : kOddEntries) {
    const Document document = full_document();
    const auto opened =
        opened_after({std::string("UPDATE weapons SET ") + odd.change + " WHERE name = 'Rifle'"});
    EXPECT_THAT(opened.notice,
                ::testing::StartsWith(std::string("p.gpkg: Row 2 of table weapons: ") + odd.said));
    Weapon expected = *document.find_weapon(Uid::from_seed("rifle"));
    odd.mended(expected);
    const Document& d = *opened.document;
    EXPECT_EQ(*d.find_weapon(expected.uid), expected) << odd.change;
    EXPECT_EQ(*d.find_weapon(Uid::from_seed("bow")), *document.find_weapon(Uid::from_seed("bow")));
    EXPECT_EQ(*d.settings, *document.settings);
    for (size_t k = 0; k < kKindCount; ++k)
      EXPECT_EQ(d.features[k]->size(), document.features[k]->size());
    // What was read may be put back.
    EXPECT_TRUE(apply(d, {"Same", {put(*d.find_weapon(expected.uid))}, {}})) << odd.change;
  }
}

TEST(OtherPrograms, SeveralOddEntriesAreAllSaid) {
  const auto opened = opened_after(
      {"UPDATE weapons SET setback_road_m = -1, setback_gate_m = 30000, max_travel_m = 1"});
  for (const char* said : {"Row 1 of table weapons: a farthest travel of 1 m",
                           "Row 1 of table weapons: a setback from road",
                           "Row 2 of table weapons: a setback from gate of 30000 m"})
    EXPECT_THAT(opened.notice, ::testing::HasSubstr(said));
}

// SQLite keeps no NaN: it is an empty cell, and an empty cell is not entered. A word where a number
// belongs must not be read as the entry 0.
TEST(OtherPrograms, ASetbackThatIsNoNumberIsNotEntered) {
  for (const char* value : {"NULL", "9e999 - 9e999", "'nan'", "'fifty'", "''", "x'00'"}) {
    const auto opened = opened_after({std::string("UPDATE weapons SET setback_dwelling_m = ") +
                                      value + ", max_travel_m = " + value});
    for (const auto& w : *opened.document->weapons) {
      EXPECT_FALSE(w->setback_m[0]) << value << " was read as " << *w->setback_m[0];
      EXPECT_FALSE(w->max_travel_m) << value;
    }
    if (value[0] == '\'' || value[0] == 'x') {
      EXPECT_THAT(opened.notice,
                  ::testing::HasSubstr("Row 2 of table weapons: setback_dwelling_m holds no "
                                       "number; it counts as empty."));
    }
  }
}

TEST(OtherPrograms, WordsWhereNumbersBelongAreSaidInEveryTable) {
  const auto opened =
      opened_after({"UPDATE stand SET platform_m = 'high'",
                    "UPDATE wind_hours SET speed_mps = 'calm' WHERE fid = 2",
                    "UPDATE settings SET legal_before_sunrise_min = 'half an hour'"});
  for (const char* said : {"Row 1 of table stand: platform_m holds no number",
                           "Row 2 of table wind_hours: speed_mps holds no number",
                           "Settings: legal_before_sunrise_min holds no number"})
    EXPECT_THAT(opened.notice, ::testing::HasSubstr(said));
  const Document& d = *opened.document;
  EXPECT_EQ(d.of(Kind::stand)[0]->as<StandAttrs>().platform_m, StandAttrs{}.platform_m);
  EXPECT_FALSE(d.wind_hours->at(1)->speed_mps);
  EXPECT_FALSE(d.settings->legal_before_sunrise_min);
}

TEST(OtherPrograms, NumbersThatCannotBeAreReplacedAndSaid) {
  const struct {
    const char* column;
    const char* value;
    const char* said;
  } cases[] = {{"stability", "7", "stability 7 is none of 0 (A) to 5 (F)"},
               {"stability", "-1", "stability -1 is none of"},
               {"scent_limit", "-0.5", "the scent limit -0.5 is not usable; 0.01 stands"},
               {"scent_limit", "9e999", "the scent limit inf is not usable"},
               {"sit_minutes", "-3", "the sit's length in minutes -3 is not usable; 180 stands"},
               {"hand_from_deg", "720", "the direction of the wind by hand 720 is not usable"},
               {"hand_speed_mps", "-2", "the speed of the wind by hand -2 is not usable"},
               {"hand_cloud", "40", "the cloud by hand 40 is not usable"},
               {"deer_pace_mps", "0", "the pace of a deer 0 is not usable; 0.9 stands"},
               {"deer_pace_mps", "-1", "the pace of a deer -1 is not usable"},
               {"glare_within_deg", "400", "the angle of glare 400 is not usable; 25 stands"}};
  const Settings usual;
  for (const auto& c : cases) {
    const auto opened =
        opened_after({std::string("UPDATE settings SET ") + c.column + " = " + c.value});
    EXPECT_THAT(opened.notice, ::testing::HasSubstr(c.said));
    // What was read may be put back: every number is one that an edit may have.
    EXPECT_TRUE(apply(*opened.document, {"Same", {put(*opened.document->settings)}, {}}))
        << c.column;
  }
}

// SQLite keeps no NaN: what a program writes as one is an empty cell, and that is the usual value.
TEST(OtherPrograms, AnEmptyStabilityAndLimitAreTheUsual) {
  const auto opened = opened_after({"UPDATE settings SET stability = NULL, scent_limit = NULL"});
  EXPECT_FALSE(opened.document->settings->stability);
  EXPECT_EQ(opened.document->settings->scent_limit, Settings{}.scent_limit);
}

TEST(OtherPrograms, WindThatCannotBeCountsAsUnknown) {
  const auto opened =
      opened_after({"UPDATE wind_hours SET from_deg = 720, speed_mps = -3, cloud = 40"});
  EXPECT_THAT(opened.notice, ::testing::HasSubstr("from_deg 720 does not lie between 0 and 360"));
  ASSERT_FALSE(opened.document->wind_hours->empty());
  for (const auto& h : *opened.document->wind_hours)
    EXPECT_FALSE(h->from_deg || h->speed_mps || h->cloud);
}

}  // namespace
}  // namespace leeward::io
