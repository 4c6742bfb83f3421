#include "core/io/forecast_files.h"

#include "tests/core/io/io_support.h"

#include <cmath>

namespace leeward::io {
namespace {

using namespace testing;

const Frame& frame() {
  static const Frame utm17 = *Frame::make("EPSG:26917");
  return utm17;
}
constexpr LocalXY kPlace{684900, 5017900};

Result<ForecastImport> read_text(const std::string& text, const std::string& name = "f.csv") {
  const Folder folder;
  write_bytes(folder / name, text);
  return read_forecast(folder / name, frame(), kPlace);
}

std::string joined(const ForecastImport& f) {
  std::string out;
  for (const auto& n : f.notes) out += n + "\n";
  return out;
}

/// The true direction again, to a hundredth.
double true_deg(const WindHour& h) {
  static const double convergence = frame().convergence_deg(kPlace);
  return std::round(wrap_360(*h.from_deg + convergence) * 100) / 100;
}

Instant at(const char* iso) { return *parse_iso8601(iso); }

TEST(ForecastCsv, ColumnsInAnyOrderBecomeHoursInMetresASecond) {
  auto f = read_text(
      "\xEF\xBB\xBFgust_mph,extra,time,wind_mph,wind_from_deg,cloud_pct,temp_f\r\n"
      "20,x,2026-11-14T06:00-05:00,10,315,40,50\r\n"
      ",\"a,b\",2026-11-14T07:00-05:00,5,NNW,,\r\n");
  ASSERT_TRUE(f) << f.error().message;
  ASSERT_EQ(f->hours.size(), 2U);
  const WindHour &a = f->hours[0], &b = f->hours[1];
  EXPECT_EQ(a.at, at("2026-11-14T11:00:00Z"));
  EXPECT_NEAR(*a.speed_mps, 4.4704, 1e-9);
  EXPECT_NEAR(*a.gust_mps, 8.9408, 1e-9);
  EXPECT_NEAR(*a.cloud, 0.4, 1e-12);
  EXPECT_NEAR(*a.temperature_c, 10, 1e-9);
  EXPECT_EQ(true_deg(a), 315);
  EXPECT_EQ(true_deg(b), 337.5);
  EXPECT_FALSE(b.gust_mps || b.cloud || b.temperature_c);
  EXPECT_EQ(a.forecast, f->forecast.uid);
}

// East of the zone's middle grid north lies east of true north: the grid bearing is smaller.
TEST(ForecastCsv, DirectionsAreGridBearings) {
  auto f = read_text("time,wind_from_deg,wind_mps\n2026-11-14T06:00Z,90,3\n");
  ASSERT_TRUE(f);
  const double convergence = frame().convergence_deg(kPlace);
  EXPECT_GT(convergence, 1.0);
  EXPECT_NEAR(*f->hours[0].from_deg, 90 - convergence, 1e-9);
}

TEST(ForecastCsv, AllSpeedUnits) {
  const std::pair<const char*, double> units[] = {
      {"wind_mps", 1}, {"wind_kmh", 1 / 3.6}, {"wind_kt", 1852.0 / 3600}, {"wind_mph", 0.44704}};
  for (const auto& [column, factor] : units) {
    auto f = read_text(std::string("time,wind_from_deg,") + column + "\n2026-11-14T06:00Z,90,9\n");
    ASSERT_TRUE(f) << column;
    EXPECT_NEAR(*f->hours[0].speed_mps, 9 * factor, 1e-9) << column;
  }
}

TEST(ForecastCsv, OddValuesAreUnknownAndNamedNeverAssumed) {
  auto f = read_text(
      "time,wind_from_deg,wind_mps\n"
      "2026-11-14T06:00Z,720,3\n"
      "2026-11-14T07:00Z,90,-2\n"
      "2026-11-14T08:00Z,nowhere,4\n"
      "2026-11-14T09:00Z,90,NA\n"
      "yesterday,90,3\n"
      "2026-11-14T12:00Z,90,5\n"
      "2026-11-14T12:00Z,90,6\n");
  ASSERT_TRUE(f) << f.error().message;
  ASSERT_EQ(f->hours.size(), 5U);
  EXPECT_FALSE(f->hours[0].from_deg);
  EXPECT_FALSE(f->hours[1].speed_mps);
  EXPECT_FALSE(f->hours[2].from_deg);
  EXPECT_FALSE(f->hours[3].speed_mps);
  EXPECT_EQ(*f->hours[4].speed_mps, 5);
  const std::string notes = joined(*f);
  for (const char* said :
       {"Line 2, direction", "Line 3, wind", "Line 4, direction", "Line 6: time",
        "Hour 2026-11-14 12:00 UTC: more than one row; the first is kept",
        "The 2 hours from 2026-11-14 10:00 UTC to 2026-11-14 11:00 UTC are missing"}) {
    EXPECT_THAT(notes, ::testing::HasSubstr(said));
  }
}

TEST(ForecastCsv, RowsBetweenHoursGoToTheNearest) {
  auto f = read_text(
      "time,wind_from_deg,wind_mps\n2026-11-14T05:53Z,90,3\n2026-11-14T06:15Z,90,4\n"
      "2026-11-14T06:53Z,90,5\n");
  ASSERT_TRUE(f);
  ASSERT_EQ(f->hours.size(), 2U);
  EXPECT_EQ(*f->hours[0].speed_mps, 3);
  EXPECT_EQ(f->hours[1].at, at("2026-11-14T07:00:00Z"));
  EXPECT_THAT(
      joined(*f),
      ::testing::HasSubstr("3 rows between full hours went to the nearest hour.\n1 row left out"));
}

TEST(ForecastCsv, MissingColumnsAndEmptyFilesAreRefusedWithTheMend) {
  for (const char* text :
       {"", "\n", "time,wind_mps\n2026-11-14T06:00Z,3\n",
        "time,wind_from_deg\n2026-11-14T06:00Z,3\n", "wind_from_deg,wind_mps\n90,3\n",
        "time,wind_from_deg,wind_mps,wind_kt\n", "time,time,wind_from_deg,wind_mps\n",
        "time,wind_from_deg,wind_mps\n", "time,wind_from_deg,wind_mps\n2026-11-14T06:00,90,3\n"}) {
    auto f = read_text(text);
    ASSERT_FALSE(f) << text;
    EXPECT_EQ(f.error().code, ErrorCode::parse) << text;
    EXPECT_THAT(f.error().message, ::testing::StartsWith("f.csv: "));
  }
}

/// Rows after a header of time, direction and wind in m/s.
Result<ForecastImport> read_rows(const std::string& rows) {
  return read_text("time,wind_from_deg,wind_mps\n" + rows);
}

TEST(BadForecastCsv, VariableAndMissingDirectionsAreUnknownAndCounted) {
  auto f = read_rows(
      "2026-11-14T06:00Z,VRB,3\n2026-11-14T07:00Z,,3\n2026-11-14T08:00Z,variable,3\n"
      "2026-11-14T09:00Z,90,3\n");
  ASSERT_TRUE(f) << f.error().message;
  ASSERT_EQ(f->hours.size(), 4U);
  for (size_t i = 0; i < 3; ++i) {
    EXPECT_FALSE(f->hours[i].from_deg) << i;
    EXPECT_EQ(*f->hours[i].speed_mps, 3) << i;
  }
  EXPECT_THAT(joined(*f), ::testing::HasSubstr("3 hours (first 2026-11-14 06:00 UTC): no wind "
                                               "direction, or variable; scent is spread"));
  EXPECT_THAT(joined(*f), ::testing::Not(::testing::HasSubstr("no number")));
}

TEST(BadForecastCsv, ACalmNeedsNoDirectionAndNoRemark) {
  auto f = read_rows("2026-11-14T06:00Z,,0\n2026-11-14T07:00Z,calm,0.2\n2026-11-14T08:00Z,0,0\n");
  ASSERT_TRUE(f) << f.error().message;
  ASSERT_EQ(f->hours.size(), 3U);
  for (const WindHour& h : f->hours) EXPECT_LT(*h.speed_mps, 0.5);
  EXPECT_FALSE(f->hours[0].from_deg || f->hours[1].from_deg);
  EXPECT_THAT(joined(*f), ::testing::Not(::testing::HasSubstr("direction")));
}

TEST(BadForecastCsv, MissingSpeedsCloudAndLowGustsAreCounted) {
  auto f = read_text(
      "time,wind_from_deg,wind_mps,gust_mps,cloud_pct\n2026-11-14T06:00Z,90,NA,,10\n"
      "2026-11-14T07:00Z,90,5,3,20\n2026-11-14T08:00Z,90,5,9,\n2026-11-14T09:00Z,90,5,4.8,140\n");
  ASSERT_TRUE(f) << f.error().message;
  const std::string notes = joined(*f);
  for (const char* said : {"Hour 2026-11-14 06:00 UTC: no wind speed; scent is spread",
                           "Hour 2026-11-14 07:00 UTC: gusts below the mean wind",
                           "2 hours (first 2026-11-14 08:00 UTC): no cloud; a sky half covered",
                           "Line 5, cloud: the cloud cover does not lie between 0 and 100"}) {
    EXPECT_THAT(notes, ::testing::HasSubstr(said));
  }
}

TEST(BadForecastCsv, GapsAndRepeatedHoursAreNamed) {
  auto f = read_rows(
      "2026-11-14T02:00Z,90,3\n2026-11-14T06:00Z,90,4\n2026-11-14T06:00Z,270,9\n"
      "2026-11-14T08:00Z,90,5\n");
  ASSERT_TRUE(f) << f.error().message;
  ASSERT_EQ(f->hours.size(), 3U);
  EXPECT_EQ(*f->hours[1].speed_mps, 4);
  EXPECT_EQ(true_deg(f->hours[1]), 90);
  const std::string notes = joined(*f);
  for (const char* said :
       {"The 3 hours from 2026-11-14 03:00 UTC to 2026-11-14 05:00 UTC are missing",
        "The hour 2026-11-14 07:00 UTC is missing",
        "Hour 2026-11-14 06:00 UTC: more than one row; the first is kept"}) {
    EXPECT_THAT(notes, ::testing::HasSubstr(said));
  }
}

TEST(BadForecastCsv, ManyGapsAreNotAFlood) {
  std::string rows;
  for (int h = 0; h < 24; h += 2)
    rows += "2026-11-14T" + std::string(h < 10 ? "0" : "") + std::to_string(h) + ":00Z,90,3\n";
  auto f = read_rows(rows);
  ASSERT_TRUE(f) << f.error().message;
  EXPECT_LT(f->notes.size(), 9U);
  EXPECT_THAT(joined(*f), ::testing::HasSubstr("And 6 more gaps in the hours."));
}

TEST(BadForecastCsv, TimesOutOfOrderAreSorted) {
  auto f = read_rows("2026-11-14T08:00Z,90,5\n2026-11-14T06:00Z,90,3\n2026-11-14T07:00Z,90,4\n");
  ASSERT_TRUE(f) << f.error().message;
  ASSERT_EQ(f->hours.size(), 3U);
  for (size_t i = 0; i < 3; ++i) EXPECT_EQ(*f->hours[i].speed_mps, 3.0 + static_cast<double>(i));
  EXPECT_THAT(joined(*f), ::testing::Not(::testing::HasSubstr("missing")));
}

TEST(BadForecastCsv, HalfHourlyRowsKeepTheFullHours) {
  auto f = read_rows(
      "2026-11-14T06:00Z,90,3\n2026-11-14T06:30Z,90,30\n2026-11-14T07:00Z,90,4\n"
      "2026-11-14T07:30Z,90,30\n2026-11-14T08:00Z,90,5\n");
  ASSERT_TRUE(f) << f.error().message;
  ASSERT_EQ(f->hours.size(), 3U);
  for (size_t i = 0; i < 3; ++i) EXPECT_EQ(*f->hours[i].speed_mps, 3.0 + static_cast<double>(i));
  EXPECT_THAT(joined(*f), ::testing::HasSubstr("2 rows left out: another row is nearer"));
}

// Newfoundland's full hours lie at half past in UTC.
TEST(BadForecastCsv, HoursOfAHalfHourZoneStayOneAnHour) {
  auto f = read_rows(
      "2026-11-14T06:00-03:30,90,1\n2026-11-14T07:00-03:30,90,2\n2026-11-14T08:00-03:30,90,3\n"
      "2026-11-14T09:00-03:30,90,4\n");
  ASSERT_TRUE(f) << f.error().message;
  ASSERT_EQ(f->hours.size(), 4U);
  for (size_t i = 0; i < 4; ++i) {
    EXPECT_EQ(f->hours[i].at, at("2026-11-14T10:00:00Z") + std::chrono::hours(i));
    EXPECT_EQ(*f->hours[i].speed_mps, 1.0 + static_cast<double>(i));
  }
}

TEST(BadForecastCsv, WrongUnitsAreRefusedOrDoubted) {
  auto unknown = read_text("time,wind_from_deg,wind_beaufort\n2026-11-14T06:00Z,90,3\n");
  ASSERT_FALSE(unknown);
  EXPECT_THAT(unknown.error().message,
              ::testing::HasSubstr("the unit of column wind_beaufort is not known"));
  auto semicolons = read_text("time;wind_from_deg;wind_mps\n2026-11-14T06:00Z;90;3\n");
  ASSERT_FALSE(semicolons);
  EXPECT_THAT(semicolons.error().message, ::testing::HasSubstr("not separated by commas"));
  auto storm = read_rows("2026-11-14T06:00Z,90,40\n2026-11-14T07:00Z,90,300\n");
  ASSERT_TRUE(storm) << storm.error().message;
  EXPECT_THAT(joined(*storm), ::testing::HasSubstr("the wind of a hurricane (64 kt or more)"));
  EXPECT_THAT(joined(*storm), ::testing::HasSubstr("beyond any wind; unknown"));
  EXPECT_FALSE(storm->hours[1].speed_mps);
}

TEST(BadForecastCsv, EmptyFilesAndBareHeadersSaySo) {
  for (const char* text : {"", "\n", "\xEF\xBB\xBF \r\n"}) {
    auto f = read_text(text);
    ASSERT_FALSE(f);
    EXPECT_THAT(f.error().message, ::testing::HasSubstr("it is empty; choose another file"));
  }
  auto header = read_rows("");
  ASSERT_FALSE(header);
  EXPECT_THAT(header.error().message, ::testing::HasSubstr("it holds no hour with wind"));
  auto no_wind = read_text("time,wind_from_deg,temp_c\n2026-11-14T06:00Z,90,3\n");
  ASSERT_FALSE(no_wind);
  EXPECT_THAT(no_wind.error().message, ::testing::HasSubstr("no column with the wind speed"));
  auto no_direction = read_text("time,wind_mps\n2026-11-14T06:00Z,3\n");
  ASSERT_FALSE(no_direction);
  EXPECT_THAT(no_direction.error().message, ::testing::HasSubstr("no column wind_from_deg"));
}

std::string periods(const std::string& list) {
  return R"({"properties":{"periods":[)" + list + "]}}";
}

TEST(ForecastNws, TextsOfSpeedAndDirection) {
  auto f = read_text(
      periods(
          R"({"startTime":"2026-11-14T06:00:00-05:00","windSpeed":"10 to 15 mph","windDirection":"NW"},
                 {"startTime":"2026-11-14T07:00:00-05:00","windSpeed":"0 km/h","windDirection":""},
                 {"startTime":"2026-11-14T08:00:00-05:00","windSpeed":null,"windDirection":"S","temperature":20,"temperatureUnit":"F"},
                 {"startTime":"2026-11-14T09:00:00-05:00","windSpeed":{"unitCode":"wmoUnit:km_h-1","value":18},"windDirection":"XX"},
                 {"startTime":"2026-11-14T10:00:00-05:00","windSpeed":"fresh","windDirection":"E"})"),
      "f.json");
  ASSERT_TRUE(f) << f.error().message;
  ASSERT_EQ(f->hours.size(), 5U);
  EXPECT_NEAR(*f->hours[0].speed_mps, 12.5 * 0.44704, 1e-9);
  EXPECT_NEAR(*f->hours[0].speed_range_mps, 5 * 0.44704, 1e-9);
  EXPECT_EQ(true_deg(f->hours[0]), 315);
  EXPECT_EQ(*f->hours[1].speed_mps, 0);
  EXPECT_FALSE(f->hours[1].from_deg);
  EXPECT_FALSE(f->hours[2].speed_mps);
  EXPECT_NEAR(*f->hours[2].temperature_c, -6.6667, 1e-3);
  EXPECT_NEAR(*f->hours[3].speed_mps, 5, 1e-9);
  EXPECT_FALSE(f->hours[3].from_deg);
  EXPECT_FALSE(f->hours[4].speed_mps);
  EXPECT_THAT(joined(*f), ::testing::HasSubstr("'fresh' is not understood"));
  EXPECT_THAT(joined(*f), ::testing::HasSubstr("'XX' is not known"));
}

TEST(ForecastNws, IntervalsAreSpreadOverTheirHours) {
  auto f = read_text(R"json({"properties":{
      "windSpeed":{"uom":"wmoUnit:km_h-1","values":[
        {"validTime":"2026-11-14T06:00:00+00:00/PT3H","value":36},
        {"validTime":"2026-11-14T09:00:00+00:00/P1DT1H","value":18},
        {"validTime":"2026-11-15T10:00:00+00:00/nonsense","value":1}]},
      "windDirection":{"unitCode":"wmoUnit:degree_(angle)","values":[
        {"validTime":"2026-11-14T06:00:00+00:00/PT2H","value":350},
        {"validTime":"2026-11-14T08:00:00+00:00/PT1H","value":null}]},
      "skyCover":{"uom":"wmoUnit:percent","values":[
        {"validTime":"2026-11-14T06:00:00+00:00/PT99H","value":25}]}}})json",
                     "f.json");
  ASSERT_TRUE(f) << f.error().message;
  ASSERT_EQ(f->hours.size(), 28U);
  EXPECT_NEAR(*f->hours[2].speed_mps, 10, 1e-9);
  EXPECT_NEAR(*f->hours[3].speed_mps, 5, 1e-9);
  EXPECT_EQ(true_deg(f->hours[1]), 350);
  EXPECT_FALSE(f->hours[2].from_deg);
  EXPECT_NEAR(*f->hours[27].cloud, 0.25, 1e-12);
  EXPECT_THAT(joined(*f), ::testing::HasSubstr("nonsense"));
}

