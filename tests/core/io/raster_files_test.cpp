#include "core/io/raster_files.h"

#include "core/io/overviews.h"
#include "tests/core/io/io_support.h"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <condition_variable>
#include <map>
#include <mutex>
#include <thread>

namespace leeward::io {
namespace {

using namespace testing;

constexpr const char* kUtm17 = "EPSG:26917";

Raster<float> sloping(const GridSpec& spec) {
  Raster<float> r(spec);
  for (int row = 0; row < spec.rows; ++row)
    for (int col = 0; col < spec.cols; ++col)
      r.at(col, row) = 100.0F + 0.5F * static_cast<float>(col) + 0.25F * static_cast<float>(row);
  return r;
}

Document with_rasters(const CrsId& crs, std::vector<RasterLayer> layers) {
  Document d;
  Settings s;
  s.crs = crs;
  d.settings = make_ref<Settings>(s);
  Rows<RasterLayer> rows;
  for (auto& l : layers) {
    if (l.uid.empty()) l.uid = Uid::random();
    rows.push_back(make_ref<RasterLayer>(std::move(l)));
  }
  d.rasters = make_ref<Rows<RasterLayer>>(std::move(rows));
  return d;
}

RasterLayer layer(const fs::path& path, RasterRole role, double metres_per_unit = 1) {
  RasterLayer l;
  l.uid = Uid::from_seed(path.string());
  l.name = path.stem().string();
  l.path = path.string();
  l.role = role;
  l.metres_per_unit = metres_per_unit;
  return l;
}

Ref<Terrain> terrain_of(const Document& d, const fs::path& property = "/tmp/none.gpkg") {
  auto t = load_terrain(d, property);
  EXPECT_TRUE(t) << (t ? "" : t.error().message);
  return t ? *t : make_ref<Terrain>();
}

std::pair<float, float> range(const Raster<float>& r) {
  float lo = 1e30F, hi = -1e30F;
  for (const float v : r.cells)
    if (!std::isnan(v)) lo = std::min(lo, v), hi = std::max(hi, v);
  return {lo, hi};
}

std::string joined(const Terrain& t) {
  std::string out;
  for (const auto& n : t.notes) out += n + "\n";
  return out;
}

Picture stripes(int width, int height) {
  Picture p{width, height, {}};
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x)
      p.argb.push_back(x < width / 2 ? 0xFFC02020U : y < height / 2 ? 0xFF20C020U : 0xFF2020C0U);
  return p;
}

int channel(std::uint32_t argb, int shift) { return static_cast<int>(argb >> shift & 255U); }

TEST(RasterFiles, AnAerialAloneTellsWhereThePropertyIs) {
  const fs::path file = fs::temp_directory_path() / (Uid::random().str() + ".tif");
  Picture grey;
  grey.width_px = grey.height_px = 64;
  grey.argb.assign(64 * 64, 0xFF808080U);
  const Box box{684000, 5017000, 684640, 5017640};
  ASSERT_TRUE(write_rgb_geotiff(file, grey, box, kUtm17));
  const auto terrain = terrain_of(with_rasters(kUtm17, {layer(file, RasterRole::aerial)}));
  EXPECT_TRUE(terrain->ground.empty());
  EXPECT_NEAR(terrain->rasters.min_x, box.min_x, 0.5);
  EXPECT_NEAR(terrain->rasters.max_y, box.max_y, 0.5);
  fs::remove(file);
}

TEST(RasterFiles, WrittenHeightsComeBackCellForCell) {
  const Folder folder;
  const GridSpec spec{684600, 5018000, 2, 120, 90};
  Raster<float> heights = sloping(spec);
  heights.at(7, 9) = kUnknown;
  ASSERT_TRUE(write_geotiff(folder / "z.tif", heights, kUtm17));
  const auto t = terrain_of(with_rasters(kUtm17, {layer(folder / "z.tif", RasterRole::elevation)}));
  ASSERT_EQ(t->ground.spec, spec);
  EXPECT_TRUE(std::isnan(t->ground.at(7, 9)));
  size_t unlike = 0;
  for (size_t i = 0; i < spec.size(); ++i)
    if (t->ground.cells[i] != heights.cells[i]) ++unlike;
  EXPECT_EQ(unlike, 1U);  // the unknown cell, which equals nothing
  EXPECT_TRUE(t->notes.empty()) << joined(*t);
}

TEST(RasterFiles, FeetBecomeMetres) {
  const Folder folder;
  const GridSpec spec{684600, 5018000, 1, 30, 30};
  ASSERT_TRUE(write_geotiff(folder / "z.tif", Raster<float>(spec, 1000.0F), kUtm17));
  const auto t = terrain_of(
      with_rasters(kUtm17, {layer(folder / "z.tif", RasterRole::elevation, kMetresPerFoot)}));
  ASSERT_FALSE(t->ground.empty());
  EXPECT_NEAR(t->ground.at(15, 15), 304.8, 1e-3);
}

TEST(RasterFiles, TwoElevationFilesFillOneGrid) {
  const Folder folder;
  ASSERT_TRUE(
      write_geotiff(folder / "w.tif", Raster<float>({684600, 5018000, 1, 40, 40}, 5.0F), kUtm17));
  ASSERT_TRUE(
      write_geotiff(folder / "e.tif", Raster<float>({684640, 5018000, 1, 40, 40}, 9.0F), kUtm17));
  const auto t = terrain_of(with_rasters(kUtm17, {layer(folder / "w.tif", RasterRole::elevation),
                                                  layer(folder / "e.tif", RasterRole::elevation)}));
  ASSERT_EQ(t->ground.spec.cols, 80);
  EXPECT_EQ(t->ground.at(0, 20), 5.0F);
  EXPECT_EQ(t->ground.at(79, 20), 9.0F);
}

TEST(RasterFiles, GroundIsCutToThePropertyAndItsMargin) {
  const Folder folder;
  ASSERT_TRUE(write_geotiff(folder / "z.tif", sloping({684000, 5019000, 5, 400, 400}), kUtm17));
  Document d = with_rasters(kUtm17, {layer(folder / "z.tif", RasterRole::elevation)});
  d = edited(d, {put(make_feature(Kind::boundary, Shape::area(ring(684900, 5018000, 100, 100))))});
  auto t = load_terrain(d, "/tmp/none.gpkg", 50);
  ASSERT_TRUE(t);
  EXPECT_EQ((*t)->ground.spec.box(), (Box{684850, 5017950, 685050, 5018150}));
}

TEST(RasterFiles, ValuesThatAreNoHeightsAreUnknownAndNamed) {
  const Folder folder;
  Raster<float> z({684600, 5018000, 1, 30, 30}, 250.0F);
  z.at(3, 3) = -3.4e38F;
  z.at(4, 4) = 20000.0F;
  ASSERT_TRUE(write_geotiff(folder / "z.tif", z, kUtm17));
  const auto t = terrain_of(with_rasters(kUtm17, {layer(folder / "z.tif", RasterRole::elevation)}));
  EXPECT_TRUE(std::isnan(t->ground.at(3, 3)));
  EXPECT_TRUE(std::isnan(t->ground.at(4, 4)));
  EXPECT_EQ(range(t->ground), (std::pair{250.0F, 250.0F}));
  EXPECT_THAT(joined(*t), ::testing::HasSubstr("2 cells hold values that are no heights"));
}

TEST(RasterFiles, MissingAndBadElevationsBecomeNotes) {
  const Folder folder;
  write_bytes(folder / "broken.tif", "II*\0junk");
  const auto t =
      terrain_of(with_rasters(kUtm17, {layer("gone.tif", RasterRole::elevation),
                                       layer(folder / "broken.tif", RasterRole::elevation)}));
  EXPECT_TRUE(t->ground.empty());
  EXPECT_THAT(joined(*t), ::testing::HasSubstr("gone.tif"));
  EXPECT_THAT(joined(*t), ::testing::HasSubstr("broken.tif"));
  EXPECT_THAT(joined(*t), ::testing::HasSubstr("flat"));
}

TEST(RasterFiles, LoadingTerrainCanBeCancelled) {
  const Folder folder;
  ASSERT_TRUE(write_geotiff(folder / "z.tif", sloping({684000, 5019000, 1, 900, 900}), kUtm17));
  std::stop_source stop;
  stop.request_stop();
  auto t = load_terrain(with_rasters(kUtm17, {layer(folder / "z.tif", RasterRole::elevation)}),
                        "/tmp/none.gpkg", 800, stop.get_token());
  ASSERT_FALSE(t);
  EXPECT_EQ(t.error().code, ErrorCode::cancelled);
}

TEST(RasterFiles, PictureLiesWhereItsBoxSays) {
  const Folder folder;
  const Box box{684600, 5017600, 685000, 5018000};
  ASSERT_TRUE(write_rgb_geotiff(folder / "p.tif", stripes(400, 400), box, kUtm17, 95));
  const auto aerial = layer(folder / "p.tif", RasterRole::aerial);
  auto shown =
      render_layer(aerial, "/tmp/none.gpkg", kUtm17, {684500, 5017500, 685100, 5018100}, 60, 60);
  ASSERT_TRUE(shown) << shown.error().message;
  const auto at = [&](int x, int y) { return shown->argb[static_cast<size_t>(y * 60 + x)]; };
  EXPECT_EQ(at(5, 5), 0U);                         // north-west of the picture: nothing
  EXPECT_EQ(at(55, 30), 0U);                       // east of it
  EXPECT_NEAR(channel(at(15, 30), 16), 0xC0, 12);  // red west half
  EXPECT_NEAR(channel(at(45, 15), 8), 0xC0, 12);   // green north-east
  EXPECT_NEAR(channel(at(45, 45), 0), 0xC0, 12);   // blue south-east
}

struct Delivered {
  std::mutex mutex;
  std::condition_variable changed;
  std::map<TileKey, Ref<Tile>> tiles;
  std::vector<std::string> complaints;
  bool wait_for(size_t n) {
    std::unique_lock guard(mutex);
    return changed.wait_for(guard, std::chrono::seconds(10), [&] { return tiles.size() >= n; });
  }
};

TEST(TileLoader, TilesOfAllLevelsAgreeWithThePicture) {
  const Folder folder;
  const Box box{684032, 5017600, 685056, 5018624};  // on whole tiles of 256 m
  ASSERT_TRUE(write_rgb_geotiff(folder / "p.tif", stripes(1024, 1024), box, kUtm17, 95));
  Delivered got;
  TileLoader loader(
      "/tmp/none.gpkg", kUtm17,
      [&](Ref<Tile> t) {
        const std::lock_guard guard(got.mutex);
        got.tiles[t->key] = t;
        got.changed.notify_all();
      },
      [&](const Uid&, const Error& e) { ADD_FAILURE() << e.message; });
  const auto aerial = make_ref<RasterLayer>(layer(folder / "p.tif", RasterRole::aerial));
  loader.set_layers({aerial});
  const int x0 = 684032 / 256, y0 = 5017600 / 256;
  std::vector<TileKey> keys = {{aerial->uid, 0, x0, y0},
                               {aerial->uid, 0, x0 + 3, y0 + 3},
                               {aerial->uid, 2, x0 / 4, y0 / 4},
                               {aerial->uid, 0, x0 - 5, y0}};
  loader.want(keys);
  ASSERT_TRUE(got.wait_for(keys.size()));
  const auto pixel = [&](const TileKey& k, int x, int y) {
    return got.tiles[k]->picture.argb[static_cast<size_t>(y * kTilePx + x)];
  };
  EXPECT_NEAR(channel(pixel(keys[0], 128, 128), 16), 0xC0, 12);
  EXPECT_NEAR(channel(pixel(keys[1], 128, 128), 8), 0xC0, 12);
  EXPECT_TRUE(got.tiles[keys[3]]->picture.empty());
  EXPECT_EQ(tile_box(keys[1]), (Box{684800, 5018368, 685056, 5018624}));
}

TEST(TileLoader, ComplainsOnceOfALayerThatCannotBeRead) {
  const Folder folder;
  write_bytes(folder / "broken.tif", "II*\0junk");
  Delivered got;
  TileLoader loader(
      "/tmp/none.gpkg", kUtm17,
      [&](Ref<Tile> t) {
        const std::lock_guard guard(got.mutex);
        got.tiles[t->key] = t;
        got.changed.notify_all();
      },
      [&](const Uid&, const Error& e) {
        const std::lock_guard guard(got.mutex);
        got.complaints.push_back(e.message);
      });
  const auto bad = make_ref<RasterLayer>(layer(folder / "broken.tif", RasterRole::aerial));
  loader.set_layers({bad});
  loader.want({{bad->uid, 0, 1, 1}, {bad->uid, 0, 2, 1}});
  ASSERT_TRUE(got.wait_for(2));
  const std::lock_guard guard(got.mutex);
  ASSERT_EQ(got.complaints.size(), 1U);
  EXPECT_THAT(got.complaints[0], ::testing::HasSubstr("broken.tif"));
}

// --- real files; their numbers as gdalinfo of Debian 12 prints them
// --------------------------------

TEST(RealRasters, HaliburtonGroundAndSurface) {
  SKIP_WITHOUT_SHARED_DATA();
  const fs::path data = shared_data();
  const auto t = terrain_of(with_rasters(
      kUtm17, {layer(data / "dem/derived_haliburton_1m_dtm_utm17n.tif", RasterRole::elevation),
               layer(data / "surface/derived_haliburton_dsm_2m.tif", RasterRole::surface)}));
  EXPECT_EQ(t->ground.spec.cols, 581);
  EXPECT_EQ(t->ground.spec.rows, 455);
  const auto [lo, hi] = range(t->ground);
  EXPECT_NEAR(lo, 412.617, 0.001);
  EXPECT_NEAR(hi, 490.445, 0.001);
  ASSERT_FALSE(t->canopy_m.empty()) << joined(*t);
  const auto [low, high] = range(t->canopy_m);
  EXPECT_GE(low, 0.0F);
  EXPECT_GT(high, 15.0F);  // trees
  EXPECT_LT(high, 60.0F);
}

TEST(RealRasters, DoublePrecisionNodataBecomesUnknown) {
  SKIP_WITHOUT_SHARED_DATA();
  auto facts = inspect_raster(shared_data() / "dem/haliburton_1m_dtm_no_crs.tif");
  ASSERT_TRUE(facts);
  EXPECT_FALSE(facts->has_crs);
  EXPECT_TRUE(facts->georeferenced);
  EXPECT_TRUE(facts->looks_like_elevation);
  const auto t = terrain_of(with_rasters(
      kUtm17, {layer(shared_data() / "dem/haliburton_1m_dtm_no_crs.tif", RasterRole::elevation)}));
  EXPECT_TRUE(t->ground.empty());
  EXPECT_THAT(joined(*t), ::testing::HasSubstr("names no coordinate system"));
}

// Cells as gdal_translate -of XYZ prints them. The third file of the set is not the difference of
// the first two (its trees are missing from the surface), so that it only bounds it.
TEST(RealRasters, AlexandriaCanopyIsSurfaceLessGround) {
  SKIP_WITHOUT_SHARED_DATA();
  const fs::path data = shared_data() / "surface";
  const char* crs = "EPSG:26918";
  const auto t =
      terrain_of(with_rasters(crs, {layer(data / "alexandria_dtm_2m.tif", RasterRole::elevation),
                                    layer(data / "alexandria_dsm_2m.tif", RasterRole::surface)}));
  const auto hag =
      terrain_of(with_rasters(crs, {layer(data / "alexandria_hag_2m.tif", RasterRole::elevation)}));
  ASSERT_EQ(t->canopy_m.spec, hag->ground.spec) << joined(*t);
  EXPECT_NEAR(t->ground.cells[20000], 12.99981, 1e-4);
  EXPECT_NEAR(t->canopy_m.cells[20000], 34.729244 - 12.99981, 1e-4);
  EXPECT_NEAR(t->canopy_m.cells[100], 8.90415 - 8.88415, 1e-4);
  EXPECT_NEAR(hag->ground.cells[20000], 22.58, 1e-4);
  float most = 0;
  for (size_t i = 0; i < hag->ground.cells.size(); ++i)
    most = std::max(most, t->canopy_m.cells[i] - hag->ground.cells[i]);
  EXPECT_LT(most, 2.5F);
}

TEST(RealRasters, InvertedElevationIsNoSurface) {
  SKIP_WITHOUT_SHARED_DATA();
  const fs::path data = shared_data() / "dem";
  const auto t = terrain_of(with_rasters(
      "EPSG:26915", {layer(data / "mn_wooded_1m_dem_utm15n.tif", RasterRole::elevation),
                     layer(data / "mn_inverted_dem_1m_utm15n.tif", RasterRole::surface)}));
  EXPECT_FALSE(t->ground.empty());
  EXPECT_TRUE(t->canopy_m.empty());
  EXPECT_THAT(joined(*t), ::testing::ContainsRegex("the surface lies 2[0-9]+ m below the ground"));
}

TEST(RealRasters, DegreesAreWarpedToMetres) {
  SKIP_WITHOUT_SHARED_DATA();
  const auto t = terrain_of(with_rasters(
      "EPSG:32618",
      {layer(shared_data() / "dem/adirondack_3dep_1m_like.tif", RasterRole::elevation)}));
  ASSERT_FALSE(t->ground.empty()) << joined(*t);
  // 1.264e-5 degrees at 44 N is 1.40 m north and 1.01 m east.
  EXPECT_NEAR(t->ground.spec.cell_m, std::sqrt(1.40 * 1.01), 0.03);
  EXPECT_NEAR(range(t->ground).second, 652.579, 0.6);
}

TEST(RealRasters, SouthUpGridIsTurned) {
  SKIP_WITHOUT_SHARED_DATA();
  const auto t = terrain_of(with_rasters(
      "EPSG:32612", {layer(shared_data() / "dem/bell_hill_idealized.tif", RasterRole::elevation)}));
  ASSERT_FALSE(t->ground.empty()) << joined(*t);
  EXPECT_NEAR(t->ground.spec.cell_m, 30, 1e-6);
  EXPECT_NEAR(range(t->ground).first, 200, 1);
  EXPECT_NEAR(range(t->ground).second, 600, 3);
}

TEST(RealRasters, FourthBandOfAerialIsNotTransparency) {
  SKIP_WITHOUT_SHARED_DATA();
  const fs::path file = shared_data() / "imagery/naip_m_3211605_ne_11_060_20200415.tif";
  auto facts = inspect_raster(file, "EPSG:26911");
  ASSERT_TRUE(facts);
  EXPECT_EQ(facts->bands, 4);
  EXPECT_NEAR(facts->cell_m, 0.599, 0.002);
  EXPECT_FALSE(facts->looks_like_elevation);
  auto shown = render_layer(layer(file, RasterRole::aerial), "/tmp/none.gpkg", "EPSG:26911",
                            facts->box, 133, 102);
  ASSERT_TRUE(shown) << shown.error().message;
  size_t opaque = 0;
  for (const std::uint32_t p : shown->argb) opaque += channel(p, 24) == 255 ? 1U : 0U;
  EXPECT_GT(opaque, shown->argb.size() * 98 / 100);
}

/// A picture of 4200 x 300 pixels without overviews.
std::filesystem::path plain_picture(const Folder& folder) {
  const auto path = folder / "wide.tif";
  Raster<float> wide(GridSpec{500000, 4300300, 1, 4200, 300}, 7);
  EXPECT_TRUE(write_geotiff(path, wide, "EPSG:32615"));
  return path;
}

TEST(Overviews, AreBuiltBesideALargePictureAndFoundAgain) {
  const Folder folder;
  const auto path = plain_picture(folder);
  ASSERT_TRUE(lacks_overviews(path));
  EXPECT_TRUE(*lacks_overviews(path));
  double last = 0;
  // What a killed program left the day before yesterday goes; what another is at stays.
  const fs::path old = folder / ".leeward-old", fresh = folder / ".leeward-fresh";
  for (const fs::path& left : {old, fresh}) {
    fs::create_directory(left);
    fs::create_hard_link(path, left / path.filename());
  }
  fs::last_write_time(old, fs::file_time_type::clock::now() - std::chrono::hours(48));
  ASSERT_TRUE(build_overviews(path, {}, [&](double share) { last = share; }));
  EXPECT_FALSE(fs::exists(old));
  EXPECT_TRUE(fs::exists(fresh));
  fs::remove_all(fresh);
  EXPECT_EQ(last, 1);
  EXPECT_FALSE(*lacks_overviews(path));
  int files = 0;
  for (const auto& entry : std::filesystem::directory_iterator(folder.path())) {
    ++files;
    EXPECT_FALSE(entry.is_directory()) << entry.path();
  }
  EXPECT_EQ(files, 2);
}

TEST(Overviews, ACancelLeavesNothing) {
  const Folder folder;
  const auto path = plain_picture(folder);
  std::stop_source stop;
  const auto done = build_overviews(path, stop.get_token(), [&](double) { stop.request_stop(); });
  ASSERT_FALSE(done);
  EXPECT_EQ(done.error().code, ErrorCode::cancelled);
  EXPECT_TRUE(*lacks_overviews(path));
  int files = 0;
  for ([[maybe_unused]] const auto& e : std::filesystem::directory_iterator(folder.path())) ++files;
  EXPECT_EQ(files, 1);
}

}  // namespace
}  // namespace leeward::io
