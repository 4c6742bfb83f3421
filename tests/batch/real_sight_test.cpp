// Sight over real lidar ground (licences and sources in the data folder's index; none is copied
// here), judged by a plain walk of the line to every cell, which is written here and shares nothing
// with the passes it judges: a point every quarter of a cell, ground bilinear between the cell
// centres, cover that of the cell under the point. A cell agrees where the shares of sight differ
// by no more than a tenth. The bounds are the project's own.
#include "core/base/parallel.h"
#include "core/compute/sight.h"
#include "core/io/raster_files.h"
#include "tests/support/sight_lands.h"

#include <gdal.h>
#include <gdal_alg.h>
#include <gdal_frmts.h>
#include <gtest/gtest.h>

#include <array>
#include <filesystem>
#include <iostream>
#include <random>

namespace leeward::compute {
namespace {

namespace fs = std::filesystem;

enum class Cover { none, brush, timber, surface };

struct Place {
  const char* name;
  const char* ground;
  const char* surface;
  const char* crs;
  Cover cover;
};
void PrintTo(const Place& p, std::ostream* out) { *out << p.name; }

constexpr double kFlip_m = 0.25;
constexpr SightOptions kStand{6.2, 0.8, 400, 3};

// Share of sight at the target's height, and with the target lowered and raised.
using Shares = std::array<double, 3>;

double bilinear(const SightLand& land, double col, double row) {
  const int c = std::min(static_cast<int>(col), land.spec.cols - 2);
  const int r = std::min(static_cast<int>(row), land.spec.rows - 2);
  const double x = col - c, y = row - r;
  const auto z = [&](int dc, int dr) { return double{land.at(c + dc, r + dr).ground_m}; };
  return (z(0, 0) * (1 - x) + z(1, 0) * x) * (1 - y) + (z(0, 1) * (1 - x) + z(1, 1) * x) * y;
}

Shares plain_walk(const SightLand& land, int c0, int r0, int c1, int r1, const SightOptions& o) {
  Shares depth{}, out{};
  const double cell_m = land.spec.cell_m, d = std::hypot(c1 - c0, r1 - r0) * cell_m;
  const double eye = double{land.at(c0, r0).ground_m} + o.eye_m;
  const double target = double{land.at(c1, r1).ground_m} + o.target_m;
  const std::array<double, 3> ends{target, target - kFlip_m, target + kFlip_m};
  std::array<bool, 3> hidden{};
  const int n = std::max(1, static_cast<int>(4 * d / cell_m));
  for (int i = 0; i < n; ++i) {
    const double t = (i + 0.5) / n, col = c0 + (c1 - c0) * t, row = r0 + (r1 - r0) * t;
    const double ground = bilinear(land, col, row);
    const SightCell cell =
        land.at(static_cast<int>(std::floor(col + 0.5)), static_cast<int>(std::floor(row + 0.5)));
    for (size_t k = 0; k < 3; ++k) {
      const double z = eye + (ends[k] - eye) * t;
      if (z < ground) hidden[k] = true;
      if (t * d > o.cleared_m && z < double{cell.ground_m} + double{cell.top_m})
        depth[k] += double{cell.density_per_m} * d / n;
    }
  }
  for (size_t k = 0; k < 3; ++k) out[k] = hidden[k] ? 0 : std::exp(-depth[k]);
  return out;
}

struct Eye {
  LocalXY at;
  Raster<Shares> plain;  // cells beyond the reach: -1
};

Eye look(const SightLand& land, double x, double y) {
  const int c0 = static_cast<int>(x * land.spec.cols), r0 = static_cast<int>(y * land.spec.rows);
  Eye eye{land.spec.centre(c0, r0), Raster<Shares>(land.spec, Shares{-1, -1, -1})};
  for_each_index(land.spec.rows, [&](int r) {
    for (int c = 0; c < land.spec.cols; ++c)
      if (std::hypot(c - c0, r - r0) * land.spec.cell_m <= kStand.reach_m && (c != c0 || r != r0))
        eye.plain.at(c, r) = plain_walk(land, c0, r0, c, r, kStand);
  });
  return eye;
}

// What a pass agrees with, of all cells in reach of all eyes.
struct Score {
  long cells = 0, agree = 0, firm = 0, firm_agree = 0, same_half = 0, rim = 0;
  double bias = 0;

