// What a property file meets in life: other programs, other windows, damage, a full disk, a cut-off
// write.
#include "core/io/gdal_gate.h"
#include "core/io/property_store.h"
#include "tests/core/io/other_program.h"

#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <atomic>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <random>
#include <sys/resource.h>
#include <sys/wait.h>
#include <thread>
#include <unistd.h>

namespace leeward::io {
namespace {

using namespace testing;

std::uint32_t big_endian(const std::string& bytes, size_t at) {
  std::uint32_t v = 0;
  for (size_t i = 0; i < 4; ++i) v = v << 8 | static_cast<unsigned char>(bytes[at + i]);
  return v;
}

// OGC 12-128r18 (GeoPackage 1.3.1): requirement 2 (application id and version), 10 (contents),
// 13 and 21 (geometry columns), 19 (blob header), 6 and 7 (integrity, foreign keys).
TEST(GeoPackage, HasTheIdsAndTablesOfTheStandard) {
  const Folder folder;
  const fs::path path = folder / "p.gpkg";
  make_file(path, full_document());
  const std::string bytes = bytes_of(path);
  EXPECT_EQ(bytes.substr(0, 15), "SQLite format 3");
  EXPECT_EQ(bytes.substr(68, 4), "GPKG");
  EXPECT_EQ(big_endian(bytes, 60), 10300U);
  OtherProgram other(path);
  EXPECT_EQ(other.sql("PRAGMA integrity_check"), "ok");
  EXPECT_EQ(other.sql("PRAGMA foreign_key_check"), "");
  EXPECT_EQ(other.sql("SELECT count(*) FROM gpkg_contents WHERE data_type = 'features'"), "17");
  EXPECT_EQ(other.sql("SELECT count(*) FROM gpkg_contents WHERE data_type = 'attributes'"), "7");
  EXPECT_EQ(other.sql("SELECT count(*) FROM gpkg_geometry_columns WHERE column_name = 'geom'"),
            "17");
  EXPECT_EQ(
      other.sql("SELECT organization || organization_coordsys_id FROM gpkg_spatial_ref_sys "
                "WHERE srs_id = (SELECT srs_id FROM gpkg_contents WHERE table_name = 'stand')"),
      "EPSG26917");
  EXPECT_EQ(other.sql("SELECT count(*) FROM gpkg_spatial_ref_sys WHERE srs_id IN (-1, 0, 4326)"),
            "3");
  EXPECT_EQ(
      other.sql("SELECT geometry_type_name FROM gpkg_geometry_columns WHERE table_name = 'stand'"),
      "POINT");
  EXPECT_EQ(
      other.sql("SELECT geometry_type_name FROM gpkg_geometry_columns WHERE table_name = 'water'"),
      "GEOMETRY");
  EXPECT_EQ(other.sql("SELECT substr(hex(geom), 1, 4) FROM stand"), "4750");  // "GP"
  EXPECT_EQ(other.sql("SELECT count(*) FROM leeward_schema WHERE schema_version = 4"), "1");
  EXPECT_EQ(other.sql("SELECT stand_type FROM stand"), "ground blind");
  EXPECT_EQ(other.sql("SELECT legal_after_sunset_min IS NULL FROM settings"), "1");
}

TEST(GeoPackage, RingsAreClosedOnDisk) {
  const Folder folder;
  make_file(folder / "p.gpkg", full_document());
  OtherProgram other(folder / "p.gpkg");
  OGRFeature* row = other.layer("bedding").GetNextFeature();
  ASSERT_NE(row, nullptr);
  const OGRPolygon* polygon = row->GetGeometryRef()->toPolygon();
  EXPECT_EQ(polygon->getExteriorRing()->getNumPoints(), 5);
  EXPECT_TRUE(polygon->getExteriorRing()->get_IsClosed());
  EXPECT_EQ(polygon->getNumInteriorRings(), 1);
  EXPECT_TRUE(polygon->IsValid());
  OGRFeature::DestroyFeature(row);
}

TEST(GeoPackage, ProgramsOfGdalReadIt) {
  const Folder folder;
  make_file(folder / "p.gpkg", full_document());
  if (std::system("ogrinfo --version > /dev/null 2>&1") != 0)
    GTEST_SKIP() << "ogrinfo is not installed";
  const std::string command = "ogrinfo -so '" + (folder / "p.gpkg").string() + "' deer_trail 2>&1";
  std::string said;
  FILE* pipe = popen(command.c_str(), "r");
  ASSERT_NE(pipe, nullptr);
  char part[512];
  while (fgets(part, sizeof part, pipe)) said += part;
  EXPECT_EQ(pclose(pipe), 0);
  for (const char* line : {"Feature Count: 1", "Geometry: Line String", "uid: String",
                           "EPSG\",26917", "FID Column = fid"})
    EXPECT_THAT(said, ::testing::HasSubstr(line));
  EXPECT_THAT(said, ::testing::Not(::testing::HasSubstr("ERROR")));
}

TEST(OtherPrograms, RowsWithoutUidOrWithAnInvalidShapeAreMended) {
  const Folder folder;
  const fs::path path = folder / "p.gpkg";
  make_file(path, full_document());
  {
    OtherProgram other(path);
    OGRFeature note(other.layer("note").GetLayerDefn());
    note.SetField("name", "added elsewhere");
    OGRPoint at(684950, 5017950);
    note.SetGeometry(&at);
    ASSERT_EQ(other.layer("note").CreateFeature(&note), OGRERR_NONE);
    OGRFeature tie(other.layer("bedding").GetLayerDefn());
    tie.SetField("name", "bow tie");
    tie.SetField("deer_group", "elephants");
    OGRGeometry* crossed = nullptr;
    OGRGeometryFactory::createFromWkt(
        "POLYGON((684900 5017900,684950 5017950,684950 5017900,684900 5017950,684900 5017900))",
        nullptr, &crossed);
    tie.SetGeometryDirectly(crossed);
    ASSERT_EQ(other.layer("bedding").CreateFeature(&tie), OGRERR_NONE);
    OGRFeature empty(other.layer("gate").GetLayerDefn());
    ASSERT_EQ(other.layer("gate").CreateFeature(&empty), OGRERR_NONE);
  }
  auto opened = PropertyStore::open(path);
  ASSERT_TRUE(opened) << opened.error().message;
  EXPECT_THAT(opened->notice, ::testing::HasSubstr("deer_group 'elephants'"));
  EXPECT_THAT(opened->notice,
              ::testing::HasSubstr("it has no shape; it is left out and left alone"));
  const Document d = *opened->document;
  ASSERT_EQ(d.of(Kind::note).size(), 2U);
  ASSERT_EQ(d.of(Kind::gate).size(), 1U);
  for (const auto& f : d.of(Kind::bedding)) EXPECT_EQ(feature_problem(*f), "");
  const Uid fresh = d.of(Kind::note)[1]->uid;
  EXPECT_TRUE(Uid::is_well_formed(fresh.str()));
  // The uid that was given stays with the next save, whatever that save is about.
  Feature moved = *d.of(Kind::stand)[0];
  moved.name = "changed";
  opened->store->save(make_ref<Document>(edited(d, {put(moved)})));
  ASSERT_TRUE(opened->store->flush());
  opened->store.reset();
  auto again = PropertyStore::open(path, true);
  ASSERT_TRUE(again);
  EXPECT_NE(again->document->find(fresh), nullptr);
}

TEST(OtherPrograms, TheirColumnsOutliveOurEdits) {
  const Folder folder;
  const fs::path path = folder / "p.gpkg";
  const Document d = full_document();
  make_file(path, d);
  {
    OtherProgram other(path);
    other.sql("ALTER TABLE stand ADD COLUMN inspected TEXT");
    other.sql("UPDATE stand SET inspected = 'in May'");
  }
  {
    auto opened = PropertyStore::open(path);
    ASSERT_TRUE(opened);
    Feature moved = *opened->document->of(Kind::stand)[0];
    moved.name = "renamed";
    opened->store->save(make_ref<Document>(edited(*opened->document, {put(moved)})));
    ASSERT_TRUE(opened->store->flush());
  }
  OtherProgram other(path);
  EXPECT_EQ(other.sql("SELECT inspected FROM stand WHERE name = 'renamed'"), "in May");
}

TEST(Locking, ASecondWindowReadsOnlyAndTheThirdWritesWhenTheFirstIsGone) {
  const Folder folder;
  const fs::path path = folder / "p.gpkg";
  auto first = PropertyStore::create(path, make_ref<Document>(full_document()));
  ASSERT_TRUE(first);
  auto second = PropertyStore::open(path);
  ASSERT_TRUE(second) << second.error().message;
  EXPECT_TRUE(second->read_only);
  EXPECT_TRUE(second->store->read_only());
  EXPECT_THAT(second->notice, ::testing::HasSubstr("Another window"));
  // The reader does not stand in the writer's way.
  Feature moved = *second->document->of(Kind::gate)[0];
  moved.name = "while read";
  (*first)->save(make_ref<Document>(edited(*second->document, {put(moved)})));
  ASSERT_TRUE((*first)->flush());
  first->reset();
  auto third = PropertyStore::open(path);
  ASSERT_TRUE(third);
  EXPECT_FALSE(third->read_only);
  EXPECT_EQ(third->notice, "");
}

TEST(Locking, ASecondProcessReadsOnly) {
  const Folder folder;
  const fs::path path = folder / "p.gpkg";
  make_file(path, full_document());
  int ready[2], finish[2];
  ASSERT_EQ(pipe(ready), 0);
  ASSERT_EQ(pipe(finish), 0);
  const pid_t child = fork();
  if (child == 0) {
    auto opened = PropertyStore::open(path);
    char c = opened && !opened->read_only ? 'w' : 'r';
    if (write(ready[1], &c, 1) != 1) _exit(1);
    close(finish[1]);
    if (read(finish[0], &c, 1) < 0) _exit(1);
    _exit(0);  // without closing the store: the lock must go with the process
  }
  char c = 0;
  ASSERT_EQ(read(ready[0], &c, 1), 1);
  EXPECT_EQ(c, 'w');
  {
    auto here = PropertyStore::open(path);
    ASSERT_TRUE(here);
    EXPECT_TRUE(here->read_only);
  }
  close(finish[1]);
  waitpid(child, nullptr, 0);
  auto after = PropertyStore::open(path);
  ASSERT_TRUE(after);
  EXPECT_FALSE(after->read_only);
}

TEST(Locking, AFolderThatCannotBeWrittenOpensReadOnly) {
  if (geteuid() == 0) GTEST_SKIP() << "the superuser may write everywhere";
  const Folder folder;
  make_file(folder / "p.gpkg", full_document());
  fs::permissions(folder.path(), fs::perms::owner_read | fs::perms::owner_exec);
  auto opened = PropertyStore::open(folder / "p.gpkg");
  ASSERT_TRUE(opened) << opened.error().message;
  EXPECT_TRUE(opened->read_only);
}

// --- refusals -----------------------------------------------------------------------------------

void expect_refused(const fs::path& path, ErrorCode code, const std::string& part) {
  const std::string before = bytes_of(path);
  for (const bool read_only : {false, true}) {
    auto opened = PropertyStore::open(path, read_only);
    ASSERT_FALSE(opened) << path;
    EXPECT_EQ(opened.error().code, code) << opened.error().message;
    EXPECT_THAT(opened.error().message, ::testing::HasSubstr(part));
  }
  EXPECT_TRUE(bytes_of(path) == before) << path << " was changed";
  EXPECT_FALSE(fs::exists(path.string() + "-journal"));
  EXPECT_FALSE(fs::exists(path.string() + ".lwlock"));
}

TEST(Refusals, WhatIsNoPropertyIsNamedAndLeftAlone) {
  const Folder folder;
  write_bytes(folder / "text.gpkg", "just some text");
  expect_refused(folder / "text.gpkg", ErrorCode::unsupported, "not a property file");
  write_bytes(folder / "empty.gpkg", "");
  expect_refused(folder / "empty.gpkg", ErrorCode::unsupported, "not a property file");
  make_file(folder / "p.gpkg", full_document());
  std::string plain = bytes_of(folder / "p.gpkg");
  plain.replace(68, 4, 4, '\0');
  write_bytes(folder / "sqlite.gpkg", plain);
  expect_refused(folder / "sqlite.gpkg", ErrorCode::unsupported, "no GeoPackage");
  {
    OtherProgram other(folder / "p.gpkg");
    other.sql("DROP TABLE leeward_schema");
  }
  expect_refused(folder / "p.gpkg", ErrorCode::unsupported, "not a property");
  auto gone = PropertyStore::open(folder / "none.gpkg");
  ASSERT_FALSE(gone);
  EXPECT_EQ(gone.error().code, ErrorCode::not_found);
}

TEST(Refusals, ANewerSchemaIsNotTouched) {
  const Folder folder;
  make_file(folder / "p.gpkg", full_document());
  {
    OtherProgram other(folder / "p.gpkg");
    other.sql("UPDATE leeward_schema SET schema_version = " + std::to_string(kSchemaVersion + 1));
  }
  expect_refused(folder / "p.gpkg", ErrorCode::newer_version, "newer version of Leeward");
}

TEST(Refusals, DamageOfManyKindsIsFoundOrHarmless) {
  const Folder folder;
  make_file(folder / "p.gpkg", full_document());
  const std::string whole = bytes_of(folder / "p.gpkg");
  write_bytes(folder / "cut.gpkg", whole.substr(0, whole.size() / 2));
  expect_refused(folder / "cut.gpkg", ErrorCode::parse, "damaged");
  std::mt19937 random(7);
  int refused = 0;
  for (int round = 0; round < 40; ++round) {
    std::string bytes = whole;
    const size_t at = 100 + random() % (bytes.size() - 600);
    for (size_t i = 0; i < 500; ++i) bytes[at + i] = static_cast<char>(random());
    const fs::path path = folder / "d.gpkg";
    write_bytes(path, bytes);
    auto opened = PropertyStore::open(path, true);
    refused += opened ? 0 : 1;
    EXPECT_TRUE(opened || !opened.error().message.empty());
    EXPECT_TRUE(bytes_of(path) == bytes);
  }
  EXPECT_GT(refused, 5);  // most of a small file's pages is unused space
}

TEST(Refusals, AMissingColumnIsNamed) {
  const Folder folder;
  make_file(folder / "p.gpkg", full_document());
  {
    OtherProgram other(folder / "p.gpkg");
    other.sql("ALTER TABLE stand RENAME COLUMN platform_m TO height");
  }
  expect_refused(folder / "p.gpkg", ErrorCode::parse, "column platform_m of table stand");
}

TEST(Refusals, CreateDoesNotOverwriteAndLeavesNothing) {
  const Folder folder;
  write_bytes(folder / "p.gpkg", "mine");
  auto store = PropertyStore::create(folder / "p.gpkg", make_ref<Document>(full_document()));
  ASSERT_FALSE(store);
  EXPECT_EQ(store.error().code, ErrorCode::invalid_argument);
  EXPECT_EQ(bytes_of(folder / "p.gpkg"), "mine");
  Document odd = full_document();
  Settings s = *odd.settings;
  s.crs = "EPSG:999999";
  odd.settings = make_ref<Settings>(s);
  EXPECT_FALSE(PropertyStore::create(folder / "q.gpkg", make_ref<Document>(odd)));
  EXPECT_FALSE(
      PropertyStore::create(folder / "none" / "q.gpkg", make_ref<Document>(full_document())));
  size_t files = 0;
  for ([[maybe_unused]] const auto& entry : fs::directory_iterator(folder.path())) ++files;
  EXPECT_EQ(files, 1U);
}

// --- migration ----------------------------------------------------------------------------------

void make_schema_0(const fs::path& path) {
  make_file(path, full_document());
  OtherProgram other(path);
  other.sql("UPDATE leeward_schema SET schema_version = 0");
  other.sql("ALTER TABLE wind_hours DROP COLUMN speed_range_mps");
  other.sql("ALTER TABLE stand DROP COLUMN trimmed_radius_m");
}

TEST(Migration, AnOlderFileIsCompletedOnACopyThatTakesItsPlace) {
  const Folder folder;
  const fs::path path = folder / "p.gpkg";
  make_schema_0(path);
  auto opened = PropertyStore::open(path);
  ASSERT_TRUE(opened) << opened.error().message;
  EXPECT_FALSE(opened->read_only);
  EXPECT_THAT(opened->notice, ::testing::HasSubstr("from schema 0 to 4"));
  EXPECT_EQ(opened->document->of(Kind::stand)[0]->as<StandAttrs>().trimmed_radius_m,
            StandAttrs{}.trimmed_radius_m);
  opened->store.reset();
  auto again = PropertyStore::open(path);
  ASSERT_TRUE(again);
  EXPECT_EQ(again->notice, "");
  size_t files = 0;
  for ([[maybe_unused]] const auto& entry : fs::directory_iterator(folder.path())) ++files;
  EXPECT_EQ(files, 2U);  // the property and its lock
}

TEST(Migration, AReaderMigratesACopyAndLeavesTheFile) {
  const Folder folder;
  const fs::path path = folder / "p.gpkg";
  make_schema_0(path);
  const std::string before = bytes_of(path);
  auto opened = PropertyStore::open(path, true);
  ASSERT_TRUE(opened) << opened.error().message;
  EXPECT_EQ(opened->document->of(Kind::stand).size(), 1U);
  EXPECT_TRUE(bytes_of(path) == before);
}

// --- saving that fails --------------------------------------------------------------------------

TEST(FailingSaves, AFullDiskKeepsTheQueueAndTriesAgain) {
  const Folder folder;
  const fs::path path = folder / "p.gpkg";
  const Document first = full_document();
  auto store = PropertyStore::create(path, make_ref<Document>(first));
  ASSERT_TRUE(store);
  std::atomic<int> told = 0;
  (*store)->on_change([&](const SaveState& s) { told += s.problem.empty() ? 1 : 100; });
  std::signal(SIGXFSZ, SIG_IGN);
  rlimit old{};
  getrlimit(RLIMIT_FSIZE, &old);
  const rlimit small{8192, old.rlim_max};
  setrlimit(RLIMIT_FSIZE, &small);
  Feature big = make_feature(Kind::note, Shape::point({684800, 5017800}), "big");
  big.remarks.assign(300'000, 'x');
  const Document next = edited(first, {put(big)});
  (*store)->save(make_ref<Document>(next));
  const Status failed = (*store)->flush();
  const SaveState during = (*store)->state();
  setrlimit(RLIMIT_FSIZE, &old);
  ASSERT_FALSE(failed);
  EXPECT_FALSE(during.problem.empty());
  EXPECT_LT(during.saved, during.asked);
  EXPECT_TRUE((*store)->flush());
  EXPECT_EQ((*store)->state().problem, "");
  // The callback comes on the store's thread, and may come a moment after flush() returns.
  for (int i = 0; i < 500 && told < 101; ++i)
    std::this_thread::sleep_for(std::chrono::milliseconds{10});
  EXPECT_GE(told, 101);
  auto read = PropertyStore::open(path, true);
  ASSERT_TRUE(read) << read.error().message;
  EXPECT_TRUE(same_content(next, *read->document));
}

TEST(FailingSaves, AMovedFileIsNotWrittenBehindTheUsersBack) {
  const Folder folder;
  const fs::path path = folder / "p.gpkg";
  const Document first = full_document();
  auto store = PropertyStore::create(path, make_ref<Document>(first));
  ASSERT_TRUE(store);
  fs::rename(path, folder / "moved.gpkg");
  const Document next =
      edited(first, {put(make_feature(Kind::note, Shape::point({684800, 5017800}), "late"))});
  (*store)->save(make_ref<Document>(next));
  const Status failed = (*store)->flush();
  ASSERT_FALSE(failed);
  EXPECT_THAT(failed.error().message, ::testing::HasSubstr("moved, removed or replaced"));
  fs::rename(folder / "moved.gpkg", path);
  ASSERT_TRUE((*store)->flush());
  auto read = PropertyStore::open(path, true);
  ASSERT_TRUE(read);
  EXPECT_TRUE(same_content(next, *read->document));
}

TEST(FailingSaves, AnotherProgramsLockIsWaitedOut) {
  const Folder folder;
  const fs::path path = folder / "p.gpkg";
  const Document first = full_document();
  auto store = PropertyStore::create(path, make_ref<Document>(first));
  ASSERT_TRUE(store);
  const Document next =
      edited(first, {put(make_feature(Kind::note, Shape::point({684800, 5017800}), "late"))});
  {
    OtherProgram other(path);
    other.sql("BEGIN IMMEDIATE");
    (*store)->save(make_ref<Document>(next));
    EXPECT_FALSE((*store)->flush());
    EXPECT_THAT((*store)->state().problem, ::testing::HasSubstr("locked"));
    other.sql("ROLLBACK");
  }
  ASSERT_TRUE((*store)->flush());
  auto read = PropertyStore::open(path, true);
  ASSERT_TRUE(read);
  EXPECT_TRUE(same_content(next, *read->document));
}

TEST(FailingSaves, WhatWaitsIsWrittenWhenTheStoreCloses) {
  const Folder folder;
  Document d = full_document();
  {
    auto store = PropertyStore::create(folder / "p.gpkg", make_ref<Document>(d));
    ASSERT_TRUE(store);
    for (int i = 0; i < 50; ++i) {
      d = edited(d, {put(make_feature(Kind::note, Shape::point({684800.0 + i, 5017800})))});
      (*store)->save(make_ref<Document>(d));
    }
  }
  auto read = PropertyStore::open(folder / "p.gpkg", true);
  ASSERT_TRUE(read);
  EXPECT_TRUE(same_content(d, *read->document));
}

// --- copies
// ---------------------------------------------------------------------------------------

TEST(Copies, RasterPathsLeadToTheSameFiles) {
  const Folder folder;
  fs::create_directories(folder / "north");
  fs::create_directories(folder / "away");
  fs::create_directories(folder.path() / "away/deep");
  const Document d = full_document();
  const fs::path to = folder.path() / "away/deep/copy.gpkg";
  ASSERT_TRUE(write_copy(d, folder.path() / "north/p.gpkg", to));
  auto read = PropertyStore::open(to);
  ASSERT_TRUE(read) << read.error().message;
  EXPECT_EQ(read->document->rasters->at(0)->path, "../../north/maps/ground.tif");
  const Status held = write_copy(d, folder.path() / "north/p.gpkg", to);
  ASSERT_FALSE(held);  // it is open
  EXPECT_EQ(held.error().code, ErrorCode::locked);
  read->store.reset();
  EXPECT_TRUE(write_copy(d, folder.path() / "north/p.gpkg", to));
  EXPECT_FALSE(write_copy(d, folder.path() / "north/p.gpkg", folder.path() / "none/c.gpkg"));
}

}  // namespace
}  // namespace leeward::io
