// Files of an earlier schema, and values in a file that no edit would allow.
#include "core/io/property_store.h"
#include "tests/core/io/other_program.h"

namespace leeward::io {
namespace {

using namespace testing;

// As the program wrote it before the settings had a stability and a scent limit.
TEST(Migration, AFileOfSchemaOneGetsTheAirsSettings) {
  const Folder folder;
  const fs::path path = folder / "p.gpkg";
  const Document document = full_document();
  make_file(path, document);
  {
    OtherProgram other(path);
    other.sql("UPDATE leeward_schema SET schema_version = 1");
    OGRLayer& settings = other.layer("settings");
    for (const char* column : {"stability", "scent_limit"}) {
      const int index = settings.GetLayerDefn()->GetFieldIndex(column);
      ASSERT_GE(index, 0) << column;
      ASSERT_EQ(settings.DeleteField(index), OGRERR_NONE) << column;
    }
  }
  Settings expected = *document.settings;
  expected.stability.reset();
  expected.scent_limit = Settings{}.scent_limit;
  auto opened = PropertyStore::open(path);
  ASSERT_TRUE(opened) << opened.error().message;
  EXPECT_THAT(opened->notice, ::testing::HasSubstr("from schema 1 to 3"));
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
               {"hand_cloud", "40", "the cloud by hand 40 is not usable"}};
  const Settings usual;
  for (const auto& c : cases) {
    const Folder folder;
    make_file(folder / "p.gpkg", full_document());
    {
      OtherProgram other(folder / "p.gpkg");
      other.sql(std::string("UPDATE settings SET ") + c.column + " = " + c.value);
    }
    auto opened = PropertyStore::open(folder / "p.gpkg", true);
    ASSERT_TRUE(opened) << opened.error().message;
    EXPECT_THAT(opened->notice, ::testing::HasSubstr(c.said));
    // What was read may be put back: every number is one that an edit may have.
    EXPECT_TRUE(apply(*opened->document, {"Same", {put(*opened->document->settings)}, {}}))
        << c.column;
  }
}

// SQLite keeps no NaN: what a program writes as one is an empty cell, and that is the usual value.
TEST(OtherPrograms, AnEmptyStabilityAndLimitAreTheUsual) {
  const Folder folder;
  make_file(folder / "p.gpkg", full_document());
  {
    OtherProgram other(folder / "p.gpkg");
    other.sql("UPDATE settings SET stability = NULL, scent_limit = NULL");
  }
  auto opened = PropertyStore::open(folder / "p.gpkg", true);
  ASSERT_TRUE(opened) << opened.error().message;
  EXPECT_FALSE(opened->document->settings->stability);
  EXPECT_EQ(opened->document->settings->scent_limit, Settings{}.scent_limit);
}

TEST(OtherPrograms, WindThatCannotBeCountsAsUnknown) {
  const Folder folder;
  make_file(folder / "p.gpkg", full_document());
  {
    OtherProgram other(folder / "p.gpkg");
    other.sql("UPDATE wind_hours SET from_deg = 720, speed_mps = -3, cloud = 40");
  }
  auto opened = PropertyStore::open(folder / "p.gpkg", true);
  ASSERT_TRUE(opened) << opened.error().message;
  EXPECT_THAT(opened->notice, ::testing::HasSubstr("from_deg 720 does not lie between 0 and 360"));
  ASSERT_FALSE(opened->document->wind_hours->empty());
  for (const auto& h : *opened->document->wind_hours)
    EXPECT_FALSE(h->from_deg || h->speed_mps || h->cloud);
}

}  // namespace
}  // namespace leeward::io
