#include "ui/session/time_left.h"

#include <cmath>

namespace leeward::ui {

std::optional<int> TimeLeft::at(double share, Clock::time_point now) {
  if (share < last_) began_ = now, first_ = share;
  last_ = share;
  const double done = share - first_;
  const double took_s = std::chrono::duration<double>(now - began_).count();
  if (took_s < 2 || done < 0.05) return std::nullopt;
  return static_cast<int>(std::ceil(took_s / done * std::max(0.0, 1 - share)));
}

}  // namespace leeward::ui