  void add(const Eye& eye, const std::function<double(LocalXY)>& share) {
    const GridSpec& g = eye.plain.spec;
    for (int r = 0; r < g.rows; ++r) {
      for (int c = 0; c < g.cols; ++c) {
        const Shares& plain = eye.plain.at(c, r);
        if (plain[0] < 0) continue;
        const double got = share(g.centre(c, r));
        const bool same = std::abs(got - plain[0]) <= 0.1;
        const bool is_firm =
            std::abs(plain[1] - plain[0]) <= 0.1 && std::abs(plain[2] - plain[0]) <= 0.1;
        ++cells;
        agree += same;
        firm += is_firm;
        firm_agree += same && is_firm;
        same_half += (got >= 0.5) == (plain[0] >= 0.5);
        bias += got - plain[0];
        rim += !same && at_rim(eye.plain, c, r);
      }
    }
  }
  // A cell beside it is seen otherwise.
  static bool at_rim(const Raster<Shares>& plain, int c, int r) {
    for (int dr = -1; dr <= 1; ++dr)
      for (int dc = -1; dc <= 1; ++dc)
        if (plain.spec.has(c + dc, r + dr) &&
            std::abs(plain.at(c + dc, r + dr)[0] - plain.at(c, r)[0]) > 0.1)
          return true;
    return false;
  }
  double percent(long part, long whole) const {
    return 100.0 * static_cast<double>(part) / static_cast<double>(std::max(1L, whole));
  }
  double all() const { return percent(agree, cells); }
  double firm_ones() const { return percent(firm_agree, firm); }
  double bias_percent() const { return 100 * bias / static_cast<double>(cells); }
  double at_rims() const { return percent(rim, cells - agree); }
};
std::ostream& operator<<(std::ostream& out, const Score& s) {
  return out << s.all() << " % of " << s.cells << " cells agree, " << s.firm_ones() << " % of "
             << s.firm << " firm ones; seen by half alike " << s.percent(s.same_half, s.cells)
             << " %; share seen " << std::showpos << s.bias_percent() << std::noshowpos
             << " % of the disc; of what differs " << s.at_rims() << " % at rims";
}

class RealSight : public ::testing::TestWithParam<Place> {
 protected:
  void SetUp() override {
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
    land = testing::sight_land((*terrain)->ground);
    switch (GetParam().cover) {
      case Cover::none:
        break;
      case Cover::brush:
        testing::chequer_cover(land, false);
        break;
      case Cover::timber:
        testing::chequer_cover(land, true);
        break;
      case Cover::surface:
        stand_canopy((*terrain)->canopy_m);
    }
  }
  void stand_canopy(const Raster<float>& canopy_m) {
    ASSERT_EQ(canopy_m.spec, land.spec);
    for (size_t i = 0; i < land.ground_m.cells.size(); ++i)
      if (canopy_m.cells[i] > 2) {
        land.top_m.cells[i] = canopy_m.cells[i];
        land.density_per_m.cells[i] = 0.02F;  // common practice, no source: leafless hardwood
      }
  }
  std::vector<Eye> eyes() const {
    return {look(land, 0.5, 0.5), look(land, 0.3, 0.4), look(land, 0.72, 0.66)};
  }

