#include "core/eval/forecast_record.h"

#include "core/base/units.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace leeward {
namespace {

constexpr double kBlows_mps = 1;  // a weaker wind has no direction to be right about

struct Blown {
  std::optional<double> from_deg;  // grid
  double speed_mps = 0;
};

std::optional<Blown> measured_at(const std::vector<StationHour>& measured, Instant hour,
                                 double convergence_deg) {
  constexpr std::chrono::minutes kMiddle{30}, kMostOff{45};
  const Instant middle = hour + kMiddle;
  const auto after = std::lower_bound(measured.begin(), measured.end(), middle,
                                      [](const StationHour& s, Instant at) { return s.at < at; });
  const auto off = [&](auto it) { return it->at < middle ? middle - it->at : it->at - middle; };
  auto best = after;
  if (after != measured.begin() && (after == measured.end() || off(after - 1) < off(after)))
    best = after - 1;
  if (best == measured.end() || off(best) > kMostOff || !best->speed_mps) return std::nullopt;
  Blown out{std::nullopt, *best->speed_mps};
  if (best->true_from_deg) out.from_deg = *best->true_from_deg - convergence_deg;
  return out;
}

// What the newest forecast but `but` that is newer says.
std::optional<Blown> said_later(const Document& d, const WindHour& hour) {
  const auto at = std::lower_bound(d.wind_hours->begin(), d.wind_hours->end(), hour.at,
                                   [](const Ref<WindHour>& h, Instant t) { return h->at < t; });
  if (at == d.wind_hours->end() || (*at)->at != hour.at || (*at)->forecast == hour.forecast ||
      !(*at)->speed_mps)
    return std::nullopt;
  return Blown{(*at)->from_deg, *(*at)->speed_mps};
}

class Sums {
 public:
  void add(const WindHour& said, const Blown& blown) {
    ++compared_;
    const double more = *said.speed_mps - blown.speed_mps;
    more_ += more, off_ += std::abs(more);
    if (!said.from_deg || !blown.from_deg ||
        std::min(*said.speed_mps, blown.speed_mps) < kBlows_mps)
      return;
    const double turn = std::abs(wrap_180(*said.from_deg - *blown.from_deg));
    ++directions_;
    turn_ += turn;
    within_ += turn <= 30 ? 1 : 0;
  }
  void give(ForecastRecord& out) const {
    out.compared = compared_;
    if (compared_ > 0) out.too_strong_mps = more_ / compared_, out.off_mps = off_ / compared_;
    if (directions_ > 0)
      out.turn_deg = turn_ / directions_, out.within_30_deg = 1.0 * within_ / directions_;
  }

 private:
  int compared_ = 0, directions_ = 0, within_ = 0;
  double more_ = 0, off_ = 0, turn_ = 0;
};

}  // namespace

std::vector<ForecastRecord> judge_forecasts(const Document& d, double convergence_deg,
                                            const std::vector<StationHour>& measured) {
  std::vector<ForecastRecord> out;
  for (const auto& f : *d.forecasts) {
    ForecastRecord record{f};
    Sums sums;
    for (const auto& h : *d.stored_hours) {
      if (h->forecast != f->uid) continue;
      ++record.hours;
      if (!h->speed_mps) continue;
      const auto blown =
          measured.empty() ? said_later(d, *h) : measured_at(measured, h->at, convergence_deg);
      if (blown) sums.add(*h, *blown);
    }
    sums.give(record);
    out.push_back(std::move(record));
  }
  std::stable_sort(out.begin(), out.end(), [](const ForecastRecord& a, const ForecastRecord& b) {
    return made_at(*a.forecast) > made_at(*b.forecast);
  });
  return out;
}

}  // namespace leeward