/// A period of an hour on 2026-11-14, UTC.
std::string period(int hour, const std::string& wind) {
  return std::string(R"({"startTime":"2026-11-14T)") + (hour < 10 ? "0" : "") +
         std::to_string(hour) + R"(:00:00+00:00",)" + wind + "}";
}

TEST(BadForecastNws, PeriodsOddInEveryWay) {
  auto f = read_text(periods(period(9, R"("windSpeed":"5 mph","windDirection":"VRB")") + "," +
                             period(6, R"("windSpeed":"0 mph","windDirection":"")") + "," +
                             period(7, R"("windSpeed":"-4 mph","windDirection":"N")") + "," +
                             period(7, R"("windSpeed":"8 mph","windDirection":"S")") + "," +
                             period(8, R"("windSpeed":"3 furlongs","windDirection":"E")") + "," +
                             period(12, R"("windSpeed":"5 mph","windDirection":720)") + "," +
                             period(13, R"("windSpeed":7,"windDirection":"E")")),
                     "f.json");
  ASSERT_TRUE(f) << f.error().message;
  ASSERT_EQ(f->hours.size(), 6U);
  EXPECT_EQ(f->hours[0].at, at("2026-11-14T06:00:00Z"));
  EXPECT_EQ(*f->hours[0].speed_mps, 0);
  EXPECT_FALSE(f->hours[1].speed_mps || f->hours[2].speed_mps || f->hours[5].speed_mps);
  EXPECT_FALSE(f->hours[3].from_deg || f->hours[4].from_deg);
  const std::string notes = joined(*f);
  for (const char* said :
       {"the speed is negative", "'3 furlongs' is not understood", "the speed has no unit",
        "the direction does not lie between 0 and 360",
        "Hour 2026-11-14 07:00 UTC: more than one row; the first is kept",
        "The 2 hours from 2026-11-14 10:00 UTC to 2026-11-14 11:00 UTC are missing",
        "3 hours (first 2026-11-14 07:00 UTC): no wind speed",
        "2 hours (first 2026-11-14 09:00 UTC): no wind direction, or variable",
        "6 hours (first 2026-11-14 06:00 UTC): no cloud"}) {
    EXPECT_THAT(notes, ::testing::HasSubstr(said));
  }
}

