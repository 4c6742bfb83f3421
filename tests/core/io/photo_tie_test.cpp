#include "core/io/photo_tie.h"

#include "tests/core/io/io_support.h"

#include <gtest/gtest.h>

#include <cmath>
#include <fstream>

namespace leeward::io {
namespace {

namespace fs = std::filesystem;

constexpr char kUtm16[] = "EPSG:32616";

// A picture turned by 30 degrees, half a metre a pixel.
LocalXY turned(double px_x, double px_y) {
  const double a = 30 * kRadPerDeg, x = 0.5 * px_x, y = -0.5 * px_y;
  return {500'000 + std::cos(a) * x - std::sin(a) * y,
          4'500'000 + std::sin(a) * x + std::cos(a) * y};
}
ControlPoint point(double px_x, double px_y, LocalXY ground) { return {px_x, px_y, ground}; }
std::vector<ControlPoint> turned_points(const std::vector<LocalXY>& pixels) {
  std::vector<ControlPoint> out;
  for (const LocalXY p : pixels) out.push_back(point(p.x, p.y, turned(p.x, p.y)));
  return out;
}

TEST(FitPicture, ThreePointsOfATurnedPictureLeaveNothingOver) {
  const auto tie =
      fit_picture(turned_points({{10, 20}, {380, 40}, {100, 190}}), TieFit::affine, 400, 200);
  ASSERT_TRUE(tie) << tie.error().message;
  for (const double miss : tie->miss_m) EXPECT_LT(miss, 1e-6);
  EXPECT_NEAR(tie->cell_m, 0.5, 1e-6);
  for (const LocalXY corner : {turned(0, 0), turned(400, 0), turned(0, 200), turned(400, 200)})
    EXPECT_TRUE(tie->box.grown(1e-3).contains(corner));
  EXPECT_NEAR(tie->box.width_m(), 200 * std::cos(kPi / 6) + 100 * 0.5, 1e-3);
}

// Four points at the corners of a rectangle, one of them off by 4 m to the east: the plane of least
// squares misses each by a quarter of that (worked by hand).
TEST(FitPicture, OneWrongPointShowsInWhatIsLeftOver) {
  auto points = turned_points({{0, 0}, {400, 0}, {0, 200}, {400, 200}});
  points[3].ground.x += 4;
  const auto tie = fit_picture(points, TieFit::affine, 400, 200);
  ASSERT_TRUE(tie) << tie.error().message;
  for (const double miss : tie->miss_m) EXPECT_NEAR(miss, 1, 1e-6);
  EXPECT_NEAR(tie->rms_m, 1, 1e-6);
}

TEST(FitPicture, AScanThatBendsIsFollowedBySecondDegreeButNotByAffine) {
  std::vector<ControlPoint> points;
  for (const double x : {0.0, 200.0, 400.0})
    for (const double y : {0.0, 100.0, 200.0})
      points.push_back(point(x, y, turned(x, y) + LocalXY{1e-4 * x * y, 2e-4 * x * x}));
  const auto bent = fit_picture(points, TieFit::second, 400, 200);
  ASSERT_TRUE(bent) << bent.error().message;
  EXPECT_LT(bent->rms_m, 1e-5);
  const auto straight = fit_picture(points, TieFit::affine, 400, 200);
  ASSERT_TRUE(straight);
  EXPECT_GT(straight->rms_m, 1);
}

TEST(FitPicture, SaysWhatIsWrongWithThePoints) {
  const auto words = [](const std::vector<ControlPoint>& points, TieFit fit) {
    const auto tie = fit_picture(points, fit, 400, 200);
    return tie ? std::string() : tie.error().message;
  };
  EXPECT_NE(words(turned_points({{0, 0}, {400, 0}}), TieFit::affine).find("1 more to set"),
            std::string::npos);
  EXPECT_NE(words(turned_points({{0, 0}, {200, 100}, {400, 200}}), TieFit::affine).find("one line"),
            std::string::npos);
  auto swapped = turned_points({{0, 0}, {400, 0}, {0, 200}});
  std::swap(swapped[1].ground, swapped[2].ground);
  EXPECT_NE(words(swapped, TieFit::affine).find("mirrored"), std::string::npos);
  std::vector<ControlPoint> folded;  // all in one corner, with errors that a third degree blows up
  for (int i = 0; i < 10; ++i)
    folded.push_back(point(
        10.0 * (i % 4), 8.0 * (i / 4) + i % 3,
        turned(10.0 * (i % 4), 8.0 * (i / 4) + i % 3) + LocalXY{3.0 * (i % 2), 2.0 * (i % 3)}));
  EXPECT_NE(words(folded, TieFit::third), "");
}

class TiedPicture : public ::testing::Test {
 protected:
  void SetUp() override {
    // Quarters: red, green / blue, white.
    Picture p{400, 200, {}};
    for (int r = 0; r < 200; ++r)
      for (int c = 0; c < 400; ++c)
        p.argb.push_back(r < 100 ? (c < 200 ? 0xFFE00000U : 0xFF00E000U)
                                 : (c < 200 ? 0xFF0000E0U : 0xFFFFFFFFU));
    ASSERT_TRUE(write_rgba_geotiff(photo(), p, {0, 0, 400, 200}, kUtm16));
  }
  fs::path photo() const { return folder_ / "photo.tif"; }
  fs::path tied() const { return folder_ / "tied.tif"; }
  std::uint32_t colour_at(LocalXY p) const {
    RasterLayer layer;
    layer.path = tied().string();
    const auto seen = render_layer(layer, folder_ / "none.gpkg", kUtm16,
                                   {p.x - 1, p.y - 1, p.x + 1, p.y + 1}, 3, 3);
    return seen ? seen->argb[4] : 1;
  }
  testing::Folder folder_;
};

TEST_F(TiedPicture, LiesWhereThePointsSayAndIsClearAround) {
  const auto points = turned_points({{0, 0}, {400, 0}, {0, 200}, {400, 200}});
  ASSERT_TRUE(write_tied_picture(photo(), points, TieFit::affine, kUtm16, tied()));
  const auto facts = inspect_raster(tied(), kUtm16);
  ASSERT_TRUE(facts) << facts.error().message;
  EXPECT_TRUE(facts->georeferenced && facts->has_crs);
  EXPECT_NEAR(facts->cell_m, 0.5, 0.01);
  EXPECT_EQ(colour_at(turned(100, 50)), 0xFFE00000U);
  EXPECT_EQ(colour_at(turned(300, 50)), 0xFF00E000U);
  EXPECT_EQ(colour_at(turned(100, 150)), 0xFF0000E0U);
  EXPECT_EQ(colour_at(turned(300, 150)), 0xFFFFFFFFU);
  EXPECT_EQ(colour_at(turned(-40, 100)) >> 24U, 0U);
  EXPECT_EQ(colour_at(turned(200, 240)) >> 24U, 0U);
}

TEST_F(TiedPicture, IsShownSmallAndLeavesNothingWhenGivenUp) {
  const auto small = read_plain_picture(photo(), 100);
  ASSERT_TRUE(small) << small.error().message;
  EXPECT_EQ(small->width_px, 400);
  EXPECT_EQ(small->picture.width_px, 100);
  EXPECT_EQ(small->picture.height_px, 50);
  EXPECT_EQ(small->picture.argb[10 * 100 + 10], 0xFFE00000U);
  const auto points = turned_points({{0, 0}, {400, 0}, {0, 200}});
  std::stop_source stop;
  stop.request_stop();
  const Status done =
      write_tied_picture(photo(), points, TieFit::affine, kUtm16, tied(), stop.get_token());
  ASSERT_FALSE(done);
  EXPECT_EQ(done.error().code, ErrorCode::cancelled);
  EXPECT_FALSE(fs::exists(tied()));
  std::ofstream(folder_ / "no.jpg") << "this is no picture";
  EXPECT_FALSE(read_plain_picture(folder_ / "no.jpg", 100));
}

}  // namespace
}  // namespace leeward::io
