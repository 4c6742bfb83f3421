#include "ui/session/time_left.h"

#include <gtest/gtest.h>

namespace leeward::ui {
namespace {

TEST(TimeLeft, IsWhatTheRestTakesAtTheSamePaceAndBeginsAnew) {
  const TimeLeft::Clock::time_point begin{};
  const auto after = [&](double s) {
    return begin + std::chrono::milliseconds(static_cast<long>(1000 * s));
  };
  TimeLeft left;
  EXPECT_FALSE(left.at(0, begin));
  EXPECT_FALSE(left.at(0.5, after(1)));              // too early to say
  EXPECT_EQ(left.at(0.25, after(2)), std::nullopt);  // fell back: other work
  EXPECT_EQ(left.at(0.5, after(12)), 20);
  EXPECT_EQ(left.at(1, after(32)), 0);
}

}  // namespace
}  // namespace leeward::ui