TEST(BadForecastNws, SeriesWithGapsOverlapsAndNoUnit) {
  auto f = read_text(R"json({"properties":{
      "windSpeed":{"uom":"wmoUnit:km_h-1","values":[
        {"validTime":"2026-11-14T08:00:00+00:00/PT1H","value":18},
        {"validTime":"2026-11-14T06:00:00+00:00/PT1H","value":36},
        {"validTime":"2026-11-14T06:00:00+00:00/PT1H","value":72}]},
      "windGust":{"values":[{"validTime":"2026-11-14T06:00:00+00:00/PT1H","value":90}]},
      "windDirection":{"values":[
        {"validTime":"2026-11-14T06:00:00+00:00/PT1H","value":-20},
        {"validTime":"2026-11-14T08:00:00+00:00/PT1H","value":10}]}}})json",
                     "f.json");
  ASSERT_TRUE(f) << f.error().message;
  ASSERT_EQ(f->hours.size(), 2U);
  EXPECT_NEAR(*f->hours[0].speed_mps, 10, 1e-9);
  EXPECT_FALSE(f->hours[0].from_deg || f->hours[0].gust_mps);
  const std::string notes = joined(*f);
  for (const char* said :
       {"windSpeed: 1 values for hours that have one already are left out",
        "The hour 2026-11-14 07:00 UTC is missing", "A speed series has no unit that is known",
        "the direction does not lie between 0 and 360",
        "Hour 2026-11-14 06:00 UTC: no wind direction, or variable"}) {
    EXPECT_THAT(notes, ::testing::HasSubstr(said));
  }
}