  SightLand land;
};

TEST_P(RealSight, BothPassesAgreeWithThePlainWalkOfEveryCell) {
  Score exact, quick;
  for (const Eye& eye : eyes()) {
    const auto walked = sight_exact(land, eye.at, kStand), swept = sight_from(land, eye.at, kStand);
    ASSERT_TRUE(walked && swept);
    exact.add(eye, [&](LocalXY p) { return walked->value_or(p, 0) / 255.0; });
    quick.add(eye, [&](LocalXY p) { return swept->value_or(p, 0) / 255.0; });
  }
  std::cout << "exact: " << exact << "\nquick: " << quick << '\n';
  EXPECT_GE(exact.all(), 99.0);
  EXPECT_GE(exact.firm_ones(), 99.9);
  EXPECT_LE(std::abs(exact.bias_percent()), 0.3);
  EXPECT_GE(quick.all(), 98.5);
}

TEST_P(RealSight, TheExactPassIsTheExactLineToEachCell) {
  const LocalXY at = land.spec.centre(land.spec.cols / 3, land.spec.rows / 2);
  const auto seen = sight_exact(land, at, kStand);
  ASSERT_TRUE(seen);
  long cells = 0, differ = 0;
  for (int r = 0; r < seen->spec.rows; r += 5) {
    for (int c = 0; c < seen->spec.cols; c += 5) {
      const LocalXY p = seen->spec.centre(c, r);
      if (distance_m(p, at) > kStand.reach_m - 1) continue;
      const double share =
          sight_between(land, at, kStand.eye_m, p, kStand.target_m, kStand.cleared_m);
      ++cells;
      differ += std::abs(share - seen->at(c, r) / 255.0) > 0.01;
    }
  }
  EXPECT_LE(differ * 1000, cells) << differ << " of " << cells;
}

TEST_P(RealSight, OneSeesTheOtherJustWhereTheOtherSeesTheOne) {
  std::mt19937 random(11);
  std::uniform_int_distribution<int> col(0, land.spec.cols - 1), row(0, land.spec.rows - 1);
  SightOptions o{1.6, 1.6, 400, 0};
  long pairs = 0, differ = 0;
  for (int n = 0; n < 40; ++n) {
    const LocalXY a = land.spec.centre(col(random), row(random));
    const auto from_a = sight_exact(land, a, o);
    ASSERT_TRUE(from_a);
    for (int k = 0; k < 8; ++k) {
      const LocalXY b = land.spec.centre(col(random), row(random));
      if (distance_m(a, b) >= 399) continue;
      const auto from_b = sight_exact(land, b, o);
      ASSERT_TRUE(from_b);
      ++pairs;
      differ += std::abs(from_a->value_or(b, 0) - from_b->value_or(a, 0)) > 1;
      EXPECT_NEAR(sight_between(land, a, 1.6, b, 1.6), sight_between(land, b, 1.6, a, 1.6), 1e-6);
    }
  }
  EXPECT_GT(pairs, 100);
  EXPECT_EQ(differ, 0) << "of " << pairs;
}

// GDAL's viewshed knows no cover, and carries its horizon from cell to cell as the quick pass does.
TEST_P(RealSight, AnotherProgramsViewshedDiffersAtTheRimsOfShadow) {
  if (GetParam().cover != Cover::none) GTEST_SKIP() << "that program knows no cover";
  GDALRegister_MEM();
  const int cols = land.spec.cols, rows = land.spec.rows;
  GDALDatasetH mem =
      GDALCreate(GDALGetDriverByName("MEM"), "", cols, rows, 1, GDT_Float32, nullptr);
  double transform[6] = {land.spec.west,   land.spec.cell_m, 0, land.spec.north, 0,
                         -land.spec.cell_m};
  GDALSetGeoTransform(mem, transform);
  std::vector<float> ground = land.ground_m.cells;
  ASSERT_EQ(GDALRasterIO(GDALGetRasterBand(mem, 1), GF_Write, 0, 0, cols, rows, ground.data(), cols,
                         rows, GDT_Float32, 0, 0),
            CE_None);
  Score theirs;
  for (const Eye& eye : eyes()) {
    GDALDatasetH out = GDALViewshedGenerate(GDALGetRasterBand(mem, 1), "MEM", "", nullptr, eye.at.x,
                                            eye.at.y, kStand.eye_m, kStand.target_m, 255, 0, 0, -1,
                                            0, GVM_Edge, 0, nullptr, nullptr, GVOT_NORMAL, nullptr);
    ASSERT_TRUE(out);
    ASSERT_EQ(GDALGetRasterXSize(out), cols);
    Raster<std::uint8_t> seen(land.spec);
    ASSERT_EQ(GDALRasterIO(GDALGetRasterBand(out, 1), GF_Read, 0, 0, cols, rows, seen.cells.data(),
                           cols, rows, GDT_Byte, 0, 0),
              CE_None);
    GDALClose(out);
    theirs.add(eye, [&](LocalXY p) { return seen.value_or(p, 0) / 255.0; });
  }
  GDALClose(mem);
  std::cout << "GDAL " << GDALVersionInfo("RELEASE_NAME") << ": " << theirs
            << ". It mixes the horizons of neighbouring cells ring by ring, so the "
               "edges of shadow fall a cell or two off; the plain walk mixes nothing.\n";
  EXPECT_GE(theirs.all(), 97.0);  // else the two do not look at the same ground
  EXPECT_GE(theirs.at_rims(), 80.0);
}

constexpr const char* kHaliburton = "dem/derived_haliburton_1m_dtm_utm17n.tif";
constexpr const char* kMoraine = "dem/mn_wooded_1m_dem_utm15n.tif";
constexpr const char* kPalouse = "dem/palouse_2m_utm11n.tif";

INSTANTIATE_TEST_SUITE_P(
    Places, RealSight,
    ::testing::Values(Place{"Haliburton", kHaliburton, nullptr, "EPSG:26917", Cover::none},
                      Place{"HaliburtonForest", kHaliburton,
                            "surface/derived_haliburton_dsm_2m.tif", "EPSG:26917", Cover::surface},
                      Place{"HaliburtonBrush", kHaliburton, nullptr, "EPSG:26917", Cover::brush},
                      Place{"Moraine", kMoraine, nullptr, "EPSG:26915", Cover::none},
                      Place{"MoraineTimber", kMoraine, nullptr, "EPSG:26915", Cover::timber},
                      Place{"Palouse", kPalouse, nullptr, "EPSG:26911", Cover::none},
                      Place{"PalouseBrush", kPalouse, nullptr, "EPSG:26911", Cover::brush}),
    [](const auto& place) { return place.param.name; });

}  // namespace
}  // namespace leeward::compute
