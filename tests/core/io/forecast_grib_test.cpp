#include "core/io/forecast_files.h"
#include "tests/core/io/io_support.h"

#include <gmock/gmock.h>

#include <cmath>

namespace leeward::io {
namespace {

using namespace testing;
using ::testing::HasSubstr;

Result<ForecastImport> read_at(const fs::path& path, const char* crs, LonLat place) {
  const Frame frame = *Frame::make(crs);
  return read_forecast(path, frame, frame.to_local(place));
}
std::string all(const std::vector<std::string>& notes) {
  std::string out;
  for (const auto& n : notes) out += n + "\n";
  return out;
}

// A NAM analysis on the Lambert grid 221. Values of column 70, row 30 by `gdallocationinfo -valonly
// -b 127 -b 128 -b 2 -b 125 FILE 70 30` (u, v, gust, temperature), the middle of that cell by
// `invproj +proj=lcc +lat_1=25 +lat_2=25 +lat_0=25 +lon_0=-95 +R=6371229`. The wind is turned to
// true north as the NOAA RAP frequently asked questions have it: by sin(25 deg) (lon + 95 deg),
// u_e = u cos + v sin, v_n = v cos - u sin (from memory).
TEST(ForecastGrib, WindsOfALambertGridAreTurnedToTrueNorth) {
  SKIP_WITHOUT_SHARED_DATA();
  constexpr double kLon = -78.18305101, kLat = 41.31064223;
  constexpr double kU = -0.594811975955963, kV = 0.352204591035843;
  const Frame frame = *Frame::make("EPSG:32617");
  auto f = read_at(shared_data() / "weather/grib/nam_conus_221_2018091700.grib2", "EPSG:32617",
                   {kLon, kLat});
  ASSERT_TRUE(f) << f.error().message;
  ASSERT_EQ(f->hours.size(), 1U);
  const WindHour& h = f->hours[0];
  EXPECT_EQ(h.at, *parse_iso8601("2018-09-17T00:00:00Z"));
  EXPECT_EQ(f->forecast.issued, h.at);
  const double turn = std::sin(25 * kRadPerDeg) * (kLon + 95) * kRadPerDeg;
  const double east = kU * std::cos(turn) + kV * std::sin(turn),
               north = kV * std::cos(turn) - kU * std::sin(turn);
  const double from = wrap_360(std::atan2(-east, -north) * kDegPerRad);
  const double got = *h.from_deg + frame.convergence_deg(frame.to_local({kLon, kLat}));
  EXPECT_NEAR(wrap_180(got - from), 0, 0.3);
  EXPECT_NEAR(*h.speed_mps, std::hypot(kU, kV), 0.01);
  EXPECT_NEAR(*h.gust_mps, 0.8328, 0.01);
  EXPECT_NEAR(*h.temperature_c, 20.367, 0.05);
  EXPECT_THAT(all(f->notes), HasSubstr("turned to true north"));
  EXPECT_THAT(all(f->notes), HasSubstr("81 km"));
}

TEST(ForecastGrib, WhatDoesNotReachThePropertyIsRefused) {
  SKIP_WITHOUT_SHARED_DATA();
  auto f = read_at(shared_data() / "weather/grib/nam_conus_221_2018091700.grib2", "EPSG:32760",
                   {177, -40});
  ASSERT_FALSE(f);
  EXPECT_THAT(f.error().message, HasSubstr("does not reach the property"));
  EXPECT_THAT(f.error().message, HasSubstr("nam_conus_221"));
}

TEST(ForecastGrib, AFileWithoutWindSaysSo) {
  SKIP_WITHOUT_SHARED_DATA();
  auto f = read_at(shared_data() / "weather/grib/gfs_10deg_f010.grib2", "EPSG:32617", {-78, 41});
  ASSERT_FALSE(f);
  EXPECT_THAT(f.error().message, HasSubstr("no wind"));
  EXPECT_THAT(f.error().message, HasSubstr("choose"));
}

TEST(ForecastGrib, HalfAFileAndAnOldEditionAreRefusedWithAMend) {
  const Folder folder;
  write_bytes(folder / "half.grib2", std::string("GRIB\0\0\0\x02\0\0\0\0\0\0\x10\0\0\0", 18));
  auto half = read_at(folder / "half.grib2", "EPSG:32617", {-78, 41});
  ASSERT_FALSE(half);
  EXPECT_THAT(half.error().message, HasSubstr("half.grib2"));
  EXPECT_THAT(half.error().message, HasSubstr("load it again"));
  write_bytes(folder / "old.grb", std::string("GRIB\0\0\x64\x01", 8) + std::string(100, '\0'));
  auto old = read_at(folder / "old.grb", "EPSG:32617", {-78, 41});
  ASSERT_FALSE(old);
  EXPECT_THAT(old.error().message, HasSubstr("only edition 2 is read"));
}

}  // namespace
}  // namespace leeward::io