TEST(BadForecastNws, NoWindAtAllIsRefused) {
  auto f = read_text(periods(period(6, R"("temperature":20,"temperatureUnit":"F")")), "f.json");
  ASSERT_FALSE(f);
  EXPECT_THAT(f.error().message, ::testing::HasSubstr("it holds no hour with wind"));
  auto units =
      read_text(periods(period(6, R"("windSpeed":"9 stones","windDirection":"N")")), "f.json");
  ASSERT_FALSE(units);
  EXPECT_THAT(units.error().message, ::testing::HasSubstr("'9 stones' is not understood"));
}

TEST(ForecastNws, OtherJsonIsRefused) {
  for (const char* text : {"{", "{}", R"({"properties":{"periods":[]}})", R"({"properties":[]})",
                           R"({"type":"FeatureCollection","features":[]})"}) {
    auto f = read_text(text, "f.json");
    ASSERT_FALSE(f) << text;
    EXPECT_THAT(f.error().message, ::testing::StartsWith("f.json: "));
  }
}

// A forecast says what it is for and when it was made; one for elsewhere or of days ago is named.
TEST(ForecastFiles, OneForAnotherPlaceAndAnOldOneAreSaidSo) {
  const auto read = [](const std::string& lon, const std::string& issued) {
    const std::string text =
        R"({"geometry":{"type":"Polygon","coordinates":[[[)" + lon + R"(,45.28],[)" + lon +
        R"(,45.30]]]},"properties":{"updateTime":")" + issued +
        R"(","periods":[{"startTime":"2026-11-14T15:00:00Z","endTime":"2026-11-14T16:00:00Z",)" +
        R"("windSpeed":"7 mph","windDirection":"NW"}]}})";
    return *read_text(text, "f.json");
  };
  const auto elsewhere = read("-73.75", "2019-10-15T00:00:00Z");
  EXPECT_THAT(joined(elsewhere), ::testing::HasSubstr("look for a newer one"));
  EXPECT_THAT(joined(elsewhere), ::testing::HasSubstr("km from the middle of the property"));
  // PROJ's geod on WGS 84 from 45.290259 N 78.642067 W to 45.29 N 73.75 W: 383.713 km.
  const std::string& source = elsewhere.forecast.source;
  EXPECT_NEAR(std::stod(source.substr(source.find("for a place") + 12)), 383.713, 2) << source;
  const auto here =
      read("-78.64",
           to_iso8601(std::chrono::floor<std::chrono::seconds>(std::chrono::system_clock::now())));
  EXPECT_THAT(joined(here), ::testing::Not(::testing::HasSubstr("newer")));
  EXPECT_THAT(joined(here), ::testing::Not(::testing::HasSubstr("km from")));
  EXPECT_EQ(here.forecast.source, "f.json (NWS hourly forecast)");
}

