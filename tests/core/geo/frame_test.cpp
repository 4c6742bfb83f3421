#include "core/geo/frame.h"

#include <gtest/gtest.h>

namespace leeward {
namespace {

constexpr double kTenthMillimetre_m = 1e-3;

struct Place {
  LonLat at;
  const char* crs;
  double e, n, convergence_deg, scale;
};

// Values agree between PROJ and GeographicLib (general reference libraries); the Washington
// Monument row is a published USNG example.
const Place kPlaces[] = {
    {{-77.0352402156242, 38.889467309501576},
     "EPSG:32618",
     323483.168,
     4306479.498,
     -1.278094,
     0.99998369},
    {{-92.3341, 38.9517}, "EPSG:32615", 557700.906, 4311627.502, 0.418640, 0.99964100},
    {{-89.4012, 43.0731}, "EPSG:32616", 304510.382, 4771730.870, -1.640372, 1.00007015},
    {{-93, 45}, "EPSG:32615", 500000, 4982950.400, 0, 0.99960000},
};

TEST(Frame, AgreesWithReferenceCoordinatesConvergenceAndScale) {
  for (const Place& p : kPlaces) {
    const auto frame = Frame::make(p.crs);
    ASSERT_TRUE(frame) << p.crs;
    const LocalXY xy = frame->to_local(p.at);
    EXPECT_NEAR(xy.x, p.e, kTenthMillimetre_m);
    EXPECT_NEAR(xy.y, p.n, kTenthMillimetre_m);
    const LonLat back = frame->to_wgs84(xy);
    EXPECT_NEAR(back.lon, p.at.lon, 1e-9);
    EXPECT_NEAR(back.lat, p.at.lat, 1e-9);
    EXPECT_NEAR(frame->convergence_deg(xy), p.convergence_deg, 1e-5);
    EXPECT_NEAR(frame->scale_factor(xy), p.scale, 1e-7);
  }
}

TEST(Frame, GridBearingIsTrueLessConvergence) {
  const auto frame = Frame::make("EPSG:32616");
  ASSERT_TRUE(frame);
  const LocalXY xy{304510.382, 4771730.870};
  EXPECT_NEAR(frame->true_to_grid(0, xy).degrees(), 1.640372, 1e-5);
  // A step true north moves along that grid bearing.
  const LonLat here = frame->to_wgs84(xy);
  const LocalXY north = frame->to_local({here.lon, here.lat + 0.001});
  EXPECT_NEAR(bearing(xy, north).degrees(), 1.640372, 1e-3);
}

TEST(Frame, KnowsItsZoneAndName) {
  const auto frame = Frame::make("EPSG:26917");
  ASSERT_TRUE(frame);
  EXPECT_EQ(frame->utm_zone(), 17);
  EXPECT_NE(frame->name().find("NAD83"), std::string::npos);
  EXPECT_EQ(frame->wkt().find('\n'), std::string::npos);
}

TEST(Frame, RefusesDegreesFeetAndNonsense) {
  EXPECT_FALSE(Frame::make("EPSG:4326"));
  EXPECT_FALSE(Frame::make("EPSG:2225"));  // US survey feet
  EXPECT_FALSE(Frame::make("no such thing"));
  EXPECT_FALSE(Frame::make(""));
}

TEST(UtmCrs, PicksTheZoneAndRefusesPolesAndAntimeridian) {
  EXPECT_EQ(*utm_crs_for({-92.3, 38.9}), "EPSG:32615");
  EXPECT_EQ(*utm_crs_for({-84, 42}), "EPSG:32617");  // on the zone edge
  EXPECT_EQ(*utm_crs_for({151, -33}), "EPSG:32756");
  EXPECT_FALSE(utm_crs_for({0, 85}));
  EXPECT_FALSE(utm_crs_for({179.9, 10}));
}

// FGDC-STD-011-2001 (USNG): truncated, never rounded; the Washington Monument is its usual example.
TEST(Usng, TruncatesTheWashingtonMonument) {
  const LonLat p{-77.0352402156242, 38.889467309501576};
  EXPECT_EQ(usng(p, 5), "18S UJ 23483 06479");
  EXPECT_EQ(usng(p, 4), "18S UJ 2348 0647");
  EXPECT_EQ(usng(p, 3), "18S UJ 234 064");
  EXPECT_EQ(usng(p, 2), "18S UJ 23 06");
}

TEST(Usng, AgreesWithReferenceSquares) {
  EXPECT_EQ(usng({-92.3341, 38.9517}, 5), "15S WD 57700 11627");
  EXPECT_EQ(usng({-89.4012, 43.0731}, 5), "16T CN 04510 71730");
  EXPECT_EQ(usng({-88.8184, 33.4504}, 5), "16S CC 30989 02698");
  EXPECT_EQ(usng({-104.9903, 39.7392}, 5), "13S ED 00831 98811");
  EXPECT_EQ(usng({-93, 45}, 5), "15T WK 00000 82950");
  EXPECT_EQ(usng({-84, 42}, 5), "17T KG 51535 54130");
  EXPECT_EQ(usng({0, 89}, 5), "");
}

}  // namespace
}  // namespace leeward
