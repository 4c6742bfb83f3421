// Scent run forward and backward over real lidar ground (licences and sources in the data folder's
// index; none is copied here).
#include "core/eval/stand_air.h"
#include "core/io/raster_files.h"
#include "tests/support/land_turns.h"

#include <gtest/gtest.h>

#include <filesystem>
#include <random>

namespace leeward {
namespace {

namespace fs = std::filesystem;

struct Place {
  const char* name;
  const char* ground;
  const char* surface;
  const char* crs;
};
void PrintTo(const Place& p, std::ostream* out) { *out << p.name; }

class RealAir : public ::testing::TestWithParam<Place> {};

// 200 random pairs of person and deer: the exposure found from either end within 3 %, but for one
// pair in a hundred. Pairs that would hardly be drawn (0.001) may differ by a hundredth of that.
TEST_P(RealAir, ForwardAndBackwardAgree) {
  const fs::path data = fs::path(LEEWARD_SHARED_DIR) / "data";
  if (!fs::exists(data)) GTEST_SKIP() << "the folder of real open data is not there: " << data;
  Document d;
  Settings s;
  s.crs = GetParam().crs;
  d.settings = make_ref<Settings>(s);
  Rows<RasterLayer> layers;
  const auto layer = [&](const char* path, RasterRole role) {
    if (!path) return;
    RasterLayer l;
    l.uid = Uid::from_seed(path);
    l.path = (data / path).string();
    l.role = role;
    layers.push_back(make_ref<RasterLayer>(l));
  };
  layer(GetParam().ground, RasterRole::elevation);
  layer(GetParam().surface, RasterRole::surface);
  d.rasters = make_ref<Rows<RasterLayer>>(std::move(layers));
  const auto terrain = io::load_terrain(d, data / "none.gpkg");
  ASSERT_TRUE(terrain) << terrain.error().message;
  const GridSpec grid = analysis_grid(d, **terrain);
  const Judgement j;
  const CoverGrid cover = make_cover_grid(d, **terrain, grid, {}, j);
  const AnalysisLand land = make_analysis_land(d, cover, grid, {}, j);
  const auto ground = make_air_ground(**terrain, grid, {});
  ASSERT_TRUE(ground);
  const AirCover air_cover = make_air_cover(land);
  const LandTurns turn = testing::all_land_turns(**terrain, land);
  AirNow air;
  air.known = true;
  air.from = WindFrom(Bearing::degrees(250));
  air.speed_10m_mps = 2.2;  // leaves room for slope air
  air.stability_index = 4;
  HourSky evening;
  evening.slope.sun = {2, Bearing::degrees(240)};
  evening.slope.ambient_mps = air.speed_10m_mps;
  const auto slope = hour_slope_air(*ground, evening, {});
  ASSERT_TRUE(slope);
  const compute::Flow flow =
      wind_response({*ground, air_cover, turn, &*slope, air, j}, 0).flow(upwind_mps(air, air.from));
  const compute::PlumeTable table(plume_air(air, 1, j));
  const Box box = (*terrain)->ground.spec.box();
  std::mt19937 random(5);
  std::uniform_real_distribution<double> x(box.min_x, box.max_x), y(box.min_y, box.max_y);
  int apart = 0;
  double worst = 0;
  for (int n = 0; n < 200; ++n) {
    const LocalXY person{x(random), y(random)}, deer{x(random), y(random)};
    const double forward = compute::ScentPlume(flow, table, person).at(deer);
    const double backward =
        compute::ScentPlume(flow, table, deer, compute::Run::backward).at(person);
    const double off = std::abs(backward - forward);
    if (off > 1e-5) worst = std::max(worst, off / forward);
    apart += off > 0.03 * forward + 1e-5;
  }
  std::printf("%s: %d of 200 pairs apart by more than 3 %%, worst %.1f %%\n", GetParam().name,
              apart, 100 * worst);
  EXPECT_LE(apart, 2);
  EXPECT_LT(worst, 0.05);
}

INSTANTIATE_TEST_SUITE_P(
    On, RealAir,
    ::testing::Values(Place{"Haliburton", "dem/derived_haliburton_1m_dtm_utm17n.tif",
                            "surface/derived_haliburton_dsm_2m.tif", "EPSG:26917"},
                      Place{"Palouse", "dem/palouse_2m_utm11n.tif", nullptr, "EPSG:26911"}),
    [](const auto& p) { return std::string(p.param.name); });

}  // namespace
}  // namespace leeward
