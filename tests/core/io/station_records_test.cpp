#include "core/io/station_records.h"

#include "tests/core/io/io_support.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace leeward::io {
namespace {

using namespace leeward::io::testing;
using ::testing::HasSubstr;

struct Station : ::testing::Test {
  Folder folder;
  Result<StationRecords> read(const std::string& text) {
    write_bytes(folder / "station.csv", text);
    return read_station_records(folder / "station.csv", "America/New_York");
  }
};

// NOAA ISD: WND is direction, quality, type, speed in tenths, quality; 999 and 9999 are missing.
TEST_F(Station, ReadsIsdWithItsQualityMarks) {
  const auto r = read(
      "\"STATION\",\"DATE\",\"WND\"\n"
      "\"1\",\"2017-02-10T14:04:00\",\"999,9,V,0005,1\"\n"
      "\"1\",\"2017-02-10T15:04:00\",\"270,1,N,0051,1\"\n"
      "\"1\",\"2017-02-10T16:04:00\",\"270,3,N,9999,9\"\n"
      "\"1\",\"2017-02-10T17:04:00\",\"000,1,C,0000,1\"\n");
  ASSERT_TRUE(r.has_value()) << r.error().message;
  ASSERT_EQ(r->hours.size(), 4U);
  EXPECT_FALSE(r->hours[0].true_from_deg);
  EXPECT_NEAR(*r->hours[0].speed_mps, 0.5, 1e-9);
  EXPECT_NEAR(*r->hours[1].true_from_deg, 270, 1e-9);
  EXPECT_NEAR(*r->hours[1].speed_mps, 5.1, 1e-9);
  EXPECT_EQ(to_iso8601(r->hours[1].at), "2017-02-10T15:00:00Z");
  EXPECT_FALSE(r->hours[2].speed_mps);
  EXPECT_FALSE(r->hours[3].true_from_deg) << "a calm has no direction";
}

// TMY3 (NREL users manual 2008): the hour ends at the time given, in standard time.
TEST_F(Station, ReadsTypicalYearsWithHoursThatEnd) {
  const auto r = read(
      "723170,\"SOMEWHERE\",NC,-5.0,36.1,-79.9,273\n"
      "Date (MM/DD/YYYY),Time (HH:MM),Wdir (degrees),Wspd (m/s)\n"
      "01/01/1988,01:00,200,6.2\n01/01/1988,24:00,0,0.0\n");
  ASSERT_TRUE(r.has_value()) << r.error().message;
  EXPECT_EQ(r->format, "TMY3");
  EXPECT_EQ(to_iso8601(r->hours[0].at), "1988-01-01T05:00:00Z");
  EXPECT_EQ(to_iso8601(r->hours[1].at), "1988-01-02T04:00:00Z");
  EXPECT_NEAR(*r->hours[0].speed_mps, 6.2, 1e-9);
}

TEST_F(Station, ReadsEpw) {
  std::string row = "2004,11,14,7,60,?";
  for (int i = 6; i < 20; ++i) row += ",0";
  std::string text = "LOCATION,Somewhere,NC,USA,TMY,1,36,-80,-5.0,270\n";
  for (int i = 0; i < 7; ++i) text += "HEADER\n";
  const auto r = read(text + row + ",225,4.1\n");
  ASSERT_TRUE(r.has_value()) << r.error().message;
  EXPECT_EQ(r->format, "EPW");
  EXPECT_EQ(to_iso8601(r->hours[0].at), "2004-11-14T11:00:00Z");
  EXPECT_NEAR(*r->hours[0].true_from_deg, 225, 1e-9);
}

TEST_F(Station, AWindWithoutDirectionIsRefusedByName) {
  const auto r = read("date,pressure,temperature,wind\n2010-01-01T01:00:00,1016.6,4.0,3.8\n");
  ASSERT_FALSE(r.has_value());
  EXPECT_THAT(r.error().message, HasSubstr("station.csv"));
  EXPECT_THAT(r.error().message, HasSubstr("direction"));
}

// Open data: a year of three airports (ASOS), a typical year, ISD; see the folder's index.
TEST_F(Station, ReadsRealRecords) {
  SKIP_WITHOUT_SHARED_DATA();
  const fs::path weather = shared_data() / "weather";
  const auto year =
      read_station_records(weather / "station" / "nyc_asos_hourly_2013.csv", "America/New_York");
  ASSERT_TRUE(year.has_value()) << year.error().message;
  EXPECT_GT(year->hours.size(), 8600U) << "one station of three";
  EXPECT_LE(year->hours.size(), 8760U);
  const auto typical = read_station_records(weather / "tmy" / "greensboro_nc_723170TYA_tmy3.csv",
                                            "America/New_York");
  ASSERT_TRUE(typical.has_value()) << typical.error().message;
  EXPECT_EQ(typical->hours.size(), 8760U);
  const auto isd =
      read_station_records(weather / "station" / "isd_00702699999.csv", "America/New_York");
  ASSERT_TRUE(isd.has_value()) << isd.error().message;
  EXPECT_GT(isd->hours.size(), 1000U);
  EXPECT_FALSE(read_station_records(weather / "station" / "seattle_hourly_normals.csv",
                                    "America/Los_Angeles"));
}

}  // namespace
}  // namespace leeward::io
