// TimeLeft: how long work will go on, from the share that is done and the time that it took.
#pragma once

#include <chrono>
#include <optional>

namespace leeward::ui {

/// THREADS: one. Begins anew when the share falls back.
class TimeLeft {
 public:
  using Clock = std::chrono::steady_clock;
  /// Seconds still to go; nothing before two seconds and a twentieth of the work are over.
  std::optional<int> at(double share, Clock::time_point now);

 private:
  Clock::time_point began_;
  double first_ = 0, last_ = 2;
};

}  // namespace leeward::ui