// --- real files; values as read by eye in them
// ------------------------------------------------------

TEST(ForecastReal, AlbanyHourly) {
  SKIP_WITHOUT_SHARED_DATA();
  auto f = read_forecast(shared_data() / "weather/nws/aly_albany_ny_hourly.resolved_20251108.json",
                         frame(), kPlace);
  ASSERT_TRUE(f) << f.error().message;
  ASSERT_EQ(f->hours.size(), 156U);
  EXPECT_EQ(f->hours.front().at, at("2025-11-08T17:00:00Z"));
  EXPECT_EQ(f->hours.back().at, at("2025-11-15T04:00:00Z"));
  EXPECT_NEAR(*f->hours[0].speed_mps, 14 * 0.44704, 1e-9);
  EXPECT_EQ(true_deg(f->hours[0]), 315);
  EXPECT_NEAR(*f->hours[0].temperature_c, (83 - 32) / 1.8, 1e-9);
  EXPECT_NEAR(*f->hours[2].speed_mps, 13 * 0.44704, 1e-9);
  EXPECT_NEAR(*f->hours.back().speed_mps, 6 * 0.44704, 1e-9);
  EXPECT_EQ(true_deg(f->hours.back()), 225);
}

TEST(ForecastReal, AlbanyGridpoint) {
  SKIP_WITHOUT_SHARED_DATA();
  auto f =
      read_forecast(shared_data() / "weather/nws/aly_albany_ny_gridpoint.resolved_20251108.json",
                    frame(), kPlace);
  ASSERT_TRUE(f) << f.error().message;
  const WindHour &a = f->hours[0], &d = f->hours[3];
  EXPECT_EQ(a.at, at("2025-11-08T09:00:00Z"));
  EXPECT_NEAR(*a.speed_mps, 16.668 / 3.6, 1e-9);
  EXPECT_NEAR(*a.gust_mps, 31.484 / 3.6, 1e-9);
  EXPECT_EQ(true_deg(a), 310);
  EXPECT_NEAR(*a.cloud, 0.24, 1e-12);
  EXPECT_NEAR(*a.temperature_c, 26.1111, 1e-3);
  EXPECT_NEAR(*d.speed_mps, 18.52 / 3.6, 1e-9);
  EXPECT_EQ(true_deg(f->hours[8]), 300);  // 17:00
  for (size_t i = 1; i < f->hours.size(); ++i)
    EXPECT_EQ(f->hours[i].at - f->hours[i - 1].at, std::chrono::hours(1));
}

