#include "core/eval/forecast_record.h"

#include "core/model/edit.h"

#include <gtest/gtest.h>

#include <cmath>

namespace leeward {
namespace {

const Instant kNoon = *parse_iso8601("2026-11-14T12:00:00Z");
Instant at(double hours) { return kNoon + std::chrono::minutes(std::lround(60 * hours)); }

struct Said {
  double hour;
  std::optional<double> from_deg;
  double speed_mps;
};
EditStep forecast(const char* name, double issued, const std::vector<Said>& hours) {
  Forecast f{Uid::from_seed(name), name, at(issued), at(issued)};
  EditStep step{name, {put(f)}, {}};
  for (const Said& s : hours) {
    WindHour h;
    h.uid = Uid::from_seed(name + std::to_string(s.hour));
    h.forecast = f.uid;
    h.at = at(s.hour);
    h.from_deg = s.from_deg;
    h.speed_mps = s.speed_mps;
    step.edits.push_back(put(h));
  }
  return step;
}

// Grid north lies 2 degrees east of true north: a wind from 352 true comes from 350 on the grid.
TEST(ForecastRecord, ComparesWithWhatAStationMeasured) {
  const Document d = *apply(
      Document{},
      forecast("Friday", 0,
               {{0, 350, 4}, {1, 350, 4}, {2, std::nullopt, 0.4}, {3, 350, 4}, {4, 350, 4}}));
  const std::vector<StationHour> measured = {{at(0.9), 12, 3},  // 20 from what was said, 1 too much
                                             {at(1.5), 302, 7},    // 50 from it, 3 too little
                                             {at(2.5), 100, 0.4},  // calm: no direction
                                             {at(3.5), {}, {}}};   // not recorded
  const auto judged = judge_forecasts(d, 2, measured);
  ASSERT_EQ(judged.size(), 1U);
  EXPECT_EQ(judged[0].hours, 5);
  EXPECT_EQ(judged[0].compared, 3) << "the last hour lies too far from any record";
  EXPECT_NEAR(judged[0].turn_deg, (20 + 50) / 2.0, 1e-9);
  EXPECT_NEAR(judged[0].within_30_deg, 0.5, 1e-9);
  EXPECT_NEAR(judged[0].too_strong_mps, (1 - 3 + 0) / 3.0, 1e-9);
  EXPECT_NEAR(judged[0].off_mps, (1 + 3 + 0) / 3.0, 1e-9);
}

TEST(ForecastRecord, WithoutMeasurementsTheNewerForecastServes) {
  Document d = *apply(Document{}, forecast("Friday", 0, {{24, 350, 4}, {25, 350, 4}, {26, 10, 4}}));
  d = *apply(d, forecast("Saturday", 20, {{25, 10, 6}, {26, 10, 6}}));
  const auto judged = judge_forecasts(d, 0, {});
  ASSERT_EQ(judged.size(), 2U);
  EXPECT_EQ(judged[0].forecast->source, "Saturday") << "newest first";
  EXPECT_EQ(judged[0].compared, 0);
  EXPECT_TRUE(std::isnan(judged[0].turn_deg));
  EXPECT_EQ(judged[1].compared, 2);
  EXPECT_NEAR(judged[1].turn_deg, 10, 1e-9);
  EXPECT_NEAR(judged[1].too_strong_mps, -2, 1e-9);
}

}  // namespace
}  // namespace leeward