TEST(ForecastReal, FloridaGridpointAndTrimmedFiles) {
  SKIP_WITHOUT_SHARED_DATA();
  const fs::path nws = shared_data() / "weather/nws";
  auto grid = read_forecast(nws / "pynws_detailed_forecast.json", frame(), kPlace);
  ASSERT_TRUE(grid) << grid.error().message;
  EXPECT_EQ(true_deg(grid->hours[0]), 160);
  EXPECT_EQ(true_deg(grid->hours[1]), 170);
  EXPECT_NEAR(*grid->hours[2].speed_mps, 16.668 / 3.6, 1e-9);
  auto si = read_forecast(nws / "pynws_gridpoints_forecast_hourly_si.json", frame(), kPlace);
  ASSERT_TRUE(si) << si.error().message;
  ASSERT_EQ(si->hours.size(), 2U);
  EXPECT_EQ(*si->hours[0].speed_mps, 0);
  EXPECT_EQ(*si->hours[0].temperature_c, 25.5);
  EXPECT_EQ(true_deg(si->hours[1]), 225);
  auto texts = read_forecast(nws / "pynws_gridpoints_forecast_strings_us.json", frame(), kPlace);
  ASSERT_TRUE(texts) << texts.error().message;
  EXPECT_EQ(texts->hours.size(), 4U);  // one period of four hours
  EXPECT_NEAR(*texts->hours[3].temperature_c, 5, 1e-9);
  auto empty =
      read_forecast(nws / "pynws_gridpoints_forecast_hourly_empty_us.json", frame(), kPlace);
  ASSERT_FALSE(empty);
  EXPECT_THAT(empty.error().message, ::testing::HasSubstr("no hour with wind"));
}

TEST(ForecastReal, WindWithoutDirectionIsRefused) {
  SKIP_WITHOUT_SHARED_DATA();
  auto f =
      read_forecast(shared_data() / "weather/station/seattle_hourly_normals.csv", frame(), kPlace);
  ASSERT_FALSE(f);
  EXPECT_THAT(f.error().message, ::testing::HasSubstr("header needs time, wind_from_deg"));
}

}  // namespace
}  // namespace leeward::io
